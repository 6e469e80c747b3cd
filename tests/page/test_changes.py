"""Ten changes of each kind in one tab: what is shown is what `make` would choose, and nothing is kept that is gone."""

from functools import cache

import pytest

from mounts.asked import asked
from mounts.page.address import command_line, options_of
from mounts.page.lengths import in_unit
from mounts.page.swing import Swing
from mounts.pipeline import design_mount
from mounts.units import number

BASE = {"id": "b1", "style": "under-bracket", "board": "12 mm", "scale": "HO", "servo": "micro-9g"}
ROUNDS = {
    "servo": ("submicro-4g", "micro-13g", "mini-20g", "micro-9g", "micro-13g") * 2,
    "scale": ("N", "TT", "S", "O", "OO", "HO", "N", "TT", "S", "HO"),
    "board": ("9", "10", "11 mm", "13", "14", "1/2 in", "16", "18", "20 mm", "12 mm"),
    "roadbed": ("1", "2", "3 mm", "cork-5", "4", "1/8 in", "none", "2", "5", ""),
    "throw": ("1.8 mm", "2", "2.6", "3", "2.2", "1/10 in", "1.6", "2.1", "2.7", ""),
    "set.plate_mm": ("3", "3.25", "3.75", "4", "4.25", "4.5", "5", "5.5", "6", ""),
}
"""Ten values of each kind, all of a row changed in one go; the last but the servo's are as it was."""
STYLES = ("hut", "under-bracket", "bank", "cabin", "stack", "hut", "cabin", "bank", "stack", "under-bracket")
CHOSEN = ("servo", "scale", "style")
LABELS = {"throw": "throw, mm", "set.plate_mm": "plate, mm"}


@pytest.fixture(scope="module")
def bench(shared_visit):
    """One tab with a bracket."""
    query = "&".join(f"{key}={value.replace(' ', '%20')}" for key, value in BASE.items())
    found = shared_visit(f"/?{query}")
    found.until("checks")
    found.tab.get_by_text("This style's own", exact=True).click()
    return found


@cache
def _design(values):
    return design_mount(asked(**options_of(dict(values)))).design


def _travel(values):
    design = _design(tuple(values.items()))
    return f"{number(design.drive.travel_mm, 2)} mm for a throw of {number(design.spec.throw_mm)} mm"


def _change(tab, values):
    """Puts values into the form as a person does, one after the other."""
    for key, value in values.items():
        if key in CHOSEN:
            tab.get_by_label(key, exact=True).click()
            tab.get_by_role("option", name=value, exact=True).click()
            tab.locator(".q-menu").wait_for(state="detached")  # as it goes it takes the focus from what is typed in
        else:
            tab.get_by_label(LABELS.get(key, key), exact=True).first.fill(value)


def _shows(bench, served, values):
    """What is made of the last change: command line and travel are those of the drive that `make` is given."""
    bench.tab.wait_for_function(
        "line => document.querySelector('code.line')?.innerText === line",
        arg=command_line(values, str(served.folder)),
    )  # fmt: skip
    assert _travel(values) in bench.tab.locator("table.rows").first.inner_text(), values


@pytest.mark.parametrize("at", range(10))
def test_changes_of_six_kinds_in_one_go_show_what_make_would_choose(bench, served, at):
    """Servo, scale, board, roadbed, throw and an own option, faster than one is answered: only the last counts."""
    changed = {kind: values[at] for kind, values in ROUNDS.items()}
    _change(bench.tab, changed)
    values = {key: value for key, value in {**BASE, **changed}.items() if value}
    _shows(bench, served, values)


def test_ten_styles_show_what_make_would_choose(bench, served):
    """Each with the form that it has; what it has no use for is asked no more."""
    base = {kind: values[9] for kind, values in ROUNDS.items()}
    _change(bench.tab, base)
    for style in STYLES:
        _change(bench.tab, {"style": style})
        _shows(bench, served, {key: value for key, value in {**BASE, **base, "style": style}.items() if value})


def test_ten_pulses_are_told_as_the_solver_has_them_and_forgotten(bench):
    """By the keyboard; and the wires that were drawn of them are let go by the browser."""
    tab = bench.tab
    _change(tab, {**BASE, **dict.fromkeys(("roadbed", "throw", "set.plate_mm"), "")})
    tab.get_by_text(_travel(BASE)).first.wait_for()
    swing = Swing(_design(tuple(BASE.items())))
    memory = tab.context.new_cdp_session(tab)
    tab.locator('[role=slider][aria-label="pulse, µs"] .q-slider__track-container').focus()
    us = float(tab.get_by_text(" µs: arm ").first.inner_text().split(" µs")[0])
    sizes_mb = []
    for key, step in (("ArrowRight", 2), ("ArrowLeft", -2), ("ArrowRight", 2)):
        for _ in range(10):
            us += step
            tab.keyboard.press(key)
            tab.get_by_text(swing.at(us).told()).first.wait_for()
        tab.wait_for_timeout(700)
        memory.send("HeapProfiler.collectGarbage")
        sizes_mb.append(memory.send("Runtime.getHeapUsage")["backingStorageSize"] / 1e6)
    assert sizes_mb[2] <= sizes_mb[1] + 0.02


def test_ten_changes_of_unit_and_of_light(bench):
    """Figures follow the unit, colours the light; neither changes the mount."""
    tab = bench.tab
    _change(tab, {**BASE, **dict.fromkeys(("roadbed", "throw", "set.plate_mm"), "")})
    travel = _travel(BASE)
    for count in range(10):
        for label, option in (("unit", ("inches", "millimetres")[count % 2]), ("light", ("dark", "light")[count % 2])):
            tab.get_by_label(label, exact=True).click()
            tab.get_by_role("option", name=option, exact=True).click()
        tab.get_by_text(in_unit(travel, ("in", "mm")[count % 2])).first.wait_for()
        tab.wait_for_function(
            "ground => getComputedStyle(document.body).backgroundColor === ground",
            arg=("rgb(18, 24, 31)", "rgb(246, 247, 249)")[count % 2],
        )  # fmt: skip
