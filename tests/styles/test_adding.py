"""A style really is one file: the one printed in DEVELOPERS.md is added and made."""

import re
import sys
from pathlib import Path

import pytest

from mounts import styles
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.pipeline import make_mount

pytestmark = pytest.mark.solid

DEVELOPERS = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text()


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
