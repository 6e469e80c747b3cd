"""The sheet that shows where the callipers go."""

import re
from xml.etree import ElementTree as ET

import pytest

from mounts.export.calliper_sheet import LARGER, render_calliper_sheet
from mounts.inputs.callipers import QUESTIONS
from mounts.inputs.library import Library

SERVO = Library().servo("micro-9g")


def test_every_question_and_each_of_its_measurements_is_on_the_sheet():
    """Each letter that a question names stands at a line on the drawing, and the question is written below it."""
    root = ET.fromstring(render_calliper_sheet(SERVO))  # noqa: S314
    texts = [node.text or "" for node in root.iter() if node.tag.endswith("text")]
    letters = {text for text in texts if re.fullmatch(r"[a-p]|n[12]", text)}

    assert letters == set("abcdefghkmp") | {"n1", "n2"}
    assert all(any(f"{question.key}: " in text for text in texts) for question in QUESTIONS)


@pytest.mark.parametrize("size_mm", [22.6, 12.2, 32.2, 27.5, 15.75, 15.4])
def test_a_measurement_is_as_long_as_it_is_times_the_scale(size_mm):
    """Case, ears, their height and the arm's: a line of that length times the scale of the drawing is there."""
    found = []
    for points in re.findall(r'points="([^"]+)"', render_calliper_sheet(SERVO).decode()):
        corners = [tuple(map(float, corner.split(","))) for corner in points.split()]
        if len(corners) == 2:
            found.append(max(abs(corners[0][axis] - corners[1][axis]) for axis in (0, 1)))

    assert any(abs(length - size_mm * LARGER) < 0.01 for length in found)
