"""The report of one mount, ``report/1``: what outside checks, layouts and ``adapt`` read."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from pydantic import ConfigDict, Field

from mounts.checks.model import Check, Verdict
from mounts.checks.neighbours import Outline, outlines
from mounts.design import Datums, Design
from mounts.drive.model import Drive, PointsDrive
from mounts.drive.spread import AnySpread
from mounts.drive.trim import Trim, trim
from mounts.frames import Matrix, Vector
from mounts.inputs.model import Model
from mounts.inputs.moved import Position
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.mesh import PartMesh, Role
from mounts.report.adapt import Adapted
from mounts.report.cautions import cautions
from mounts.report.hardware import HardwareItem, hardware
from mounts.report.housing import Housing, housing
from mounts.report.pins import PinCost
from mounts.report.printing import plate_minutes, printed, settings
from mounts.report.steps import steps
from mounts.scene_wire import wire_cut_mm
from mounts.stored import seal

_PLACES = 6  # decimals: a nanometre, a microradian; finer digits are noise of the arithmetic


class MountNames(Model):
    """Which mount this is, and the profiles it was made from by name."""

    id: str
    style: str
    mirror: bool
    servo: str
    scale: str
    printer: str
    board: str
    roadbed: str
    filament: str
    wire: str
    fixing: str


class ResolvedInputs(Model):
    """What was asked, resolved; a pinned choice is null where the solver was free."""

    board_mm: float = Field(description="a pad glued under it for the screws included")
    pad_mm: float = Field(0.0, description="thickness of that pad")
    frame_mm: float = Field(0.0, description="thickness of a plywood frame let into foam for the screws from above")
    bonded: bool = Field(False, description="the mount is glued to the board")
    roadbed_mm: float
    pin_height_mm: float
    ground_mm: float = Field(0.0, description="ground that a housing stands on, above the board")
    throw_mm: float
    force_n: tuple[float, float] = Field(description="at the blades, a spring of the turnout's own that stays included")
    laid: bool = Field(False, description="the track is laid already")
    tie_bar_hole_mm: float | None = Field(None, description="hole in the tie bar; null in reports before it was told")
    own_spring_n: float | None = Field(None, description="the turnout's own spring; 0: none; null: taken out")
    travel_mm: float | None = Field(None, description="lift of a sliding wire")
    moves: str | None = Field(None, description="profile of what a lift moves")
    crank_mm: float | None = Field(None, description="as measured; null with moves: a drive has what the scale asks")
    crank_pivot_mm: tuple[float | None, float] | None = Field(None, description="across the track, above the board")
    positions: tuple[Position, ...] = Field((), description="of a lift, as asked: degrees of its crank, or mm of lift")
    max_depth_mm: float
    wire_held: str
    wire_mm: float | None
    arm_hole_mm: float | None
    depth_mm: float | None
    swing_deg: float | None
    overtravel_mm: float | None
    track_distance_mm: float | None
    track_radius_mm: float | None
    other_tracks_mm: tuple[float, ...]
    options: dict[str, Any] = Field(description="the style's own parameters, defaults included")


class PrintedPart(Model):
    """One body to print. ``file`` is null where a failed check kept it from being written."""

    name: str = Field(description="empty: the main part")
    file: str | None
    print_to_mount: Matrix
    volume_mm3: float
    mass_g: float = Field(description="filament laid, with the report's print_settings")
    print_minutes: float | None = Field(
        None, description="printed alone, without heating up; null where the mesh can't be sliced"
    )
    cooling_minutes: float = Field(0.0, description="what of it is waiting for layers too small to cool in time")
    brim_mm: float = Field(0.0, description="brim to print it with, which mass and time leave out; 0: none is needed")
    size_mm: Vector = Field(description="in the printed pose")
    role: Role = Field("frame", description="frame: it carries the servo; scenery: what is seen, in another colour")


class Report(Model):
    """One mount: what was asked, chosen, checked and written. Lengths mm, mount frame."""

    model_config = ConfigDict(validate_by_name=True, validate_by_alias=True)

    schema_: Literal["report/1"] = Field(alias="schema")
    mount: MountNames
    verdict: Verdict = Field(description="the worst of the checks")
    inputs: ResolvedInputs
    servo: Servo = Field(description="the profile as used, with the sources of its figures")
    drive: Drive
    spread: AnySpread = Field(description="how sure travel and force, or positions, are under the tolerances")
    trim: Trim | None = Field(description="how the end pulses are trimmed on the layout; null: no points are thrown")
    wire_cut_mm: float = Field(description="straight length to cut, bends and a spare end included")
    datums: Datums
    costs_of_pins: tuple[PinCost, ...] = Field((), description="figures that a pinned choice makes much worse")
    housing: Housing | None = Field(None, description="of a mount on the board; null for a bracket")
    parts: tuple[PrintedPart, ...]
    print_settings: str = Field(description="what grams and minutes of the parts hold for")
    footprint: tuple[Outline, ...] = Field(description="each part and the servo seen from above, for neighbours")
    hardware: tuple[HardwareItem, ...]
    steps: tuple[str, ...] = Field(description="in the order to do them")
    cautions: tuple[str, ...]
    checks: tuple[Check, ...]
    adapted: Adapted | None = Field(None, description="from which mount, what stays and what changes")
    paper: Literal["a4", "letter"] | None = Field(None, description="pages of <id>.pdf; null: there is none")
    files: dict[str, str] = Field(description="every file beside the report: path from its folder → SHA-256")
    made_from: str = Field(description="SHA-256 over the request, the profiles and this program")
    seal: str = Field("", description="SHA-256 of this file with the seal left empty")


def of(
    design: Design,
    options: Model,
    spread: AnySpread,
    meshes: Sequence[PartMesh],
    checks: Sequence[Check],
    part_files: Mapping[str, str],
    files: Mapping[str, bytes],
    made_from: str,
) -> Report:
    """The report of a design, its parts and its checks.

    Args:
        design: the mount as numbers.
        options: the style's options as validated, defaults included.
        spread: its tolerance study.
        meshes: a mesh a part, print frame, with the exact volume and size of its solid.
        checks: every check made, in the order made.
        part_files: part name → file it is written to; a part that is not written is absent.
        files: every file of the mount but the report, path → content.
        made_from: the content key (``mounts.cache.key``).
    """
    spec = design.spec
    return Report(
        schema_="report/1",
        mount=names_of(spec),
        verdict=worst(checks),
        inputs=resolved_inputs(spec, options),
        servo=spec.servo,
        drive=design.drive,
        spread=spread,
        trim=trim(spec, design.drive) if isinstance(design.drive, PointsDrive) else None,
        wire_cut_mm=wire_cut_mm(design),
        datums=design.datums,
        housing=housing(design, meshes),
        parts=tuple(
            PrintedPart(
                name=mesh.name,
                file=part_files.get(mesh.name),
                print_to_mount=mesh.print_to_mount,
                volume_mm3=mesh.solid_volume_mm3,
                mass_g=effort.mass_g,
                print_minutes=effort.minutes,
                cooling_minutes=effort.cooling_minutes,
                brim_mm=effort.brim_mm,
                size_mm=mesh.size_mm,
                role=mesh.role,
            )
            for mesh in meshes
            for effort in (printed(mesh, spec.printer, spec.filament),)
        ),
        print_settings=settings(spec.printer),
        footprint=outlines(design, meshes),
        hardware=hardware(design),
        steps=steps(design),
        cautions=cautions(spec),
        checks=tuple(checks),
        files=digests(files),
        made_from=made_from,
    )


def with_files(report: Report, files: Mapping[str, bytes]) -> Report:
    """The report with other files beside it."""
    return report.model_copy(update={"files": digests(files)})


def digests(files: Mapping[str, bytes]) -> dict[str, str]:
    """SHA-256 of each by name, in their order."""
    return {name: hashlib.sha256(files[name]).hexdigest() for name in sorted(files)}


def names_of(spec: MountSpec) -> MountNames:
    """Which mount a request is for, and the profiles it names."""
    return MountNames(
        id=spec.id,
        style=spec.style,
        mirror=spec.mirror,
        servo=spec.servo.name,
        scale=spec.scale.name,
        printer=spec.printer.name,
        board=spec.board.name,
        roadbed=spec.roadbed.name,
        filament=spec.filament.name,
        wire=spec.wire.name,
        fixing=spec.fixing.name,
    )


def resolved_inputs(spec: MountSpec, options: Model) -> ResolvedInputs:
    """What was asked, with the style's options as validated."""
    return ResolvedInputs(
        board_mm=spec.board.thickness_mm,
        pad_mm=spec.pad_mm,
        frame_mm=spec.frame_mm,
        bonded=spec.bonded,
        roadbed_mm=spec.roadbed.thickness_mm,
        pin_height_mm=spec.pin_height_mm,
        ground_mm=spec.ground_mm,
        throw_mm=spec.throw_mm,
        force_n=spec.force_n,
        laid=spec.laid,
        tie_bar_hole_mm=spec.tie_bar_hole_mm,
        own_spring_n=spec.own_spring_n,
        travel_mm=spec.travel_mm,
        moves=spec.moved.name if spec.moved else None,
        crank_mm=None if spec.crank_of_scale else spec.crank_mm,
        crank_pivot_mm=None if spec.crank_of_scale else spec.crank_pivot_mm,
        positions=spec.positions,
        max_depth_mm=spec.max_depth_mm,
        wire_held=spec.wire_held,
        wire_mm=spec.wire_mm,
        arm_hole_mm=spec.arm_hole_mm,
        depth_mm=spec.depth_mm,
        swing_deg=spec.swing_deg,
        overtravel_mm=spec.overtravel_mm,
        track_distance_mm=spec.track_distance_mm,
        track_radius_mm=spec.track_radius_mm,
        other_tracks_mm=spec.other_tracks_mm,
        options=options.model_dump(mode="json"),
    )


def together_minutes(parts: Sequence[PrintedPart]) -> float | None:
    """Minutes to print the parts of a mount on one plate; None where one can't be sliced."""
    known = [(part.print_minutes, part.cooling_minutes) for part in parts]
    times = [(minutes, cooling) for minutes, cooling in known if minutes is not None]
    return plate_minutes(times) if len(times) == len(known) else None


def worst(checks: Sequence[Check]) -> Verdict:
    """The worst verdict among the checks."""
    found = {check.verdict for check in checks}
    return "fail" if "fail" in found else "warn" if "warn" in found else "pass"


def to_json(report: Model) -> bytes:
    """The same bytes for the same report: keys in the order of the model, floats to 6 decimals; sealed."""
    plain = _rounded(report.model_dump(mode="json", by_alias=True))
    if "seal" in plain:
        plain["seal"] = ""
    return seal((json.dumps(plain, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode())


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, _PLACES) + 0.0  # + 0.0: no "-0.0"
    if isinstance(value, list):
        return [_rounded(item) for item in value]
    if isinstance(value, dict):
        return {key: _rounded(item) for key, item in value.items()}
    return value
