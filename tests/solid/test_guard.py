"""The kernel's refusals and its silences both end in a BuildError that names the step."""

import cadquery as cq
import pytest

from mounts.errors import BuildError
from mounts.solid.guard import kernel_step, one_solid

pytestmark = pytest.mark.solid


def test_one_solid_unwraps_the_single_body_of_a_boolean():
    """A boolean gives a compound; the one solid in it comes out, with its volume."""
    cut = cq.Solid.makeBox(10, 10, 10).cut(cq.Solid.makeBox(5, 10, 10))

    assert isinstance(one_solid(cut, "cut a box"), cq.Solid)
    assert one_solid(cut, "cut a box").Volume() == pytest.approx(500)


@pytest.mark.parametrize("as_workplane", [False, True])
@pytest.mark.parametrize(
    ("shape", "left"),
    [
        (lambda: cq.Solid.makeBox(1, 1, 1).cut(cq.Solid.makeBox(2, 2, 2)), "nothing"),
        (
            lambda: cq.Solid.makeBox(1, 1, 1).fuse(cq.Solid.makeBox(1, 1, 1).translate(cq.Vector(5, 0, 0))),
            "2 separate bodies",
        ),
    ],
    ids=["cut-everything", "two-pieces"],
)
def test_one_solid_refuses_what_the_kernel_calls_valid(shape, left, as_workplane):
    """A cut that removes everything and a union in two pieces are valid to the kernel and refused here."""
    made = shape()
    assert made.isValid()

    with pytest.raises(BuildError, match=f"^could not cut the slot; the step left {left}"):
        one_solid(cq.Workplane(made) if as_workplane else made, "cut the slot")


def test_one_solid_refuses_a_body_turned_inside_out():
    """A solid whose faces point inwards has negative volume."""
    inside_out = cq.Solid(cq.Solid.makeBox(1, 1, 1).wrapped.Reversed())
    assert inside_out.Volume() == pytest.approx(-1)

    with pytest.raises(BuildError, match="could not turn it"):
        one_solid(inside_out, "turn it")


def test_one_solid_refuses_a_shell_that_does_not_close():
    """A box with a face missing, dressed up as a solid, is refused."""
    shell = cq.Shell.makeShell(cq.Solid.makeBox(1, 1, 1).Faces()[:5])

    with pytest.raises(BuildError, match="could not close it; the step left a body that is not valid"):
        one_solid(cq.Solid.makeSolid(shell), "close it")


def test_kernel_step_names_step_and_hint_for_a_kernel_exception():
    """A chamfer larger than the box is the kernel's own exception."""
    with (
        pytest.raises(BuildError) as caught,
        kernel_step("round the corners to 7 mm", hint="use a smaller corner_mm"),
    ):
        cq.Workplane().box(10, 10, 10).edges().chamfer(7)

    assert str(caught.value) == "could not round the corners to 7 mm; use a smaller corner_mm"
    assert type(caught.value.__cause__).__module__.startswith("OCP")


def test_kernel_step_takes_a_value_error_of_the_facade():
    """CadQuery itself raises ValueError for an extrusion without a sketch."""
    with (
        pytest.raises(BuildError, match="could not raise the wall; check wall_mm"),
        kernel_step("raise the wall", hint="check wall_mm"),
    ):
        cq.Workplane().extrude(3)


def test_kernel_step_leaves_our_own_mistakes_alone():
    """A ValueError raised in our own code, or a missing attribute, is a bug and keeps its type."""
    with pytest.raises(ValueError, match="ours"), kernel_step("do it", "change it"):
        raise ValueError("ours")
    with pytest.raises(AttributeError), kernel_step("do it", "change it"):
        cq.Workplane().no_such_thing()


def _drilled(box: cq.Solid) -> cq.Shape:
    return box.cut(cq.Solid.makeCylinder(2, 30, cq.Vector(5, 5, -1)))


def test_what_a_body_shares_with_one_that_was_checked_is_not_looked_at_again(monkeypatch):
    """Of a box with a bore three of seven faces are new; moved they are the same ones, turned round all are new."""
    box = cq.Solid.makeBox(10, 10, 10)
    looked_at: list[int] = []
    valid = cq.Shape.isValid
    monkeypatch.setattr(cq.Shape, "isValid", lambda shape: looked_at.append(len(shape.Faces())) or valid(shape))

    assert one_solid(_drilled(box), "drill it", box).Volume() == pytest.approx(1000 - 40 * 3.14159, abs=0.01)
    one_solid(_drilled(box).moved(cq.Location(cq.Vector(0, 0, 5))), "drill it", box)
    one_solid(_drilled(box).mirror("YZ"), "drill it", box)
    assert looked_at == [3, 3, 7]


def test_beside_what_was_checked_a_hole_or_a_face_that_is_not_valid_is_found():
    """A face of the bore missing; a lid whose edge runs across itself, on faces that were checked."""
    box = cq.Solid.makeBox(10, 10, 10)
    open_shell = cq.Shell.makeShell([face for face in _drilled(box).Faces() if face.geomType() == "PLANE"])

    with pytest.raises(BuildError, match="could not drill it; the step left a body that is not valid"):
        one_solid(cq.Solid.makeSolid(open_shell), "drill it", box)
    crossed = cq.Wire.makePolygon([(0, 0, 10), (10, 10, 10), (10, 0, 10), (0, 10, 10)], close=True)
    lid = cq.Face.makeFromWires(crossed)
    others = sorted(box.Faces(), key=lambda face: face.Center().z)[:-1]
    with pytest.raises(BuildError, match="could not shut it; the step left a body that is not valid"):
        one_solid(cq.Solid.makeSolid(cq.Shell.makeShell([*others, lid])), "shut it", box)
