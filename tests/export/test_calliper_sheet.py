"""The sheet that shows where the callipers go, read back line by line."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from mounts.export.calliper_sheet import render_calliper_sheet
from mounts.inputs.callipers import QUESTIONS
from mounts.inputs.library import Library

SERVO = Library().servo("micro-9g")
GREY = "#888888"


def read(servo):
    """Boxes (left, bottom, right, top), circles (x, y, diameter), grey lines, letters with their places, in servo mm.

    y is upwards, and all is drawn 2.5 times as large.
    """
    root = ET.fromstring(render_calliper_sheet(servo))  # noqa: S314
    boxes, circles, lines, texts = [], [], [], []
    for node in root.iter():
        kind = node.tag.rpartition("}")[2]
        if kind in ("polygon", "polyline"):
            points = np.array([pair.split(",") for pair in node.get("points").split()], dtype=float) * (0.4, -0.4)
            if node.get("stroke") == GREY:
                lines.append(points)
            elif kind == "polygon":
                boxes.append([*points.min(axis=0), *points.max(axis=0)])
        elif kind == "circle":
            circles.append([float(node.get("cx")) * 0.4, float(node.get("cy")) * -0.4, float(node.get("r")) * 0.8])
        elif kind == "text":
            texts.append((node.text or "", float(node.get("x")) * 0.4, float(node.get("y")) * -0.4))
    return boxes, circles, lines, texts


def test_every_question_and_each_of_its_measurements_is_on_the_sheet():
    """Each letter that a question names stands at a line on the drawing, and the question is written below it."""
    *_, texts = read(SERVO)
    letters = {text for text, *_ in texts if re.fullmatch(r"[a-p]|n[12]", text)}

    assert letters == set("abcdefghkmp") | {"n1", "n2"}
    assert all(
        any(f"{count}  {question.key}: " in text for text, *_ in texts) for count, question in enumerate(QUESTIONS, 1)
    )


@pytest.mark.parametrize("cable_end", ["near", "far"])
@pytest.mark.parametrize("name", ["micro-9g", "standard-40g"])
def test_servo_and_measurements_are_drawn_where_they_are(name, cable_end):
    """From the side the shaft's axis on 0 and the flange's underside on 0, from above the shaft 14 mm below the case's
    foot and its width: case, ears, boss, spline, arm and cable, screws and arm holes; a line with two ticks of 0.96 mm
    from end to end of every measurement, clear of what it measures, and its letter beside the line's middle."""
    servo = Library().servo(name).model_copy(update={"cable_end": cable_end})
    boxes, circles, lines, texts = read(servo)
    (near, far), ear, half = servo.case_ends_mm(), servo.ear_mm, servo.case_width_mm / 2
    foot, top, arm = -servo.flange_underside_height_mm, servo.case_top_height_mm, servo.horn_plane_height_mm
    boss_top, under_arm, boss = servo.boss_top_height_mm, servo.arm_inner_height_mm, servo.boss_mm / 2
    cable, thick = foot + servo.cable_height_mm, servo.cable_thickness_mm / 2
    y = foot - 14.0 - servo.case_width_mm
    out = (near - 6.0, near) if cable_end == "near" else (far, far + 6.0)

    wanted = [
        (near, foot, far, top), (near - ear, 0.0, near, servo.flange_thickness_mm),
        (far, 0.0, far + ear, servo.flange_thickness_mm), (-boss, top, boss, boss_top),
        (-servo.spline_mm / 2, boss_top, servo.spline_mm / 2, under_arm),
        (-servo.horn_hub_mm / 2, under_arm, servo.horn_length_mm, arm), (out[0], cable - thick, out[1], cable + thick),
        (near, y - half, far, y + half), (near - ear, y - half, near, y + half), (far, y - half, far + ear, y + half),
    ]  # fmt: skip
    assert np.array(boxes)[: len(wanted)] == pytest.approx(np.array(wanted), abs=1e-3)
    middle = (near + far) / 2
    holes = [
        *((middle + along, y + across, servo.flange_hole_mm) for along, across in servo.ear_screws_mm),
        (0.0, y, servo.boss_mm), *((radius, y, servo.horn_hole_mm) for radius in servo.horn_radii_mm),
    ]  # fmt: skip
    assert np.array(circles) == pytest.approx(np.array(holes), abs=1e-3)

    spread, radii = servo.flange_hole_spacing_mm / 2, servo.horn_radii_mm
    spans = {
        "a": (near, foot - 3, far, foot - 3), "c": (far + 3, foot, far + 3, top),
        "f": (near - ear - 3, foot, near - ear - 3, 0), "g": (near, top + 1.5, 0, top + 1.5),
        "h": (-boss, boss_top + 1.5, boss, boss_top + 1.5), "k": (boss + 2, top, boss + 2, boss_top),
        "m": (far + ear + 3, 0, far + ear + 3, arm), "p": (near + 2, foot, near + 2, cable),
        "n1": (0, y - half - 2, radii[0], y - half - 2), "n2": (0, y - half - 5, radii[1], y - half - 5),
        "e": (middle - spread, y + half + 2, middle + spread, y + half + 2),
        "d": (near - ear, y + half + 5, far + ear, y + half + 5),
        "b": (far + ear + 3, y - half, far + ear + 3, y + half),
    }  # fmt: skip
    at = {text: (x, height) for text, x, height in texts}
    assert len(lines) == 3 * len(spans)
    for (key, (x0, y0, x1, y1)), line, *ticks in zip(spans.items(), lines[::3], lines[1::3], lines[2::3], strict=True):
        assert line == pytest.approx(np.array([(x0, y0), (x1, y1)]), abs=1e-3), key
        flat = y0 == y1
        for tick, end in zip(ticks, ((x0, y0), (x1, y1)), strict=True):
            off = np.array((0.0, 0.48) if flat else (0.48, 0.0))
            assert tick == pytest.approx(np.array([end - off, end + off]), abs=1e-3), key
        beside = ((x0 + x1) / 2 - 0.4, y0 + 0.4) if flat else (x0 + 0.4, (y0 + y1) / 2 - 0.4)
        assert at[key] == pytest.approx(beside, abs=1e-3), key


def test_an_arm_with_one_hole_is_measured_once():
    """Both lines then go to that hole."""
    servo = SERVO.model_copy(update={"horn_radii_mm": (9.0,)})
    flat = [line for line in read(servo)[2] if np.ptp(line[:, 1]) == 0 and abs(np.ptp(line[:, 0]) - 9.0) < 1e-3]
    assert [line[0, 0] for line in flat] == [0.0, 0.0]
