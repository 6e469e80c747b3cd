"""A request becomes a mount: defaults of the scale, lengths in mm, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import built_in

from mounts.errors import InputError, placed
from mounts.inputs.library import Library
from mounts.inputs.request import read_request
from mounts.inputs.resolve import board_of, resolve
from mounts.inputs.spec import MountSpec

GOOD: dict[str, Any] = {"id": "east-1", "style": "under-bracket", "board": "12 mm"}


def _resolved(**changed: object) -> MountSpec:
    return resolve(read_request(GOOD | changed), Library())


def _faults(**changed: object) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        resolve(read_request(GOOD | changed), Library())
    return caught.value.lines


@pytest.mark.parametrize("name", [scale.name for scale in built_in("scale")])
def test_defaults_are_the_scales(name: str) -> None:
    """Throw, force, roadbed and pin height come from the scale; the mount is complete with three options."""
    scale = Library().scale(name)

    spec = _resolved(scale=name)

    assert (spec.throw_mm, spec.force_n) == (scale.throw_mm, scale.force_n)
    assert spec.roadbed.thickness_mm == scale.roadbed_mm
    assert (spec.laid, spec.own_spring_n, spec.tie_bar_hole_mm) == (False, None, scale.tie_bar_hole_mm)
    assert spec.pin_height_mm == scale.roadbed_mm + scale.pin_above_roadbed_mm
    assert (spec.servo.name, spec.printer.name, spec.fixing.name) == ("micro-9g", "fdm-0.4", "wood-3")
    assert (spec.wire_mm, spec.arm_hole_mm, spec.depth_mm, spec.swing_deg) == (None, None, None, None)


def test_every_option_reaches_the_mount() -> None:
    """What is pinned is held, in mm."""
    spec = _resolved(
        servo="micro-13g",
        board="3/4 in",
        roadbed="1/8 in",
        throw="3 mm",
        scale="H0",
        printer="fdm-0.6",
        filament="pla",
        wire="music-wire-inch 0.032 in",
        force="0.4-1.2",
        mirror=True,
        screw="no-4",
        pin_height="1/4 in",
        arm_hole="9",
        depth="1 in",
        swing=30,
        held="clamped",
        max_depth="2 in",
        ground="1/16 in",
        track_distance=24,
        track_radius="36 in",
        set=["plate_mm=4"],
    )

    # an inch is 25.4 mm
    assert (spec.board.thickness_mm, spec.board.screw_depth_mm, spec.roadbed.thickness_mm) == (19.05, 19.05, 3.175)
    assert (spec.throw_mm, spec.pin_height_mm, spec.force_n) == (3.0, 6.35, (0.4, 1.2))
    assert (spec.wire.name, spec.wire_mm, spec.arm_hole_mm) == ("music-wire-inch", 0.8128, 9.0)
    assert (spec.depth_mm, spec.swing_deg, spec.wire_held, spec.max_depth_mm) == (25.4, 30, "clamped", 50.8)
    assert (spec.track_distance_mm, spec.track_radius_mm, spec.ground_mm) == (24, 914.4, 1.5875)
    assert (spec.servo.name, spec.scale.name, spec.filament.name, spec.fixing.name) == (
        "micro-13g",
        "HO",
        "pla",
        "no-4",
    )
    assert (spec.mirror, spec.options) == (True, {"plate_mm": 4})


@pytest.mark.parametrize(
    ("written", "name", "diameter_mm"),
    [
        (None, "spring-wire-sm", None),
        ("0.8", "spring-wire-sm", 0.8),
        (0.8, "spring-wire-sm", 0.8),
        ("0.80 mm", "spring-wire-sm", 0.8),
        ("music-wire", "music-wire", None),
        ("Music-Wire 0.8", "music-wire", 0.8),
        ("music-wire-inch 32 thou", "music-wire-inch", 0.8128),
    ],
)
def test_wire_is_a_name_a_diameter_or_both(written: object, name: str, diameter_mm: float | None) -> None:
    """The diameter found is the stock's own figure."""
    spec = _resolved(wire=written)

    assert (spec.wire.name, spec.wire_mm) == (name, diameter_mm)


def test_profile_is_read_by_path_for_every_kind(tmp_path: Path) -> None:
    """A path does wherever a name does, also with a diameter behind it."""
    for kind, base in (("servo", "micro-9g"), ("board", "mdf-12"), ("wire", "music-wire")):
        (tmp_path / f"my {kind}.toml").write_text(f'extends = "{base}"\n', encoding="utf-8")
    request = read_request(GOOD | {"servo": "my servo.toml", "board": "my board.toml", "wire": "my wire.toml 0.8"})

    spec = resolve(request, Library(beside=tmp_path))

    assert (spec.servo.name, spec.board.name, spec.wire.name, spec.wire_mm) == ("my servo", "my board", "my wire", 0.8)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"board": "18 m"}, "--board = '18 m' (18000 mm): must be 3 to 60 mm"),
        ({"board": 2.9}, "--board = 2.9: must be 3 to 60 mm"),
        ({"board": "3/4"}, "--board = '3/4': has no unit and looks like inches; write '3/4 in'"),
        ({"board": "12 mm birch"}, "--board = '12 mm birch': must be a length such as"),
        ({"board": ""}, "--board = '': must be a length such as"),
        ({"board": "plywod-12"}, "--board = 'plywod-12': no such board profile; nearest is 'plywood-12'"),
        ({"roadbed": 26}, "--roadbed = 26: must be 0 to 25 mm"),
        ({"roadbed": "-1 mm"}, "--roadbed = '-1 mm' (-1 mm): must be 0 to 25 mm"),
        ({"throw": 1.5}, "--throw = 1.5: must be 1.6 to 4.5 mm in HO; less leaves the open blade too near its stock"),
        ({"throw": 14}, "--throw = 14: must be 1.6 to 4.5 mm in HO"),
        ({"scale": "XX"}, "--scale = 'XX': no such scale profile; there are HO, I, N, O, OO, S, TT and Z"),
        ({"servo": "mirco-9g"}, "--servo = 'mirco-9g': no such servo profile; nearest is 'micro-9g'"),
        ({"screw": "wood-4"}, "--screw = 'wood-4': no such fixing profile; nearest is 'wood-3'"),
        ({"pin_height": 4}, "--pin-height = 4: must be 5 to 25 mm, from the board's top past a roadbed of 5 mm"),
        ({"ground": -1}, "--ground = -1: must be 0 to 5.5 mm, the rod passes over it to the tie bar at 6.5 mm"),
        ({"ground": "6 mm"}, "--ground = '6 mm' (6 mm): must be 0 to 5.5 mm, the rod passes over it"),
        ({"arm_hole": 6}, "--arm-hole = 6: must be 5, 7, 9, 11, 13 or 15 mm on the arm of micro-9g"),
        (
            {"wire": 0.85},
            "--wire = 0.85: must be 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1 or 1.2 mm, the stock of spring-wire-sm;",
        ),
        ({"wire": "0.032 in"}, "--wire = '0.032 in' (0.813 mm): must be"),
        ({"wire": "music-wire 8"}, "--wire = 'music-wire 8' (8 mm): must be 0.5, 0.6, 0.8, 1 or 1.2 mm, the stock of"),
        ({"wire": "music-wire x"}, "--wire = 'music-wire x': must be a length such as"),
        ({"wire": "musik-wire 0.8"}, "--wire = 'musik-wire': no such wire profile; nearest is 'music-wire'"),
        ({"wire": ""}, "--wire = '': must be a length such as"),
        ({"depth": "1 m"}, "--depth = '1 m' (1000 mm): must be 5 to 150 mm"),
        ({"max_depth": 5}, "--max-depth = 5: must be 10 to 200 mm"),
        ({"track_distance": 1}, "--track-distance = 1: must be 5 to 500 mm"),
        ({"track_radius": 10}, "--track-radius = 10: must be 100 to 50000 mm"),
    ],
)
def test_fault_is_one_line_with_what_is_allowed(changed: dict[str, Any], told: str) -> None:
    """Each fault names option, value as written, what it became, and both ends or the nearest name."""
    (fault,) = _faults(**changed)

    assert fault.startswith(told)
    assert "\n" not in fault


def test_wire_in_stock_elsewhere_is_pointed_to() -> None:
    """An inch size that the default wire has not got names the nearest and the wire that has it."""
    (fault,) = _faults(wire="0.032 in")

    assert fault.endswith("nearest is 0.8 mm; or write 'music-wire-inch 0.032 in'")


def test_throw_below_the_gap_cites_its_source() -> None:
    """The limit that nobody may lower comes with the standard it is from."""
    # NEM 110: 9 less 7.8 mm; the gap itself is allowed
    assert _resolved(throw="1,2 mm", scale="N").throw_mm == 1.2

    (fault,) = _faults(throw=1.19, scale="N")

    assert fault.startswith("--throw = 1.19: must be 1.2 to 3 mm in N; less leaves")
    assert "NEM 110 (2009) with NEM 124 (2010): G 9 less E 7.8" in fault


def test_faults_come_together_and_say_where() -> None:
    """Every fault of a mount is told with file and table; none hides another."""
    written = GOOD | {"servo": "mirco-9g", "scale": "XX", "board": "2 mm", "roadbed": "-1", "throw": 99, "arm_hole": 6}

    with pytest.raises(InputError) as caught, placed("mount", 3, file="yard.toml"):
        resolve(read_request(written), Library())

    assert [fault.split(" = ")[0] for fault in caught.value.lines] == [
        f"yard.toml: mount[3].{field}" for field in ("servo", "scale", "board", "roadbed")
    ]


def test_faults_of_a_users_file_are_told_with_it(tmp_path: Path) -> None:
    """A faulty profile is told by its own path."""
    path = tmp_path / "odd.toml"
    path.write_text('extends = "micro-9g"\nflange_span_mm = 20\nmass_g = 900\n', encoding="utf-8")

    (fault,) = _faults(servo=str(path))

    assert fault == f"{path}: mass_g = 900: must be above 0 and up to 200 g"


@given(st.floats(3, 60), st.sampled_from(["{} mm", "{}", "{}mm"]))
def test_board_of_any_thickness_is_a_plain_sheet(thickness_mm: float, form: str) -> None:
    """A thickness makes a sheet that holds a screw throughout."""
    thickness_mm = round(thickness_mm, 2)

    board = board_of(form.format(thickness_mm), Library())

    assert board.thickness_mm == board.screw_depth_mm == thickness_mm
    assert (board.over_mm, board.under_mm) == (0.3, 0.3)


@pytest.mark.parametrize(("force", "band"), [("0.5-1.5", (0.9, 1.9)), (None, (0.9, 1.9)), ("0.2-0.6", (0.6, 1.0))])
def test_a_spring_that_stays_is_overcome_besides(force: str | None, band: tuple[float, float]) -> None:
    """The turnout's own spring of 0.4 N moves the band asked of the drive up by 0.4 N (HO's own is 0.5 to 1.5)."""
    assert _resolved(own_spring="0.4 N", force=force).force_n == pytest.approx(band)
    assert _resolved(own_spring="none", force=force).force_n == pytest.approx((band[0] - 0.4, band[1] - 0.4))
