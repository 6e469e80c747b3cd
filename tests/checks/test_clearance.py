"""Clearances on a plate and a wall drawn by hand: each gap from what was drawn, each limit from both sides."""

from __future__ import annotations

import math
from itertools import pairwise

import manifold3d as m3
import numpy as np
import pytest
from made import kept
from plain import (
    FACE_X,
    SHAFT_Z,
    box,
    bracket,
    designed,
    mesh,
    plate,
    wall,
    with_datums,
    with_drive,
    with_plan,
    with_servo,
    with_spec,
)

from mounts import scene
from mounts.checks.clearance import check_clearance
from mounts.checks.model import Check
from mounts.design import Design
from mounts.scene_kinds import wiring

OUTER_X = FACE_X + 15.4  # of the arm
SWING = math.radians(24.05)
PIVOT_Z = -13.75


def bored(wide: float = 6.0) -> m3.Manifold:
    """The plate with a plain hole for the wire."""
    return plate() - m3.Manifold.cylinder(9, wide / 2, wide / 2, 64).translate((0, 0, -18))


def rows(design: Design, *more: m3.Manifold, frame: tuple[m3.Manifold, ...] | None = None) -> dict[str, Check]:
    bodies = (bored(), wall()) if frame is None else frame
    return {row.name: row for row in check_clearance(design, (mesh(*bodies, *more),))}


def row_of(name: str, design: Design, *more: m3.Manifold, frame: tuple[m3.Manifold, ...] | None = None) -> Check:
    """One of ``rows``, nothing behind it asked."""
    bodies = (bored(), wall()) if frame is None else frame
    return next(row for row in check_clearance(design, (mesh(*bodies, *more),)) if row.name == name)


def swings() -> Design:
    """Its arm turns by 24.05° either way with a wire 0.8 mm thick, its hole 9 mm from the shaft."""
    drive = bracket().drive
    assert (drive.swing_deg, drive.wire_mm, drive.horn_radius_mm) == (24.05, 0.8, 9.0)
    return bracket()


def test_the_plain_bracket_reads_what_is_drawn() -> None:
    """0.2 mm round the case; ears of 4.8 mm, 0.2 of it over the pocket, 12.2 high, rest on both sides of it."""
    found = rows(swings())

    assert {row.verdict for row in found.values()} == {"pass"}
    assert found["servo-clear"].value == pytest.approx(0.0, abs=1e-6)
    assert found["servo-fit"].value == pytest.approx(0.2, abs=1e-4)
    assert "slip fit of the printer 0.2" in found["servo-fit"].message
    assert found["flange-seat"].value == pytest.approx(0.0, abs=1e-4)
    assert f"sit flat on {2 * 4.6 * 12.2:.0f} mm² of the mount" in found["flange-seat"].message
    assert found["wire-mount"].value == 0.0
    assert "servo-held" not in found


@pytest.mark.parametrize(("more", "verdict"), [(0.0, "pass"), (0.03, "pass"), (0.05, "fail")])
def test_the_case_keeps_the_slip_fit_but_for_what_a_mesh_strays(more: float, verdict: str) -> None:
    """0.02 mm short of 0.2 is let pass; the nearest side counts, and of two figures for a pocket the smaller."""
    wider = with_servo(swings(), case_width_mm=12.2 + more)
    row = row_of("servo-fit", wider)
    assert (row.value, row.verdict) == (pytest.approx(0.2 - more / 2, abs=1e-4), verdict)

    for pair in ("pocket", "pocket-level"):
        asked = 0.2 + (0.0 if verdict == "fail" else -0.002)
        own = with_spec(wider, "printer", fits_mm={"pocket": 0.3, "pocket-level": 0.3, pair: asked})
        assert row_of("servo-fit", own).verdict == verdict


@pytest.mark.parametrize(("side", "verdict"), [(0.2, "pass"), (0.23, "fail")])
def test_a_servo_that_cuts_the_mount_is_told_by_how_much(side: float, verdict: str) -> None:
    """A cube in its case, or its boss: 0.01 mm³ is what two meshes may share."""
    for at in ((-20.0, 5.0, SHAFT_Z), (FACE_X + 9.0, 1.0, SHAFT_Z)):
        row = row_of("servo-clear", swings(), box(at, np.add(at, side)))
        assert (row.value, row.verdict) == (pytest.approx(side**3, abs=1e-4), verdict)


@pytest.mark.parametrize(("off", "verdict"), [(0.01, "pass"), (0.03, "fail"), (-0.015, "pass")])
def test_the_ears_touch_their_seat(off: float, verdict: str) -> None:
    """0.02 mm off is the most."""
    placed = ((0.0, 0.0, 1.0, FACE_X + off), *bracket().datums.servo[1:])

    row = row_of("flange-seat", with_datums(swings(), servo=placed))
    assert row.verdict == verdict
    assert row.value == pytest.approx(max(off, 0.0), abs=1e-4)


def test_ears_that_touch_beside_their_seat_do_not_rest_on_it() -> None:
    """A post against the end of an ear, and no wall behind it: pressed in by 0.2 mm they still meet nothing."""
    post = box((FACE_X, 16.55 + 4.8, -70), (FACE_X + 2, 25, -12.1))

    row = row_of("flange-seat", swings(), frame=(bored(), post))
    assert (row.value, row.verdict) == (0.2, "fail")
    assert row_of("flange-seat", swings(), frame=(bored(), wall(), post)).verdict == "pass"
    narrow = box((FACE_X - 2, 18.0, SHAFT_Z), (FACE_X, 18.7, SHAFT_Z + 0.7))  # half a mm² of a seat is one
    assert row_of("flange-seat", swings(), frame=(bored(), narrow)).value == pytest.approx(0.0, abs=1e-4)


@pytest.mark.parametrize(("spread", "verdict"), [(3.3, "pass"), (3.5, "fail")])
@pytest.mark.parametrize("name", ["case_length_spread_mm", "case_width_spread_mm"])
def test_the_smallest_of_several_servos_keeps_an_ear_on_its_seat(name: str, spread: float, verdict: str) -> None:
    """4.8 mm of ear less twice 0.2 of air and the spread, the larger of both; 1 mm is the least."""
    row = row_of("servo-held", with_servo(swings(), **{name: spread}))

    assert (row.value, row.verdict) == (pytest.approx(4.8 - 0.4 - spread), verdict)
    assert f"the smallest has {0.4 + spread:.2f} mm of play" in row.message


@pytest.mark.parametrize(("air", "verdict"), [(0.85, "pass"), (0.75, "fail")])
@pytest.mark.parametrize("where", ["face", "reverse", "normal", "hub", "screw", "tip", "inner"])
def test_0_8_mm_of_air_are_kept_round_the_arm(where: str, air: float, verdict: str) -> None:
    """Before its face and behind it, beside its tip at either end of the swing, round the hub, before its screw, past
    the tip at mid swing: a block that keeps so far off."""
    aside, up = 15 * math.sin(SWING) + 2 + air, SHAFT_Z + 15 * math.cos(SWING)
    low, high = {
        "face": ((OUTER_X + air, -1, SHAFT_Z + 12), (OUTER_X + 5, 1, SHAFT_Z + 14)),
        "inner": ((OUTER_X - 1.6 - air - 0.5, -1, SHAFT_Z + 12), (OUTER_X - 1.6 - air, 1, SHAFT_Z + 14)),
        "reverse": ((OUTER_X - 2, aside, up - 1), (OUTER_X, aside + 1, up + 1)),
        "normal": ((OUTER_X - 2, -aside - 1, up - 1), (OUTER_X, -aside, up + 1)),
        "hub": ((OUTER_X - 3, -1, SHAFT_Z - 3.5 - air - 1), (OUTER_X - 2, 1, SHAFT_Z - 3.5 - air)),
        "screw": ((OUTER_X + 0.8 + air, -1, SHAFT_Z - 1), (OUTER_X + 5, 1, SHAFT_Z + 1)),
        "tip": ((OUTER_X - 2, -1, SHAFT_Z + 17 + air), (OUTER_X - 1, 1, SHAFT_Z + 17 + air + 1)),
    }[where]

    row = row_of("arm-swing", swings(), box(low, high))
    assert (row.value, row.verdict) == (pytest.approx(air, abs=0.01), verdict)


@pytest.mark.parametrize(("air", "verdict"), [(0.85, "pass"), (0.75, "fail")])
def test_the_arm_keeps_off_the_board_too(air: float, verdict: str) -> None:
    """Longer, up to the board's underside at −12, past a plate that is not there."""
    longer = with_drive(with_servo(swings(), horn_length_mm=-12.0 - air - SHAFT_Z), board_hole_mm=0.8)

    row = row_of("arm-swing", longer, frame=(wall() ^ box((-99, -99, -99), (-15, 99, -50)),))
    assert (row.value, row.verdict) == (pytest.approx(air, abs=0.01), verdict)


def _sampled(design: Design) -> np.ndarray:
    """Points (n, 3) of the wire's axis 0.02 mm apart, bent as in use, over the swing."""
    found = []
    for path in wiring(design).ways(design, scene.arm_angles_rad(design))[0]:
        for start, end in pairwise(path):
            share = np.linspace(0, 1, 2 + int(np.linalg.norm(end - start) / 0.02))[:, None]
            found.append(start + share * (end - start))
    return np.concatenate(found)


def _to_cylinder(points: np.ndarray, x: tuple[float, float], radius: float) -> np.ndarray:
    """Distance of points to a cylinder round the shaft's axis."""
    out = np.maximum(np.maximum(x[0] - points[:, 0], points[:, 0] - x[1]), 0)
    aside = np.maximum(np.hypot(points[:, 1], points[:, 2] - SHAFT_Z) - radius, 0)
    return np.hypot(out, aside)


@pytest.mark.parametrize("tail", [2.5, 4.0, 5.0])
def test_air_between_wire_and_servo_is_that_of_a_second_model(tail: float) -> None:
    """The wire's axis in points against hub and screw as cylinders and the case as a box."""
    design = with_plan(swings(), wire_tail_mm=tail)
    points = _sampled(design)
    low, high = np.array([FACE_X - 15.75, -6.05, SHAFT_Z - 6.1]), np.array([FACE_X + 6.85, 16.55, SHAFT_Z + 6.1])
    case = np.maximum(np.maximum(low - points, points - high), 0)
    cylinders = [((11.15, 15.4), 3.5), ((15.4, 16.2), 2.0), ((0.0, 10.95), 5.85)]  # hub, screw and boss
    away = [_to_cylinder(points, (FACE_X + x0, FACE_X + x1), radius).min() for (x0, x1), radius in cylinders]
    by_hand = min(*away, np.linalg.norm(case, axis=1).min()) - 0.4

    row = row_of("wire-servo", design)
    assert row.value == pytest.approx(min(by_hand, 3.0), abs=0.03)
    assert row.verdict == ("pass" if by_hand >= 0.2 else "fail")


@pytest.mark.parametrize("hole", [4.5, 3.6, 3.2])
def test_air_between_wire_and_board_is_that_of_a_second_model(hole: float) -> None:
    """Half the hole less how far the wire's axis is off its middle anywhere between the board's underside and the
    roadbed's top, less half the wire; 0.2 mm and the 0.5 that hole and wire may be apart are wanted."""
    design = with_drive(swings(), board_hole_mm=hole)
    points = _sampled(design)
    inside = points[(points[:, 2] > -12) & (points[:, 2] < design.spec.roadbed.thickness_mm)]
    by_hand = hole / 2 - np.hypot(inside[:, 0], inside[:, 1]).max() - 0.4

    row = row_of("wire-board", design)
    assert row.value == pytest.approx(by_hand, abs=0.03)
    assert row.limit == pytest.approx(0.7)
    assert row.verdict == ("pass" if by_hand >= 0.7 else "fail")
    assert f"the {hole:g} mm hole in the board" in row.message or row.verdict == "fail"


@pytest.mark.parametrize(("wide", "verdict"), [(1.08, "pass"), (0.92, "fail")])
@pytest.mark.parametrize("wire", [0.8, 0.6])
def test_a_wire_binds_in_a_pivot_that_closes_up_on_it(wide: float, verdict: str, wire: float) -> None:
    """A land 0.4 mm thick at the pivot: round a wire of 0.8 mm, 0.2 of which the printer takes off a moving fit; a
    wire thinner by 0.2 has 0.2 more."""
    thin = box((-3, -3, PIVOT_Z - 0.2), (3, 3, PIVOT_Z + 0.2))
    off = wide - (0.8 - wire)
    land = thin - m3.Manifold.cylinder(2, off / 2, off / 2, 96).translate((0, 0, PIVOT_Z - 1))
    design = with_drive(swings(), wire_mm=wire)

    row = row_of("wire-mount", design, land)
    assert row.verdict == verdict
    assert "binds in the pivot at the end of its swing" in row.message or verdict == "pass"


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(("gap", "verdict"), [(0.1, "pass"), (-0.1, "fail")])
def test_a_wire_without_its_pin_goes_on_straight(side: float, gap: float, verdict: str) -> None:
    """What the mount has beside it where a free wire leans through: at its pivot it turns, so that so far below it, at
    the end of the swing, it stands aside by that times tan of its lean; the closing of 0.2 mm is added."""
    design = swings()
    lean = math.atan2(9.0 * math.sin(SWING), 40.78 + 9.0 - 9.0 * math.cos(SWING))
    z = PIVOT_Z - 20.0
    aside = side * -20.0 * math.tan(lean)
    edge = abs(aside) + 0.5 / math.cos(lean) + gap
    low, high = sorted((math.copysign(edge, aside), math.copysign(edge + 3, aside)))

    row = row_of("wire-mount", design, box((-3, low, z - 0.4), (3, high, z + 0.4)))
    assert row.verdict == verdict


def test_on_the_board_a_rod_passes_its_slot() -> None:
    """It closes up as a rod's slot does, not as a pivot, which would by 6 mm; its row says so, and what is kept beside
    board and roadbed."""
    design = with_spec(designed(style="hut", track_distance="32 mm").design, "printer", fits_mm={"pivot": 6.0})
    x, y = design.plan.beside.frame_x, design.plan.beside.frame_y
    frame = box((x[0], y[0] + 14, 0.0), (x[1], y[1], 2.4))

    found = {row.name: row for row in check_clearance(design, (mesh(frame),))}
    assert found["wire-mount"].value == 0.0
    assert "passes its slot" in found["wire-mount"].message
    assert found["wire-board"].limit == pytest.approx(0.2)
    assert "board and roadbed" in found["wire-board"].message


@pytest.mark.solid
def test_the_mount_as_designed_passes() -> None:
    """Nothing fails on the bracket as exported, and the fit round the case is the printer's slip fit."""
    mount = kept()
    found = {row.name: row for row in check_clearance(mount.design, mount.meshes)}

    assert {"pass"} == {row.verdict for row in found.values()}
    assert found["servo-fit"].value == pytest.approx(mount.design.spec.printer.slip_fit_mm, abs=1e-3)
    assert found["flange-seat"].value < 0.02
