"""What is told of a batch's former runs, from folders written here by hand."""

import json

import pytest

from mounts.batch.before import changed, former_mounts, settings, settings_before

SHARED = ("arm hole", "wire", "pulses", "screw pattern")


def _drive(arm_hole=7.0, wire=0.8, low=1200.0, high=1800.0):
    return {
        "horn_radius_mm": arm_hole,
        "wire_mm": wire,
        "pulse_us": {"normal": low, "centre": 1500.0, "reverse": high},
    }


def _write(folder, content):
    folder.mkdir(parents=True)
    (folder / "report.json").write_text(content)
    return folder


def test_only_what_is_shared_and_other_is_told(tmp_path):
    """Of wire and pulses, both other, what the family shares is said; the arm hole is as it was."""
    was = settings_before(_write(tmp_path / "east", json.dumps({"schema": "report/1", "drive": _drive()})))
    now = settings(_drive(wire=0.7, low=1190.0, high=1810.0))

    assert changed(was, now, SHARED) == "wire 0.8 → 0.7 mm, pulses 1200/1500/1800 → 1190/1500/1810 µs"
    assert changed(was, now, ("arm hole", "wire")) == "wire 0.8 → 0.7 mm"
    assert changed(was, now, ("arm hole",)) == ""


def test_a_mirror_image_has_the_same_settings():
    """Its pulses are exchanged, which is no other setting of the family."""
    assert changed(settings(_drive()), settings(_drive(low=1800.0, high=1200.0)), SHARED) == ""


@pytest.mark.parametrize(
    "content", ["", "{", "[]", '{"schema": "mine/1"}', '{"schema": "report/1"}', '{"schema": "report/1", "drive": []}']
)
def test_a_folder_without_a_mount_of_ours_had_no_settings(tmp_path, content):
    """Torn, foreign or incomplete reports, and no folder at all, are no reason to say or to refuse anything."""
    folder = _write(tmp_path / "east", content)

    assert changed(settings_before(folder), settings(_drive()), SHARED) == ""
    assert changed(settings_before(tmp_path / "none"), settings(_drive()), SHARED) == ""


def test_former_mounts_are_those_with_a_report_of_ours_that_the_layout_has_not(tmp_path):
    """Of a present mount, two former ones, a stranger's folder, an empty one and the plates: the two, by name."""
    for name in ("near", "edge", "east"):
        _write(tmp_path / name, json.dumps({"schema": "report/1", "drive": _drive()}))
    _write(tmp_path / "mine", '{"schema": "mine/1"}')
    (tmp_path / "plates").mkdir()
    (tmp_path / "report.json").write_text('{"schema": "layout-report/1"}')

    assert former_mounts(tmp_path, {"east"}) == ["edge", "near"]
    assert former_mounts(tmp_path / "none", {"east"}) == []
