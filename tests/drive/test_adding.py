"""A kind of drive really is a package, and its style a file: both of ``tests/third_kind`` are added and made."""

from __future__ import annotations

import importlib
import json
import math
import sys
from pathlib import Path

import numpy as np
import pytest
from printed import pages
from pydantic import TypeAdapter
from requests_for_drives import bracket_limits, request

import mounts.drive
from mounts import scene, styles
from mounts.cli.adapt import read_mount
from mounts.drive.family import match
from mounts.drive.kinds import kinds
from mounts.drive.model import Drive
from mounts.drive.solve import solve
from mounts.inputs.change import change
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import adapt_mount, design_mount, make_mount
from mounts.report.model import Report, to_json
from mounts.styles import check_used

ROOT = Path(__file__).parents[2]
ASKED = {
    "id": "w1", "style": "whip-bracket", "servo": "micro-9g", "board": "9 mm", "scale": "O", "throw": "6",
    "force": "0.2-3", "tie_bar_hole": "1.2", "max_depth": "80",
    "set": ["web_mm=5"],
}  # fmt: skip


@pytest.fixture(scope="module")
def added():
    """The folders that kinds and styles are looked for in are two more."""
    here = ROOT / "tests" / "third_kind"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(mounts.drive, "__path__", [*mounts.drive.__path__, str(here / "drives")])
        patch.setattr(styles, "__path__", [*styles.__path__, str(here / "styles")])
        yield
    for name in [name for name in sys.modules if ".whip" in name]:
        del sys.modules[name]
    vars(mounts.drive).pop("whip", None)  # one that was not asked for was not imported
    vars(styles).pop("whip_bracket", None)


@pytest.fixture(scope="module")
def spec(added):
    """A mount that a whip suits: much throw, for it has no lever."""
    return resolve(read_request(ASKED), Library())


@pytest.fixture(scope="module")
def made(spec):
    """The mount, every file of it."""
    return make_mount(spec, picture=True, paper="a4")


@pytest.mark.solid
def test_an_added_kind_makes_a_mount_that_passes_every_check(made):
    """Nothing but its package and a style's file is needed; all checks of any mount are made, and its own."""
    names = {check.name for check in made.report.checks}

    assert made.report.verdict == "pass"
    assert names >= {"force", "stress-at-arm", "travel", "wire-mount", "wire-board", "screw-hold", "seat-stiffness"}
    assert names.isdisjoint({"stress-at-pivot", "stress-at-crown", "lean-in-pivot", "loop-open"})


@pytest.mark.solid
def test_every_file_of_it_is_written(made):
    """Parts, template, wire, steps, pictures and chapter, with what the kind says and draws in them."""
    assert set(made.files) == {
        "design.json", "report.json", "w1.stl", "w1.step", "w1-template.svg", "w1-template.dxf", "w1-wire.svg",
        "w1-steps.txt", "w1.png", "w1-apart.png", "w1.pdf",
    }  # fmt: skip
    assert b"template of a whip" in made.files["w1-template.svg"]
    assert b"Two square bends through the arm." in made.files["w1-wire.svg"]
    chapter = " ".join(page.text for page in pages(made.files["w1.pdf"]))
    assert "Hook the whip into the arm" in chapter
    assert "Two square bends through the arm." in chapter
    steps = made.files["w1-steps.txt"].decode()
    assert "Hook the whip into the arm" in steps
    assert "drill, whip's hole in the board: 12 mm" in steps
    assert "Reverse means: the whip leans towards you" in " ".join(steps.split())


@pytest.mark.solid
def test_its_report_and_design_are_read_as_they_were_written(made, tmp_path):
    """Models that hold a drive take the kinds that there are when they read; the JSON Schema names them."""
    for name, content in made.files.items():
        (tmp_path / name).write_bytes(content)
    report = Report.model_validate_json(made.files["report.json"])
    schema = json.dumps(TypeAdapter(Report).json_schema())

    assert type(report.drive) is kinds()["whip"].drive
    assert to_json(report) == made.files["report.json"]
    assert read_mount(tmp_path).drive == report.drive
    assert '"whip": "#/$defs/WhipDrive"' in schema


def test_the_pin_is_where_a_ruler_finds_it(spec):
    """A ray from the shaft through the arm, cut with the height of the pin (plane geometry), at both end pulses."""
    design = design_mount(spec).design
    drive, shaft = design.drive, np.array(design.datums.servo)[:3, 3]
    swing = math.radians(drive.swing_deg)

    for side in (-1, 1):
        path = scene.wire_path(design, side * swing)
        along = path[3] - path[2]
        assert path[3][1] == pytest.approx(side * drive.travel_mm / 2, abs=1e-6)
        assert math.atan2(along[1], along[2]) == pytest.approx(side * swing)
    assert drive.travel_mm == pytest.approx(2 * (design.datums.pin[2] - shaft[2]) * math.tan(swing))


def test_it_is_adapted_and_told_like_any_other(spec):
    """A thicker board: arm hole and wire stay, and its own figures are compared."""
    before = design_mount(spec).design
    drive, adapted = adapt_mount(before, change(before.spec, {"board": "12 mm"}, Library()))

    assert drive.kind == "whip"
    assert {"arm hole", "wire"} <= set(adapted.kept)
    assert "free wire" in {row.what for row in (*adapted.stays, *adapted.changes)}


def test_a_family_of_it_shares_what_it_is_asked_to(spec):
    """Two boards, one mirrored: the same arm hole and wire, and pulses that are exchanged for the mirrored one."""
    asked = [{}, {"id": "w2", "board": "12 mm", "mirror": True}]
    specs = [resolve(read_request({**ASKED, **more}), Library()) for more in asked]
    style = styles.style_of("whip-bracket")
    limits = [style.limits(one, style.options()) for one in specs]

    one, other = match(specs, limits, frozenset({"arm hole", "wire"}))

    assert (one.horn_radius_mm, one.wire_mm) == (other.horn_radius_mm, other.wire_mm)
    assert one.pulse_us.reverse < 1500.0 < other.pulse_us.reverse


def test_what_it_has_no_use_for_is_refused(added):
    """By the reason that the kind gives."""
    from mounts.errors import InputError

    with pytest.raises(InputError, match="--depth = 30: does not apply to whip-bracket: it has no pivot"):
        check_used("whip-bracket", {"depth": 30})


@pytest.mark.parametrize(
    "listing", ["KIND = None\n", '"""No kind."""\n', '"""Another name."""\nfrom mounts.drive.push_rod import KIND\n']
)
def test_a_package_that_is_no_kind_is_refused_loudly(listing, tmp_path, monkeypatch):
    """Without a docstring, without a KIND, or with one whose models have another name."""
    (tmp_path / "odd_one").mkdir()
    (tmp_path / "odd_one" / "__init__.py").write_text(listing)
    monkeypatch.setattr(mounts.drive, "__path__", [*mounts.drive.__path__, str(tmp_path)])
    importlib.invalidate_caches()
    try:
        with pytest.raises(TypeError, match=r"mounts\.drive\.odd_one: a kind needs a docstring, and a KIND"):
            kinds()
    finally:
        sys.modules.pop("mounts.drive.odd_one", None)
        vars(mounts.drive).pop("odd_one", None)


def test_a_part_that_is_not_there_is_told(added):
    """A room that asks a kind for what it does not have says which."""
    with pytest.raises(TypeError, match="WhipDrive: part 'music' must be a str"):
        kinds()["whip"].part("music", str)


def test_a_drive_read_as_any_is_of_its_kind_and_written_whole():
    """Field for field, not only what all kinds have."""
    spec = request()
    drive = solve(spec, bracket_limits(spec))

    assert Drive.model_validate(drive.model_dump()) == drive
    assert TypeAdapter(Drive).dump_python(drive) == drive.model_dump()


def test_the_kind_that_is_printed_is_the_one_that_is_tested():
    """DEVELOPERS.md prints it whole: its package and its style."""
    printed = (ROOT / "DEVELOPERS.md").read_text()

    for file in sorted((ROOT / "tests/third_kind").rglob("*.py")):
        assert f"```py\n{file.read_text()}```\n" in printed, f"print {file.name} again"
