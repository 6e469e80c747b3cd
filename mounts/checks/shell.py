"""Does the scenery sit on what carries it: the printer's fit all round, straight off, and on when turned by 90°?

Only a lip holds a shell on its frame and a roof on its walls: no snap that wears out or breaks. The lip is so
high that the play lets the part hang askew by less than the angle of friction, so it can't slide off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from mounts import scene
from mounts.checks.clearance import TOUCH_MM3
from mounts.checks.model import Check
from mounts.design import Design, Scenery
from mounts.inputs import fits
from mounts.inputs.printer import FRICTION
from mounts.mesh import PartMesh
from mounts.scene_near import near_pieces
from mounts.units import number

if TYPE_CHECKING:
    from manifold3d import Manifold

OFF_SEAT_MM = 1.0  # lifted so far, the seat itself no longer tells: a roof's slopes centre it
FIT_MM = 0.02  # what a fit may read short of the printer's: float32 corners and bisection
MOST_PLAY_MM = 2.0  # a part that may be pushed farther is not held at all; common practice, no source
ABOVE_ALL_MM = 400.0  # higher than any housing: beds end before
STEP_MM = 0.5  # way between two looks while a part is lifted; common practice, no source
_FINE_MM = 0.005  # to which play and lift are halved: a quarter of FIT_MM
_WAYS: Sequence[tuple[float, float]] = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))  # the four sides


def check_shell(design: Design, meshes: Sequence[PartMesh]) -> Iterator[Check]:
    """How each part that lifts off sits on the one below it, and what of the scenery could not be drawn.

    Yields:
        ``scale-height`` height times the scale's ratio, m; ``shell-fit`` least play towards one of the four
        sides, mm, the part lifted by 1 mm; ``shell-lift`` volume in its way straight up, mm³, servo, arm and rod
        included; ``shell-holds`` angle by which it can hang askew when the model is turned by 90°, against the
        angle of friction, °; ``relief`` number of things left out. Nothing of a mount that shows no
        scenery and has no part that lifts off.
    """
    plan, scenery = design.plan, design.plan.beside.scenery if design.plan.beside else None
    if scenery is None and not plan.lift_off:
        return
    bodies = {mesh.name: scene.mount_body([mesh]) for mesh in meshes}
    carrier = scene.mount_body(meshes, without=plan.lift_off)
    under = carrier + _servo_and_rod(design, carrier, [bodies[name] for name in plan.lift_off])
    if scenery:
        yield _scale_height(design, scenery, max(body.bounding_box()[5] for body in bodies.values()))
    for name in plan.lift_off:
        part = bodies[name]
        plays = [play_mm(carrier, part.translate([0.0, 0.0, OFF_SEAT_MM]), way) for way in _WAYS]
        fit = fits.SHELL if name == plan.lift_off[0] else fits.ROOF
        yield _fit(name, plays, fit.air_mm(design.spec.printer))
        yield _lift(name, under, part)
        yield _holds(name, carrier, part, plays)
        carrier, under = part, under + part
    if scenery:
        yield Check.of(
            "relief",
            float(len(scenery.left_out)),
            "at most",
            0.0,
            "",
            "all of the scenery's relief can be printed in this scale",
            "; ".join(scenery.left_out),
            otherwise="warn",
        )


def _scale_height(design: Design, scenery: Scenery, top_z: float) -> Check:
    spec, kind = design.spec, scenery.stature
    top_mm = top_z - spec.ground_mm
    real_m = top_mm * spec.scale.ratio / 1000
    text = (
        f"{top_mm:.1f} mm high, in reality {real_m:.1f} m; {number(kind.low_m)} to {number(kind.high_m)} m is usual "
        f"for a {spec.style}"
    )
    lower = ", ".join(scenery.lower or ("a smaller servo",))
    return Check.of(
        "scale-height", real_m, "at most", kind.most_m, "m", text, f"{text}: lower are {lower}", otherwise="warn"
    )


def _servo_and_rod(design: Design, carrier: Manifold, lifted: Sequence[Manifold]) -> Manifold:
    """Of the rod what stands under something that is lifted and is no higher than what stays."""
    servo = scene.union([scene.servo_body(design), scene.hub_body(design), scene.arm_blade(design, 0.0)])
    path, wire_mm = scene.wire_path(design, 0.0), design.drive.wire_mm
    top = max(carrier.bounding_box()[5], servo.bounding_box()[5], path[:, 2].max() + wire_mm)
    above = scene.union(
        body.trim_by_plane((0.0, 0.0, -1.0), -top)
        .project()
        .extrude(ABOVE_ALL_MM)
        .translate((0.0, 0.0, body.bounding_box()[2]))
        for body in lifted
    )
    return servo + scene.union(near_pieces([path], wire_mm, lambda stretch: not (above ^ stretch).is_empty()))


def play_mm(carrier: Manifold, part: Manifold, way: tuple[float, float]) -> float:
    """How far a part can be pushed sideways before it meets what carries it, mm; MOST_PLAY_MM if it does not.

    Args:
        carrier: what stays; mount frame.
        part: what is pushed, in its place; mount frame.
        way: unit (x, y).
    """

    def meets(far: float) -> bool:
        return bool((carrier ^ part.translate([way[0] * far, way[1] * far, 0.0])).volume() > TOUCH_MM3)

    far = 0.0
    while not meets(far):
        far += 0.1
        if far > MOST_PLAY_MM:
            return MOST_PLAY_MM
    near = max(0.0, far - 0.1)
    while far - near > _FINE_MM:
        middle = (near + far) / 2
        near, far = (near, middle) if meets(middle) else (middle, far)
    return near


def _fit(name: str, plays: Sequence[float], slip: float) -> Check:
    least, most = min(plays), max(plays)
    good = f"play towards each of the four sides, up to {most:.2f}; slip fit of the printer {slip:g}"
    return Check.of(
        "shell-fit",
        least,
        "at least",
        slip - FIT_MM,
        "mm",
        good,
        f"the {name} is tighter than the printer's slip fit {slip:g}; report the design as a bug",
        part=name,
    )


def _lift(name: str, under: Manifold, part: Manifold) -> Check:
    """The part at every half millimetre of its way, until it is past all below; where nothing of it stands over what is
    below, it meets nothing."""
    top, low = under.bounding_box()[5], part.bounding_box()[2]
    steps = math.ceil((top - low) / STEP_MM) + 1
    way, rising = under.trim_by_plane((0.0, 0.0, 1.0), low), part.trim_by_plane((0.0, 0.0, -1.0), -top)
    column = (way.project() ^ rising.project()).extrude(ABOVE_ALL_MM).translate((0.0, 0.0, low))
    way, rising = way ^ column, rising ^ column
    cuts = [(way ^ rising.translate([0.0, 0.0, k * STEP_MM])).volume() for k in range(steps)]
    cut = max(cuts)
    at = cuts.index(cut) * STEP_MM
    return Check.of(
        "shell-lift",
        cut,
        "at most",
        TOUCH_MM3,
        "mm³",
        f"the {name} lifts straight off",
        f"the {name} meets what is under it when {at:g} mm up; report the design as a bug",
        part=name,
    )


def _holds(name: str, carrier: Manifold, part: Manifold, plays: Sequence[float]) -> Check:
    """Along each side the play of both ways over the height it is engaged: the tangent of how it can hang.

    Gravity along the lip pulls with W·sin of that angle; friction holds with µ·W·cos of it at least, for the
    contacts press with W·cos or, where the weight hangs out over them, with more.

    Domain: rigid parts whose lip is engaged on both sides of each pair; where it is free at once, the height engaged is
    0 and the angle 90°, which fails. The angles that pass are below 11.3°, so sine, tangent and angle agree to 2 %.

    Source:
        A body on an incline, any handbook; FRICTION is from memory.
    """
    limit = math.degrees(math.atan(FRICTION))
    both = [(slice(k, k + 2), sum(plays[k : k + 2])) for k in (0, 2)]
    askew = max(
        math.degrees(math.atan2(play, engaged_mm(carrier, part, _WAYS[side], plays[side]))) for side, play in both
    )
    return Check.of(
        "shell-holds",
        askew,
        "at most",
        limit,
        "°",
        f"turned by 90° the {name} hangs askew on its lip, less than the {limit:.1f}° at which plastic slides",
        f"turned by 90° the {name} slides off: its lip is too low for its play",
        part=name,
    )


def engaged_mm(carrier: Manifold, part: Manifold, ways: Sequence[tuple[float, float]], plays: Sequence[float]) -> float:
    """How far a part can be lifted before one of two ways is free, mm; 0 where one is free at once.

    Free is a way on which it goes twice as far as it had play, and 0.2 mm more.

    Args:
        carrier: what stays; mount frame.
        part: what is lifted, in its place; mount frame.
        ways: unit (x, y) of each way.
        plays: how far the part can go on each before it meets the carrier, mm.
    """

    def held(up: float) -> bool:
        return all(
            (carrier ^ part.translate([x * (2 * gap + 0.2), y * (2 * gap + 0.2), up])).volume() > TOUCH_MM3
            for (x, y), gap in zip(ways, plays, strict=True)
        )

    up = OFF_SEAT_MM
    if not held(up) or max(plays) >= MOST_PLAY_MM:
        return 0.0
    while held(up) and up < 20.0:
        up += STEP_MM
    low, high = up - STEP_MM, up
    while high - low > _FINE_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if held(middle) else (low, middle)
    return low
