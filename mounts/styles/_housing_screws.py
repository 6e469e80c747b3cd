"""How a housing's frame is fixed to its board from above: base plate and the screw, bolt or bond that suits it."""

from __future__ import annotations

from mounts.design import Screw, Span
from mounts.errors import NoDesign, NoFixing
from mounts.inputs.spec import MountSpec
from mounts.styles import _fixings, _mounting
from mounts.styles import _housing_options as shared
from mounts.styles._housing_options import LEAST_BASE_MM, MOST_BASE_MM, Options
from mounts.styles._mounting import GRIP_SHANKS, POINT_MM

HEADS = 4  # fixing screws of either pose
PAST_FRAME_MM = 5.0  # of a point in the foam below; common practice, no source
BEYOND_NUT_MM = 0.5  # a turn of the thread; common practice, no source


def base_mm(spec: MountSpec, options: Options) -> float:
    """Thickness of the base plate: as thin as lets a stock screw grip the board and stay inside it."""
    if options.base_mm is not None:
        return options.base_mm
    if spec.bonded or spec.fixing.kind == "bolt":
        return LEAST_BASE_MM
    inside = inside_mm(spec)
    fitting = [length - inside for length in spec.fixing.lengths_mm if length >= LEAST_BASE_MM + grip_mm(spec)]
    return min(max(LEAST_BASE_MM, min(fitting, default=LEAST_BASE_MM)), MOST_BASE_MM)


def fixed(spec: MountSpec, options: Options) -> MountSpec:
    """The request with what fixes the frame to its board, where that was left free."""

    def deep_mm(tried: MountSpec) -> float | None:
        base = base_mm(tried, options)
        length = screw_mm(tried, base)
        return None if length is None else length - base

    chosen = _fixings.from_above(spec.from_ground(), deep_mm, HEADS)
    return spec.model_copy(update={"fixing": chosen.fixing, "bonded": chosen.bonded})


def inside_mm(spec: MountSpec) -> float:
    """How deep a screw may go into ground and board from above; through a frame let into foam no farther than holds."""
    inside = spec.board.thickness_mm - spec.board.under_mm - POINT_MM
    return min(inside, spec.frame_mm + PAST_FRAME_MM) if spec.frame_mm else inside


def grip_mm(spec: MountSpec) -> float:
    """How deep it must go: two shanks into what holds it, foam on top counts for nothing; bonded, into anything."""
    board = spec.board
    soft = 0.0 if spec.bonded or spec.frame_mm else board.thickness_mm - board.screw_depth_mm
    return soft + GRIP_SHANKS * spec.fixing.shank_mm


def _through_mm(spec: MountSpec, base: float) -> float:
    """Length of a bolt: base, the board at its thickest, washer, nut, and a thread's turn beyond."""
    fixing, board = spec.fixing, spec.board
    return base + board.thickness_mm + board.over_mm + fixing.washer_thickness_mm + fixing.nut_mm + BEYOND_NUT_MM


def screw_mm(spec: MountSpec, base: float) -> float | None:
    """The stock length to use: a bolt's shortest that takes its nut, else the longest that stays inside and does not
    split the base."""
    lengths = spec.fixing.lengths_mm
    if spec.fixing.kind == "bolt":
        return next((length for length in lengths if length >= _through_mm(spec, base)), None)
    least, most = base + grip_mm(spec), base + inside_mm(spec)
    useful = [length for length in lengths if least <= length <= most + 1e-9]
    return max(_fixings.gentle_mm(spec, useful, base, from_above=True, across=False), default=None)


def screws(spec: MountSpec, base: float, heads_xy: tuple[tuple[float, float], ...]) -> tuple[Screw, ...]:
    """The fixing screws, driven from above, of the stock length that suits the board.

    Args:
        spec: board and fixing.
        base: thickness of the plate under the heads, mm.
        heads_xy: where the heads are, mm, before the mirror.

    Raises:
        NoDesign: no stock screw grips the board without coming too near its underside, or no bolt is long enough.
    """
    length = screw_mm(spec, base)
    if length is None:
        raise (NoDesign if spec.fixing_stock else NoFixing)(_no_screw(spec, base))
    return _mounting.screws(spec, heads_xy, base, up=False, length_mm=length)


def base_plan(
    spec: MountSpec, base: float, base_x: Span, base_y: Span, heads_xy: tuple[tuple[float, float], ...]
) -> dict[str, object]:
    """The fields of the plan that follow from the base plate; errors as ``screws``.

    Args:
        spec: board and fixing.
        base: thickness of the plate, mm.
        base_x: its edges along the track, mm, before the mirror.
        base_y: its edges across it, mm.
        heads_xy: of the screws' heads, mm, before the mirror.
    """
    return {
        "screws": screws(spec, base, heads_xy),
        "base_x": base_x,
        "base_y": base_y,
        "base_mm": base,
        "lip_mm": shared.lip_mm(spec, base),
        "room_x": base_x,
        "room_y": base_y,
    }


def _no_screw(spec: MountSpec, base: float) -> str:
    """Which limit no screw keeps, and the change that does."""
    fixing, board = spec.fixing, f"the {spec.board.thickness_mm:g} mm board"
    cure = "leave --screw free" if not spec.fixing_stock else "leave base_mm free"
    longest = f"the longest is {fixing.lengths_mm[-1]:g} mm"
    if fixing.kind == "bolt":
        return f"no {fixing.name} goes through {board}: {longest}, {_through_mm(spec, base):.1f} mm are needed; {cure}"
    least, most = base + grip_mm(spec), base + inside_mm(spec)
    shortest = min((length for length in fixing.lengths_mm if length >= least), default=None)
    found = (
        f"{longest}, {least:.1f} mm are needed"
        if shortest is None
        else f"the shortest that grips is {shortest:g} mm, {shortest - most:.1f} mm too long"
    )
    return f"no {fixing.name} screw holds the frame on {board} and stays {POINT_MM:g} mm inside it: {found}; {cure}"
