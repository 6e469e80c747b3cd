"""The list of pairs that mate: whole, and the only place that asks a printer for its fits."""

import ast
import re
from pathlib import Path
from typing import get_args

import pytest

from mounts.inputs import fits
from mounts.inputs.library import Library
from mounts.inputs.printer import Printer

MOUNTS = Path(__file__).parents[2] / "mounts"
SOURCES = {path.relative_to(MOUNTS).as_posix(): path.read_text() for path in MOUNTS.rglob("*.py")}
FIGURES = get_args(fits.Figure)


def test_every_pair_is_in_the_list_once_and_says_what_mates_and_why():
    """A test piece that goes through the list misses none, and can label each by its name."""
    of_module = [value for value in vars(fits).values() if isinstance(value, fits.Fit)]

    assert sorted(fit.name for fit in fits.FITS) == sorted({fit.name for fit in of_module})
    assert len(fits.FITS) == len(of_module)
    assert all(fit.inside and fit.outside and fit.why for fit in fits.FITS)


def test_every_fit_of_a_printer_governs_a_pair():
    """No figure of the profile that is about fits goes unread, and each is a field of it."""
    told = {name for name in Printer.model_fields if re.search(r"_fit_mm$|^hole_", name)}

    assert told == set(FIGURES)
    assert {figure for fit in fits.FITS for figure in fit.figures} == told


def test_no_other_module_asks_a_printer_for_its_fits():
    """Whoever draws or judges a pair goes through the list, so what is measured for it is what is drawn."""
    asking = {
        name
        for name, source in SOURCES.items()
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Attribute) and node.attr in FIGURES
    }

    assert asking == set()


@pytest.mark.parametrize("name", [name for name, value in vars(fits).items() if isinstance(value, fits.Fit)])
def test_every_pair_is_drawn_or_judged_somewhere(name):
    """The list holds no pair that no mount has."""
    assert any(re.search(rf"\bfits\.{name}\b", source) for source in SOURCES.values())


def test_room_is_the_printers_figure_or_the_pairs_own():
    """The 0.6 mm nozzle's profile: wire in its pivot 0.2 in width and 0.3 for closing; the tie bar's hole 0.1."""
    printer = Library().printer("fdm-0.6")

    assert (fits.PIVOT.air_mm(printer), fits.PIVOT.closes_mm(printer)) == (0.2, 0.3)
    assert (fits.TIE_BAR.air_mm(printer), fits.TIE_BAR.closes_mm(printer)) == (0.1, 0.0)
