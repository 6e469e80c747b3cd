"""One mount, the whole way: the only module that knows the order. Nothing is written to disk here."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args, get_origin

from mounts import cache
from mounts.book.book import render_chapter
from mounts.book.mount import chapter_of
from mounts.book.sheets import PaperName
from mounts.checks.assembly import check_assembly
from mounts.checks.clearance import check_clearance
from mounts.checks.duty import duty_of
from mounts.checks.let_down import check_let_down
from mounts.checks.mechanics import check_mechanics
from mounts.checks.model import Check
from mounts.checks.partner import check_partner
from mounts.checks.print_mesh import check_print
from mounts.checks.shell import check_shell
from mounts.checks.siting import check_rod_siting, check_siting, check_wire_end
from mounts.checks.travel import check_travel
from mounts.design import Design
from mounts.drive.adapt import adapt
from mounts.drive.kinds import kinds
from mounts.drive.model import Drive, Limits
from mounts.drive.solve import solve
from mounts.drive.spread import AnySpread, spread_of
from mounts.drive.ways_out import tried_changes
from mounts.errors import BuildError, InputError, NoDesign, NoFixing
from mounts.export.dxf import render_dxf
from mounts.export.template import render_template, template
from mounts.export.wire_drawing import render_wire
from mounts.inputs.model import Model
from mounts.inputs.spec import MountSpec
from mounts.mesh import PartMesh
from mounts.report.adapt import Adapted, compare
from mounts.report.model import Report, of, to_json, with_files, worst
from mounts.report.pins import PinCost, costs_of_pins
from mounts.report.sheet import render_sheet
from mounts.styles import Style, settled, style_of, style_options

if TYPE_CHECKING:
    from mounts.solid.part import Part

Progress = Callable[[str], None]
"""Told what begins: 'designing', 'modelling', 'checking', 'writing'."""


@dataclass(frozen=True)
class Designed:
    """A mount as numbers, with what led to them.

    Attributes:
        style: the style it is built by.
        options: the style's options as validated, defaults included.
        limits: what the style left to the drive.
        design: what was chosen and where it stands.
        spread: its tolerance study.
    """

    style: Style
    options: Model
    limits: Limits
    design: Design
    spread: AnySpread


@dataclass(frozen=True)
class Made:
    """A finished mount: its report, and every file by its path from the mount's folder."""

    report: Report
    files: dict[str, bytes]


def design_mount(spec: MountSpec, drive: Drive | None = None) -> Designed:
    """Options, limits, drive and datums: numbers only, no kernel.

    Args:
        spec: what was asked, resolved.
        drive: chosen already, to match other mounts; solved for here where it is None.

    Raises:
        InputError: an option the style does not have, or a value it does not take.
        NoDesign: no drive or place satisfies the request; names changes that were tried and do.
    """
    try:
        return _designed(spec, drive)
    except NoDesign as fault:
        if drive is not None or isinstance(fault, NoFixing):
            raise
        style = style_of(spec.style)
        choices = {
            name: get_args(field.annotation) if get_origin(field.annotation) is Literal else field.examples or ()
            for name, field in style.options.model_fields.items()
            if get_origin(field.annotation) is Literal or name in spec.options
        }  # fmt: skip
        kind = kinds()[style.drive]
        below, others = "max_depth_mm" in kind.limits.model_fields, kind.other_asked
        ways = tried_changes(spec, _works, choices, below=below, others=others(spec) if others else None)
        if not ways:
            raise
        raise NoDesign(f"{fault.why}; tried and works: {', or '.join(ways)}", why=fault.why, ways=(*ways,)) from fault


def _works(spec: MountSpec) -> bool:
    """Whether there is a mount for a request, as far as numbers tell."""
    try:
        found = _designed(spec, None)
    except (NoDesign, InputError):
        return False
    return worst(tuple(check_mechanics(found.design, found.spread, found.limits))) != "fail"


def _designed(spec: MountSpec, drive: Drive | None) -> Designed:
    """The first that has a drive of what the style would choose."""
    style, options = style_of(spec.style), style_options(spec)
    tried: list[tuple[MountSpec, Limits]] = []
    refusals: list[NoDesign] = []
    for choice in (options, *(style.others(options) if drive is None else ())):
        try:
            allowed = _allowed(spec, style, choice)
            if allowed not in tried:
                tried.append(allowed)
                return _placed(*allowed, style, choice, drive)
        except NoDesign as fault:
            refusals.append(fault)
    raise refusals[0]


def _redesigned(spec: MountSpec) -> Design | None:
    """The design of a request; None where there is none."""
    with suppress(NoDesign):
        return _designed(spec, None).design
    return None


def _allowed(spec: MountSpec, style: Style, options: Model) -> tuple[MountSpec, Limits]:
    """The request with what is settled before the drive is, and what the style leaves to it."""
    with _named(spec):
        spec = settled(spec, options)
        return spec, style.limits(spec, options)


def _placed(spec: MountSpec, limits: Limits, style: Style, options: Model, drive: Drive | None) -> Designed:
    drive = drive or solve(spec, limits)
    with _named(spec):
        datums, plan = style.place(spec, drive, options)
    design = Design(spec=spec, drive=drive, datums=datums, plan=plan)
    return Designed(style, options, limits, design, spread_of(spec, limits, drive))


def make_mount(
    spec: MountSpec,
    drive: Drive | None = None,
    *,
    adapted: Adapted | None = None,
    keep_failed: bool = False,
    picture: bool = False,
    paper: PaperName | None = None,
    progress: Progress = lambda stage: None,
) -> Made:
    """One mount as bytes: report, design and, where every check passed, the parts.

    Args:
        spec: what was asked, resolved.
        drive: as for ``design_mount``.
        adapted: how it compares with the mount it was adapted from, for its report.
        keep_failed: put the parts of a mount that failed a check under ``failed/``.
        picture: draw the mount in its place, ``<id>.png``, and taken apart, ``<id>-apart.png``.
        paper: size of the pages of the mount's chapter, ``<id>.pdf``; None: none is written.
        progress: told what begins.

    Raises:
        InputError: an option of the style is wrong.
        NoDesign: no drive or place satisfies the request; there is nothing to report.
        BuildError: the kernel could not do a step.
    """
    progress("designing")
    designed = design_mount(spec, drive)
    progress("modelling")
    parts, exported = model_mount(designed)
    meshes = tuple(mesh for mesh, _ in exported)
    progress("checking")
    checks = tuple(check_mount(designed, meshes))
    progress("writing")
    files = {"design.json": to_json(designed.design)}
    part_files: dict[str, str] = {}
    if worst(checks) != "fail" or keep_failed:
        folder = f"{cache.FAILED}/" if worst(checks) == "fail" else ""
        part_files = {mesh.name: f"{folder}{_stem(spec.id, mesh.name)}.stl" for mesh in meshes}
        files |= {part_files[mesh.name]: stl for mesh, stl in exported}
        with _named(spec):
            files[f"{folder}{spec.id}.step"] = _step(parts, spec.id)
        drilled = template(designed.design, meshes)
        files[f"{folder}{spec.id}-template.svg"] = render_template(drilled, designed.design)
        files[f"{folder}{spec.id}-template.dxf"] = render_dxf(drilled)
        files[f"{folder}{spec.id}-wire.svg"] = render_wire(designed.design)
        files[f"{folder}{spec.id}-steps.txt"] = render_sheet(designed.design)
    if picture:
        progress("drawing")
        from mounts.export.view import render_views

        views = render_views(designed.design, meshes)
        files |= {f"{spec.id}.png": views.in_place, f"{spec.id}-apart.png": views.apart}
    report = of(
        designed.design, designed.options, designed.spread, meshes, checks, part_files, files, cache.key(spec, drive)
    )
    costs = () if drive is not None else pin_costs(designed.design)
    report = report.model_copy(update={"adapted": adapted, "costs_of_pins": costs})
    if paper is not None and report.verdict != "fail":
        files[f"{spec.id}.pdf"] = render_chapter(chapter_of(files, report), paper)
        report = with_files(report, files).model_copy(update={"paper": paper})
    return Made(report, {**files, "report.json": to_json(report)})


def pin_costs(design: Design) -> tuple[PinCost, ...]:
    """What each choice costs that the request pins; of a design that no other drive was kept for."""
    return costs_of_pins(design, _redesigned)


def model_mount(designed: Designed) -> tuple[tuple[Part, ...], list[tuple[PartMesh, bytes]]]:
    """The solids of a mount, and of each the mesh and the STL that it was read back from.

    Raises:
        BuildError: the kernel could not do a step.
    """
    from mounts.solid.tessellate import export_mesh

    spec = designed.design.spec
    with _named(spec):
        parts = designed.style.build(designed.design, designed.options)
        return parts, [export_mesh(part, spec.printer) for part in parts]


def in_its_pose(spec: MountSpec, before: Design) -> MountSpec:
    """The request with the pose that an existing housing has, where it asks for none: its drive suits no other."""
    posed = "pose" in style_of(before.spec.style).options.model_fields
    if not posed or spec.options.get("pose", "auto") != "auto":
        return spec
    pose = "side" if before.datums.horn_at_mid[2] < -0.5 else "hang"
    return spec.model_copy(update={"options": {**spec.options, "pose": pose}})


def adapt_mount(before: Design, spec: MountSpec) -> tuple[Drive, Adapted]:
    """The drive of a mount that keeps what another has, and how the two mounts compare; numbers only.

    Args:
        before: the mount that exists.
        spec: the new request, of the same style.

    Raises:
        NoDesign: nothing can be kept, or the new mount can't be placed.
    """
    style, options = style_of(spec.style), style_options(spec)
    with _named(spec):
        spec = settled(spec, options)
        limits = style.limits(spec, options)
    found = adapt(spec, before.drive, before.spec.servo, limits)
    text = f"Adapted from {before.spec.id}, keeping {', '.join(found.kept)}. {found.drive.explanation}"
    drive = found.drive.model_copy(update={"explanation": text})
    return drive, compare(before, design_mount(spec, drive).design, kept=found.kept, lost=found.lost)


def check_mount(designed: Designed, meshes: tuple[PartMesh, ...]) -> Iterator[Check]:
    """Every check there is: mechanics, each part's print, clearance, assembly."""
    design = designed.design
    yield from check_mechanics(design, designed.spread, designed.limits)
    for mesh in meshes:
        yield from check_print(mesh, design.spec.printer, design.spec.filament, duty_of(design, mesh))
    yield from check_travel(design)
    yield from check_clearance(design, meshes)
    yield from check_assembly(design, meshes)
    yield from check_let_down(design, meshes)
    yield from check_partner(design, meshes)
    yield from check_wire_end(design)
    yield from check_siting(design, meshes)
    yield from check_rod_siting(design)
    yield from check_shell(design, meshes)


@contextmanager
def _named(spec: MountSpec) -> Iterator[None]:
    """Puts the mount's id in front of what a style or the kernel says of it."""
    try:
        yield
    except NoDesign as fault:
        raise type(fault)(f"{spec.id}: {fault}", why=f"{spec.id}: {fault.why}") from fault
    except BuildError as fault:
        raise BuildError(f"{spec.id}: {fault}") from fault


def _stem(mount_id: str, part: str) -> str:
    return f"{mount_id}-{part}" if part else mount_id


def _step(parts: Sequence[Part], mount_id: str) -> bytes:
    from mounts.export.step import render_step

    return render_step(parts, mount_id)
