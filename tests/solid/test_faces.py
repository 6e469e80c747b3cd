"""Holes and letters drawn into faces, against the kernel's booleans and volumes reckoned by hand."""

import math

import cadquery as cq
import pytest
from shapely.geometry import MultiPolygon, Polygon

from mounts.errors import BuildError
from mounts.solid.faces import Hole, pierced, written
from mounts.solid.holes import circle, pivot_slot, teardrop
from mounts.solid.lettering import outline

pytestmark = pytest.mark.solid

TOP = cq.Plane(origin=(0, 0, 5), xDir=(1, 0, 0), normal=(0, 0, 1))


def plate() -> cq.Shape:
    """40 by 20 by 5 mm from the origin, with a round bore of 4 mm."""
    return cq.Solid.makeBox(40, 20, 5).cut(cq.Solid.makeCylinder(2.0, 5.0, cq.Vector(30, 10, 0)))


PLAIN = 40 * 20 * 5 - math.pi * 4 * 5


def tapering(at: tuple[float, float]) -> Hole:
    """A square of 4 mm that narrows to 2 mm over 2 mm, and goes on so: 9.33 and 12 mm³, by the frustum's formula."""
    x, y = at

    def square(half: float) -> list[tuple[float, float]]:
        return [(x + a * half, y + b * half) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]

    return Hole(TOP, [(square(2.0), 0.0), (square(1.0), 2.0), (square(1.0), 5.0)])


TAPERING = 2 / 3 * (16 + 4 + 8) + 3 * 4


@pytest.mark.parametrize("mirrored", [False, True])
def test_holes_take_what_their_rings_enclose(mirrored: bool) -> None:
    """Straight and tapering ones, of a body and of its mirror image; the kernel calls it valid, and a boolean of the
    same hole leaves the same body."""
    body = plate().mirror("YZ") if mirrored else plate()
    side = -1 if mirrored else 1
    ring = teardrop((side * 8.0, 10.0), 3.0, point=(1.0, 0.0))
    holes = [Hole(TOP, [(ring, 0.0), (ring, 5.0)]), tapering((side * 18.0, 10.0))]

    done = pierced(body, holes, "drill")
    assert done.isValid()
    assert done.Volume() == pytest.approx(PLAIN - Polygon(ring).area * 5 - TAPERING, rel=1e-9)
    cut = body.cut(*(hole.tool("drill") for hole in holes))
    assert len(done.Faces()) == len(cut.Faces())
    box, other = done.BoundingBox(), body.BoundingBox()
    assert (box.xmin, box.xmax, box.zmax) == pytest.approx((other.xmin, other.xmax, other.zmax))


def test_holes_that_meet_each_other_are_cut() -> None:
    """Two whose rims overlap by a millimetre: what is left is what a boolean leaves."""
    both = [tapering((10.0, 10.0)), tapering((13.0, 10.0))]
    done = pierced(plate(), both, "drill")

    assert done.isValid()
    assert done.Volume() == pytest.approx(plate().cut(*(hole.tool("drill") for hole in both)).Volume(), rel=1e-9)
    assert PLAIN - 2 * TAPERING < done.Volume() < PLAIN - TAPERING - 1.0


@pytest.mark.parametrize("at", [(1.5, 10.0), (29.0, 10.0)])
def test_a_hole_that_meets_an_edge_is_cut(at: tuple[float, float]) -> None:
    """Over the plate's edge, or into its bore: what is left is what a boolean leaves."""
    done = pierced(plate(), [tapering(at)], "drill")

    assert done.isValid()
    assert done.Volume() == pytest.approx(plate().cut(tapering(at).tool("drill")).Volume(), rel=1e-9)
    assert done.Volume() > PLAIN - TAPERING + 0.5


def test_a_hole_that_meets_a_hollow_on_its_way_is_cut() -> None:
    """A bore along the plate that no mouth tells of; beside it the hole is drawn as anywhere."""
    hollow = plate().cut(cq.Solid.makeCylinder(1.0, 40.0, cq.Vector(0, 10, 2.5), cq.Vector(1, 0, 0)))
    through, beside = tapering((10.0, 10.0)), tapering((10.0, 15.0))

    done = pierced(hollow, [through], "drill")
    assert done.isValid()
    assert done.Volume() == pytest.approx(hollow.cut(through.tool("drill")).Volume(), rel=1e-9)
    assert pierced(hollow, [beside], "drill").Volume() == pytest.approx(hollow.Volume() - TAPERING, rel=1e-7)


def test_a_blind_hole_has_a_floor() -> None:
    """3 mm deep in the plate of 5; one beside it that meets the bore is cut as deep."""
    ring = circle((12.0, 10.0), 3.0)
    done = pierced(plate(), [Hole(TOP, [(ring, 0.0), (ring, 3.0)], blind=True)], "drill")

    assert done.isValid()
    assert done.Volume() == pytest.approx(PLAIN - 3 * Polygon(ring).area, rel=1e-9)
    low = Hole(TOP, [(circle((27.0, 10.0), 3.0), 0.0), (circle((27.0, 10.0), 3.0), 3.0)], blind=True)
    floor = cq.Solid.makeBox(40, 20, 2.0).cut(cq.Solid.makeCylinder(2.0, 2.0, cq.Vector(30, 10, 0)))
    left = pierced(plate(), [low], "drill").intersect(cq.Solid.makeBox(40, 20, 2.0))
    assert left.Volume() == pytest.approx(floor.Volume(), rel=1e-7)
    assert pierced(plate(), [low], "drill").Volume() < PLAIN - 15.0


def test_two_bodies_are_no_body() -> None:
    """The step is told, as of any other."""
    both = cq.Compound.makeCompound([cq.Solid.makeBox(1, 1, 1), cq.Solid.makeBox(1, 1, 1, cq.Vector(5, 0, 0))])

    with pytest.raises(BuildError, match="could not drill; the step left 2 separate bodies"):
        pierced(both, [], "drill")


@pytest.mark.parametrize("height", [0.6, -0.6])
def test_letters_stand_on_a_face_or_are_sunk_in_it(height: float) -> None:
    """As high as asked over their area, the counters of a b, an 8 and an o left as the face was."""
    letters = outline("bo8", capital_mm=8.0, pen_mm=1.0, room_mm=(24.0, 10.0))
    face = cq.Plane(origin=(14, 10, 5), xDir=(1, 0, 0), normal=(0, 0, 1))
    assert sum(len(letter.interiors) for letter in letters.geoms) == 4

    done = written(plate(), face, letters, height, "write")
    assert done.isValid()
    assert done.Volume() == pytest.approx(PLAIN + letters.area * height, rel=1e-9)
    assert done.BoundingBox().zmax == pytest.approx(5 + max(height, 0.0))
    below = cq.Plane(origin=(14, 10, 0), xDir=(1, 0, 0), normal=(0, 0, -1))
    both = written(done, below, letters, height, "write")
    assert both.isValid()
    assert both.Volume() == pytest.approx(PLAIN + 2 * letters.area * height, rel=1e-9)


@pytest.mark.parametrize(("x", "z"), [(28.0, 5.0), (38.0, 5.0), (60.0, 5.0), (14.0, 4.0)])
def test_letters_have_room_on_one_flat_face(x: float, z: float) -> None:
    """Not over a bore, over the plate's edge, beside it, or where no face is."""
    letters = MultiPolygon([Polygon(circle((0.0, 0.0), 8.0), [circle((0.0, 0.0), 6.0)[::-1]])])
    face = cq.Plane(origin=(x, 10, z), xDir=(1, 0, 0), normal=(0, 0, 1))

    with pytest.raises(BuildError, match="could not write; it has no room on one flat face"):
        written(plate(), face, letters, 0.5, "write")


@pytest.mark.parametrize("roofed", [False, True])
def test_a_pivot_goes_through_its_plate_with_a_land_in_the_middle(roofed: bool) -> None:
    """The hourglass' area times its length, and with a roof a triangle of 45° more at every height."""
    slot = pivot_slot(
        TOP, (12.0, 8.0), deep_mm=5.0, length_x_mm=2.5, width_y_mm=1.2, land_mm=0.6, flare_deg=15.0, roofed=roofed
    )
    done = pierced(plate(), [slot], "cut the pivot")

    flare = (5.0 - 0.6) / 2
    wide = 1.2 + 2 * flare * math.tan(math.radians(15))
    taken = 2.5 * (1.2 * 0.6 + 2 * flare * (1.2 + wide) / 2)
    if roofed:  # w² of a half width w, integrated over land and flares, and the steeper tip's 0.3² · 0.6 more
        half = (0.6, wide / 2)
        taken += 0.36 * 0.6 + 2 * flare * (half[0] ** 2 + half[0] * half[1] + half[1] ** 2) / 3 + 5 * 0.3**2 * 0.6
    assert done.isValid()
    assert PLAIN - done.Volume() == pytest.approx(taken, rel=1e-6)
