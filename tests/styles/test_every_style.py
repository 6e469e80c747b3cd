"""Every style, every example of it: what any mount must be. No skip list."""

import numpy as np
import pytest
from made import build, kept
from slicer import needs_slicer, support_mm

from mounts.checks.assembly import check_assembly
from mounts.checks.clearance import check_clearance
from mounts.checks.print_mesh import check_print
from mounts.frames import apply
from mounts.styles import names, styles, summary

pytestmark = pytest.mark.solid

CASES = [(name, number) for name in names() for number in range(len(styles()[name].examples))]


def _request(name: str) -> dict[str, object]:
    """Inputs that suit a style: brackets under 18 mm in HO with room below, housings on 12 mm in N."""
    if styles()[name].drive == "rocking-wire":
        return {"style": name, "max_depth": 80}
    return {"style": name, "scale": "N", "board": "12 mm", "track_distance": "32 mm"}


def _mount(name, number, **more):
    return kept(styles()[name].examples[number], **(_request(name) | more))


@pytest.mark.parametrize(("name", "number"), CASES)
def test_an_example_passes_every_check_on_its_mesh(name, number):
    """No print, clearance or assembly check fails."""
    mount = _mount(name, number)
    spec = mount.design.spec

    checks = [*check_clearance(mount.design, mount.meshes), *check_assembly(mount.design, mount.meshes)]
    for mesh in mount.meshes:
        checks += check_print(mesh, spec.printer, spec.filament)

    assert not [check for check in checks if check.verdict == "fail"]


@pytest.mark.parametrize(("name", "number"), [case for case in CASES if styles()[case[0]].drive == "push-rod"])
def test_a_housing_stands_where_it_was_asked_to(name, number):
    """--track-distance is from the centre line of the track to the nearest point of the printed parts."""
    mount = _mount(name, number)

    nearest_y = min(apply(mesh.print_to_mount, mesh.vertices_mm)[:, 1].min() for mesh in mount.meshes)
    assert nearest_y - mount.design.beside_track().track_y == pytest.approx(32.0, abs=0.01)


@pytest.mark.parametrize("name", [name for name in names() if styles()[name].drive == "push-rod"])
def test_a_housing_stands_on_raised_ground(name):
    """2.5 mm up on plaster every part is at least that high, the lowest just so, and no check fails."""
    mount = kept({"pose": "side"}, style=name, scale="HO", board="12 mm", ground="2.5 mm")

    lowest = [apply(mesh.print_to_mount, mesh.vertices_mm)[:, 2].min() for mesh in mount.meshes]
    assert min(lowest) == pytest.approx(2.5, abs=1e-5)
    assert lowest[:2] == pytest.approx([2.5, 2.5], abs=1e-5)
    checks = [*check_clearance(mount.design, mount.meshes), *check_assembly(mount.design, mount.meshes)]
    assert not [check for check in checks if check.verdict == "fail"]


@pytest.mark.parametrize("name", names())
def test_an_example_is_the_same_bytes_again(name):
    """A second build in the same process gives the same STL."""
    again = build(styles()[name].examples[0], **_request(name))

    assert _mount(name, 0).stl == again.stl


@pytest.mark.parametrize(("name", "number"), [case for case in CASES if case[1] < 2])
def test_the_mirrored_mount_is_the_mirror_image(name, number):
    """Volumes agree, and the box in the mount frame is the mirrored box; the servo's own matrix stays a rotation."""
    plain, mirrored = _mount(name, number), _mount(name, number, mirror=True)

    for one, other in zip(plain.meshes, mirrored.meshes, strict=True):
        assert other.solid_volume_mm3 == pytest.approx(one.solid_volume_mm3, rel=1e-3)
        points, images = (apply(mesh.print_to_mount, mesh.vertices_mm) for mesh in (one, other))
        low, high = points.min(axis=0), points.max(axis=0)
        assert images.min(axis=0) == pytest.approx((-high[0], low[1], low[2]), abs=2e-3)
        assert images.max(axis=0) == pytest.approx((-low[0], high[1], high[2]), abs=2e-3)
    assert np.linalg.det(np.array(mirrored.design.datums.servo)[:3, :3]) == pytest.approx(1)


@pytest.mark.parametrize(("name", "number"), CASES)
def test_what_lifts_off_is_scenery_and_nothing_else(name, number):
    """Shells and roofs have another colour than what carries the servo, mirrored too; STL and solid say the same."""
    mount = _mount(name, number)

    scenery = {part.name for part in mount.parts if part.role == "scenery"}
    assert scenery == set(mount.design.plan.lift_off)
    assert scenery == {mesh.name for mesh in mount.meshes if mesh.role == "scenery"}


@needs_slicer
@pytest.mark.slicer
@pytest.mark.parametrize("pose", ["hang", "side"])
@pytest.mark.parametrize("name", [name for name in names() if styles()[name].drive == "push-rod"])
def test_the_slicer_wants_no_support_under_the_scenery(name, pose, tmp_path):
    """prusa-slicer puts none under shell or roof in H0, lintels, ceilings and reliefs included."""
    mount = kept({"pose": pose}, style=name, scale="HO", board="12 mm")
    files = [tmp_path / f"{mesh.name}.stl" for mesh in mount.meshes]
    for file, stl in zip(files, mount.stl, strict=True):
        file.write_bytes(stl)

    assert {file.stem: support_mm(file) for file in files if file.stem in mount.design.plan.lift_off} == dict.fromkeys(
        mount.design.plan.lift_off, 0
    )


@pytest.mark.parametrize("name", names())
def test_a_style_says_what_it_is(name):
    """One line for the list, and a description for every option."""
    assert 10 < len(summary(name)) < 110
    assert all(field.description for field in styles()[name].options.model_fields.values())
