"""A layout the whole way: stopped in the middle, and gone on with."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext

import pytest

from mounts.batch.made import made
from mounts.batch.unchanged import Wanted
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
