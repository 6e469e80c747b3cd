"""What goes with the test piece: how it is read, drawn in characters, and the file for the answers."""

from __future__ import annotations

from mounts.coupon.plan import STEPS, Coupon, Shape, Specimen, rises_deg
from mounts.inputs.write import write_toml
from mounts.units import number, wrapped

WIDTH = 78  # of a line, for a terminal of 80

CAUTIONS = (
    "Feed the servo from its own fused 5 V supply, never from a microcontroller's regulator.",
    "Keep fingers away while it is powered: the arm moves without warning.",
    "Wear eye protection when cutting spring wire: the ends fly.",
    "The printer's nozzle is hot: air the room, and keep small parts from children.",
)

DRAWINGS: dict[Shape, tuple[str, ...]] = {
    "bore": (
        "     1     2     3     4",
        "    ___   ___   ___   ___",
        "   ( o ) ( o ) ( O ) ( O )    tight ... loose",
        "    ---   ---   ---   ---",
    ),
    "slot": (
        "     1      2      3      4",
        "   [ | ]  [ | ]  [ || ] [ || ]   the wire stands in the slot",
    ),
    "channel": (
        "   mouth                 ________",
        "   =====>  4 |  3 |  2 |  1   what goes in is pushed from the side",
        "           __|____|____|___   of the 4; read the number it reaches",
    ),
    "tunnel": (
        "           ______________",
        "   =====>   4   3   2   1     seen from the side: the roof comes lower",
        "           ______________",
    ),
    "fin": (
        "    1    2     3      4",
        "    |    |     ||     |||     thin ... thick",
    ),
    "lean": (
        "    1     2      3       4",
        "   /_    /__    /___   /____   look at the underside",
    ),
    "bridge": (
        "    __1__ ___2___ ____3____ _____4_____",
        "   |     |       |         |           |   look from below",
    ),
}


def render_key(coupon: Coupon) -> str:
    """How the piece is printed and read, letter by letter."""
    printer, servo = coupon.printer, coupon.servo
    lines = [
        f"Test piece for {printer.name} and {servo.name}",
        "",
        *_told(
            "Print all four parts as they lie, with the settings and the plastic that the mounts will be printed "
            "with; no supports. A letter is a pair that fits, a number a step: 1 is the tightest. Try the numbers "
            "upwards, write the answer into answers.toml, or have it asked for: mounts coupon --record"
        ),
        "",
    ]
    for specimen in coupon.specimens:
        lines += [*about(specimen), ""]
    half = rises_deg(servo)
    lines += [
        "Protractor: the ring goes round the gear boss, flat on the case; tape it down.",
        *_told(
            f"Between its two sides the arm turns {number(2 * half)}°. Push the arm on so that it points between the "
            "posts at 1500 us. Step the pulse until the arm's tip just touches one post without pressing, note it, "
            "then the other. A servo must never push against a post: go back at once if it hums. Then, with the two "
            "pulses: mounts profiles calibrate NAME --extends " + servo.name + " --sides 1010,1990"
        ),
        "",
        *(f"- {line}" for caution in CAUTIONS for line in _told(caution)),
    ]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def about(specimen: Specimen) -> list[str]:
    """One letter: what goes in, what counts as fitting, its drawing, and the figure of each step."""
    sizes = ", ".join(f"{step + 1} = {number(size)}" for step, size in enumerate(specimen.drawn))
    unit = "°" if specimen.shape == "lean" else " mm"
    tried = f"Try {specimen.goes_in}. " if specimen.goes_in else ""
    return [
        f"{specimen.letter}  {specimen.title}",
        *DRAWINGS[specimen.shape],
        *_told(f"{tried}The answer is {specimen.asks}."),
        *_told(f"Drawn{unit}: {sizes}"),
    ]


def render_answers(coupon: Coupon) -> str:
    """The file for the answers: each key with the step that the profile has now."""
    answers = {specimen.key: _present(specimen, coupon) for specimen in coupon.specimens}
    comments = {specimen.key: f"{specimen.letter}: {specimen.title}" for specimen in coupon.specimens}
    head = (
        f"# Which step fitted, 1 to {STEPS}; 0 where none did. A line left out changes nothing.\n"
        "# mounts coupon --record answers.toml\n\n"
    )
    figures = {specimen.key: list(specimen.figures) for specimen in coupon.specimens}
    tables = {
        "printed": {"printer": coupon.printer.name, "servo": coupon.servo.name, "screw": coupon.fixing.name,
                    "wire_mm": coupon.wire_mm},
        "figures": figures,
    }  # fmt: skip
    return head + write_toml(answers, comments) + write_toml(tables)


def _present(specimen: Specimen, coupon: Coupon) -> int:
    """The step that stands for the profile as it is."""
    if specimen.pair is None:
        return {"fin": 3, "lean": STEPS, "bridge": STEPS}[specimen.shape]
    now = specimen.pair.measured_mm(coupon.printer)
    return 1 + min(range(STEPS), key=lambda step: abs(specimen.figures[step] - now))


def _told(text: str) -> list[str]:
    return wrapped(text, WIDTH)
