"""The frame of the on-board housings: both poses, every servo class, let down or not, mirrored or not."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import cadquery as cq
import manifold3d
import numpy as np
import pytest
import trimesh
from cube_elements import filled, pulled
from hypothesis import given, settings
from hypothesis import strategies as st
from requests_for_drives import SERVOS, profile, request
from shapely import Point, Polygon
from slicer import needs_slicer, support_mm

from mounts import scene
from mounts.checks.assembly import check_assembly
from mounts.checks.clearance import check_clearance
from mounts.checks.print_mesh import check_print
from mounts.design import Design, LetDown
from mounts.drive.push_rod.kinematics import rod_pin_offset_mm
from mounts.drive.solve import solve
from mounts.errors import NoDesign
from mounts.frames import apply
from mounts.inputs.board import Roadbed
from mounts.inputs.fixing import Fixing
from mounts.inputs.scale import Scale
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.mesh import PartMesh
from mounts.scene_kinds import wiring
from mounts.solid.part import Part
from mounts.solid.tessellate import export_mesh
from mounts.styles import _housing, _housing_base
from mounts.styles._housing import Options, Shell
from mounts.styles._housing_plan import HousingPlan

pytestmark = pytest.mark.solid

POSES = ("hang", "side")
LET_DOWN_MM = 1.0  # possible in both poses in TT and above, on the scale's roadbed
CASES = [
    # every class in both poses; mirror, depth and scale change with it, so that each meets each pose
    pytest.param(servo, pose, scale, sunk, mirror, id=f"{servo}-{pose}-{scale}-{sunk}" + "-mirror" * mirror)
    for pose in POSES
    for servo, scale, sunk, mirror in (
        (SERVOS[0], "TT", LET_DOWN_MM, False),
        (SERVOS[1], "N", 0.0, True),
        (SERVOS[1], "HO", LET_DOWN_MM, False),
        (SERVOS[2], "HO", LET_DOWN_MM, True),
        (SERVOS[3], "O", 0.0, False),
        (SERVOS[4], "N", 0.0, False),
        (SERVOS[4], "O", LET_DOWN_MM, True),
    )
]


def _spec(**asked: object) -> MountSpec:
    return request(**{"style": "hut", **asked})  # type: ignore[arg-type]


def _bare(scale: str, **asked: object) -> MountSpec:
    """Track laid straight on the board."""
    return _spec(
        scale=scale, roadbed=profile(Roadbed, "none"), pin_height_mm=profile(Scale, scale).pin_above_roadbed_mm, **asked
    )


def _design(spec: MountSpec, **options: object) -> Design:
    chosen = Options.model_validate(options)
    drive = solve(spec, _housing.limits(spec, chosen))
    datums, plan = _housing.place(spec, drive, chosen)
    return Design(spec=spec, drive=drive, datums=datums, plan=plan)


def _let_down(design: Design) -> LetDown:
    found = design.beside_track().let_down
    assert found is not None
    return found


def _plan(design: Design) -> HousingPlan:
    assert isinstance(design.plan, HousingPlan)
    return design.plan


def _built(design: Design) -> tuple[Part, PartMesh]:
    part = _housing.build_frame(design, _plan(design))
    return part, export_mesh(part, design.spec.printer)[0]


@cache
def _kept(servo: str, pose: str, scale: str, sunk: float, mirror: bool) -> tuple[Design, Part, PartMesh]:
    design = _design(_spec(servo=servo, scale=scale, mirror=mirror), pose=pose, sunk_mm=sunk)
    return design, *_built(design)


def _failed(design: Design, mesh: PartMesh) -> list[str]:
    checks = [
        *check_clearance(design, (mesh,)),
        *check_assembly(design, (mesh,)),
        *check_print(mesh, design.spec.printer, design.spec.filament),
    ]
    return [f"{check.name}: {check.message}" for check in checks if check.verdict == "fail"]


def _servo_solid(design: Design) -> cq.Shape:
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


@pytest.mark.parametrize(("servo", "pose", "scale", "sunk", "mirror"), CASES)
def test_a_frame_passes_every_check_on_its_mesh(servo, pose, scale, sunk, mirror):
    """One valid solid, and no clearance, assembly or print check fails."""
    design, part, mesh = _kept(servo, pose, scale, sunk, mirror)

    assert part.solid.isValid()
    assert not _failed(design, mesh)


@pytest.mark.parametrize(("servo", "pose", "scale", "sunk", "mirror"), CASES)
def test_a_servo_drawn_from_the_profile_sits_on_its_seat_and_cuts_nothing(servo, pose, scale, sunk, mirror):
    """Placed with datums.servo it touches the frame (distance 0) and shares no volume with it."""
    design, part, _ = _kept(servo, pose, scale, sunk, mirror)

    drawn = _servo_solid(design)
    assert part.solid.intersect(drawn).Volume() == pytest.approx(0, abs=1e-6)
    assert part.solid.distance(drawn) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("servo", "pose", "scale", "sunk", "mirror"), CASES)
def test_the_arm_hole_stands_where_the_datums_say(servo, pose, scale, sunk, mirror):
    """Shaft, arm and half a wire from the datums alone lead to x = 0, let down below the pin by what was asked.

    The pin stands then at the end of a rod of the length reported.
    """
    design, _, _ = _kept(servo, pose, scale, sunk, mirror)
    drive, placed = design.drive, np.array(design.datums.servo)

    arm = np.array(design.datums.horn_at_mid) * drive.horn_radius_mm
    out = placed[:3, 2] * (design.spec.servo.horn_plane_height_mm + drive.wire_mm / 2)
    wire = placed[:3, 3] + arm + out
    assert placed[:3, 2] @ arm == pytest.approx(0, abs=1e-9)
    assert wire == pytest.approx((0, drive.shaft_to_pin_mm, design.spec.pin_height_mm - sunk), abs=1e-6)
    assert design.datums.pin == (0.0, 0.0, design.spec.pin_height_mm)
    assert design.datums.pivot is None
    fall = sunk if pose == "side" else 0.0  # hanging, the slope is out of the plane in which the rod is counted
    assert math.hypot(wire[1], fall) == pytest.approx(drive.rod_length_mm, abs=0.2)  # mid throw, not mid swing


@pytest.mark.parametrize(("servo", "pose", "scale", "sunk", "mirror"), CASES)
def test_the_rod_of_the_scene_is_the_rod_of_the_linkage(servo, pose, scale, sunk, mirror):
    """At 13 arm angles the drawn wire's pin goes where the slider-crank formula sends it; the loop keeps its size."""
    design, _, _ = _kept(servo, pose, scale, sunk, mirror)
    drive = design.drive
    linkage = {
        "horn_radius_mm": drive.horn_radius_mm,
        "rod_length_mm": drive.rod_length_mm,
        "offset_mm": drive.offset_mm,
    }
    at_mid = scene.wire_path(design, 0.0)[-1, 1]

    for theta in scene.arm_angles_rad(design):
        path = scene.wire_path(design, float(theta))
        away = -float(rod_pin_offset_mm(-theta, **linkage))  # +y is towards the shaft
        assert path[-1, 1] - at_mid == pytest.approx(away, abs=1e-9)
        assert path[-1, 0] == pytest.approx(0, abs=1e-9)
        assert np.ptp(path[:, 0]) >= drive.loop_leg_mm + drive.loop_radius_mm - 0.1
    ends = [scene.wire_path(design, side * math.radians(drive.swing_deg))[-1, 1] for side in (-1, 1)]
    assert ends[1] - ends[0] == pytest.approx(drive.travel_mm, abs=1e-6)
    assert ends[1] == pytest.approx(-ends[0], abs=1e-6)


@pytest.mark.parametrize(("servo", "pose", "scale", "sunk", "mirror"), CASES)
def test_the_loop_stays_between_sleepers_and_shell(servo, pose, scale, sunk, mirror):
    """Wherever the arm stands, the loop keeps 1 mm off the shell; points closed, it keeps 1 mm off the sleepers."""
    design, _, _ = _kept(servo, pose, scale, sunk, mirror)
    plan, drive = _plan(design), design.drive
    lean = math.sin(math.radians(drive.lean_deg)) + 0.01
    shell_y = plan.base_y[0] - Shell().at_rod_mm()

    for theta in scene.arm_angles_rad(design):
        path = scene.wire_path(design, float(theta))
        beside = path[(np.abs(path[:, 0]) > 0.5 * drive.loop_leg_mm) & (path[:, 1] < drive.shaft_to_pin_mm - 4)]
        # the foot begins its bend a radius nearer, a crown that overhangs it does not; the rod leans a little
        nearer = drive.wire_mm / 2 if drive.loop_slant_deg > 0.1 else drive.foot_radius_mm
        assert beside[:, 1].max() + nearer <= shell_y - 1.0 + lean * drive.loop_height_mm
    far_foot_y = drive.rod_length_mm - drive.loop_at_mm - drive.loop_width_mm / 2
    assert far_foot_y - design.spec.throw_mm / 2 >= plan.beside.sleeper_end_y + 1.0 - 0.2


@pytest.mark.parametrize(("servo", "pose", "scale", "sunk", "mirror"), CASES)
def test_the_drawn_wire_is_as_long_as_the_wire_to_cut(servo, pose, scale, sunk, mirror):
    """The path's length agrees with the bending plan to 0.5 %: chords for arcs, and the slope of a rod let down."""
    design, _, _ = _kept(servo, pose, scale, sunk, mirror)

    drawn = sum(np.linalg.norm(b - a) for a, b in pairwise(scene.wire_path(design, 0.0)))
    assert drawn == pytest.approx(design.drive.cut_length_mm, rel=5e-3)


@pytest.mark.parametrize(("servo", "pose", "scale", "sunk", "mirror"), CASES)
def test_the_arm_turns_the_way_the_pulses_say(servo, pose, scale, sunk, mirror):
    """Every class turns counter-clockwise at the shaft on a longer pulse; the rod takes the pin with the arm's hole."""
    design, _, _ = _kept(servo, pose, scale, sunk, mirror)
    pulses, swing = design.drive.pulse_us, math.radians(design.drive.swing_deg)
    axis, mid = np.array(design.datums.servo)[:3, 2], np.array(design.datums.horn_at_mid)
    turn = swing if pulses.reverse > pulses.centre else -swing

    assert design.spec.servo.pulse_turns == "ccw"
    assert (mid * math.cos(turn) + np.cross(axis, mid) * math.sin(turn))[1] > 0


@pytest.mark.parametrize("pose", POSES)
def test_the_mirrored_frame_is_the_mirror_image(pose):
    """Reflected in x it has the plain one's volume and shares all of it but the name, which still reads."""
    plain, mirrored = (scene.mount_body([_kept("micro-9g", pose, "N", 0.0, mirror)[2]]) for mirror in (False, True))

    image = mirrored.mirror((1.0, 0.0, 0.0))
    assert image.volume() == pytest.approx(plain.volume(), rel=1e-3)
    name_mm3 = 0.6 * 60  # six letters of 6 mm with a 1 mm pen, a 10 mm stroke each
    assert (plain - image).volume() < name_mm3
    assert (image - plain).volume() < name_mm3


@pytest.mark.parametrize("pose", POSES)
def test_every_fixing_hole_goes_through_at_its_datum(pose):
    """A ray down each fixing's axis meets nothing; a ray half a head beside it meets the plate."""
    design, _, mesh = _kept("micro-9g", pose, "HO", LET_DOWN_MM, False)
    body = trimesh.Trimesh(apply(mesh.print_to_mount, mesh.vertices_mm), mesh.faces, process=False)

    for x, y, z in design.datums.fixings:
        assert z == 0
        beside = design.spec.fixing.head_mm / 2
        hits = body.ray.intersects_any([(x, y, 90), (x + beside, y, 90)], [(0, 0, -1), (0, 0, -1)])
        assert hits.tolist() == [False, True]


@needs_slicer
@pytest.mark.slicer
@pytest.mark.parametrize("pose", POSES)
@pytest.mark.parametrize("servo", ["micro-9g", "standard-40g"])
def test_the_slicer_wants_no_support(pose, servo, tmp_path):
    """prusa-slicer puts none under the frame, corbel, countersinks and lying pilot holes included."""
    case = ("HO", LET_DOWN_MM, False) if servo == "micro-9g" else ("N", 0.0, False)
    design, part, _ = _kept(servo, pose, *case)
    file = tmp_path / "frame.stl"
    file.write_bytes(export_mesh(part, design.spec.printer)[1])

    assert support_mm(file) == 0


@pytest.mark.parametrize(("scale", "half_mm"), [("N", 13.5), ("TT", 18.0), ("HO", 24.0), ("O", 47.0)])
def test_the_shell_clears_the_gauge_where_no_distance_is_given(scale, half_mm):
    """A tall housing's front stands half of BL1 (NEM 102, 2017) and 1 mm from the centre line, or so much farther that
    sleepers, loop and the arm's way have room before it, 1 mm between each."""
    spec = _spec(scale=scale)
    design = _design(spec, pose="hang")
    plan, drive = _plan(design), design.drive

    front = plan.base_y[0] - Shell().front_mm - plan.beside.track_y
    way = drive.horn_radius_mm * math.sin(math.radians(drive.swing_deg)) + spec.throw_mm / 2
    lane = plan.beside.sleeper_end_y - plan.beside.track_y + drive.loop_width_mm + way + 2.0
    assert half_mm + 1.0 <= front <= max(half_mm + 7.0, lane + 2.0)


def test_a_given_distance_is_kept():
    """--track-distance is from the centre line to what stands nearest of the shell, 2.5 mm before the base plate."""
    plan = _plan(_design(_spec(scale="N", track_distance_mm=32.0)))

    assert plan.base_y[0] - 2.5 - plan.beside.track_y == pytest.approx(32.0)


@pytest.mark.parametrize("pose", POSES)
def test_track_on_the_bare_board_needs_a_cut_out_that_frees_the_arm(pose):
    """With the pin 1 mm above the board the arm would drag; cut as told it has a millimetre all round."""
    design = _design(_bare("N"), pose=pose)
    plan = _plan(design)
    mesh = _built(design)[1]
    bare = scene.board_body(
        design.model_copy(update={"plan": plan.model_copy(update={"board_cut_out": None})}), scene.mount_body([mesh])
    )
    cut = scene.board_body(design, scene.mount_body([mesh]))

    arms = [scene.arm_blade(design, float(theta)) + scene.hub_body(design) for theta in scene.arm_angles_rad(design)]
    assert not _failed(design, mesh)
    assert min(arm.min_gap(bare, 3.0) if (arm ^ bare).is_empty() else 0.0 for arm in arms) < 0.6
    assert min(arm.min_gap(cut, 3.0) for arm in arms) >= 0.99
    assert 0 < plan.board_cut_out.depth_mm <= design.spec.board.thickness_mm - 3


@pytest.mark.parametrize("thick_mm", [0.9, 1.24, 2.0])
def test_the_tail_behind_a_thin_arm_clears_the_base_plate(thick_mm):
    """Two bends round a 2.4 mm drill stand 3.2 mm apart, however thin the arm between: on the bare board the tail is
    lower than the plate's top, and the plate keeps 0.2 mm off it over the whole swing."""
    thin = profile(Servo, "submicro-4g").model_copy(update={"horn_thickness_mm": thick_mm})
    design = _design(_bare("OO", servo=thin, wire_mm=0.8), pose="side", base_mm=2.5)
    frame = scene.mount_body([_built(design)[1]])
    paths, _ = wiring(design).ways(design, scene.arm_angles_rad(design))
    tails = [piece for path in paths for piece in scene.wire_pieces(path[:10], design.drive.wire_mm)]

    assert min(piece.bounding_box()[2] for piece in tails) < 2.5
    assert min(frame.min_gap(piece, 2.0) for piece in tails) >= 0.2


PLUG_MM = (7.7, 2.6, 14.0)  # 3-way plug of 2.54 mm pitch: face from the profiles, length from memory


def _plug(design: Design, more_mm: float = 0.0) -> manifold3d.Manifold:
    """A plug on its way straight down through the middle of the cable's hole, its face along the frame's slot."""
    hole, plan = design.plan.cable_hole, _plan(design)
    assert hole is not None
    assert plan.cable_slot is not None
    along_x = np.ptp(plan.cable_slot[0]) > np.ptp(plan.cable_slot[1])
    size = np.array(PLUG_MM[:2] if along_x else PLUG_MM[1::-1]) + more_mm
    (x, y), low, high = hole.at, -design.spec.board.thickness_mm - 20.0, design.spec.ground_mm + 20.0
    return manifold3d.Manifold.cube([*size, high - low]).translate([x - size[0] / 2, y - size[1] / 2, low])


@pytest.mark.parametrize("servo", SERVOS)
@pytest.mark.parametrize("pose", POSES)
def test_the_plug_goes_down_through_frame_and_board(servo, pose):
    """A box as large as the plug passes slot and hole with 0.2 mm of air a side; one 2 mm larger does not.

    The slot is beside everything that swings: 0.5 mm from the arm at any angle, seen from above.
    """
    design = _design(_spec(servo=servo, scale="O", ground_mm=2.0, mirror=servo == "micro-13g"), pose=pose)
    frame = scene.mount_body([_built(design)[1]])
    around = frame + scene.board_body(design, frame)

    assert (around ^ _plug(design, 0.4)).volume() < 0.01
    assert (around ^ _plug(design, 2.0)).volume() > 1.0
    (x0, x1), (y0, y1) = _plan(design).cable_slot or ((0, 0), (0, 0))
    slot = scene.box((x0, y0, -50.0), (x1, y1, 50.0))
    slot = slot.mirror((1.0, 0.0, 0.0)) if design.spec.mirror else slot
    swung = scene.union(scene.arm_blade(design, float(theta)) for theta in scene.arm_angles_rad(design))
    assert (swung + scene.hub_body(design)).min_gap(slot, 3.0) > 0.5


@pytest.mark.parametrize("servo", SERVOS)
@pytest.mark.parametrize("pose", POSES)
def test_the_cables_hole_leaves_wood_round_it(servo, pose):
    """On the bare board in N, 2 mm to the arm's cut-out and one shank to the nearest screw, edge to edge."""
    design = _design(_bare("N", servo=servo), pose=pose)
    hole, fixing = design.plan.cable_hole, design.spec.fixing
    assert hole is not None

    nearest = min(math.dist(hole.at, at[:2]) for at in design.datums.fixings)
    assert nearest - hole.drill_mm / 2 - fixing.shank_mm / 2 >= fixing.shank_mm
    assert hole.drill_mm >= math.hypot(*PLUG_MM[:2]) + 0.5
    if (cut := design.plan.board_cut_out) is not None:
        assert Polygon(cut.outline).distance(Point(hole.at)) - hole.drill_mm / 2 >= 1.99


@pytest.mark.parametrize("scale", ["N", "HO", "O"])
def test_no_sliver_of_the_rim_is_left_beside_the_rods_gap(scale):
    """Lying, the gap is near a corner of the frame: what is left beside it holds two lines or is not drawn."""
    design = _design(_spec(scale=scale), pose="side")
    told = [
        check
        for check in check_print(_built(design)[1], design.spec.printer, design.spec.filament)
        if check.name == "two-lines"
    ]

    assert [check.verdict for check in told] == ["pass"]


@pytest.mark.parametrize("pose", POSES)
def test_a_cable_that_leaves_at_the_back_needs_no_hole(pose):
    """--set cable=back: no hole in the board, and a plug goes out over the ground through a gap in the rim."""
    design = _design(_spec(), pose=pose, cable="back")
    frame = scene.mount_body([_built(design)[1]])

    assert design.plan.cable_hole is None
    assert (frame ^ scene.plug_sweep(design)).volume() < 0.01
    assert design.plan.plug_path[-1][1] > _plan(design).base_y[1] + 10
    assert not _failed(design, _built(design)[1])


@pytest.mark.parametrize("pose", POSES)
@pytest.mark.parametrize(("scale", "ground", "mirror"), [("HO", 2.5, False), ("N", 1.0, True), ("O", 5.0, False)])
def test_on_raised_ground_the_frame_stands_higher_and_still_pulls_at_the_pin(pose, scale, ground, mirror):
    """Its foot and its fixings are at the ground, the pin where it was, the arm hole at the pin's height.

    Nothing of the frame is in the ground, and every check passes with the ground there.
    """
    spec = _spec(scale=scale, ground_mm=ground, mirror=mirror)
    design = _design(spec, pose=pose)
    mesh = _built(design)[1]
    points = apply(mesh.print_to_mount, mesh.vertices_mm)

    assert points[:, 2].min() == pytest.approx(ground, abs=1e-6)
    assert {at[2] for at in design.datums.fixings} == {ground}
    assert design.datums.pin == (0.0, 0.0, spec.pin_height_mm)
    path = scene.wire_path(design, 0.0)
    assert path[-1, 2] - _plan(design).pin_leg_mm == pytest.approx(spec.pin_height_mm)
    assert (scene.horn_hole(design, 0.0)[2] - spec.pin_height_mm) == pytest.approx(
        0.0 if pose == "side" else design.drive.wire_mm / 2, abs=1e-6
    )
    board = scene.board_body(design, scene.mount_body([mesh]))
    assert (board ^ scene.mount_body([mesh])).volume() < 0.01
    assert not _failed(design, mesh)


def test_screws_are_longer_by_the_ground_and_hold_in_the_board_alone():
    """Through 5 mm of plaster a stock screw of 16 or more is used, its point 2 mm off the underside of the board.

    What is in the plaster counts for nothing: 12.3 mm of plywood hold less than the same screw without plaster.
    """
    flat, raised = (_design(_spec(scale="O", ground_mm=ground), pose="side") for ground in (0.0, 5.0))
    lengths = [design.plan.screws[0].length_mm for design in (flat, raised)]
    in_board = [
        length - _plan(design).base_mm - ground
        for design, length, ground in zip((flat, raised), lengths, (0.0, 5.0), strict=True)
    ]

    assert lengths[1] > lengths[0]
    assert 2 * flat.spec.fixing.shank_mm <= in_board[1] <= flat.spec.board.thickness_mm - 0.3 - 2.0 + 1e-6
    told = {check.name: check for check in check_assembly(raised, (_built(raised)[1],))}
    assert told["screw-point"].value == pytest.approx(12.0 - 0.3 - in_board[1])
    pull = raised.spec.servo.stall_torque_nmm / raised.drive.horn_radius_mm
    hold = 4 * in_board[1] * raised.spec.fixing.shank_mm * raised.spec.board.withdrawal_n_per_mm2
    assert told["screw-hold"].value == pytest.approx(hold / pull)


@pytest.mark.parametrize(("ground", "half"), [(0.0, 20.0), (2.0, 18.0), (5.0, 15.0)])
def test_the_ground_beside_the_track_meets_the_roadbed_at_its_shoulder(ground, half):
    """In H0 sleepers of 2.6 m end 15 mm from the centre line, and the 5 mm roadbed slopes at 45° to the ground."""
    design = _design(_spec(scale="HO", ground_mm=ground), pose="hang")
    plan = _plan(design)
    board = scene.board_body(design, scene.servo_body(design))

    assert plan.beside.roadbed_edge_y - plan.beside.track_y == pytest.approx(half, abs=0.1)
    for y, z in ((half + 0.3, ground), (half + 10.0, ground), (half - 1.0, min(ground + 1.0, 5.0)), (0.0, 5.0)):
        at_y = plan.beside.track_y + y
        probe = scene.box((-0.05, at_y - 0.05, z - 0.2), (0.05, at_y + 0.05, z + 0.6))
        assert (board ^ probe).bounding_box()[5] == pytest.approx(z, abs=0.06)


def test_a_thin_board_is_cut_through():
    """A whole 17 mm arm in the 9 mm hole reaches 7 mm below a board under a pin at 1 mm: 8 mm deep with its air.

    Of 12 mm that leaves 4; of 8 mm it would leave none, so the cut-out goes through.
    """
    asked = {"pose": "side", "trim_arm": False}
    thick, thin = (
        _design(_bare("N", fixing=profile(Fixing, "m2"), board_mm=thickness), **asked) for thickness in (12.0, 8.0)
    )

    assert (thick.drive.horn_radius_mm, thin.drive.horn_radius_mm) == (9.0, 9.0)
    assert _plan(thick).board_cut_out.depth_mm == pytest.approx(8.0)
    assert _plan(thin).board_cut_out.depth_mm == pytest.approx(8.0)
    below = [-scene.cut_out_body(design).bounding_box()[2] for design in (thin, thick)]
    assert below[0] > 8.0
    assert below[1] == pytest.approx(8.0)


@pytest.mark.parametrize("pose", POSES)
def test_a_servo_let_down_too_far_is_refused_with_what_is_possible(pose):
    """The message gives both ends; the greatest depth it names is accepted."""
    with pytest.raises(NoDesign, match=r"may be sunk 0\.0 to \d\.\d mm") as refused:
        _design(_spec(scale="HO"), pose=pose, sunk_mm=9.0)

    most = float(str(refused.value).split(" to ")[1].split(" ")[0])
    assert _let_down(_design(_spec(scale="HO"), pose=pose, sunk_mm=most - 0.05)).sunk_mm == pytest.approx(most - 0.05)


def test_the_hanging_rod_slopes_by_five_degrees_at_most():
    """In I there is room: let down as far as it may be, the rod rises by 5° to the pin."""
    spec = _spec(scale="I", track_distance_mm=68.0)
    most = _let_down(_design(spec, pose="hang")).most_mm

    design = _design(spec, pose="hang", sunk_mm=most)
    path, shaft_y = scene.wire_path(design, 0.0), design.datums.servo[1][3]
    pin = path[-1] - (0.0, 0.0, path[-1, 2] - spec.pin_height_mm)
    straight = path[np.hypot(path[:, 0], path[:, 1] - shaft_y) < 4]  # from the Z-bend towards the loop
    along = pin - straight[-1]
    assert math.degrees(math.atan2(along[2], -along[1])) == pytest.approx(5.0, abs=0.1)


@settings(max_examples=25)
@given(servo=st.sampled_from(SERVOS), share=st.floats(0.92, 1.08), distance=st.sampled_from([None, 45.0, 60.3]))
def test_no_crack_is_left_between_rim_and_posts(servo, share, distance):
    """Whatever the servo's width: they touch, or 0.5 mm and more are free, which two nozzles of 0.4 mm leave open."""
    measured = profile(Servo, servo)
    wider = measured.model_copy(update={"case_width_mm": round(measured.case_width_mm * share, 3)})
    plan = _plan(_design(_spec(scale="N", track_distance_mm=distance).model_copy(update={"servo": wider}), pose="hang"))

    rim = plan.frame.rim_mm
    for free in (plan.frame.post_y[0] - plan.base_y[0] - rim, plan.base_y[1] - rim - plan.frame.post_y[1]):
        assert free <= -0.02 or free >= 0.5


def test_a_farther_arm_hole_serves_a_servo_that_is_let_down():
    """The Z-bend's tail does not clear the 8 mm hub in the 7 mm hole; in the next one, let down, a drive is found."""
    design = _design(_spec(servo="mini-20g", scale="HO"), pose="side", sunk_mm=0.4)

    assert design.drive.horn_radius_mm > 7.0
    assert design.drive.horn_radius_mm - design.drive.offset_mm == pytest.approx(0.4)


def test_the_pose_follows_the_height_the_scene_allows():
    """A 9 g servo in S hangs in 45 mm of room, lies on its side in 24, and in 12 is refused with what each needs."""
    spec = _spec(scale="S")

    assert _let_down(_design(spec, height_mm=45.0)).pose == "hang"
    low = _plan(_design(spec, height_mm=24.0))
    assert low.beside.let_down.pose == "side"
    assert low.room_top_z <= 24.0
    with pytest.raises(NoDesign, match=r"height_mm = 12 is too low for micro-9g: pose hang .* and pose side"):
        _design(spec, height_mm=12.0)


def test_a_little_height_is_won_by_letting_the_servo_down():
    """One millimetre less than the pose needs sinks it by that millimetre, by itself."""
    spec = _spec(scale="HO", wire_mm=0.7)
    free = _plan(_design(spec, pose="side"))

    low = _plan(_design(spec, pose="side", height_mm=free.room_top_z - 1.0))
    assert low.beside.let_down.sunk_mm == pytest.approx(1.0)
    assert low.beside.let_down.least_mm == pytest.approx(1.0)
    assert low.room_top_z == pytest.approx(free.room_top_z - 1.0)


def test_a_long_arm_goes_in_turned():
    """The 9 g class's 17 mm arm is longer than its case: turned as told it passes the posts, straight it does not."""
    design, _, mesh = _kept("micro-9g", "hang", "HO", LET_DOWN_MM, False)

    def way_in(angle_deg: float) -> str:
        plan = design.plan.model_copy(update={"arm_in_deg": angle_deg})
        checks = check_assembly(design.model_copy(update={"plan": plan}), (mesh,))
        return next(check.verdict for check in checks if check.name == "way-in")

    assert design.plan.arm_in_deg
    assert (way_in(design.plan.arm_in_deg), way_in(0.0)) == ("pass", "fail")


def test_an_arm_on_its_side_is_cut_off_or_let_into_the_board():
    """Whole, the arm needs a deeper cut-out; cut off behind its hole it keeps half a tip's width of plastic there."""
    spec = _spec(scale="HO")
    cut, whole = _design(spec, pose="side"), _design(spec, pose="side", trim_arm=False)

    assert cut.plan.arm_length_mm == pytest.approx(cut.drive.horn_radius_mm + spec.servo.horn_tip_width_mm / 2)
    assert _plan(cut).board_cut_out is None
    assert whole.plan.arm_length_mm is None
    assert _plan(whole).board_cut_out.depth_mm > 3
    assert not _failed(whole, _built(whole)[1])


def test_screws_are_the_longest_that_stay_inside_the_board():
    """12 mm in a 12 mm board under 2.4 mm of plate: the next, 16, would come out below (hand sum)."""
    design = _design(_spec(scale="HO", board_mm=12.0))

    assert {screw.length_mm for screw in design.plan.screws} == {12.0}
    assert {screw.direction for screw in design.plan.screws} == {(0.0, 0.0, -1.0)}
    # even under the thickest plate, 5 mm: 5 + two shanks of 3 ask for 12 mm, 5 + 4 - 0.3 - 2 = 6.7 are there
    with pytest.raises(NoDesign, match=r"4 mm board .*: the shortest that grips is 12 mm, 5.3 mm too long"):
        _design(_spec(scale="HO", board_mm=4.0))


@pytest.mark.parametrize(("scale", "throw"), [("N", 1.7), ("N", 3.0), ("HO", 2.4), ("HO", 4.5)])
def test_the_pin_stays_outside_the_near_rail(scale, throw):
    """Thrown towards the rail its hole is beyond the head: 0.055 gauges (from memory) outside the gauge face."""
    plan = _plan(_design(_spec(scale=scale, throw_mm=throw)))
    gauge_mm = {"N": 9.0, "HO": 16.5}[scale]

    assert -plan.beside.track_y - throw / 2 - 0.5 >= gauge_mm / 2 + 0.055 * gauge_mm - 1e-9
    assert -plan.beside.track_y >= 0.7 * gauge_mm - 1e-9


def test_windows_leave_the_frame_as_stiff():
    """The frame as cubes of 1.2 mm, two in its plate, held where its four screws press it on the board, pulled at the
    arm's hole across the track, the servo stiff on its screws: with its windows at least 95 % of what it is without,
    and far stiffer than the wire, which is what ``seat-stiffness`` holds for of the legs alone."""
    design, _, lean_mesh = _kept(SERVOS[1], "side", "HO", 0.0, False)
    plan, spec, edge = _plan(design), design.spec, 1.2
    heads = np.array(plan.frame.heads_xy)

    def stiff(mesh: PartMesh) -> float:
        part = trimesh.Trimesh(apply(mesh.print_to_mount, mesh.vertices_mm), mesh.faces)
        low, high = part.bounds
        seat_x = low[0] + edge * round((plan.frame.wall_x[1] - low[0]) / edge)

        def held(places):
            away = np.hypot(*(places[:, None, :2] + low[:2] - heads).transpose(2, 0, 1)).min(axis=1)
            return (places[:, 2] < 1e-6) & (away < spec.fixing.head_mm / 2)

        def by_a_screw(places):
            x, y, z = (places + low).T
            near = np.min([np.hypot(y - at[0], z - at[1]) for at in plan.frame.pilots_yz], axis=0) < 2.0
            return near & (np.abs(x - seat_x) < edge / 2)

        return pulled(
            filled(part, low, high, edge),
            edge,
            (spec.filament.modulus_mpa, 0.36),
            held,
            by_a_screw,
            np.array(scene.horn_hole(design, 0.0)) - low,
            np.array([0.0, 1.0, 0.0]),
        ).n_per_mm

    lean = stiff(lean_mesh)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_housing_base, "windows", lambda spec, plan: [])
        whole = stiff(_built(design)[1])
    assert 0.95 * whole < lean < whole
    assert lean > 100 * design.drive.rate_n_per_mm
