"""Figures that are each in range but can't belong to one thing are refused, by name."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from pydantic import ValidationError
from strategies import boards, built_in, raw_servos, servos, specs

from mounts.inputs.board import Board
from mounts.inputs.library import KINDS, Library
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec


def _faults(kind: str, name: str, **changed: object) -> list[str]:
    values = Library().read(kind, name).model_dump() | changed
    with pytest.raises(ValidationError) as caught:
        KINDS[kind].model_validate(values)
    (error,) = caught.value.errors(include_url=False)
    return str(error["ctx"]["error"]).splitlines()


# the micro servo of the profiles with one figure that makes it impossible, and what must be told
@pytest.mark.parametrize(
    ("changed", "told"),
    [
        (
            {"flange_hole_spacing_mm": 24.0},
            "flange_hole_spacing_mm = 24: must be 25.5 to 29.3 mm, so that flange_hole_mm = 2.3 lies on the ears",
        ),
        ({"flange_hole_spacing_mm": 29.4}, "flange_hole_spacing_mm = 29.4: must be 25.5 to 29.3 mm"),
        ({"flange_underside_height_mm": 21.0}, "flange_underside_height_mm = 21: must be at most 20.1 mm"),
        ({"shaft_offset_mm": 16.55}, "shaft_offset_mm = 16.55: must be at most half of case_length_mm = 22.6"),
        ({"shaft_offset_mm": 4.0}, "shaft_offset_mm = 4: must be at least 4.35 mm"),
        ({"boss_mm": 14.0}, "boss_mm = 14: must not exceed case_width_mm = 12.2 by more than 1.5 mm"),
        ({"spline_mm": 4.6, "boss_mm": 4.0}, "spline_mm = 4.6: must be less than boss_mm = 4"),
        ({"spline_top_height_mm": 10.9}, "spline_top_height_mm = 10.9: must be above the boss (10.95 mm)"),
        ({"spline_top_height_mm": 15.5}, "spline_top_height_mm = 15.5: must be above the boss (10.95 mm)"),
        ({"horn_radii_mm": (5, 9, 7)}, "horn_radii_mm = [5, 9, 7]: must rise"),
        ({"horn_radii_mm": (5, 17)}, "horn_radii_mm = [5, 17]: must lie between 2.8 and 16.5 mm"),
        ({"horn_radii_mm": (2.5, 5)}, "horn_radii_mm = [2.5, 5]: must lie between 2.8 and 16.5 mm"),
        ({"horn_hole_mm": 4.0}, "horn_hole_mm = 4: must be less than horn_tip_width_mm = 4"),
        ({"horn_hub_mm": 4.5}, "horn_hub_mm = 4.5: must exceed spline_mm = 4.6"),
        ({"horn_screw_head_mm": 7.5}, "horn_screw_head_mm = 7.5: must not exceed horn_hub_mm = 7"),
        ({"cable_height_mm": 22.5}, "cable_height_mm = 22.5: must be 0.65 to 21.95 mm"),
        ({"cable_width_mm": 12.0, "case_width_mm": 11.5}, "cable_width_mm = 12: must not exceed case_width_mm"),
        ({"connector_thickness_mm": 8.0}, "connector_thickness_mm = 8: must not exceed connector_width_mm = 7.7"),
        ({"pulse_min_us": 1400, "pulse_centre_us": 1390}, "pulse_centre_us = 1390: must lie between"),
        ({"screw_mm": 2.4}, "screw_mm = 2.4: must not exceed flange_hole_mm = 2.3"),
        ({"screw_head_mm": 2.2}, "screw_head_mm = 2.2: must exceed flange_hole_mm = 2.3"),
        ({"screw_length_mm": 4.5}, "screw_length_mm = 4.5: must exceed 4.5 mm"),
        ({"flange_hole_pitch_mm": 2.0}, "flange_hole_pitch_mm = 2: must be 2.6 to 9.3 mm, or 0"),
        ({"flange_hole_pitch_mm": 9.6}, "flange_hole_pitch_mm = 9.6: must be 2.6 to 9.3 mm, or 0"),
    ],
)
def test_servo_refuses_one_impossible_figure(changed: dict[str, Any], told: str) -> None:
    """One figure out of place is told with its field, its value and what is allowed."""
    faults = _faults("servo", "micro-9g", **changed)

    assert any(fault.startswith(told) for fault in faults), faults


def test_servo_tells_every_fault_at_once() -> None:
    """Figures that break several rules are told in as many lines."""
    faults = _faults("servo", "micro-9g", flange_span_mm=20.0, horn_hub_mm=4.0, pulse_min_us=1400, pulse_centre_us=1300)

    assert [fault.split(" = ")[0] for fault in faults] == [
        "flange_span_mm",
        "flange_hole_spacing_mm",
        "horn_hub_mm",
        "pulse_centre_us",
    ]
    assert faults[0] == "flange_span_mm = 20: must exceed case_length_mm = 22.6"


@pytest.mark.parametrize(
    ("kind", "name", "changed", "told"),
    [
        ("board", "plywood-12", {"under_mm": 5, "thickness_mm": 9, "screw_depth_mm": 9}, "under_mm = 5: must be less"),
        ("board", "plywood-12", {"screw_depth_mm": 12.5}, "screw_depth_mm = 12.5: must not exceed thickness_mm = 12"),
        ("board", "xps-30", {"withdrawal_n_per_mm2": 1}, "withdrawal_n_per_mm2 = 1: must be above 0 where a screw"),
        ("printer", "fdm-0.4", {"layer_mm": 0.5}, "layer_mm = 0.5: must not exceed nozzle_mm = 0.4"),
        ("printer", "fdm-0.4", {"first_layer_mm": 0.5}, "first_layer_mm = 0.5: must not exceed nozzle_mm = 0.4"),
        ("printer", "fdm-0.4", {"bridge_warn_mm": 30}, "bridge_warn_mm = 30: must not exceed bridge_limit_mm = 25"),
        ("wire", "music-wire", {"stress_warn": 0.7}, "stress_warn = 0.7: must not exceed stress_limit = 0.65"),
        ("fixing", "wood-3", {"root_mm": 3.0}, "root_mm = 3: must be less than shank_mm = 3"),
        ("fixing", "wood-3", {"head_mm": 3.2}, "head_mm = 3.2: must exceed clearance_mm = 3.4"),
        ("fixing", "wood-3", {"clearance_mm": 2.9}, "clearance_mm = 2.9: must exceed shank_mm = 3"),
        ("fixing", "wood-3", {"pilot_mm": 3.1}, "pilot_mm = 3.1: must be less than shank_mm = 3"),
        ("fixing", "wood-3", {"lengths_mm": (12, 10)}, "lengths_mm = [12, 10]: must rise, the first above shank_mm"),
        ("scale", "HO", {"throw_mm": 1.5}, "throw_mm = 1.5: must be smallest_throw_mm = 1.6 to largest_throw_mm = 4.5"),
        ("scale", "HO", {"force_n": (1.5, 0.5)}, "force_n = [1.5, 0.5]: must be a low force above 0 N and a higher"),
        ("scale", "HO", {"pin_above_roadbed_mm": 4.5}, "pin_above_roadbed_mm = 4.5: must be less than rail_top"),
        (
            "scale",
            "HO",
            {"curve_widening": ({"radius_mm": 600}, {"radius_mm": 400})},
            "curve_widening = ",
        ),
    ],
)
def test_other_profiles_refuse_impossible_figures(kind: str, name: str, changed: dict[str, Any], told: str) -> None:
    """Each rule of each kind is told with field, value and what is allowed."""
    (fault,) = _faults(kind, name, **changed)

    assert fault.startswith(told)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (((0.8, 2000), (0.5, 1900)), "go from thin to thick"),
        (((0.5, 2000), (0.8, 2100)), "have a tensile_mpa that falls"),
    ],
)
def test_wire_refuses_stock_out_of_order(rows: tuple[tuple[float, float], ...], told: str) -> None:
    """Stock goes from thin to thick, and thin wire is the stronger one, as in every standard."""
    stock = tuple({"diameter_mm": d, "tensile_mpa": t, "modulus_mpa": 2e5} for d, t in rows)

    (fault,) = _faults("wire", "music-wire", stock=stock)

    assert fault.startswith("stock = ")
    assert told in fault


def test_structure_gauge_refuses_heights_out_of_order() -> None:
    """Heights of the structure gauge rise, and no width exceeds the largest."""
    gauge = Library().scale("HO").model_dump()["structure_gauge"]

    faults = _faults("scale", "HO", structure_gauge=gauge | {"hl3_mm": 13.0, "bl3_mm": 50.0})

    assert faults == [
        "hl3_mm = 13: must exceed hl2_mm = 14",
        "bl3_mm = 50: must not exceed bl1_mm = 48",
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_profiles_are_frozen_and_know_no_other_key(kind: str) -> None:
    """A profile can't be changed once read, nor hold a key nobody reads."""
    profile = built_in(kind)[0]

    with pytest.raises(ValidationError, match="frozen"):
        profile.title = "another"
    with pytest.raises(ValidationError, match="extra_forbidden"):
        KINDS[kind].model_validate(profile.model_dump() | {"colour": "blue"})


@given(servos())
def test_a_drawn_servo_is_one_body(servo: Servo) -> None:
    """What the rules let through has, from the far end in: ear end, hole, case; and upwards: ear, boss, spline, arm.

    Counted from coordinates in the servo frame, not from the rules.
    """
    centre = servo.case_length_mm / 2 - servo.shaft_offset_mm
    case_end = servo.case_length_mm - servo.shaft_offset_mm
    hole = centre + servo.flange_hole_spacing_mm / 2
    ear_end = centre + servo.flange_span_mm / 2
    case_top = servo.case_height_mm - servo.flange_underside_height_mm
    boss_top = case_top + servo.boss_height_mm

    along = [0.0, case_end, hole - servo.flange_hole_mm / 2, hole + servo.flange_hole_mm / 2, ear_end]
    assert along == sorted(along)
    up = [0.0, servo.flange_thickness_mm, case_top, boss_top, servo.spline_top_height_mm, servo.horn_plane_height_mm]
    assert up == sorted(up)
    out = [servo.spline_mm / 2, *servo.horn_radii_mm, servo.horn_length_mm]
    assert out == sorted(out)


def test_places_on_a_servo_stand_where_a_drawing_of_it_has_them() -> None:
    """The standard servo: case ends, ears, screws, case top and boss top, subtracted by hand from its profile.

    Case 40.4 with the shaft 10 from one end, flange 54; holes 48.4 × 9.8; 36.3 high, ears from 26.65, boss 1.2; arm
    2.7 thick with its outer face at 17.85, tip 5 wide at 18.5.
    """
    servo = Library().read("servo", "standard-40g")
    assert isinstance(servo, Servo)

    assert servo.case_ends_mm() == pytest.approx((-10.0, 30.4))
    assert servo.case_ends_mm(50.0, towards=-1) == pytest.approx((60.0, 19.6))
    assert servo.ear_mm == pytest.approx(6.8)
    assert servo.ear_screws_mm == ((-24.2, -4.9), (-24.2, 4.9), (24.2, -4.9), (24.2, 4.9))
    assert (servo.case_top_height_mm, servo.boss_top_height_mm) == pytest.approx((9.65, 10.85))
    assert (servo.arm_inner_height_mm, servo.arm_tip_mm) == pytest.approx((15.15, 16.0))


def test_a_servo_with_one_hole_an_ear_has_two_screws() -> None:
    """The micro servo's holes lie 27.5 mm apart on the middle of its case."""
    servo = Library().read("servo", "micro-9g")
    assert isinstance(servo, Servo)

    assert servo.ear_screws_mm == ((-13.75, 0.0), (13.75, 0.0))


@given(raw_servos())
def test_a_raw_servo_is_possible_or_every_fault_names_a_field(values: dict[str, Any]) -> None:
    """Figures off by 8 % each on their own are a servo, or are told line by line with fields of a servo."""
    try:
        Servo.model_validate(values)
    except ValidationError as error:
        faults = [line for item in error.errors() for line in str(item.get("ctx", {}).get("error", "")).splitlines()]
    else:
        faults = []

    for fault in faults:
        field, sign, rest = fault.partition(" = ")
        assert field in Servo.model_fields
        assert sign
        assert ": must " in rest


@given(boards())
def test_a_drawn_board_holds_a_screw_in_itself(board: Board) -> None:
    """The part that holds a screw is inside the board."""
    assert 0 <= board.screw_depth_mm <= board.thickness_mm


@given(specs("under-bracket"))
def test_a_drawn_mount_survives_being_written(spec: MountSpec) -> None:
    """A mount written as JSON and read back is the same mount; ``adapt`` relies on it."""
    assert MountSpec.model_validate_json(spec.model_dump_json()) == spec


def test_schema_of_a_length_takes_text_and_keeps_its_range() -> None:
    """An editor that checks a file by its schema accepts ``3/8 in``, and still knows 3 to 60 mm."""
    written = Board.model_json_schema()["properties"]["thickness_mm"]
    reported = Board.model_json_schema(mode="serialization")["properties"]["thickness_mm"]

    assert written["anyOf"] == [{"type": "number", "minimum": 3, "maximum": 60}, {"type": "string"}]
    assert (reported["type"], reported["minimum"], reported["maximum"]) == ("number", 3, 60)
