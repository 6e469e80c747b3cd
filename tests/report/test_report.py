"""report/1: its numbers are those of the design, its bytes are always the same, its JSON reads back."""

import io
import json
import math
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from mounts import scene
from mounts.checks.model import Check
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import resolve
from mounts.mesh import PartMesh
from mounts.pipeline import design_mount
from mounts.report.cautions import cautions
from mounts.report.hardware import hardware
from mounts.report.housing import housing
from mounts.report.model import Report, of, to_json, worst
from mounts.report.sheet import render_sheet
from mounts.report.steps import steps
from mounts.report.summary import show
from mounts.scene_wire import wire_cut_mm

HERE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
GOOD = Check.of("wall", 1.6, "at least", 1.2, "mm", "thinnest wall", "")
THIN = Check.of("wall", 1.0, "at least", 1.2, "mm", "", "make it thicker", otherwise="warn")
BAD = Check.of("gap", 0.1, "at least", 0.2, "mm", "", "make it wider")
_CORNERS = np.array([[x, y, z] for x in (0.0, 10.0) for y in (0.0, 20.0) for z in (0.0, 50.0)])
CUBE = PartMesh("", _CORNERS, np.zeros((0, 3), dtype=np.int64), HERE, 10_000.0, (10.0, 20.0, 50.0), 0)


def _designed(**options):
    asked = {
        "id": "east-1",
        "style": "under-bracket",
        "servo": "micro-9g",
        "board": "18",
        "roadbed": "3",
        "throw": "3",
        "scale": "HO",
    }
    return design_mount(resolve(read_request(asked | options), Library()))


def _report(designed, *checks: Check) -> Report:
    return of(
        designed.design,
        designed.options,
        designed.spread,
        [CUBE],
        checks,
        {"": "east-1.stl"},
        {"east-1.stl": b"abc", "east-1.step": b""},
        "key",
    )


def test_what_cannot_be_sliced_weighs_its_solid():
    """A mesh without faces: 10 cm³ of PETG weigh 12.5 to 12.9 g (1.25–1.29 g/cm³, print-service guides), no time."""
    report = _report(_designed(filament="petg"), GOOD)

    assert 12.5 <= report.parts[0].mass_g <= 12.9
    assert report.parts[0].print_minutes is None


def test_files_carry_their_sha256():
    """SHA-256 of 'abc' and of nothing are the published ones (FIPS 180-2, B.1; RFC 6234)."""
    report = _report(_designed(), GOOD)

    assert report.files == {
        "east-1.step": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        "east-1.stl": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    }


@pytest.mark.parametrize(
    ("checks", "verdict"),
    [([], "pass"), ([GOOD], "pass"), ([GOOD, THIN], "warn"), ([BAD, GOOD, THIN], "fail")],
)
def test_the_verdict_is_the_worst(checks, verdict):
    """One failed check fails the mount, one warning warns."""
    assert worst(checks) == verdict


def test_json_reads_back_to_itself():
    """What is written reads back to a report that is written the same: six decimals lose nothing more."""
    written = to_json(_report(_designed(), GOOD, THIN))

    assert to_json(Report.model_validate_json(written)) == written
    assert written.endswith(b"}\n")


def test_json_has_no_negative_zero_and_no_long_float():
    """Floats have six decimals at most and zero has no sign, so that equal mounts are equal texts."""

    def floats(value):
        if isinstance(value, float):
            yield value
        elif isinstance(value, list | dict):
            for item in value.values() if isinstance(value, dict) else value:
                yield from floats(item)

    found = list(floats(json.loads(to_json(_report(_designed(mirror=True), GOOD)))))

    assert len(found) > 100
    assert all(value == round(value, 6) for value in found)
    assert all(math.copysign(1, value) > 0 for value in found if value == 0)


@pytest.mark.parametrize("servo", ["micro-9g", "standard-40g"])
def test_wire_reaches_from_the_arm_through_the_tie_bar_at_every_angle(servo):
    """What is cut, less 10 mm at either end, still stands above the tie bar at the end of the swing.

    Second method: the distance from arm hole to pivot is measured between points, at 61 angles.
    """
    designed = _designed(servo=servo, max_depth="110")
    drive, plan = designed.design.drive, designed.design.plan

    sense = 1 if drive.horn_towards_pivot else -1
    shaft = np.array([0.0, -(drive.pivot_to_horn_mm + sense * drive.horn_radius_mm)])
    angles = np.radians(np.linspace(-drive.swing_deg, drive.swing_deg, 61))
    holes = shaft + drive.horn_radius_mm * np.column_stack([np.sin(angles), sense * np.cos(angles)])
    below = np.linalg.norm(holes, axis=1)  # the pivot is the origin
    above = drive.pivot_to_pin_mm * below / -holes[:, 1]
    through = max(designed.design.spec.servo.horn_thickness_mm + drive.wire_mm + 0.3, 4 * drive.wire_mm)
    used = below + above + plan.wire_tail_mm + through - (4 - math.pi) * 2 * drive.wire_mm  # corners rounded
    left = wire_cut_mm(designed.design) - used.max()
    assert 20.8 <= left <= 24.0


def test_hardware_counts_the_screws():
    """A one-hole ear takes two servo screws, a two-hole ear four; fixing screws are those of the plan."""
    for servo, count in (("micro-9g", 2), ("standard-40g", 4)):
        designed = _designed(servo=servo, max_depth="110")
        found = {item.item: item.quantity for item in hardware(designed.design)}

        assert found["servo's own screw"] == count
        assert found["wood screw, countersunk"] == len(designed.design.plan.screws)


HUT = {"style": "hut", "scale": "N", "board": "12", "throw": "2.5"}


def test_a_board_of_foam_is_bonded_not_screwed():
    """Foam holds no screws (its profile): neither steps nor hardware ask for any."""
    design = _designed(style="cabin", scale="HO", board="xps-30").design
    text = "\n".join(steps(design))

    assert "bond it" in text
    assert "pilots" not in text
    assert not [item for item in hardware(design) if "wood screw" in item.item or "pilot" in item.item]


def test_the_sheet_numbers_every_step_and_repeats_every_caution():
    """All hardware, steps and cautions stand in the plain text, no line wider than 80 columns."""
    design = _designed(**HUT).design
    lines = render_sheet(design).decode().splitlines()
    flat = " ".join(" ".join(lines).split())

    for count, step in enumerate(steps(design), start=1):
        assert f"{count}. {step}" in flat
    assert all(caution in flat for caution in cautions(design.spec))
    assert all(f"{item.quantity} × {item.item}, {item.size}" in flat for item in hardware(design) if not item.tool)
    assert all(f"- {item.item}: {item.size}" in flat for item in hardware(design) if item.tool)
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("mirror", [False, True])
def test_the_cut_out_in_the_report_is_under_the_arm(mirror):
    """Its outline, mirrored with the mount, holds the arm hole at mid swing; its depth leaves 3 mm of board or none."""
    designed = _designed(**(HUT | {"set": ["pose=side"], "roadbed": "0", "pin_height": "1", "mirror": mirror}))
    hole = scene.horn_hole(designed.design, 0.0)
    found = housing(designed.design, [CUBE])

    (x0, x1), (y0, y1) = ((min(side), max(side)) for side in zip(*found.cut_out.outline, strict=True))
    assert x0 < hole[0] < x1
    assert y0 < hole[1] < y1
    assert found.cut_out.through or found.cut_out.depth_mm <= 12 - 3
    assert "mm deep" in found.cut_out.told() or "through the board" in found.cut_out.told()


def test_only_a_housing_has_a_housings_rows():
    """A bracket has none; a housing says pose, distance and how far it may be let down."""
    bracket, hut = _designed(), _designed(**(HUT | {"track_distance": "32"}))

    assert housing(bracket.design, [CUBE]) is None
    found = housing(hut.design, [CUBE])
    assert found.pose == "side"
    assert 0 == found.sunk_least_mm <= found.sunk_mm <= found.sunk_most_mm
    console = Console(width=200, record=True, file=io.StringIO())
    show(_report(hut, GOOD), Path("x"), console, explained=True)
    assert "servo let down" in console.export_text()


@pytest.mark.parametrize(("filament", "warned"), [("pla", True), ("petg", False), ("asa", False)])
def test_only_pla_is_warned_of_heat(filament, warned):
    """PLA gives way at 53–60 °C, PETG at 70–75, ASA at 90–98 (heat deflection, print-service guides)."""
    found = cautions(_designed(filament=filament).design.spec)

    assert any("softens" in line for line in found) is warned


def test_summary_shows_what_needs_doing(tmp_path):
    """Warned and failed checks stand in full, passes as a count, and the files are named."""
    console = Console(width=200, record=True, file=io.StringIO())
    report = _report(_designed(), GOOD, THIN, BAD)

    show(report, tmp_path, console)

    text = console.export_text()
    assert "make it thicker" in text
    assert "make it wider" in text
    assert "thinnest wall" not in text
    assert "1 of 3 checks failed" in text
    assert str(tmp_path) in text
    assert "nothing to print" in text
