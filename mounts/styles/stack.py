"""Stack of sleepers or crates: a box of courses, grooves between them, printed upside down.

 ┌───────────────┐      every second course is drawn in a little
╭┴───────────────┴╮     a groove over each course
╰┬───────────────┬╯     ends: a groove between neighbours
 ┌┴─────────────┴┐
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from pydantic import Field

from mounts.design import Datums, Design, Span, Stature
from mounts.drive.model import Drive, Limits
from mounts.inputs.spec import MountSpec
from mounts.styles import _housing, _shell
from mounts.styles._housing_options import Options, Shell
from mounts.styles._housing_plan import HousingPlan

if TYPE_CHECKING:
    from mounts.solid.courses import Course
    from mounts.solid.part import Part

Load = Literal["sleepers", "crates"]
WIDE_M: dict[Load, Span] = {"sleepers": (0.24, 0.26), "crates": (0.7, 0.9)}
"""Width of a sleeper's or crate's end, least and most; 2.6 × 0.25 × 0.13 m is a wooden sleeper, common practice, no
source. Crates are by eye."""
# length and height of the same
LONG_M: dict[Load, Span] = {"sleepers": (2.4, 2.6), "crates": (0.7, 0.9)}
HIGH_M: dict[Load, Span] = {"sleepers": (0.13, 0.16), "crates": (0.5, 0.7)}
TALLEST_M = 3.0  # sleepers are not piled higher; common practice, no source
STATURE = Stature(low_m=0.5, high_m=2.0, most_m=5.0)  # 4 to 15 courses; a timber yard's: from memory
PROUD_SHARE, DEEP_SHARE = 0.5, 0.75  # of the depth of other relief: every second course, and grooves
UNDER_LID_MM = 0.7  # upright grooves end below the face on the bed, whose rim is chamfered; common practice, no source


class StackOptions(Options):
    """What ``--set`` takes for the stack."""

    load: Literal["auto", "sleepers", "crates"] = Field(
        "auto", description="what is stacked; auto: sleepers unless the stack is too high or they are too fine"
    )


def _proud_mm(spec: MountSpec) -> float:
    """How far every second course stands out."""
    return PROUD_SHARE * _shell.relief_mm(spec.printer)


def _groove_mm(spec: MountSpec) -> float:
    """Depth of the groove between two courses."""
    return DEEP_SHARE * _shell.relief_mm(spec.printer)


def _flank_mm(spec: MountSpec) -> float:
    """Height of the highest flank of a groove; the upright face of a course is at least as high."""
    return _shell.flank_mm(_groove_mm(spec) + _proud_mm(spec))


def load_of(spec: MountSpec, plan: HousingPlan, options: StackOptions) -> Load:
    """What is stacked."""
    if options.load != "auto":
        return options.load
    too_high = _top_z(spec, plan) > _shell.scaled_mm(spec, TALLEST_M)
    return "crates" if too_high or _courses(spec, plan, "sleepers") is None else "sleepers"


def _top_z(spec: MountSpec, plan: HousingPlan) -> float:
    return plan.room_top_z + _shell.lid_mm(spec.printer)


def _courses(spec: MountSpec, plan: HousingPlan, load: Load) -> int | None:
    return _shell.pieces(spec, _top_z(spec, plan), HIGH_M[load], 2 * _flank_mm(spec))


def _rows(spec: MountSpec, walls: _shell.Walls, load: Load) -> tuple[int | None, int | None]:
    """Pieces along x and along y."""
    least = 2 * _shell.groove_mm(spec.printer)
    return (
        _shell.pieces(spec, walls.outer_x[1] - walls.outer_x[0], LONG_M[load], least),
        _shell.pieces(spec, walls.outer_y[1] - walls.outer_y[0], WIDE_M[load], least),
    )


def _size(spec: MountSpec, options: StackOptions) -> Shell:
    front = _shell.stands_out_mm(spec, _groove_mm(spec) + _proud_mm(spec))
    return Shell(front_mm=front, over_mm=_shell.lid_mm(spec.printer), stature=STATURE)


def limits(spec: MountSpec, options: StackOptions) -> Limits:
    """What the frame and the stack round it leave to the rod."""
    return _housing.limits(spec, options, _size(spec, options))


def place(spec: MountSpec, drive: Drive, options: StackOptions) -> tuple[Datums, HousingPlan]:
    """Where everything stands, and what of the stack can't be drawn in this scale."""
    datums, plan = _housing.place(spec, drive, options, _size(spec, options))
    return datums, _shell.planned(plan, left_out(spec, plan, options), ("shell",))


def left_out(spec: MountSpec, plan: HousingPlan, options: StackOptions) -> tuple[str, ...]:
    """What of the stack can't be drawn in this scale, and why."""
    load = load_of(spec, plan, options)
    left = []
    if _courses(spec, plan, load) is None:
        left.append(_shell.too_fine(spec, f"courses of {load}", HIGH_M[load][1], 2 * _flank_mm(spec)))
    if _rows(spec, _shell.walls(plan, spec), load)[1] is None:
        left.append(_shell.too_fine(spec, f"ends of {load}", WIDE_M[load][1]))
    return tuple(left)


def build(design: Design, options: StackOptions) -> tuple[Part, ...]:
    """Frame and stack."""
    plan = _shell.housing(design)
    return (_housing.build_frame(design, plan), *scenery(design.spec, plan, options))


def scenery(spec: MountSpec, plan: HousingPlan, options: StackOptions) -> tuple[Part, ...]:
    """The stack: one part.

    Raises:
        BuildError: the kernel could not do a step.
    """
    from mounts.solid.courses import coursed
    from mounts.solid.guard import kernel_step
    from mounts.solid.polyhedron import of_polygons

    printer = spec.printer
    walls, load = _shell.walls(plan, spec), load_of(spec, plan, options)
    along_x, along_y = _rows(spec, walls, load)
    with kernel_step("draw the courses", "use another load"):
        pieces, groove_mm = (along_x or 1, along_y or 1), _shell.groove_mm(printer)
        faces = coursed(walls.outer_x, walls.outer_y, _drawn(spec, plan, load), pieces, groove_mm)
        courses = of_polygons(faces, "draw the courses")
    with kernel_step("cut the inside and the openings", "use another load"):
        openings = _shell.cut_openings(
            plan,
            printer,
            walls,
            depth_mm=walls.wall_mm + 0.5,
            before_mm=1.0 + _groove_mm(spec) + _proud_mm(spec),
            upright=False,
        )
        body = courses.cut(_shell.cavity(walls, plan.room_top_z), *openings)
    return (_shell.finished("shell", body, spec, turn=_shell.UPSIDE_DOWN, through_holes=0, sound=courses),)


def _drawn(spec: MountSpec, plan: HousingPlan, load: Load) -> list[Course]:
    """The courses from the ground up: every second stands proud, the others of sleepers are the bearers between."""
    from mounts.solid.courses import Course

    top_z, count = _top_z(spec, plan), _courses(spec, plan, load) or 1
    drawn = []
    for course in range(count)[::-1]:
        high, low = (top_z * (1 - k / count) for k in (course, course + 1))
        out = _groove_mm(spec) + (_proud_mm(spec) if course % 2 else 0.0)
        cut = load == "crates" or course % 2 == 1
        flank, layer = _shell.flank_mm(out), spec.printer.layer_mm
        rim = None if course or not cut else top_z - max(UNDER_LID_MM, 3 * layer, flank + layer)
        drawn.append(Course(low, high - flank, high, out, cut, rim))
    return drawn


STYLE = _housing.style(
    StackOptions,
    limits,
    place,
    build,
    examples=({}, {"pose": "hang"}, {"load": "crates"}),
)
