"""Steps for a lift that is fitted at the bench and let down through its cut-out from above."""

from __future__ import annotations

from mounts.design import CutOut, Design, DropIn
from mounts.drive.kinds import driven
from mounts.drive.lift.model import LiftDrive
from mounts.report import steps_shared as shared
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
    hole, spec, told = cut_out(design), design.spec, let_in(design)
    drive = driven(design.drive, LiftDrive)
    off = "unhook the rod from the crank" if drive.crank_mm else "uncouple the rod above the flange"
    fixed = "cut the glue" if spec.bonded else "take the screws out"
    return (
        "Look underneath as far as you can, with a mirror or a phone's camera, for wires and framing under the whole "
        f"cut-out. Lay {spec.id}-template.svg on the board, the rod's cross under what is moved, and saw out "
        f"{hole.told()}: drill a hole in each corner inside the line, and saw from one to the next. Eye protection on.",
        "Fish a string through from where the controller is and tie the servo's plug to it. Let the "
        "mount down straight, plug first, while the string takes up its cable. The "
        f"{number(told.flange_mm)} mm flange must lie flat all round.",
        shared.fixing(
            design, "Turn it until the arm's plane is that of the signal, the skirt free of the cut-out all round"
        ),
        f"Stand the post, or the boom's stand, in its seat ({told.post}, {number(told.post_mm)} mm): "
        + ("hollow, the rod goes up inside it." if told.rod_in_post else "the rod goes up beside it."),
        f"For repair {off}, pull the plug, {fixed}, and lift signal and drive out together, straight up.",
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
