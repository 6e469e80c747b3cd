"""One mount in the page, driven as a person drives it."""

import hashlib
import io
import re
import shlex
import shutil
import zipfile
from urllib.parse import parse_qsl, urlsplit

import pytest
from served import ROOT

from mounts.asked import asked
from mounts.cli import main
from mounts.pipeline import design_mount

BRACKET = "/?id=b1&style=under-bracket&board=12%20mm&scale=HO&servo=micro-9g"


def _query(visit):
    return dict(parse_qsl(urlsplit(visit.tab.url).query))


def _axe(tab):
    from axe_core_python.sync_playwright import Axe

    return [(found["id"], found["nodes"][0]["html"][:200]) for found in Axe().run(tab)["violations"]]


def _type(visit, label, text):
    visit.tab.get_by_label(label, exact=True).first.fill(text)


@pytest.mark.solid
def test_the_zip_has_the_bytes_of_make(visit, tmp_path):
    """The command line that stands there makes the same files as those in the zip."""
    found = visit(BRACKET)
    found.until("of the mechanics")
    line = found.tab.locator("code.line").inner_text()
    with found.tab.expect_download(timeout=120_000) as waiting:
        found.tab.get_by_role("button", name="All files as one zip").click()
    packed = zipfile.ZipFile(io.BytesIO(waiting.value.path().read_bytes()))

    assert main([*shlex.split(line)[1:], "--out", str(tmp_path), "--quiet"]) == 0
    made = {path.name: path.read_bytes() for path in (tmp_path / "b1" / "b1").iterdir()}
    assert {name: hashlib.sha256(packed.read(name)).hexdigest() for name in packed.namelist()} == {
        name: hashlib.sha256(content).hexdigest() for name, content in made.items()
    }


@pytest.mark.solid
def test_the_printed_part_and_its_checks_follow_when_the_hand_rests(visit):
    """Part in the picture, every check in the table and pointing at a place, a pinned wire's cost is told."""
    found = visit(BRACKET + "&wire=0.6%20mm")
    found.until("passed")
    found.tab.get_by_role("checkbox", name="mount", exact=True).wait_for(timeout=90_000)
    found.tab.get_by_role("heading", name="Steps").wait_for(timeout=60_000)

    found.tab.get_by_text(re.compile(r"--wire 0\.6 leaves [\d.]+ mm of slack")).wait_for()
    assert found.tab.locator("table.checks tbody tr").count() > 40
    found.tab.locator("[data-check='0']").click()
    name = found.tab.locator("[data-check='0']").inner_text()
    found.tab.locator(".nicegui-scene").get_by_text(name).wait_for()


def test_a_refused_value_is_told_in_its_place_with_the_way_out(visit):
    """The words of the command line under the field; the button takes what is allowed."""
    found = visit(BRACKET)
    found.until("checks")
    for label, text, said, way in (
        ("throw, mm", "9", "must be 1.6 to 4.5 mm in HO", "take 4.5 mm"),
        ("board", "70", "must be 3 to 60 mm", "take 60 mm"),
        ("board", "3/4", "has no unit and looks like inches", None),
        ("max depth, mm", "5 mm", "must be 10 to 200 mm", "take 10 mm"),
        ("board", "../../etc/shadow.toml", "must be a profile's name", None),
    ):
        _type(found, label, text)
        found.tab.locator(".q-field--error").get_by_text(said).wait_for()
        if way:
            found.tab.get_by_role("button", name=way).click()
            found.tab.locator(".q-field--error").wait_for(state="detached")
        else:
            _type(found, label, "12 mm")


def test_no_design_offers_what_was_tried_and_works(visit):
    """Too little depth: the change that works stands as a button, and leads to a mount."""
    found = visit(BRACKET.replace("12%20mm", "18%20mm") + "&max_depth=25%20mm")

    found.tab.get_by_text(re.compile("no design: b1:")).wait_for(timeout=60_000)
    found.tab.get_by_role("button", name=re.compile(r"--max-depth \d+")).click()
    found.until("checks")
    assert float(_query(found)["max_depth"].split()[0]) > 25


def _place(name):
    """The button of a place of the swing, and none of the checks': `servo-clear` has a button too."""
    return re.compile(rf"^{name} \d+ µs$")


def test_the_swing_reads_off_what_the_solver_has(visit):
    """The ends of the swing as buttons: pin stopped by the blades, pressed with about the force of the drive."""
    found = visit(BRACKET)
    found.until("checks")
    drive = design_mount(asked(id="b1", style="under-bracket", board="12 mm", scale="HO")).design.drive
    for name, sign in (("normal", -1), ("reverse", 1)):
        found.tab.get_by_role("button", name=_place(name)).click()
        pressed = re.compile(rf"pin {sign * 1.2:g} mm from mid throw, blade pressed with [\d.]+ N")
        told = found.tab.get_by_text(pressed).first.inner_text()
        assert float(re.search(r"with ([\d.]+) N", told)[1]) == pytest.approx(drive.force_after_slack_n, abs=0.05)
    found.tab.get_by_role("button", name=_place("centre")).click()
    found.tab.get_by_text("blade not pressed").first.wait_for()


def test_a_signal_is_swung_between_its_places(visit):
    """A lift's places are buttons; at each the crank stands as it was asked for, within what the eye sees."""
    found = visit("/?id=s1&style=lift-bracket&moves=semaphore&board=12%20mm&scale=O")
    found.until("checks")
    for place in asked(id="s1", style="lift-bracket", moves="semaphore", board="12 mm", scale="O").positions:
        found.tab.get_by_role("button", name=_place(place.name)).click()
        found.tab.wait_for_function(
            "at => Math.abs(parseFloat(document.body.innerText.split('above level: ')[1]) - at) < 0.5", arg=place.at
        )


def test_taken_apart_cut_and_hidden(visit):
    """Sliders and boxes by the keyboard alone; the picture changes each time."""
    found = visit(BRACKET)
    found.until("checks")
    found.tab.wait_for_timeout(1500)
    canvas = found.tab.locator(".nicegui-scene canvas")
    seen = [canvas.screenshot()]

    def changed():
        found.tab.wait_for_timeout(900)
        seen.append(canvas.screenshot())
        assert seen[-1] != seen[-2]

    apart = found.tab.get_by_role("slider", name="how far it is taken apart")
    apart.locator(".q-slider__track-container").focus()
    for _ in range(25):
        found.tab.keyboard.press("ArrowRight")
    changed()
    found.tab.get_by_role("checkbox", name="servo micro-9g").press("Space")
    changed()
    found.tab.get_by_label("cut", exact=True).click()
    found.tab.get_by_role("option", name="cut across the track").click()
    changed()


def test_back_undoes_and_an_address_is_a_design(visit):
    """Back shows the value before; the address opened elsewhere shows the same; two tabs do not mix."""
    first = visit(BRACKET)
    first.until("checks")
    _type(first, "throw, mm", "3 mm")
    first.tab.get_by_text("for a throw of 3 mm").wait_for()
    other = visit("/?" + urlsplit(first.tab.url).query + "&mirror=true")
    other.tab.get_by_text("for a throw of 3 mm").wait_for()
    _type(other, "throw, mm", "2 mm")
    other.tab.get_by_text("for a throw of 2 mm").wait_for()

    assert first.tab.get_by_label("throw, mm", exact=True).first.input_value() == "3 mm"
    first.tab.go_back()
    first.tab.get_by_text("for a throw of 2.4 mm").wait_for()
    assert "--mirror" in other.tab.locator("code.line").inner_text()


def test_inches_are_shown_and_meant(visit):
    """With inches chosen a bare number is inches, and figures are shown so."""
    found = visit(BRACKET + "&unit=in")
    found.until("checks")
    _type(found, "board", "1/2")

    found.tab.get_by_text("--board '1/2 in'").wait_for()
    found.tab.get_by_text(re.compile(r"for a throw of 0\.094 in")).wait_for()


@pytest.mark.parametrize(("scheme", "width"), [("light", 1400), ("dark", 400)])
def test_nothing_for_the_accessibility_checker_to_find(visit, scheme, width):
    """axe-core, every rule, both lights, wide and narrow, with a fault told and without; no scrolling sideways."""
    found = visit(BRACKET + "&throw=9%20mm", color_scheme=scheme, viewport={"width": width, "height": 900})
    found.tab.locator(".q-field--error").first.wait_for()
    assert _axe(found.tab) == []
    found.tab.get_by_role("button", name="take 4.5 mm").click()
    found.until("checks")

    assert _axe(found.tab) == []
    assert found.tab.evaluate("document.documentElement.scrollWidth") <= width
    assert found.tab.evaluate(_CUT_OFF) == []


_CUT_OFF = """() => [...document.querySelectorAll('button, h1, h2, h3, label, p, li, [role=heading], [role=status]')]
  .filter(e => e.offsetParent && !e.closest('.wide, pre, .skip, .hidden') && !e.matches('.q-field label'))
  .filter(e => { const r = e.getBoundingClientRect();
    return r.width && (r.left < -1 || r.right > innerWidth + 1 || e.scrollWidth > e.clientWidth + 1); })
  .map(e => e.outerHTML.slice(0, 120))"""
"""What reaches past the window or its own edge, but for tables and drawings that are scrolled inside."""


@pytest.mark.parametrize("path", [BRACKET, "/layout?file=yard.toml", "/servo"])
def test_at_200_percent_nothing_is_cut_off(served, visit, path):
    """A window of 1400 px zoomed to 200 % has 700 CSS px of two device px: no scrolling sideways, nothing cut off."""
    shutil.copy(ROOT / "profiles" / "demo" / "yard.toml", served.folder)
    found = visit(path, viewport={"width": 700, "height": 450}, device_scale_factor=2)
    found.tab.locator("svg.chart, .plan-picture svg, pre.drawing").first.wait_for(timeout=60_000)

    assert found.tab.evaluate("document.documentElement.scrollWidth") <= 700
    assert found.tab.evaluate(_CUT_OFF) == []
