"""A style really is one file: a housing, printed in DEVELOPERS.md, and one that is neither bracket nor housing."""

import importlib
import re
import sys
from pathlib import Path

import pytest

from mounts import styles
from mounts.checks.siting import check_siting
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import check_mount, design_mount, make_mount

pytestmark = pytest.mark.solid

ROOT = Path(__file__).parents[2]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()


@pytest.fixture
def plain_box(tmp_path, monkeypatch):
    """The printed style as a file of a folder that the styles are looked for in."""
    (listing,) = re.findall(r"^```python\n(.*?)^```", DEVELOPERS, flags=re.MULTILINE | re.DOTALL)
    (tmp_path / "plain_box.py").write_text(listing)
    monkeypatch.setattr(styles, "__path__", [*styles.__path__, str(tmp_path)])
    yield "plain-box"
    sys.modules.pop("mounts.styles.plain_box", None)
    del styles.plain_box


def test_the_printed_style_is_found_and_makes_a_sound_mount_in_both_poses(plain_box):
    """Nothing but the file is needed for its name, its summary and mounts that pass every check."""
    assert plain_box in styles.names()
    assert styles.summary(plain_box).startswith("Plain box")
    for example in styles.style_of(plain_box).examples:
        asked = {"id": "box", "style": plain_box, "board": "12", "scale": "N", "throw": "2.5", "track_distance": "32"}
        report = make_mount(resolve(read_request({**asked, "set": example}), Library())).report

        assert report.verdict != "fail"
        assert [part.name for part in report.parts] == ["", "shell"]


@pytest.fixture(scope="module")
def open_stand():
    """The style of ``tests/other_style`` found, and what is asked of it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(styles, "__path__", [*styles.__path__, str(ROOT / "tests" / "other_style")])
        asked = {"id": "s1", "style": "open-stand", "board": "18", "scale": "HO", "screw": "wood-3"}
        yield resolve(read_request(asked), Library())
    sys.modules.pop("mounts.styles.open_stand", None)
    del styles.open_stand


@pytest.fixture(scope="module")
def stand(open_stand):
    """It made, every file of it."""
    return make_mount(open_stand, picture=True, paper="a4")


def test_a_style_that_is_neither_bracket_nor_housing_is_one_file(open_stand, stand):
    """It asks nothing of the modules of either; what it tells of itself on the board is enough for every check."""
    source = Path(importlib.import_module("mounts.styles.open_stand").__file__).read_text()
    names = {check.name for check in stand.report.checks}

    assert not re.search(r"_bracket|_housing|_shell", source)
    assert stand.report.verdict == "pass"
    assert names >= {"structure-gauge", "rod-gauge", "arm-swing", "screw-hold", "loop-open", "plug-way", "driver-servo"}
    assert names.isdisjoint({"shell-fit", "scale-height", "relief", "screw-cable", "screw-cut-out", "lean-in-pivot"})
    assert set(stand.files) == {
        "design.json", "report.json", "s1.stl", "s1.step", "s1-template.svg", "s1-template.dxf", "s1-wire.svg",
        "s1-steps.txt", "s1.png", "s1-apart.png", "s1.pdf",
    }  # fmt: skip
    assert b"foot of the roadbed" in stand.files["s1-template.svg"]


def test_its_report_tells_where_it_stands(stand):
    """Plate 36 mm from the track as its file says; no pose to choose, nothing left out."""
    told = stand.report.housing

    assert told.track_distance_mm == pytest.approx(36.0, abs=0.02)
    assert (told.pose, told.left_out, told.cut_out, told.cable_hole) == (None, (), None, None)


def test_neither_steps_nor_checks_name_options_that_it_lacks(open_stand, stand):
    """Housings have ways out that it does not have: they come from the style."""
    steps = stand.files["s1-steps.txt"].decode()
    designed = design_mount(open_stand)
    meshes = _meshes(designed)
    tight = designed.design.model_copy(update={"spec": open_stand.model_copy(update={"track_radius_mm": 85.0})})
    said = [check.message for check in (*check_mount(designed, meshes), *check_siting(tight, meshes))]

    assert "use a larger --track-radius" in said[-1]
    assert "--set" not in steps
    assert not [text for text in said if "--set" in text]


def _meshes(designed):
    from mounts.solid.tessellate import export_mesh

    parts = designed.style.build(designed.design, designed.options)
    return tuple(export_mesh(part, designed.design.spec.printer)[0] for part in parts)
