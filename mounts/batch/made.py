"""A layout file the whole way: what its folder already holds is told from there, anything else is made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from mounts.batch.unchanged import Wanted, layout_key, layout_name, named_profiles, unchanged_report
from mounts.export.commit import refuse_unwritable, sweep
from mounts.inputs.library import Library
from mounts.inputs.load import read_toml

if TYPE_CHECKING:
    from mounts.batch.crew import Hire
    from mounts.batch.run import Teller
    from mounts.report.layout import LayoutReport


@dataclass(frozen=True)
class Made:
    """A layout that is made.

    Attributes:
        folder: of its output.
        report: of it.
        retuned: lines of families whose members need new settings.
        unchanged: whether the folder already held everything.
    """

    folder: Path
    report: LayoutReport
    retuned: tuple[str, ...]
    unchanged: bool


def made(
    path: Path,
    out: Path,
    wanted: Callable[[Mapping[str, Any]], Wanted],
    crew: AbstractContextManager[tuple[Hire, int]],
    teller: AbstractContextManager[Teller],
) -> Made:
    """Makes whatever is missing of a layout.

    Nothing heavy is loaded where nothing is missing.

    Args:
        path: of the layout file.
        out: its folder goes in there.
        wanted: what is written besides, of the file's tables as they stand.
        crew: entered where something has to be made: gives the executors, and how many mounts are built at once.
        teller: entered likewise: told how it goes on; what it raises ends the run, mounts that are made stay.

    Raises:
        InputError: the layout can't be read, or its folder not written to.
        ImportError: a library is missing.
    """
    data = read_toml(path)
    library = Library(beside=path.parent)
    what = wanted(data)
    made_from = layout_key(path, (library.built_in, library.own), what)
    folder = out / layout_name(path, data)
    retuned: tuple[str, ...] = ()
    content = unchanged_report(folder, made_from, path.parent)
    if content is not None:
        from mounts.report.layout import LayoutReport

        report = LayoutReport.model_validate_json(content)
    else:
        from mounts.inputs.read_layout import read_layout
        from mounts.styles import check_asked

        layout = read_layout(path, library, check_asked)
        refuse_unwritable(folder)

        from mounts.batch.run import Order, run

        profiles = named_profiles(library)
        with crew as (hire, workers), teller as told:
            report, retuned = run(Order(layout, folder, made_from, profiles, what, hire, workers), told)
    for each in (folder, *(folder / row.id for row in report.mounts)):
        sweep(each)
    return Made(folder, report, retuned, content is not None)
