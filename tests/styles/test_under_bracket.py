"""What is particular to the under-board bracket."""

import math

import cadquery as cq
import numpy as np
import pytest
import trimesh
from bench.bench_stiffness import bricked
from cube_elements import pulled
from made import build, kept
from plain import designed
from plane_stress import clamped_plate_n_per_mm, torsion_mm4

from mounts import scene
from mounts.errors import NoDesign
from mounts.frames import apply, inverse
from mounts.inputs.library import Library
from mounts.inputs.request import MountRequest
from mounts.inputs.resolve import resolve
from mounts.report.printing import printed
from mounts.styles import _bracket
from mounts.styles._bracket import Options
from mounts.styles._bracket_legs import Legs, upright_mpa_per_n
from mounts.styles.under_bracket import _lies_down

pytestmark = pytest.mark.solid

LIES = ("across", "down")


def _mesh(mount) -> trimesh.Trimesh:
    """The exported part in the mount frame."""
    mesh = mount.meshes[0]
    return trimesh.Trimesh(apply(mesh.print_to_mount, mesh.vertices_mm), mesh.faces, process=False)


def _bore(mount, z) -> np.ndarray:
    """Where a level plane meets the walls of the hole round x = y = 0, points (n, 2)."""
    segments = trimesh.intersections.mesh_plane(_mesh(mount), plane_normal=(0, 0, 1), plane_origin=(0, 0, z))
    points = segments.reshape(-1, 3)[:, :2]
    return points[np.abs(points).max(axis=1) < 4]


def _servo_solid(design) -> cq.Shape:
    """The servo drawn again from its profile with the CAD kernel, as brief.md, section 2 describes it."""
    servo = design.spec.servo
    middle = servo.case_length_mm / 2 - servo.shaft_offset_mm
    case = (
        cq.Workplane()
        .box(servo.case_length_mm, servo.case_width_mm, servo.case_height_mm)
        .translate((middle, 0, servo.case_height_mm / 2 - servo.flange_underside_height_mm))
    )
    ears = (
        cq.Workplane()
        .box(servo.flange_span_mm, servo.case_width_mm, servo.flange_thickness_mm)
        .translate((middle, 0, servo.flange_thickness_mm / 2))
    )
    rows = design.datums.servo
    placed = cq.Location(
        cq.Plane(
            origin=tuple(row[3] for row in rows[:3]),
            xDir=tuple(row[0] for row in rows[:3]),
            normal=tuple(row[2] for row in rows[:3]),
        )
    )
    return case.union(ears).val().moved(placed)


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("lie", LIES)
def test_a_servo_drawn_from_the_profile_sits_on_its_seat_and_cuts_nothing(lie, mirror):
    """Placed with datums.servo it touches the seat (distance 0) and shares no volume with the bracket."""
    mount = kept({"lie": lie}, mirror=mirror, max_depth=80)

    servo, bracket = _servo_solid(mount.design), mount.parts[0].solid
    assert bracket.intersect(servo).Volume() == pytest.approx(0, abs=1e-6)
    assert bracket.distance(servo) == pytest.approx(0, abs=1e-6)


def test_thick_ribs_leave_the_ends_of_the_pilots_open():
    """From the seat to a screw's diameter behind the wall no plastic lies on a pilot's axis, nor half a core beside it.

    Thick ribs end above the pilots, which they would shut; thin ones stand beside them.
    """
    for rib_mm in (1.6, 6.0):
        mount = kept({"lie": "across", "rib_mm": rib_mm}, servo="standard-40g", scale="I", max_depth=120)
        plan, screw = mount.design.plan, mount.design.spec.servo.screw_mm
        along = np.linspace(plan.wall_face_x + 0.1, plan.wall_face_x - plan.wall_mm - screw, 40)
        for y, z in plan.pilots_yz:
            for beside in (-0.4 * screw, 0.0, 0.4 * screw):
                axis = np.column_stack([along, np.full_like(along, y + beside), np.full_like(along, z)])
                assert not _mesh(mount).contains(axis).any(), (rib_mm, y, beside)


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("lie", LIES)
def test_the_pivot_bore_is_where_the_report_says(lie, mirror):
    """A section of the STL at the pivot's height has a hole round x = y = 0, as wide as wire, slack, correction."""
    mount = kept({"lie": lie}, mirror=mirror, max_depth=80)
    design = mount.design
    x, y, z = design.datums.pivot

    bore = _bore(mount, z)

    low, high = bore.min(axis=0), bore.max(axis=0)
    assert (low + high)[1] / 2 == pytest.approx(y, abs=0.01)
    assert low[0] < x - 0.9
    assert high[0] > x + 0.9
    expected = design.drive.wire_mm + design.spec.printer.moving_fit_mm + design.spec.printer.hole_upright_mm
    assert high[1] - low[1] == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("lie", LIES)
def test_the_bore_is_waisted_for_the_wires_lean(lie):
    """At the plate's faces the bore is wider than where a wire leaning by the drive's tilt passes them."""
    mount = kept({"lie": lie}, max_depth=80)
    design = mount.design
    half_plate = design.plan.plate_mm / 2

    for side in (-1, 1):
        z = design.datums.pivot[2] + side * (half_plate - 0.01)
        bore = _bore(mount, z)
        lean = math.radians(design.drive.tilt_deg)
        needed = half_plate * math.tan(lean) + design.drive.wire_mm / 2 / math.cos(lean)
        assert bore[:, 1].max() > needed
        assert bore[:, 1].min() < -needed


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("lie", LIES)
def test_every_fixing_hole_goes_through_at_its_datum(lie, mirror):
    """A ray up each fixing's axis meets nothing; a ray 3.5 mm beside it meets the plate."""
    mount = kept({"lie": lie}, mirror=mirror, max_depth=80)
    mesh = _mesh(mount)
    z = mount.design.datums.fixings[0][2]

    for x, y, face in mount.design.datums.fixings:
        assert face == pytest.approx(-18.0)
        free, beside = (x, y, z - 10), (x * 0.999, y - math.copysign(3.5, y), z - 10)
        hits = mesh.ray.intersects_any([free, beside], [(0, 0, 1), (0, 0, 1)])
        assert hits.tolist() == [False, True]


def test_the_arm_holds_the_wire_under_the_pivot():
    """At mid swing shaft, arm hole, pivot and pin stand in one upright line; d and r are as in the drive."""
    design = kept().design

    hole = scene.horn_hole(design, 0.0)
    shaft, axis = scene.shaft_axis(design)
    assert hole[1] == pytest.approx(0, abs=1e-9)
    assert design.datums.pivot[2] - hole[2] == pytest.approx(design.drive.pivot_to_horn_mm)
    assert hole[2] - shaft[2] == pytest.approx(design.drive.horn_radius_mm)
    assert abs(hole[0]) == pytest.approx(design.drive.wire_mm / 2)
    assert np.abs(axis).tolist() == [1, 0, 0]


def test_the_servo_lies_across_where_depth_is_short():
    """A standard servo lies across within 60 mm and goes down, narrower, where 100 mm are allowed."""

    def spec(depth):
        asked = {"id": "a", "style": "under-bracket", "servo": "standard-40g", "board": "18 mm", "max_depth": depth}
        return resolve(MountRequest.model_validate(asked), Library())

    assert not _lies_down(spec(60), Options())
    assert _lies_down(spec(100), Options())
    assert not _lies_down(spec(100), Options(lie="across"))


def test_the_screws_fit_the_board():
    """The longest that strips before its head splits 3.5 mm of PETG that is printed on edge, 12 mm; of a plastic that
    tells no strength the longest whose point stays 2 mm below the top of the 18 mm, 16."""
    spec = kept().design.spec
    untold = spec.filament.model_copy(update={"tensile_mpa": None, "tensile_z_mpa": None})

    assert {screw.length_mm for screw in kept().design.plan.screws} == {12.0}
    (screw,) = _bracket.screws(spec.model_copy(update={"filament": untold}), Options(), ((0.0, 0.0),))
    assert screw.length_mm == 16.0


def test_a_board_too_thin_for_any_screw_gets_a_pad_wider_than_the_plate():
    """4 mm of board takes no wood screw that is sold: 6.5 mm of plywood is glued under it, and the mount to that."""
    mount = kept({}, board="4 mm")
    plan, spec = mount.design.plan, mount.design.spec

    assert (spec.pad_mm, spec.board.thickness_mm) == (6.5, 10.5)
    assert plan.board_face_z == -10.5
    corners = _mesh(mount).vertices
    plate = corners[corners[:, 2] > plan.board_face_z - plan.plate_mm + 0.01, :2]
    assert np.min(plan.pad_xy, axis=0) == pytest.approx(plate.min(axis=0) - 10, abs=0.01)
    assert np.max(plan.pad_xy, axis=0) == pytest.approx(plate.max(axis=0) + 10, abs=0.01)


def test_a_bolt_is_refused_where_its_nut_would_lie_under_the_track():
    """A named bolt goes through; the line names the option to leave."""
    with pytest.raises(NoDesign, match=r"its nut would lie under the track; leave --screw free"):
        build({}, screw="bolt-m3")


def test_a_named_screw_that_nothing_lets_grip_is_refused_with_a_way_out(tmp_path):
    """40 mm screws and no shorter come through a 3 mm board with any pad: the line says what to leave free."""
    mine = tmp_path / "mine.toml"
    mine.write_text('extends = "wood-3"\nlengths_mm = [40.0]\n')

    with pytest.raises(NoDesign, match=r"no mine screw grips the 3 mm board .* leave --screw free"):
        build({}, board="3 mm", screw=str(mine))


@pytest.mark.parametrize("lie", LIES)
def test_the_name_stands_on_the_bracket(lie):
    """A longer name adds plastic: letters 0.6 mm high on the plate or the post."""
    one = kept({"lie": lie}, id="I", max_depth=80).parts[0].solid.Volume()
    more = kept({"lie": lie}, id="W8", max_depth=80).parts[0].solid.Volume()

    assert 4 < more - one < 60


def test_the_legs_are_as_stiff_and_as_strong_as_told():
    """Their printed solid in bricks, held where its screws press it on the board, the servo stiff on its ears where its
    screws press them, pulled at the arm's hole across the track and upright: within 20 %, and stress, which is without
    the peak in a sharp corner, on the safe side."""
    mount = designed(style="under-bracket", board="12 mm", scale="O", max_depth=90, set={"lie": "across"})
    body, plan = bricked(mount), mount.design.plan
    found = body.pulled(body.seat, scene.horn_hole(mount.design, 0.0))
    lifted = body.pulled(body.seat, scene.horn_hole(mount.design, 0.0), way=(0.0, 0.0, 1.0))
    shape = Legs(
        (plan.notch_y[0] - plan.wall_y[0], plan.wall_y[1] - plan.notch_y[1]),
        apart_mm=plan.inside_y[1] - plan.inside_y[0] + plan.rib_mm,
        foot_mm=plan.foot_y[1] - plan.foot_y[0],
        web_mm=plan.web_mm,
        rib_mm=plan.rib_mm,
        deep_mm=(plan.wall_mm, plan.rib_reach_mm),
    )

    assert plan.seat_n_per_mm == pytest.approx(found.n_per_mm, rel=0.2)
    assert 0.8 * plan.seat_mpa_per_n < found.linear_mpa().max() < plan.seat_mpa_per_n
    assert upright_mpa_per_n(shape, -plan.wall_face_x) == pytest.approx(lifted.linear_mpa().max(), rel=0.2)


def test_cubes_bend_as_a_beam_does():
    """A cantilever of 4 × 4 × 60 mm by cubes of 1 mm, pulled at its end: 3·E·I/L³ and 6·F·L/(b·h²) in the first section
    that is not held, any handbook, within 2 %."""
    bar = np.ones((4, 4, 60), dtype=bool)
    found = pulled(
        bar,
        1.0,
        (2000.0, 0.36),
        lambda places: places[:, 2] < 0.1,
        lambda places: places[:, 2] > 59.9,
        np.array([2.0, 2.0, 60.0]),
        np.array([1.0, 0.0, 0.0]),
    )
    assert found.n_per_mm == pytest.approx(3 * 2000 * (4 * 4**3 / 12) / 60**3, rel=0.02)
    assert found.linear_mpa().max() == pytest.approx(6 * 58.5 / 4**3, rel=0.04)


@pytest.mark.parametrize("servo", ["micro-9g", "standard-40g"])
def test_the_post_is_as_strong_as_told(servo):
    """Its printed solid in bricks of half a millimetre to a whole one: membrane and bending in the section that bears
    the most, of post or plate, within 20 %; the corner of the case's opening itself is sharp, and bears more there."""
    mount = designed(style="under-bracket", servo=servo, board="12 mm", scale="HO", max_depth=120, set={"lie": "down"})
    body = bricked(mount)
    found = body.pulled(body.seat, scene.horn_hole(mount.design, 0.0))

    assert 0.8 < found.linear_mpa().max() / mount.design.plan.seat_mpa_per_n < 1.2
    assert np.abs(found.stress_mpa).max() > 1.2 * found.linear_mpa().max()


def test_the_post_is_as_stiff_as_told():
    """Bending by finite elements in plane stress, twist by finite differences (Prandtl's stress function): 4 %."""
    design = kept({"lie": "down"}, max_depth=80).design
    plan, modulus = design.plan, design.spec.filament.modulus_mpa
    wide, thick = plan.case_side_y - plan.wall_y[0], plan.wall_mm
    long = plan.board_face_z - plan.plate_mm - design.datums.servo[2][3]

    bends = clamped_plate_n_per_mm(long, wide, thick, modulus, 0.36)
    lever, shear = thick / 2 - plan.wall_face_x, modulus / (2 * 1.36)  # the wire is at x = 0
    short = plan.opening_z[1] - design.datums.servo[2][3]
    turns = (long - short) / torsion_mm4(wide, thick) + short / torsion_mm4(plan.case_side_y - plan.low_y, thick)
    assert plan.seat_n_per_mm == pytest.approx(1 / (1 / bends + turns * lever**2 / shear), rel=0.04)


@pytest.mark.parametrize(
    ("asked", "most_g", "most_minutes"),
    [
        ({"lie": "across", "max_depth": 60}, 6.7, 37),
        ({"lie": "down", "max_depth": 80}, 6.5, 34),
        ({"lie": "across", "servo": "mini-20g", "max_depth": 90}, 7.4, 40),
    ],
)
def test_a_bracket_stays_lean(asked, most_g, most_minutes):
    """Three fixed mounts: no more grams and minutes, as the report reckons them, than with thin walls; a solid wall
    5 mm thick, a plate of 4 mm and ribs of 2.4 made 9 to 14 g of them.
    """
    request = {key: value for key, value in asked.items() if key != "lie"}
    mount = kept({"lie": asked["lie"]}, **request)
    found = printed(mount.meshes[0], mount.design.spec.printer, mount.design.spec.filament)

    assert found.mass_g < most_g
    assert found.minutes < most_minutes


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("lie", LIES)
def test_notches_in_the_plates_edge_show_both_axes_and_which_side_is_reverse(lie, mirror):
    """On the STL, in the plate: three at +y and one at -y on the tie bar's axis, one in front on the track's."""
    mount = kept({"lie": lie}, mirror=mirror, max_depth=80)
    marks = mount.design.plan.index_marks
    z = mount.design.plan.board_face_z - mount.design.plan.plate_mm + 0.3
    segments = trimesh.intersections.mesh_plane(_mesh(mount), plane_normal=(0, 0, 1), plane_origin=(0, 0, z))
    corners = segments.reshape(-1, 3)[:, :2]

    def tips(mark):
        """Corners of the section 0.8 mm inside the edge, within 4 mm of the mark, by their place along it."""
        across = 0 if mark.axis == "track" else 1
        inside = np.abs(np.abs(corners[:, across] - mark.at[across]) - 0.8) < 0.01
        along = corners[inside][:, 1 - across] - mark.at[1 - across]
        return sorted({round(float(place), 1) + 0.0 for place in along if abs(place) < 4})

    sides = {(mark.axis, np.sign(mark.at[0 if mark.axis == "track" else 1])): mark for mark in marks}
    assert tips(sides["tie-bar", 1.0]) == [-2.5, 0.0, 2.5]
    assert tips(sides["tie-bar", -1.0]) == [0.0]
    assert tips(sides["track", -1.0 if mirror else 1.0]) == [0.0]
    assert [mark.notches for mark in marks if mark.at[1] > 0 and mark.axis == "tie-bar"] == [3]
    assert all(mark.at[0 if mark.axis == "tie-bar" else 1] == 0.0 for mark in marks)
    assert {mark.at[2] for mark in marks} == {-18.0}


@pytest.mark.parametrize("mirror", [False, True])
@pytest.mark.parametrize("lie", LIES)
def test_the_plug_starts_beside_the_end_of_the_case_that_its_cable_leaves(lie, mirror):
    """In the servo's frame the case ends at −shaft_offset: half a plug of 2.6 mm beyond it, air, and no farther off
    than another plug; half its 7.7 mm and some air below the ears' seat, the wall between."""
    design = kept({"lie": lie}, mirror=mirror, max_depth=80).design
    servo = design.spec.servo
    assert servo.cable_end == "near"

    x, _, z = apply(inverse(design.datums.servo), np.array(design.plan.plug_path[:1]))[0]

    assert -servo.shaft_offset_mm - 3 * 1.3 < x < -servo.shaft_offset_mm - 1.3
    assert z == pytest.approx(-design.plan.wall_mm - 7.7 / 2 - 0.5)
