"""What fixes a mount to its board: how well screws, bolts and glue hold, and which the tool takes by itself."""

from __future__ import annotations

import math
from collections.abc import Callable

from mounts.inputs.board import Board
from mounts.inputs.fixing import Fixing
from mounts.inputs.spec import MountSpec

# common practice, no source:
HOLD_RATIO = 2.0  # over the servo's stall; the allowable pulls have their own margin besides
STALL_SHARE = 0.85  # of the plastic's strength, itself the low end of what is published
PADS_MM = (6.5, 9.0, 12.0)  # plywood as sold
PAD_OVER_MM, PAD_UNDER_MM = 0.5, 0.7  # the worst of these sheets (EN 315, standards 4)
PAD_MARGIN_MM = 10.0  # pad round the plate; common practice, no source
FOAM_LEFT_MM = 5.0  # under a frame that is let into foam; common practice, no source
PLY_WITHDRAWAL_N_PER_MM2 = 2.43  # as in profiles/board: 19.65·G²·0.7 with G 0.42 from memory, 0.7 common practice
ACROSS_GRAIN_MPA = 2.9  # allowable bearing across the grain, spruce 425 psi; from memory
FOAM_BOND_MPA = 0.1  # what extruded foam bears across its faces at least, TR100 of EN 13164; from memory
WOOD_BOND_MPA = 1.0  # where plies part, glue holds more; from memory
STRIPS_OVER_HOLDS = 5.5  # a screw driven on: 15,700·G²·D lbf/in (Wood Handbook, from memory) over 2850 (standards, 7)
HEAD_EDGE_MM = 1.2  # plate left round a countersink; common practice, no source
HEAD_SPREADS = 2.0  # plate that helps to bear a head, in heights of its cone: farther in it does not


def with_fixing(spec: MountSpec, fixing: Fixing) -> MountSpec:
    """The request with another fixing."""
    return spec.model_copy(update={"fixing": fixing})


def with_pad(spec: MountSpec, pad_mm: float) -> MountSpec:
    """The request with a plywood pad glued under its board, as part of the board."""
    if not pad_mm:
        return spec
    board = spec.board
    padded = board.model_copy(update={
        "thickness_mm": board.thickness_mm + pad_mm,
        "over_mm": board.over_mm + PAD_OVER_MM,
        "under_mm": board.under_mm + PAD_UNDER_MM,
        "screw_depth_mm": board.screw_depth_mm + pad_mm,
        "withdrawal_n_per_mm2": board.withdrawal_n_per_mm2 or PLY_WITHDRAWAL_N_PER_MM2,
    })  # fmt: skip
    return spec.model_copy(update={"board": padded, "pad_mm": spec.pad_mm + pad_mm})


def stall_n(spec: MountSpec, arm_hole_mm: float | None = None) -> float:
    """What the servo pulls with when it stalls, at that arm hole or at the nearest it may get."""
    return spec.servo.stall_torque_nmm / (arm_hole_mm or spec.arm_hole_mm or min(spec.servo.horn_radii_mm))


def bears_mpa(spec: MountSpec, *, across: bool) -> float:
    """Stress that the plastic may see at the servo's stall, across its layers or along, MPa; infinite: not told."""
    strength = spec.filament.tensile_z_mpa if across else spec.filament.tensile_mpa
    return math.inf if strength is None else STALL_SHARE * strength


def hold_n(spec: MountSpec, deep_mm: float, *, from_above: bool) -> float:
    """Allowable pull on one fixing along its axis, N.

    Args:
        spec: board and fixing.
        deep_mm: how far the screw goes into the board.
        from_above: foam on top of the board then holds nothing.

    A wood screw: withdrawal × diameter × thread in what holds it. Domain: side grain, pilot drilled, thread and not
    point in the wood, pulled along itself; held by two shanks of grip at least, a point inside the board, and the
    separate look at the lever of a sideways load (check ``screw-hold``). An insert is counted as its screw would be,
    which it exceeds. A bolt: its washer on the board's face across the grain; its thread bears ten times as much.

    Source: standards, 7; bearing across the grain from memory.
    """
    board, fixing = spec.board, spec.fixing
    if from_above and spec.frame_mm:
        thread = max(0.0, min(deep_mm, spec.frame_mm - PAD_UNDER_MM))
        return thread * fixing.shank_mm * PLY_WITHDRAWAL_N_PER_MM2
    if fixing.kind == "bolt":
        return math.pi / 4 * (fixing.washer_mm**2 - fixing.clearance_mm**2) * ACROSS_GRAIN_MPA
    soft = _foam_mm(board) if from_above else 0.0
    thread = max(0.0, min(deep_mm - soft, board.screw_depth_mm))
    return thread * fixing.shank_mm * board.withdrawal_n_per_mm2


def head_mpa_per_n(fixing: Fixing, plate_mm: float) -> float:
    """Stress round a countersunk head that is pulled into its plate with 1 N.

    It presses all round on its cone, without friction, with F/(π·(R² − r²)). That opens a ring of plate, which ends
    ``HEAD_EDGE_MM`` beyond the head and begins at the cone's middle, as Lamé has it, spread over the plate's thickness
    or twice the cone's height. Domain: that much plate round each head (check ``screw-rim``), and a plate thicker than
    the cone is high; finite elements of the plate show 0.85 to 1.2 times that where one free edge is so near, and 0.6
    in a wide plate.

    Args:
        fixing: the screw.
        plate_mm: of plate at its head.

    Source: thick-walled cylinder under inner pressure, any handbook.
    """
    head, hole = fixing.head_mm / 2, fixing.clearance_mm / 2
    high = (head - hole) / math.tan(math.radians(fixing.head_angle_deg / 2))
    inside, outside = (head + hole) / 2, head + HEAD_EDGE_MM
    ring = (outside**2 + inside**2) / (outside**2 - inside**2)
    return ring * high / min(max(plate_mm, high), HEAD_SPREADS * high) / (math.pi * (head**2 - hole**2))


def gentle_mm(
    spec: MountSpec, lengths_mm: list[float], plate_mm: float, *, from_above: bool, across: bool
) -> list[float]:
    """Those of some screws whose thread strips in the board before their heads, driven on, split the plate.

    Args:
        spec: board and fixing.
        lengths_mm: of the screws that fit, rising.
        plate_mm: under their heads.
        from_above: as for ``hold_n``.
        across: the plate's layers stand square to it.

    Returns:
        The shortest, where none is.
    """
    bears = bears_mpa(spec, across=across) / head_mpa_per_n(spec.fixing, plate_mm)
    return [
        length
        for length in lengths_mm
        if STRIPS_OVER_HOLDS * hold_n(spec, length - plate_mm, from_above=from_above) <= bears
    ] or lengths_mm[:1]


def foam_on_top(board: Board) -> bool:
    """Whether a mount that stands on the board stands on foam."""
    return _foam_mm(board) > 0


def _foam_mm(board: Board) -> float:
    return board.thickness_mm - board.screw_depth_mm


def bond_mpa(spec: MountSpec, *, from_above: bool) -> float:
    """What a glued joint to the board, or of the pad under it, may bear, N/mm²."""
    raw_mm = spec.board.screw_depth_mm - spec.pad_mm  # of the board itself, from below
    foam = foam_on_top(spec.board) if from_above else raw_mm <= 1e-9
    return FOAM_BOND_MPA if foam else WOOD_BOND_MPA


def bond_ratio(
    spec: MountSpec, area_mm2: float, across_mm: float, pull_n: float, moment_nmm: float, *, from_above: bool
) -> float:
    """What a glued face bears over a pull square to it, or over a moment that tips it, 6·M/(A·b).

    Domain: a stiff plate on a thin, full glue line; that is why the pad is plywood.

    Args:
        spec: the board it is glued to.
        area_mm2: of the face.
        across_mm: its width b, square to the axis that it tips about.
        pull_n: square to the face.
        moment_nmm: that tips it.
        from_above: whether it lies on top of the board.

    Source: stress of a rectangle in bending, any handbook.
    """
    stress = max(pull_n / area_mm2, 6 * moment_nmm / (area_mm2 * across_mm))
    return bond_mpa(spec, from_above=from_above) / stress


def from_below(
    spec: MountSpec, deep_mm: Callable[[MountSpec], float | None], count: Callable[[MountSpec], int]
) -> MountSpec:
    """The first screw that holds a mount under the board; where none does, one in a pad glued under it.

    Nuts and heads can't come up under the track, so nothing goes through.

    Args:
        spec: the request; its fixing stays where it was asked for.
        deep_mm: how far the longest screw that is safe goes into the board; None where there is none.
        count: how many screws the mount has.
    """
    stock = [fixing for fixing in spec.fixing_stock or (spec.fixing,) if fixing.kind != "bolt"]
    for pad_mm in (0.0, *PADS_MM):
        padded = with_pad(spec, pad_mm)
        if not padded.board.screw_depth_mm:
            continue
        for fixing in stock:
            tried = with_fixing(padded, fixing)
            deep = deep_mm(tried)
            if deep is None:
                continue
            enough = count(tried) * hold_n(tried, deep, from_above=False) >= HOLD_RATIO * stall_n(tried)
            if enough or not spec.fixing_stock:
                return tried
    return spec


def from_above_alone(spec: MountSpec, deep_mm: Callable[[MountSpec], float | None], count: int) -> MountSpec:
    """The first screw that holds a mount which nobody can reach from below, and which comes off again.

    Where none does by itself: of foam, one in a plywood frame that is let into its top; of a board too thin for screws,
    one in strips glued under it.

    Args:
        spec: the request; its fixing stays where it was asked for.
        deep_mm: how far the longest screw that is safe goes into board, frame or strip; None where there is none.
        count: how many screws the mount has.
    """
    stock = [fixing for fixing in spec.fixing_stock or (spec.fixing,) if fixing.kind != "bolt"]
    framed = [
        spec.model_copy(update={"frame_mm": frame_mm})
        for frame_mm in PADS_MM
        if frame_mm + PAD_OVER_MM + FOAM_LEFT_MM <= _foam_mm(spec.board) - spec.board.under_mm
    ]
    for backed in (spec, *framed, *(with_pad(spec, pad_mm) for pad_mm in PADS_MM)):
        for fixing in stock:
            tried = with_fixing(backed, fixing)
            deep = deep_mm(tried)
            if deep is None:
                continue
            enough = count * hold_n(tried, deep, from_above=True) >= HOLD_RATIO * stall_n(tried)
            if enough or (not spec.fixing_stock and hold_n(tried, deep, from_above=True)):
                return tried
    return spec


def from_above(spec: MountSpec, deep_mm: Callable[[MountSpec], float | None], count: int) -> MountSpec:
    """The first screw or bolt that holds a mount on the board; where foam is too thick for them, glue.

    Args:
        spec: the request; its fixing stays where it was asked for, unless the board holds no screw at all.
        deep_mm: as for ``from_below``; for a bolt any depth but None where one is long enough.
        count: how many screws the mount has.
    """
    if spec.bonded:
        return spec
    if not spec.board.screw_depth_mm:
        return spec.model_copy(update={"bonded": True})
    for fixing in spec.fixing_stock:
        tried = with_fixing(spec, fixing)
        deep = deep_mm(tried)
        if deep is not None and count * hold_n(tried, deep, from_above=True) >= HOLD_RATIO * stall_n(tried):
            return tried
    free = spec.fixing_stock and foam_on_top(spec.board)
    return spec.model_copy(update={"bonded": True}) if free else spec
