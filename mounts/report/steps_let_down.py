"""Steps for a lift that is fitted at the bench and let down through its cut-out from above."""

from __future__ import annotations

from mounts.design import CutOut, Design, DropIn
from mounts.drive.kinds import driven
from mounts.drive.lift.model import LiftDrive
from mounts.report import steps_shared as shared
from mounts.report.hardware import glue
from mounts.units import number


def at_bench(design: Design, level: str) -> tuple[str, ...]:
    """Servo, rod and arm in the print, before anything is cut.

    Args:
        design: the mount.
        level: how the arm stands at the centre pulse.
    """
    return (
        f"Lay the print on its flange's top. {shared.seated(design, 'Put the servo in from below')}.",
        "Lead the rod through the guide from below, hook its lower end into the arm from the side away from the servo, "
        f"and push the arm on the shaft so that it stands {level} and points to the rod, "
        f"{shared.off_by_half_a_tooth(design)}. The spring bend stands away from the servo. Move the rod by hand, up "
        "and down by a millimetre or two: it must not bind in its guide.",
    )


def let_down(design: Design) -> tuple[str, ...]:
    """The board cut, the mount let down and screwed on, and how it comes out again."""
    told = let_in(design)
    drive = driven(design.drive, LiftDrive)
    off = "unhook the rod from the crank" if drive.crank_mm else "uncouple the rod above the flange"
    return (
        *_opened(design),
        "Fish a string through from where the controller is and tie the servo's plug to it. Let the "
        "mount down straight, plug first, while the string takes up its cable. The "
        f"{number(told.flange_mm)} mm flange must lie flat all round.",
        shared.fixing(
            design, "Turn it until the arm's plane is that of the signal, the skirt free of the cut-out all round"
        ),
        f"Stand the post, or the boom's stand, in its seat ({told.post}, {number(told.post_mm)} mm): "
        + ("hollow, the rod goes up inside it." if told.rod_in_post else "the rod goes up beside it."),
        f"For repair {off}, pull the plug, take the screws out, and lift signal and drive out together, straight up.",
    )


def _opened(design: Design) -> tuple[str, ...]:
    """The board cut, and plywood put in where it holds no screw."""
    hole, spec, backing = cut_out(design), design.spec, let_in(design).backing
    look = (
        "Look underneath as far as you can, with a mirror or a phone's camera, for wires and framing under the whole "
        f"cut-out. Lay {spec.id}-template.svg on the board, the rod's cross under what is moved"
    )
    saw = "drill a hole in each corner inside the line, and saw from one to the next. Eye protection on."
    if backing is None:
        return (f"{look}, and saw out {hole.told()}: {saw}",)
    along, across = (number(side, 0) for side in backing.sizes_mm())
    if not backing.let_in:
        return (
            f"{look}, and saw out {hole.told()}: {saw}",
            f"Cut two strips of {number(backing.thick_mm)} mm plywood, {along} × {across} mm. Put {glue(spec)} "
            "on the upper face of each, lead it on end through the cut-out, and clamp it under the board along one of "
            "the edges where the screws come, its long side level with that edge: two small clamps through the "
            "cut-out. Take the glue that is pressed out off the edge, and let it set before you go on.",
        )
    opening = hole.told().split(",")[0]
    return (
        f"Cut a frame of {number(backing.thick_mm)} mm plywood, {along} mm along the track and {across} mm across it, "
        f"and saw its opening as the template shows, {opening}: {saw}",
        f"{look}, and cut round the frame's outline {number(backing.thick_mm)} mm deep into the foam, with a sharp "
        "knife that you draw away from yourself. Take the foam inside it out to that depth, glue the frame in level "
        f"with the board with an {glue(spec)}, and let it set; then cut the foam out along the opening, right through.",
    )


def let_in(design: Design) -> DropIn:
    """What such a mount tells of itself.

    Raises:
        TypeError: it is none.
    """
    if design.plan.drop_in is None:
        raise TypeError("a mount that is let down tells of its flange")
    return design.plan.drop_in


def cut_out(design: Design) -> CutOut:
    """What is cut from the board.

    Raises:
        TypeError: nothing is.
    """
    if design.plan.board_cut_out is None:
        raise TypeError("a mount that is let down has a cut-out")
    return design.plan.board_cut_out
