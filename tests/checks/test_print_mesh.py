"""Each print check by a part that is just good and one that is just bad on that count alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import cos, radians, tan

import manifold3d as m3
import numpy as np
import pytest
from meshes import (
    arrays,
    box,
    bracket,
    checks,
    filament,
    footed,
    lying,
    not_passed,
    part,
    part_mesh,
    printer,
    prism,
    teardrop,
)

from mounts.checks.duty import Duty
from mounts.checks.model import Check
from mounts.checks.print_mesh import check_print
from mounts.mesh import PartMesh

Made = tuple[PartMesh, dict[str, float]]


def _open(missing: int) -> Made:
    vertices, faces = arrays(footed(20, 20, 10))
    return part_mesh(vertices, faces[missing:], volume_mm3=1e9 if missing else None), {}


def _hollow(width: float) -> Made:
    body = footed(20, 20, 10)
    return part(body - box(width, 4, 2).translate((0, 0, 4)) if width else body, through_holes=0), {}


def _volume(percent: float) -> Made:
    body = footed(20, 20, 10)
    return part(body, volume_mm3=body.volume() / (1 + percent / 100)), {}


def _holes(drawn: int) -> Made:
    return part(footed(20, 20, 10) - lying(teardrop(4), 30).translate((0, 0, 4)), through_holes=drawn), {}


def _wall(thick: float) -> Made:
    # leans by 30°, so that its layers are wider than it is thick
    across, up = thick / cos(radians(30)), 8.0
    shift = up * tan(radians(30))
    wall = prism([(0, 0), (across, 0), (across + shift, up), (shift, up)], 12)
    return part(footed(20, 20, 4) + wall.translate((-2, 0, 4))), {}


def _skin(thick: float) -> Made:
    return part(footed(20, 20, 5 + thick) - box(6, 30, 2).translate((0, 0, 3))), {}


def _gap(wide: float) -> Made:
    return part(footed(20, 20, 10) - box(wide, 30, 5).translate((0, 0, 5))), {}


def _hole(wide: float) -> Made:
    return part(footed(20, 20, 10) - m3.Manifold.cylinder(9, wide / 2, wide / 2, 32).translate((0, 0, 5))), {}


def _tip(angle_deg: float) -> Made:
    # a tip drawn blunt: its sides are too far from parallel for rays, and it is narrow over a long way
    half = np.tan(np.radians(angle_deg / 2))
    outline = np.array([(0, -8 * half - 0.1), (8, -0.1), (8, 0.1), (0, 8 * half + 0.1)])
    spike = m3.Manifold.extrude(m3.CrossSection([outline]), 4).translate((9.9, 0, 3.9))
    return part(footed(40, 20, 4) + spike + box(20, 20, 4).translate((0, 0, 3.9))), {}


def _hanging(floor: float) -> Made:
    # a ridge that points down; it stands on the plate, or ends in the air above it
    ridge = prism([(0, floor), (3, 9), (-3, 9)], 8)
    roof = box(6, 8, 3).translate((0, 0, 9))
    posts = box(1.3, 8, 9).translate((3.5, 0, 3)) + box(1.3, 8, 9).translate((-3.5, 0, 3))
    return part(footed(20, 20, 4) + ridge + roof + posts), {}


def _slope(lean_deg: float) -> Made:
    up = 6 / tan(radians(lean_deg))
    arm = prism([(-4, 0), (4, 0), (10, up), (10, up + 3), (-4, up + 3)], 20)
    return part(footed(30, 20, 6) + arm.translate((0, 0, 5))), {}


def _bridge(span: float) -> Made:
    return part(footed(40, 20, 20) - box(span, 30, 8).translate((0, 0, 6))), {}


def _contact(side: float, high: float) -> Made:
    return part(footed(side + 0.4, side + 0.4, high)), {}


def _leaning(head: float) -> Made:
    # a head out to one side, held at 45°; it tips over when its weight is beside the foot
    top = prism([(-6, 0), (6, 0), (26, 20), (26, 20 + head), (-6, 20 + head)], 20)
    return part(footed(12, 20, 4) + top.translate((0, 0, 3.9))), {}


def _tower(high: float) -> Made:
    return part(footed(10.4, 10.4, high)), {"bed_z_mm": 900}


def _foot(chamfer: float) -> Made:
    return part(footed(20, 20, 10, chamfer)), {}


def _size(x: float, y: float, z: float) -> Made:
    return part(footed(x, y, z)), {}


def _lifted(by: float) -> Made:
    mesh = part(footed(20, 20, 10))
    return replace(mesh, vertices_mm=mesh.vertices_mm + np.array([0, 0, by])), {}


CASES: list[tuple[str, Callable[[], Made], str, Callable[[], Made], str]] = [
    ("closed", lambda: _open(0), "pass", lambda: _open(1), "fail"),
    ("one-body", lambda: _hollow(0), "pass", lambda: _hollow(4), "fail"),
    ("volume", lambda: _volume(-0.19), "pass", lambda: _volume(-0.21), "fail"),
    ("volume", lambda: _volume(0.19), "pass", lambda: _volume(0.21), "fail"),
    ("through-holes", lambda: _holes(1), "pass", lambda: _holes(2), "fail"),
    ("through-holes", lambda: _holes(1), "pass", lambda: _holes(0), "fail"),
    ("wall", lambda: _wall(1.2), "pass", lambda: _wall(1.1), "warn"),
    ("wall", lambda: _wall(0.8), "warn", lambda: _wall(0.75), "fail"),
    ("skin", lambda: _skin(0.6), "pass", lambda: _skin(0.5), "warn"),
    ("skin", lambda: _skin(0.4), "warn", lambda: _skin(0.3), "fail"),
    ("gap", lambda: _gap(0.3), "pass", lambda: _gap(0.25), "fail"),
    ("hole", lambda: _hole(2.0), "pass", lambda: _hole(1.9), "warn"),
    ("hole", lambda: _hole(1.5), "warn", lambda: _hole(1.4), "fail"),
    ("two-lines", lambda: _tip(30), "pass", lambda: _tip(19), "warn"),
    ("island", lambda: _hanging(3.5), "pass", lambda: _hanging(5), "fail"),
    ("overhang", lambda: _slope(45), "pass", lambda: _slope(46.5), "fail"),
    ("bridge", lambda: _bridge(10), "pass", lambda: _bridge(10.2), "warn"),
    ("bridge", lambda: _bridge(25), "warn", lambda: _bridge(25.2), "fail"),
    ("contact-area", lambda: _contact(4.5, 2), "pass", lambda: _contact(4.4, 2), "warn"),
    ("contact-area", lambda: _contact(2.3, 0.62), "warn", lambda: _contact(2.2, 0.62), "fail"),
    ("balance", lambda: _leaning(2), "pass", lambda: _leaning(8), "fail"),
    ("knock", lambda: _tower(155), "pass", lambda: _tower(156), "warn"),
    ("knock", lambda: _tower(630), "warn", lambda: _tower(640), "fail"),
    ("elephant-foot", lambda: _foot(0.2), "pass", lambda: _foot(0.15), "warn"),
    ("bed", lambda: _size(220, 30, 10), "pass", lambda: _size(221, 30, 10), "fail"),
    ("bed", lambda: _size(30, 220, 10), "pass", lambda: _size(201, 201, 10), "fail"),
    ("bed", lambda: _size(40, 40, 210), "pass", lambda: _size(40, 40, 210.5), "fail"),
    ("on-bed", lambda: _lifted(-0.0005), "pass", lambda: _lifted(-0.005), "fail"),
]


@pytest.mark.parametrize(
    ("name", "good", "of_good", "bad", "of_bad"), CASES, ids=[f"{c[0]}-{c[2]}-{c[4]}" for c in CASES]
)
def test_check_tells_the_just_bad_from_the_just_good(
    name: str, good: Callable[[], Made], of_good: str, bad: Callable[[], Made], of_bad: str
) -> None:
    """A part just inside a limit and one just beyond it differ in that check's verdict and no other."""
    good_mesh, good_changes = good()
    bad_mesh, bad_changes = bad()

    found_good, found_bad = checks(good_mesh, **good_changes), checks(bad_mesh, **bad_changes)

    assert ({} if of_good == "pass" else {name: of_good}) == not_passed(found_good)
    assert {name: of_bad} == not_passed(found_bad)
    assert found_bad[name].message != found_good[name].message


def _with_duty(mesh: PartMesh, duty: Duty) -> dict[str, Check]:
    return {check.name: check for check in check_print(mesh, printer(), filament(), duty)}


def _screw(x: float, y: float, *, drilled: bool) -> Duty:
    return Duty(1.6, np.array([[[x, y, 0.0], [0.0, 0.0, 1.0]]]), 2.0, drilled=drilled)


@pytest.mark.parametrize(("thick", "verdict"), [(1.7, "pass"), (1.5, "warn"), (0.75, "fail")])
def test_a_wall_under_load_is_at_least_1_6(thick: float, verdict: str) -> None:
    """1.6 to 2.0 mm for structural walls (standards, 8), where 1.2 is enough for scenery; too thin to print fails."""
    mesh, _ = _wall(thick)

    assert _with_duty(mesh, _screw(50.0, 50.0, drilled=False))["wall"].verdict == verdict


@pytest.mark.parametrize(("thick", "verdict"), [(1.3, "pass"), (1.1, "warn")])
def test_beside_a_screw_what_a_boss_leaves_is_enough(thick: float, verdict: str) -> None:
    """A boss of 2.0 d on a core of 0.8 d (standards, 7) has 1.2 mm of wall with a 2 mm screw."""
    mesh = part(footed(20, 20, 4) + box(thick, 4, 6).translate((0, 0, 3.9)))

    assert _with_duty(mesh, _screw(0.0, 0.0, drilled=False))["wall"].verdict == verdict
    assert _with_duty(mesh, _screw(9.0, 0.0, drilled=False))["wall"].verdict == "warn"


@pytest.mark.parametrize(("wide", "verdict"), [(1.55, "pass"), (1.4, "fail")])
def test_a_rough_hole_that_is_drilled_through_is_well(wide: float, verdict: str) -> None:
    """Where a drill is run through it: it must only not close up. One beside it keeps its own limit."""
    mesh, _ = _hole(wide)

    assert _with_duty(mesh, _screw(0.0, 0.0, drilled=True))["hole"].verdict == verdict
    elsewhere = _with_duty(mesh, _screw(8.0, 0.0, drilled=True))["hole"].verdict
    assert elsewhere == ("warn" if verdict == "pass" else "fail")


def test_value_sense_and_limit_explain_the_verdict() -> None:
    """Where a check does not pass, its value is beyond the limit it gives, in the sense it gives."""
    for name, _, _, bad, _ in CASES:
        mesh, changes = bad()
        check = checks(mesh, **changes)[name]
        beyond = {"at least": check.value < check.limit, "at most": check.value > check.limit}

        assert beyond.get(check.sense, check.value != check.limit), check


def test_good_bracket_passes_everything() -> None:
    """Plate, wall, gussets, countersinks, wire slot and lying pilot hole give no false alarm."""
    assert not_passed(checks(part(bracket()), bridge_warn_mm=24)) == {}


def test_same_mesh_gives_the_same_rows() -> None:
    """Two runs on one mesh give equal checks in the same order, each name once."""
    mesh = part(bracket())

    first, second = (list(check_print(mesh, printer(), filament())) for _ in range(2))

    assert first == second
    assert len(first) == len({check.name for check in first})


def test_turned_part_gives_the_same_verdicts() -> None:
    """A part turned about z by an odd angle is judged as before, to 0.02 mm."""
    straight = checks(part(bracket()))
    turned = checks(part(bracket().rotate((0, 0, 37))))

    for name in set(straight) - {"bed", "skin", "contact-area", "through-holes"}:
        assert straight[name].verdict == turned[name].verdict, name
        assert straight[name].value == pytest.approx(turned[name].value, abs=0.02, rel=0.01), name


def test_inside_out_mesh_fails_on_its_volume() -> None:
    """A mesh with every face turned over is closed but has a negative volume, and nothing more is said."""
    mesh = part(footed(20, 20, 10))

    found = checks(replace(mesh, faces=mesh.faces[:, ::-1]))

    assert found["volume"].verdict == "fail"
    assert "wall" not in found


def test_less_than_a_cubic_millimetre_is_measured_or_inside_out_like_any_other() -> None:
    """A cube of 0.9 mm."""
    crumb = part(m3.Manifold.cube((0.9, 0.9, 0.9)))

    assert "wall" in checks(crumb)
    assert list(checks(replace(crumb, faces=crumb.faces[:, ::-1])))[-1] == "through-holes"
