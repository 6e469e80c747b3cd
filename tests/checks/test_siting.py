"""The structure gauge against figures worked out by hand from NEM 102 (2017) and NEM 103 (2016)."""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
import pytest
from made import Mount, kept
from meshes import arrays, box, part, part_mesh
from plain import designed
from requests_for_drives import profile, request

from mounts import gauge
from mounts.checks.model import Check
from mounts.checks.siting import check_rod_siting, check_siting, intrusion
from mounts.design import Beside, Design, Plan
from mounts.errors import InputError, NoDesign
from mounts.frames import apply
from mounts.inputs.scale import Scale
from mounts.inputs.spec import MountSpec

HALF_MM = {
    "Z": (9, 10),
    "N": (12.5, 13.5),
    "TT": (16, 18),
    "HO": (21, 24),
    "S": (28.5, 33),
    "O": (41, 47),
    "I": (57, 65),
}
"""NEM 102, BL3/2 up to HL1 and BL1/2 above: halves of the table in standards, 3."""
TRACK_Y = -10.0


def _beside(spec: MountSpec, curve: gauge.Side = "either", vehicles: gauge.Group = "auto") -> Design:
    """A request and its track: no more of a design is asked."""
    track = Beside.model_construct(track_y=TRACK_Y, curve=curve, vehicles=vehicles)
    return Design.model_construct(spec=spec, plan=Plan.model_construct(beside=track))


def _check(
    scale: str,
    near_mm: float,
    *,
    height_mm: float = 30.0,
    long_mm: float = 40.0,
    at_x: float = 0.0,
    curve: gauge.Side = "either",
    vehicles: gauge.Group = "auto",
    **spec: object,
) -> Check:
    """The row of a block of a height above rail top whose near face is so far from the centre line."""
    rails = profile(Scale, scale)
    rail_top = rails.roadbed_mm + rails.rail_top_above_roadbed_mm
    block = box(long_mm, 20, rail_top + height_mm).translate((at_x, TRACK_Y + near_mm + 10, 0))
    rows = list(check_siting(_beside(request(style="hut", scale=scale, **spec), curve, vehicles), [part(block)]))
    assert len(rows) == 1
    return rows[0]


@pytest.mark.parametrize(("scale", "halves"), HALF_MM.items())
def test_tall_block_stands_half_bl1_from_the_line(scale, halves):
    """Just clear it passes, 0.3 mm nearer it is refused with 0.3 mm, in every scale."""
    _, wide = halves

    assert _check(scale, wide + 0.05, height_mm=60).verdict == "pass"
    refused = _check(scale, wide - 0.3, height_mm=60)
    assert (refused.verdict, refused.value) == ("fail", pytest.approx(0.3, abs=0.001))
    assert _check(scale, wide - 0.008, height_mm=60).value == 0.0  # a hundredth is what two meshes stray
    short = _check(scale, wide - 0.5, height_mm=60).message
    assert short.endswith(f"moved to --track-distance {wide:.1f} it is clear")


@pytest.mark.parametrize(("scale", "halves"), HALF_MM.items())
def test_low_block_stands_half_bl3_from_the_line(scale, halves):
    """A block as high as a platform may stand nearer; one a millimetre higher may not."""
    low, wide = halves
    hl1 = profile(Scale, scale).structure_gauge.hl1_mm

    assert _check(scale, low + 0.05, height_mm=hl1 - 0.1).verdict == "pass"
    assert _check(scale, low - 0.4, height_mm=hl1 - 0.1).value == pytest.approx(0.4, abs=0.001)
    assert _check(scale, low + 0.05, height_mm=hl1 + 1).value == pytest.approx(wide - low - 0.05, abs=0.001)


def test_what_lies_below_rail_top_is_not_in_the_gauge():
    """NEM 102 begins at rail top."""
    assert _check("HO", 5.0, height_mm=-0.1).verdict == "pass"


def test_eaves_are_measured_at_their_own_height():
    """H0, eaves at 52 mm: between HL3 = 45 (BL1/2 = 24) and HL4 = 59 (BL2/2 = 16) the half width is 20."""
    eaves = box(40, 20, 2).translate((0, TRACK_Y + 18 + 10, 9.5 + 52))

    (row,) = check_siting(_beside(request(scale="HO")), [part_mesh(*arrays(eaves))])

    assert row.value == pytest.approx(20 - 18, abs=0.001)
    assert "at 52.0 mm above rail top" in row.message


def test_a_wall_that_leans_past_the_kink_is_worst_at_the_kink():
    """A body whose nearest face is slanted is compared at HL3, where no corner of it lies."""
    low, high = 9.5 + 20, 9.5 + 59
    foot, head = (box(40, 20, 0.01).translate((0, TRACK_Y + near + 10, z)) for z, near in ((low, 30.0), (high, 10.0)))
    leaning = m3.Manifold.hull(foot + head)

    (row,) = check_siting(_beside(request(scale="HO")), [part_mesh(*arrays(leaning))])

    at_hl3 = 30 - 20 * (45 - 20) / (59.01 - 20)
    at_hl4 = 10.0
    assert row.value == pytest.approx(max(24 - at_hl3, 16 - at_hl4), abs=0.02)


@pytest.mark.parametrize(
    ("scale", "radius", "group", "widening"),
    [
        ("N", 400, "C", 4),
        ("N", 600, "C", 2),
        ("N", 599, "C", 4),
        ("N", 5000, "A", 0),
        ("TT", 1000, "B", 1),
        ("HO", 400, "auto", 11),
        ("HO", 600, "auto", 9),
        ("HO", 700, "B", 6),
        ("S", 1000, "C", 9),
        ("O", 1000, "A", 10),
        ("OO", 1000, "C", 4),
    ],
)
def test_widening_is_the_tables(scale, radius, group, widening):
    """NEM 103, rows of standards 3; between two radii the smaller counts; auto is the longest stock that runs."""
    found = gauge.widening(profile(Scale, scale), radius, group)

    assert (found.each_side_mm, found.published) == (widening, True)


def test_group_that_cannot_run_is_refused():
    """NEM 103 has no figure for group C on R 400 in H0."""
    with pytest.raises(NoDesign, match="group C can't run on R 400"):
        gauge.widening(profile(Scale, "HO"), 400, "C")
    assert _check("HO", 60, track_radius_mm=400, vehicles="C").verdict == "fail"


def test_radius_below_the_table_is_warned_of():
    """R 200 in N is not in the table as read: twice the overhang of R 400, and a warning."""
    found = gauge.widening(profile(Scale, "N"), 200, "C")

    assert found.each_side_mm == pytest.approx((4 + 0.5) * 2)
    assert _check("N", 40, track_radius_mm=200).verdict == "warn"
    assert _check("N", 13.5 + 8, track_radius_mm=200, curve="outside", long_mm=1).verdict == "fail"
    assert _check("I", 90, track_radius_mm=1200).verdict == "warn"


@pytest.mark.parametrize("at_x", [0.0, 12.0])
def test_inside_a_curve_the_ends_are_nearest(at_x):
    """N, R 400: the line bends towards a 40 mm wall; its end at x is R − √(x² + (R − near)²) from it."""
    near, end = 17.0, 20.0 + at_x
    by_hand = 13.5 + 4 - (400 - math.hypot(end, 400 - near))

    row = _check("N", near, at_x=at_x, track_radius_mm=400, curve="inside")

    assert row.value == pytest.approx(by_hand, abs=0.01)
    assert ", 4.0 of it for the curve: NEM 103 group C, R 400" in row.message


def test_outside_a_curve_the_middle_is_nearest():
    """N, R 400: the line bends away; the middle of the wall is nearest, and it has no corner there."""
    row = _check("N", 17.0, track_radius_mm=400, curve="outside")

    assert row.value == pytest.approx(13.5 + 4 - 17.0, abs=0.01)


def test_either_side_takes_the_worse():
    """Where the side is not told, the housing must be clear on both."""
    inside, outside, either = (
        _check("N", 17.0, track_radius_mm=400, curve=side).value for side in ("inside", "outside", "either")
    )

    assert either == max(inside, outside) > min(inside, outside)


@pytest.mark.parametrize(
    ("spec", "half_mm"),
    [
        ({}, 24.0),  # NEM 102, H0: BL1/2
        ({"track_radius_mm": 600, "curve": "outside"}, 24.0 + 9),  # R 600 to 1000 in NEM 103, group C
    ],
)
@pytest.mark.parametrize(("side", "clear"), [(1, 50 + 20), (-1, 50)])
def test_a_block_between_two_tracks_keeps_clear_of_both(spec, half_mm, side, clear):
    """A block 50 to 70 mm from its own track needs half BL1 on the side of the other too, whichever side it is on."""

    def row(distance):
        rails, asked = profile(Scale, "HO"), {key: value for key, value in spec.items() if key != "curve"}
        block = box(1, 20, rails.roadbed_mm + 60).translate((0, TRACK_Y + 60, 0))
        wanted = request(scale="HO", other_tracks_mm=(distance,), **asked)
        own, other = check_siting(_beside(wanted, spec.get("curve", "either")), [part(block)])
        assert own.verdict == "pass"
        return other

    needed = clear + side * half_mm
    near = row(needed - side * 0.3)

    assert (near.verdict, near.value) == ("fail", pytest.approx(0.3, abs=0.02))
    if side > 0:
        named = float(near.message.rsplit("that track is ", 1)[1].split()[0])
        assert named == pytest.approx(needed, abs=0.11 if spec else 1e-9)
        assert row(named).verdict == "pass"
    else:
        named = float(near.message.rsplit("--track-distance ", 1)[1].split()[0])
        assert named == pytest.approx(50 + 0.3, abs=0.11)


@pytest.mark.parametrize(("distance", "moves"), [(59.5, "to --track-distance"), (60.5, "that track")])
def test_whichever_track_is_nearer_the_middle_of_the_block_moves_is_told(distance, moves):
    """A block 50 to 70 mm from its own track: one through it short of 60 mm is what it must get away from, one beyond
    is to be laid further off, where the block keeps clear of it altogether."""
    rails = profile(Scale, "HO")
    block = box(7, 20, rails.roadbed_mm + 60).translate((3, TRACK_Y + 60, 0))

    _, other = check_siting(_beside(request(scale="HO", other_tracks_mm=(distance,))), [part(block)])
    assert other.verdict == "fail"
    named = float(other.message.split({"that track": "that track is "}.get(moves, "--track-distance "))[1].split()[0])
    assert named == pytest.approx(distance + 24 if "distance" in moves else 70 + 24, abs=0.11)


@pytest.mark.parametrize("bend", ["inside", "outside"])
def test_what_lies_beside_the_middle_of_a_curve_gains_less_than_it_moves(bend):
    """A cube of 0.2 mm at x = 40 beside R 100, 3 mm inside the gauge and 2 to 2.2 mm above rail top: moved by y it
    gains y·cos φ, φ from the curve's middle, so that 3 mm are gained by 3/cos φ."""
    middle = 100.0 if bend == "inside" else -100.0
    far = 100.0 - 17.0 if bend == "inside" else 100.0 + 17.0
    away = math.sqrt(far**2 - 40.0**2)
    cube = m3.Manifold.cube((0.2, 0.2, 0.2), True).translate(
        (40.0, middle + (-away if bend == "inside" else away), 7.1)
    )

    found = intrusion(cube, [gauge.Band(0.0, 9.0, 20.0, 20.0)], 5.0, gauge.Track(0.0, bend, 100.0))
    corner = 0.1 * (away + 40.0) / far  # the cube's nearest corner is nearer by that
    assert found.depth_mm == pytest.approx(3.0 + corner, abs=0.01)
    assert found.shift_mm == pytest.approx((3.0 + corner) * far / away, rel=0.003)
    assert found.above_mm == pytest.approx(2.2, abs=1e-4)
    assert 2.0 - 1e-4 <= found.height_mm <= 2.2 + 1e-4


@pytest.mark.parametrize("spec", [{}, {"track_radius_mm": 400}, {"track_radius_mm": 600, "curve": "inside"}])
def test_the_distance_that_is_named_clears_it(spec):
    """Moved to the distance in the message the same block passes; 0.2 mm less does not."""
    row = _check("N", 11.0, at_x=9.0, **spec)
    named = float(row.message.rsplit("--track-distance ", 1)[1].split()[0])

    assert _check("N", named, at_x=9.0, **spec).verdict == "pass"
    assert _check("N", named - 0.2, at_x=9.0, **spec).verdict == "fail"


def _hut(distance: str) -> Mount:
    return kept({"pose": "side"}, style="hut", scale="N", board="12 mm", track_distance=distance, track_radius="400 mm")


def _siting(mount: Mount) -> list[Check]:
    return [*check_siting(mount.design, mount.meshes), *check_rod_siting(mount.design)]


@pytest.mark.filterwarnings("error")
def test_inside_a_tight_curve_nothing_is_promised():
    """A block that reaches past the middle of R 100 can't be moved clear: no distance is named, and what else to do."""
    row = _check("HO", 50.0, long_mm=90.0, track_radius_mm=100.0, curve="inside")

    assert row.verdict == "fail"
    assert "no place on that side of the curve is clear: use --set curve=outside" in row.message


def test_tracks_do_not_lie_on_each_others_sleepers():
    """H0: 2.6 m sleepers at 1:87 are 29.9 mm; a track 29 mm away is refused with what is allowed."""
    from mounts.inputs.library import Library
    from mounts.inputs.request import read_request
    from mounts.inputs.resolve import resolve

    asked = {"id": "h", "style": "hut", "board": "12", "scale": "HO"}
    with pytest.raises(InputError, match=r"--other-track = '-29' \(-29 mm\): must be 29.9 to 1000 mm on either side"):
        resolve(read_request({**asked, "other_track": ["-29"]}), Library())
    assert resolve(read_request({**asked, "other_track": ["46", "-46"]}), Library()).other_tracks_mm == (46, -46)


@pytest.mark.solid
def test_a_hut_too_near_on_a_curve_is_refused_by_what_is_missing():
    """N, R 400: 27/2 + 4 mm (NEM 102 and 103) less the distance of the upright wall's nearest corner from the arc."""
    mount = _hut("16 mm")
    walls = next(mesh for mesh in mount.meshes if mesh.name == "shell")
    points = apply(walls.print_to_mount, walls.vertices_mm)
    points = points[points[:, 2] > points[:, 2].max() / 2]
    centre = mount.design.beside_track().track_y + 400
    by_hand = 27 / 2 + 4 - (400 - np.hypot(points[:, 0], points[:, 1] - centre)).min()

    row = next(row for row in _siting(mount) if row.part == "shell")

    assert by_hand > 0
    assert (row.verdict, row.value) == ("fail", pytest.approx(by_hand, abs=0.1))


@pytest.mark.solid
@pytest.mark.parametrize(
    ("style", "scale", "radius"),
    [
        ("hut", "N", "400 mm"),
        ("hut", "TT", "200 mm"),
        ("bank", "N", "300 mm"),
    ],
)
def test_without_a_distance_the_place_is_clear(style, scale, radius):
    """Where none is asked for, housing and rod stand outside the widened gauge, its ends inside a curve too."""
    mount = kept(style=style, scale=scale, board="12 mm", track_radius=radius)

    assert "fail" not in {row.verdict for row in _siting(mount)}
    if style == "hut" and radius != "200 mm":  # NEM 103 as read has no figures for so tight a curve
        assert {row.verdict for row in _siting(mount)} == {"pass"}


def test_inside_too_tight_a_curve_there_is_no_place():
    """A bank in H0 is refused inside R 100, with what would do, and stands outside it."""
    with pytest.raises(NoDesign, match=r"inside a curve of R 100 mm there is no place .* --set curve=outside"):
        designed(style="bank", scale="HO", track_radius="100 mm")


def test_swept_gauge_is_the_closed_form():
    """Guldin's rule: a band swept along an arc is its area times the way of its centroid."""
    band = gauge.Band(2.0, 10.0, 12.0, 12.0)
    body = gauge.swept(band, gauge.Track(-7.0, "inside", 500.0), rail_top_z=5.0, x_span=(-20.0, 30.0))
    angle = 2 * math.asin((30 + 20) / (500 - 12))

    assert body.volume() == pytest.approx(24 * 8 * 500 * angle, rel=1e-3)
    low, high = np.array(body.bounding_box()).reshape(2, 3)
    assert (low[2], high[2]) == pytest.approx((7.0, 15.0))
    assert low[0] < -20
    assert high[0] > 30


def test_scale_without_a_gauge_says_so():
    """Nothing is invented where no figures were published."""
    bare = profile(Scale, "HO").model_copy(update={"structure_gauge": None})
    (row,) = check_siting(_beside(request(scale="HO").model_copy(update={"scale": bare})), [part(box(9, 9, 9))])

    assert row.verdict == "warn"
    assert "no published structure gauge" in row.message
