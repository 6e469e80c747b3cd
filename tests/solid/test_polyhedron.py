"""Bodies of flat faces: what is refused, and courses against sections integrated by hand."""

from itertools import pairwise

import numpy as np
import pytest

from mounts.errors import BuildError
from mounts.solid.courses import Course, coursed
from mounts.solid.polyhedron import of_polygons, polyhedron, rectangle

pytestmark = pytest.mark.solid

CORNERS = np.concatenate([rectangle((0, 2), (0, 3), 0.0), rectangle((0, 2), (0, 3), 4.0)])
FACES = [[3, 2, 1, 0], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]]


def test_a_box_of_six_faces():
    """2 by 3 by 4 mm, and the kernel calls it valid."""
    body = polyhedron(CORNERS, FACES, "draw a box")
    assert body.Volume() == pytest.approx(24)
    assert body.isValid()


def _moved(corner, by):
    moved = CORNERS.copy()
    moved[corner] += by
    return moved


@pytest.mark.parametrize(
    ("corners", "faces", "why"),
    [
        (CORNERS, FACES[:-1], "the faces do not close"),
        (CORNERS, [*FACES[:-1], FACES[-1][::-1]], "the faces do not close"),
        (CORNERS, [face[::-1] for face in FACES], "the faces are seen from inside"),
        (_moved(6, (0.0, 0.0, 1e-4)), FACES, "a face is not flat"),
        (CORNERS * (1.0, 1.0, 0.0), FACES, "a face has no size"),
    ],
)
def test_what_is_no_closed_body_is_refused(corners, faces, why):
    """Each in words of the step."""
    with pytest.raises(BuildError, match=f"^could not draw a box; {why}$"):
        polyhedron(corners, faces, "draw a box")


def test_a_corner_within_the_kernel_s_own_point_passes():
    """The kernel takes what is within 1e-7 mm for one point (its precision's confusion, reference manual)."""
    polyhedron(_moved(6, (0.0, 0.0, 1e-7)), FACES, "draw a box")


PLAIN, CUT = Course(0.0, 1.5, 2.0, 0.5, cut=False), Course(2.0, 3.2, 4.0, 0.8, cut=True)
ON_GROUND, UNDER_RIM = Course(0.0, 1.2, 2.0, 0.8, cut=True), Course(2.0, 3.5, 4.0, 0.5, cut=True, rim_z=3.1)


@pytest.mark.parametrize(
    "courses", [(PLAIN, CUT), (ON_GROUND, UNDER_RIM), (ON_GROUND, Course(2.0, 3.2, 4.0, 0.8, cut=True))]
)
def test_courses_have_the_volume_of_their_sections(courses):
    """Sections of a 10 by 8 box that stands out, less its grooves: quadratic in height, Simpson's rule is exact."""

    def area(course, z):
        out = course.out_mm * min(1.0, (course.high_z - z) / (course.high_z - course.shoulder_z))
        grooved = course.cut and (course.rim_z is None or z < course.rim_z)
        return (10 + 2 * out) * (8 + 2 * out) - grooved * 2 * (1 + 2) * 0.4 * out

    volume = 0.0
    for course in courses:
        levels = sorted({course.low_z, course.shoulder_z, course.high_z} | ({course.rim_z} - {None}))
        for low, high in pairwise(levels):
            first, middle, last = (area(course, z) for z in (low, (low + high) / 2, high - 1e-12))
            volume += (high - low) / 6 * (first + 4 * middle + last)
    body = of_polygons(coursed((0.0, 10.0), (0.0, 8.0), courses, (2, 3), 0.4), "draw the courses")
    assert body.isValid()
    assert body.Volume() == pytest.approx(volume, rel=1e-9)
