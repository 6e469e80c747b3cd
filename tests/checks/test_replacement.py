"""Another servo for a mount that is printed: each thing that holds it, a hair inside its limit and a hair outside."""

from __future__ import annotations

import pytest
from requests_for_drives import profile, request

from mounts.checks.replacement import check_replacement
from mounts.design import Datums, Design
from mounts.drive.rocking_wire.model import RockingWireDrive
from mounts.inputs.servo import Servo

# micro-9g in print: case 22.6 × 12.2 and 0.2 mm of air a side, ears 32.2 over all, holes 2.3 in them for screws of 2.0
OLD = profile(Servo, "micro-9g")


def rows(servo: Servo = OLD, *, on_board: bool = False, level_mm: float | None = None):
    """Every row by its name, for a printed mount with the arm's hole at 7 mm."""
    spec = request()
    if level_mm is not None:
        spec = spec.model_copy(
            update={"printer": spec.printer.model_copy(update={"fits_mm": {"pocket-level": level_mm}})}
        )
    design = Design.model_construct(
        spec=spec,
        drive=RockingWireDrive.model_construct(horn_radius_mm=7.0),
        datums=Datums.model_construct(fixings=((0.0, 0.0, 5.0 if on_board else -12.0),)),
    )
    return {row.name: row for row in check_replacement(design, servo)}


def other(**changes: object) -> Servo:
    """The same servo but for what is given."""
    return OLD.model_copy(update=changes)


def test_the_servo_it_was_printed_for_goes_in():
    """With 0.4 mm of play either way, ears of (32.2 − 22.6)/2 less 0.2 on their seat, and nothing off."""
    found = rows()

    assert {row.verdict for row in found.values()} == {"pass"}
    assert {name: row.value for name, row in found.items()} == pytest.approx({
        "play-length": 0.4, "play-width": 0.4, "ears": 4.6, "ear-holes": 0.0, "arm-plane": 0.0, "shaft": 0.0,
        "case-below": 0.0, "arm-hole": 0.0,
    })  # fmt: skip
    assert "0.40 mm of play, 0.2 a side" in found["play-length"].message


@pytest.mark.parametrize(
    ("name", "good", "bad", "verdict", "value"),
    [
        ("play-length", {"case_length_mm": 22.99, "shaft_offset_mm": 6.245}, {"case_length_mm": 23.01}, "fail", -0.01),
        ("play-width", {"case_width_mm": 12.59}, {"case_width_mm": 12.61}, "fail", -0.01),
        ("ears", {"flange_span_mm": 25.01}, {"flange_span_mm": 24.99}, "fail", 0.995),
        # holes of 2.3 round screws of 2.0 leave 0.15
        ("ear-holes", {"flange_hole_spacing_mm": 27.79}, {"flange_hole_spacing_mm": 27.81}, "warn", 0.155),
        ("ear-holes", {"flange_hole_spacing_mm": 27.21}, {"flange_hole_spacing_mm": 27.19}, "warn", 0.155),
        ("ear-holes", {"flange_hole_mm": 1.9}, {"flange_hole_mm": 1.9, "flange_hole_spacing_mm": 27.51}, "warn", 0.005),
        ("arm-plane", {"horn_plane_height_mm": 15.99}, {"horn_plane_height_mm": 16.01}, "warn", 0.61),
        ("arm-plane", {"horn_plane_height_mm": 14.81}, {"horn_plane_height_mm": 14.79}, "fail", 0.61),
        ("arm-plane", {}, {"horn_plane_height_mm": 18.39}, "warn", 2.99),
        ("arm-plane", {}, {"horn_plane_height_mm": 18.41}, "fail", 3.01),
        ("shaft", {"shaft_offset_mm": 7.04}, {"shaft_offset_mm": 7.06}, "fail", 1.01),
        ("shaft", {"shaft_offset_mm": 5.06}, {"shaft_offset_mm": 5.04}, "fail", 1.01),
        # the case is held by its middle: half of what it is shorter is the shaft's
        ("shaft", {"case_length_mm": 20.62}, {"case_length_mm": 20.58}, "fail", 1.01),
        ("case-below", {"flange_underside_height_mm": 20.74}, {"flange_underside_height_mm": 20.76}, "warn", 5.01),
        ("arm-hole", {"horn_radii_mm": (4.0, 7.09, 12.0)}, {"horn_radii_mm": (4.0, 7.11, 12.0)}, "warn", 0.11),
        ("arm-hole", {"horn_radii_mm": (6.91, 9.0)}, {"horn_radii_mm": (6.89, 9.0)}, "warn", 0.11),
    ],
)
def test_just_good_goes_in_and_just_bad_is_told(name, good, bad, verdict, value):
    """Each figure of the other servo alone, with what is measured."""
    kept, broken = rows(other(**good))[name], rows(other(**bad))[name]

    assert kept.verdict == "pass"
    assert (broken.verdict, broken.value) == (verdict, pytest.approx(value, abs=1e-9))


def test_on_the_board_a_case_may_reach_half_a_millimetre_farther_and_no_more():
    """It stands on the board's face: beyond that nothing can be moved."""
    assert rows(other(flange_underside_height_mm=16.24), on_board=True)["case-below"].verdict == "pass"
    deep = rows(other(flange_underside_height_mm=16.26), on_board=True)["case-below"]
    assert (deep.verdict, "print a mount for it" in deep.message) == ("fail", True)
    below = rows(other(flange_underside_height_mm=21.0))["case-below"]
    assert "look whether it meets a joist" in below.message


@pytest.mark.parametrize(("level_mm", "play"), [(0.05, 0.1), (0.5, 0.4)])
def test_the_tighter_of_both_faces_decides_across(level_mm, play):
    """One that lies level in print may be closer; one that is wider does not help the other."""
    assert rows(level_mm=level_mm)["play-width"].value == pytest.approx(play)
    assert rows(level_mm=level_mm)["play-length"].value == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("changes", "name", "said"),
    [
        ({"horn_plane_height_mm": 18.34}, "arm-plane", "lay 2.9 mm under its ears"),
        ({"horn_plane_height_mm": 14.6}, "arm-plane", "a mount for it, or an arm that stands higher"),
        ({"horn_plane_height_mm": 13.4}, "arm-plane", "a mount for it, or an arm that stands higher"),
        ({"horn_plane_height_mm": 19.4}, "arm-plane", "print a mount for it"),
        (
            {"case_width_mm": 13.0},
            "play-width",
            "its width -0.40 mm of play, less than 0.00 mm: it does not go in",
        ),
        ({"case_width_mm": 12.346}, "play-width", "across its width 0.25 mm of play, 0.13 a side"),
        ({"horn_radii_mm": (5.0, 9.5)}, "arm-hole", "the nearest hole of its arm, 5 mm from the shaft, stands 2.00 mm"),
        ({"horn_radii_mm": (5.0, 9.5)}, "arm-hole", "put the old arm on it, or drill one at 7 mm"),
    ],
)
def test_what_helps_is_said(changes, name, said):
    """Of each that is off, in figures."""
    assert said in rows(other(**changes))[name].message
