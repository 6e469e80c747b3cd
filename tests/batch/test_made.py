"""A layout the whole way: stopped in the middle, and gone on with."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from pathlib import Path

import pytest
from requests_for_drives import bracket_limits, request

from mounts.batch.made import made
from mounts.batch.unchanged import Wanted
from mounts.batch.work import FamilyTask, MountTask, Unmade
from mounts.drive.model import Drive
from mounts.drive.solve import solve
from mounts.page.batches import Progress, Stopped

LAYOUT = """\
[defaults]
style = "under-bracket"
board = "12 mm"

[[mount]]
id = "a"

[[mount]]
id = "b"
"""


FAMILY = """\
[families.lad]
match = ["wire"]

[defaults]
style = "under-bracket"
board = "12 mm"

[[mount]]
id = "family lad"
family = "lad"

[[mount]]
id = "b"

[[mount]]
id = "a"
family = "lad"
"""


def _told(monkeypatch, matched: Callable[[FamilyTask], object], tmp_path: Path):
    """Rows' reasons, what was built with which drive, and what was told, of a run that builds nothing."""
    built: dict[str, object] = {}

    def build(task: MountTask) -> Unmade:
        built[task.spec.id] = task.drive and task.drive.wire_mm
        return Unmade("not built", f"{task.spec.id} by hand")

    monkeypatch.setattr("mounts.batch.run.match_family", matched)
    monkeypatch.setattr("mounts.batch.run.build_mount", build)
    (tmp_path / "yard.toml").write_text(FAMILY)
    told = Progress()
    found = made(
        tmp_path / "yard.toml", tmp_path, lambda data: Wanted(False, False, None, None),
        nullcontext((ThreadPoolExecutor, 2)), nullcontext(told),
    )  # fmt: skip
    return [(row.id, *row.reasons) for row in found.report.mounts], built, told


def test_members_are_built_with_the_drives_of_their_family(monkeypatch, tmp_path):
    """Each with its own, in the order of the layout; one that is called as its family is told is another thing."""
    drive = solve(request(), bracket_limits(request()))

    def matched(task: FamilyTask) -> tuple[Drive, ...]:
        thick = {"family lad": 0.7, "a": 0.9}
        return tuple(drive.model_copy(update={"wire_mm": thick[spec.id]}) for spec in task.specs)

    rows, built, told = _told(monkeypatch, matched, tmp_path)

    assert built == {"family lad": 0.7, "b": None, "a": 0.9}
    assert rows == [(each, f"not built: {each} by hand") for each in ("family lad", "b", "a")]
    assert (told.done, told.expected) == (4, 4)
    assert sorted(told.failed) == ["a", "b", "family lad"]


def test_a_family_without_a_drive_is_not_built(monkeypatch, tmp_path):
    """Its members are told why, once it is known or where it crashed; others are built."""
    rows, built, told = _told(monkeypatch, lambda task: Unmade("no design", "nothing fits"), tmp_path)

    reason = "no design: family lad: nothing fits"
    assert rows == [("family lad", reason), ("b", "not built: b by hand"), ("a", reason)]
    assert (built, told.done, told.expected) == ({"b": None}, 2, 2)
    assert sorted(told.failed) == ["b", 'family "lad"']

    def falls(task: FamilyTask) -> object:
        raise ZeroDivisionError("a bug")

    rows, _, _ = _told(monkeypatch, falls, tmp_path)
    assert rows[0] == ("family lad", "not built: family lad: ZeroDivisionError: a bug")


class _StoppedAfterOne(Progress):
    def ended(self, what, *, good):
        self.stopped.set()
        super().ended(what, good=good)


@pytest.mark.solid
def test_a_stopped_run_keeps_what_is_made_and_is_gone_on_with(tmp_path):
    """The mount that was made stays whole, nothing else is there; the next run makes only what is missing."""
    path = tmp_path / "yard.toml"
    path.write_text(LAYOUT)

    def run(progress):
        return made(
            path, tmp_path, lambda data: Wanted(False, False, None, None), nullcontext((ThreadPoolExecutor, 1)),
            nullcontext(progress),
        )  # fmt: skip

    first = _StoppedAfterOne()
    with pytest.raises(Stopped):
        run(first)
    assert (first.done, first.expected, first.failed) == (1, 2, [])
    assert [each.name for each in (tmp_path / "yard").iterdir()] == ["a"]
    assert not [*(tmp_path / "yard").rglob(".partial-*")]
    whole = (tmp_path / "yard" / "a" / "report.json").stat().st_mtime_ns

    again = Progress()
    found = run(again)
    assert (again.done, again.expected, found.unchanged) == (1, 1, False)
    assert found.report.summary.failed == 0
    assert (tmp_path / "yard" / "a" / "report.json").stat().st_mtime_ns == whole
    last = Progress()
    assert run(last).unchanged
    assert last.expected == 0
