"""One batch: families matched, what is missing built, places checked, plates packed, everything written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Protocol

from mounts import cache
from mounts.batch import before, crew, sites
from mounts.batch.bedloads import Bedload, bedloads
from mounts.batch.papers import papers
from mounts.batch.trying import tried_first
from mounts.batch.unchanged import Wanted, sha256_of
from mounts.batch.work import FamilyTask, MountTask, Unmade, build_mount, match_family
from mounts.checks.model import Check
from mounts.checks.neighbours import Standing, check_sites
from mounts.drive.model import Drive
from mounts.export.commit import publish, sweep
from mounts.inputs.printer import Printer
from mounts.inputs.read_layout import Layout, LayoutMount
from mounts.report.brief import check_line, warning
from mounts.report.layout import (
    GOOD,
    Bought,
    LayoutReport,
    LayoutSummary,
    MountRow,
    Outcome,
    PartFile,
    TryFirst,
)
from mounts.report.model import Report, digests, to_json, together_minutes, worst
from mounts.report.printing import settings

Result = dict[str, bytes] | tuple[Drive, ...] | Unmade
"""Of a task: a mount's files, a family's drives, or why there are none."""
Task = crew.Task[Result]

_FAMILY = 'family "{}"'  # what its matching is told as: no mount's id, which has no such marks


class Teller(Protocol):
    """Told how a batch goes on."""

    def expect(self, count: int) -> None:
        """So many things are to be made, more than told before."""

    def begun(self, what: str) -> None:
        """Something is being made: ``east-1``, or ``family "yard"``."""

    def ended(self, what: str, *, good: bool) -> None:
        """It is made, or it failed."""


@dataclass(frozen=True)
class Order:
    """What a batch is asked for.

    Attributes:
        layout: what to make.
        folder: of its output.
        made_from: key of everything (``unchanged.layout_key``).
        profiles: files that the layout names by path → SHA-256.
        wanted: what is written besides.
        hire: gives the executors.
        workers: how many mounts are built at once.
    """

    layout: Layout
    folder: Path
    made_from: str
    profiles: Mapping[str, str]
    wanted: Wanted
    hire: crew.Hire
    workers: int


def run(order: Order, teller: Teller) -> tuple[LayoutReport, tuple[str, ...]]:
    """Makes what is missing and writes everything; mounts that fail leave the others alone.

    Returns:
        The report, and a line for each family whose members were made with other settings the run before:
        which, and what is other. The lines depend on what was there, so the report can't hold them.

    Raises:
        InputError: the folder can't be written to; what was there before is intact.
        ImportError: a library is missing.
    """
    return _Batch(order, teller).run()


class _Batch:
    """State of one run: what is known of each mount so far, by its id."""

    def __init__(self, order: Order, teller: Teller) -> None:
        self.order = order
        self.teller = teller
        self.mounts = {mount.spec.id: mount for mount in order.layout.mounts}
        self.drives: dict[str, Drive] = {}
        self.unmade: dict[str, Unmade] = {}
        self.reports: dict[str, Report] = {}
        self.were: dict[str, Mapping[str, tuple[str, str]]] = {}
        """Settings that members of families were made with, of those made again."""

    def run(self) -> tuple[LayoutReport, tuple[str, ...]]:
        families = self.order.layout.families
        self._do({_FAMILY.format(name): self._match(name) for name in families} | self._missing(self._members(None)))
        checks = self._check_sites()
        rows = [self._row(mount, checks.get(mount_id, ())) for mount_id, mount in self.mounts.items()]
        return self._publish(rows), self._retuned()

    def _retuned(self) -> tuple[str, ...]:
        """What families share that is other than it was: an installed mount does not follow by itself."""
        members: dict[tuple[str, str], list[str]] = {}
        for mount_id, mount in self.mounts.items():
            family, was, report = mount.family, self.were.get(mount_id), self.reports.get(mount_id)
            if family is None or was is None or report is None:
                continue
            now = before.settings(report.drive.model_dump())
            if change := before.changed(was, now, self.order.layout.families[family]):
                members.setdefault((family, change), []).append(mount_id)
        return tuple(
            f"family {family}: {change} in {', '.join(ids)}; those already installed need the new values"
            for (family, change), ids in members.items()
        )

    def _members(self, family: str | None) -> tuple[str, ...]:
        """Ids of a family's mounts, in the layout's order; None: of those without one."""
        return tuple(mount_id for mount_id, mount in self.mounts.items() if mount.family == family)

    def _match(self, family: str) -> Task:
        specs = tuple(self.mounts[mount_id].spec for mount_id in self._members(family))
        return partial(match_family, FamilyTask(specs, self.order.layout.families[family]))

    def _build(self, mount_id: str) -> Task:
        spec, drive, wanted = self.mounts[mount_id].spec, self.drives.get(mount_id), self.order.wanted
        return partial(build_mount, MountTask(spec, drive, wanted.keep_failed, wanted.picture))

    def _missing(self, mount_ids: Iterable[str]) -> dict[str, Task]:
        """What is to be built of mounts whose drives are known, where it is not there already."""
        tasks = {}
        for mount_id in mount_ids:
            found = cache.find(
                self._folder(mount_id),
                self._key(mount_id),
                keep_failed=self.order.wanted.keep_failed,
                picture=self.order.wanted.picture,
            )
            if found:
                self.reports[mount_id] = found
                sweep(self._folder(mount_id))
                continue
            if self.mounts[mount_id].family:
                self.were[mount_id] = before.settings_before(self._folder(mount_id))
            tasks[mount_id] = self._build(mount_id)
        return tasks

    def _do(self, tasks: Mapping[str, Task]) -> None:
        """Matches families, and builds and publishes; each mount is on the disk before the next result is looked at."""
        family_of = {_FAMILY.format(name): name for name in self.order.layout.families}

        def ended(what: str, result: Result | str) -> Mapping[str, Task]:
            if what in self.mounts:
                self._built(what, result)
                return {}
            self.teller.ended(what, good=isinstance(result, tuple))
            more = self._missing(self._matched(family_of[what], result))
            self.teller.expect(len(more))
            return more

        if tasks:
            self.teller.expect(len(tasks))
            crew.run_all(tasks, self.order.hire, workers=self.order.workers, begun=self.teller.begun, ended=ended)

    def _matched(self, family: str, result: Result | str) -> tuple[str, ...]:
        """Notes the drives of a family, or why it has none; those of its members that have one."""
        members = self._members(family)
        if isinstance(result, tuple):
            self.drives |= dict(zip(members, result, strict=True))
            return members
        why = result if isinstance(result, Unmade) else Unmade("not built", str(result))
        self.unmade |= {mount_id: Unmade(why.verdict, f"family {family}: {why.reason}") for mount_id in members}
        return ()

    def _built(self, mount_id: str, result: Result | str) -> None:
        if isinstance(result, dict):
            report = Report.model_validate_json(result["report.json"])
            if report.made_from == self._key(mount_id):
                publish(self._folder(mount_id), result)
                self.reports[mount_id] = report
                self.teller.ended(mount_id, good=report.verdict in GOOD)
                return
            result = "its worker runs another version of turnout-mounts"
        self.unmade[mount_id] = result if isinstance(result, Unmade) else Unmade("not built", f"{mount_id}: {result}")
        self.teller.ended(mount_id, good=False)

    def _check_sites(self) -> dict[str, tuple[Check, ...]]:
        """Checks of each mount's place; mounts that fail theirs are withheld, others no longer."""
        standing = [
            Standing(mount_id, mount.site, report.footprint, report.inputs.board_mm - report.inputs.pad_mm)
            for mount_id, mount in self.mounts.items()
            if mount.site and (report := self.reports.get(mount_id))
        ]
        found = check_sites(standing, self.order.layout.boards)
        again = []
        for mount_id, report in self.reports.items():
            faults = sites.site_faults(found.get(mount_id, ()))
            if sites.site_faults(report.checks) == faults:
                continue
            folder = self._folder(mount_id)
            files = sites.resited(report, faults, self._files(mount_id), keep_failed=self.order.wanted.keep_failed)
            if files is None:
                again.append(mount_id)
                continue
            publish(folder, files)
            self.reports[mount_id] = Report.model_validate_json(files["report.json"])
        self._do({mount_id: self._build(mount_id) for mount_id in again})
        return found

    def _row(self, mount: LayoutMount, site_checks: tuple[Check, ...]) -> MountRow:
        spec, site = mount.spec, mount.site
        unmade, report = self.unmade.get(spec.id), self.reports.get(spec.id)
        verdict: Outcome = unmade.verdict if unmade else "not built"
        if report:
            verdict = worst([*report.checks, *site_checks])
        asked = {
            "id": spec.id, "verdict": verdict, "reasons": _reasons(report, unmade),
            "style": spec.style, "mirror": spec.mirror, "servo": spec.servo.name, "scale": spec.scale.name,
            "printer": spec.printer.name, "filament": spec.filament.name, "board": mount.board or spec.board.name,
            "board_mm": spec.board.thickness_mm, "copies": mount.copies, "family": mount.family,
            "channels": mount.channels, "together": mount.together,
            "x_mm": site and site.x_mm, "y_mm": site and site.y_mm, "heading_deg": site and site.heading_deg,
            "site_checks": site_checks, "made_from": self._key(spec.id),
        }  # fmt: skip
        if report is None:
            return MountRow.model_validate(asked)
        drive = report.drive
        parts = tuple(
            PartFile(
                name=part.name,
                file=f"{spec.id}/{part.file}",
                mass_g=part.mass_g,
                print_minutes=part.print_minutes,
                cooling_minutes=part.cooling_minutes,
                size_mm=part.size_mm,
                volume_mm3=part.volume_mm3,
                role=part.role,
            )
            for part in report.parts
            if part.file is not None
        )
        files = {f"{spec.id}/{name}": digest for name, digest in report.files.items()}
        files[f"{spec.id}/report.json"] = sha256_of(self._folder(spec.id) / "report.json")
        made = {
            "arm_hole_mm": drive.horn_radius_mm, "wire_mm": drive.wire_mm, "wire_cut_mm": report.wire_cut_mm,
            "pivot_to_horn_mm": getattr(drive, "pivot_to_horn_mm", None),
            "travel_mm": drive.travel_mm, "pulse_us": drive.pulse_us,
            "force_n": getattr(drive, "force_n", None),
            "force_after_slack_n": getattr(drive, "force_after_slack_n", None),
            "warnings": [warning(check) for check in (*report.checks, *site_checks) if check.verdict == "warn"],
            "mass_g": sum(part.mass_g for part in report.parts), "print_minutes": together_minutes(report.parts),
            "parts": parts, "files": files,
        }  # fmt: skip
        return MountRow.model_validate(asked | made)

    def _publish(self, rows: list[MountRow]) -> LayoutReport:
        header, wanted = self.order.layout.header, self.order.wanted
        tried = tried_first(
            (row, self.mounts[row.id].spec, self.reports[row.id]) for row in rows if row.id in self.reports
        )
        rows = [row.model_copy(update={"tried_by": tried.get(row.id)}) for row in rows]
        max_hours = header.max_hours if wanted.max_hours is None else wanted.max_hours
        with_printers = [(row, self.mounts[row.id].spec.printer) for row in rows]
        loads, left_out = bedloads(
            self.order.folder, self.order.layout.name, with_printers, brim_mm=header.brim, spacing_mm=header.spacing,
            max_hours=max_hours,
        )  # fmt: skip
        report = LayoutReport(
            schema_="layout-report/1",
            name=self.order.layout.name,
            summary=_summary(rows, loads, _hours_rule(printer for _, printer in with_printers)),
            mounts=tuple(rows),
            max_hours=max_hours,
            plates=tuple(load.row for load in loads),
            not_on_plates=tuple(left_out),
            hardware=_total([(self.reports[row.id], row.copies) for row in rows if row.verdict in GOOD]),
            files={},
            cautions=tuple(
                dict.fromkeys(line for row in rows if row.id in self.reports for line in self.reports[row.id].cautions)
            ),
            profiles=dict(sorted(self.order.profiles.items())),
            made_from=self.order.made_from,
        )
        made = [(self.mounts[row.id], self.reports[row.id]) for row in rows if row.verdict in GOOD]
        files = {load.row.file: load.content for load in loads}
        files |= papers(self.order.layout, report, made, loads, self._files, wanted)
        report = report.model_copy(update={"files": digests(files)})
        publish(self.order.folder, {**files, "report.json": to_json(report)})
        return report

    def _files(self, mount_id: str, kinds: tuple[str, ...] = ("",)) -> dict[str, bytes]:
        """Files of a made mount by name, all or those whose names end so."""
        folder = self._folder(mount_id)
        return {name: (folder / name).read_bytes() for name in self.reports[mount_id].files if name.endswith(kinds)}

    def _folder(self, mount_id: str) -> Path:
        return self.order.folder / mount_id

    def _key(self, mount_id: str) -> str:
        return cache.key(self.mounts[mount_id].spec, self.drives.get(mount_id))


def _reasons(report: Report | None, unmade: Unmade | None) -> tuple[str, ...]:
    """Why a mount failed, as lines for stderr."""
    if report:
        return tuple(
            f"fail: {report.mount.id}: {check_line(check)}" for check in report.checks if check.verdict == "fail"
        )
    return (f"{unmade.verdict}: {unmade.reason}",) if unmade else ()


def _total(made: Iterable[tuple[Report, int]]) -> tuple[Bought, ...]:
    """What to have for all mounts with their copies, then the tools, one of each."""
    counted: Counter[tuple[bool, str, str]] = Counter()
    for report, copies in made:
        for entry in report.hardware:
            counted[entry.tool, entry.item, entry.size] += entry.quantity * copies
    return tuple(
        Bought(item=item, size=size, quantity=1 if tool else quantity)
        for (tool, item, size), quantity in sorted(counted.items())
    )


def _hours_rule(printers: Iterable[Printer]) -> str:
    """The settings of each printer, by its name."""
    known = {printer.name: settings(printer) for printer in printers}
    return "; ".join(f"{name}: {known[name]}" for name in sorted(known))


def _summary(rows: list[MountRow], loads: list[Bedload], rule: str) -> LayoutSummary:
    good = [row for row in rows if row.verdict in GOOD]
    first = [load.row for load in loads if load.row.try_first]
    return LayoutSummary(
        mounts=len(rows),
        made=sum(row.copies for row in good),
        passed=sum(row.verdict == "pass" for row in rows),
        warned=sum(row.verdict == "warn" for row in rows),
        failed=len(rows) - len(good),
        plates=len(loads),
        mass_g=sum(load.row.mass_g for load in loads),
        hours=sum(load.row.hours for load in loads),
        longest_plate_hours=max((load.row.hours for load in loads), default=0.0),
        try_first=TryFirst(
            mounts=sum(row.tried_by == row.id for row in good),
            plates=len(first),
            mass_g=sum(plate.mass_g for plate in first),
            hours=sum(plate.hours for plate in first),
        )
        if first
        else None,
        hours_rule=rule,
    )
