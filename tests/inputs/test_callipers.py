"""Eight answers with callipers: wrong ones are told apart, the rest comes of the nearest class, samples are joined.

Which mistakes are made at a bench: common practice, no source.
"""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from made import build

from mounts.errors import InputError
from mounts.inputs.callipers import QUESTIONS, filled, joined, nearest_class, read, refusals
from mounts.inputs.doubts import doubts
from mounts.inputs.library import Library
from mounts.inputs.measured import classes
from mounts.inputs.servo import Servo

LIBRARY = Library()
KNOWN = classes(LIBRARY)
RIGHT = {
    "case": "22.6 x 12.2 x 22.6",
    "ears": "32.2 x 27.5",
    "height": "15.8",
    "shaft": "6.0",
    "boss": "11.7 x 4.1",
    "arm": "15.4",
    "holes": "5 7 9 11 13 15",
    "cable": "near 4.5",
}
WRONG = [
    ("case", "0.89 x 0.48 x 0.89", "the case's length", "inches"),
    ("case", "22.6 x 0.48 x 22.6", "the case's width", "inches"),
    ("case", "22.6 in x 12.2 in x 22.6 in", "the case's length", "was written as inches"),
    ("case", "2.26 x 1.22 x 2.26", "the case's length", "centimetres"),
    ("case", "226 x 12.2 x 22.6", "the case's length", "point is one place off"),
    ("case", "26.2 x 12.2 x 22.6", "the case's length", "two digits may be exchanged: 22.6"),
    ("case", "22.6 x 21.2 x 22.6", "the case's width", "two digits may be exchanged: 12.2"),
    ("case", "32.2 x 12.2 x 22.6", "the case's length", "over both ears"),
    ("case", "22.6 x 12.2 x 26.7", "the case's height", "include the boss"),
    ("case", "12.2 x 22.6 x 22.6", "the case's width", "are the two exchanged"),
    ("ears", "27.5 x 32.2", "the span of the ears", "from hole to hole"),
    ("ears", "22.6 x 27.5", "the span of the ears", "the ears reach past the case"),
    ("ears", "1.27 x 1.08", "the span of the ears", "inches"),
    ("ears", "32.2 x 25.2", "the spacing of the ears' holes", "inner edges"),
    ("ears", "32.2 x 29.8", "the spacing of the ears' holes", "outer edges"),
    ("ears", "23.2 x 27.5", "the span of the ears", "two digits may be exchanged: 32.2"),
    ("ears", "322 x 27.5", "the span of the ears", "point is one place off"),
    ("height", "18.3", "the height of the ears", "upper face of the ears"),
    ("height", "51.8", "the height of the ears", "two digits may be exchanged: 15.8"),
    ("height", "0.62", "the height of the ears", "inches"),
    ("height", "6.8", "the height of the ears", "from the top of the case"),
    ("height", "22.6", "the height of the ears", "below the top of the case"),
    ("height", "1.58", "the height of the ears", "centimetres"),
    ("shaft", "16.6", "the shaft's distance", "from the other end of the case"),
    ("shaft", "0.24", "the shaft's distance", "inches"),
    ("shaft", "10.8", "the shaft's distance", "end of the ear"),
    ("shaft", "3.7", "the shaft's distance", "near edge of the spline"),
    ("boss", "4.6 x 4.1", "the boss's diameter", "it is the spline"),
    ("boss", "11.7 x 7.1", "the boss's height", "includes the spline"),
    ("boss", "5.85 x 4.1", "the boss's diameter", "half of it"),
    ("boss", "22.6 x 4.1", "the boss's diameter", "not wider than the case"),
    ("arm", "31.2", "the arm's height", "from the bottom of the case"),
    ("arm", "8.6", "the arm's height", "from the top of the case"),
    ("arm", "12.9", "the arm's height", "upper face of the ears"),
    ("arm", "13.8", "the arm's height", "inner face"),
    ("arm", "51.4", "the arm's height", "two digits may be exchanged: 15.4"),
    ("arm", "6", "the arm's height", "above the case's top"),
    ("holes", "15 13 11 9", "the arm's holes", "are two exchanged"),
    ("holes", "0.2 0.28 0.35", "the arm's holes", "inches"),
    ("holes", "50 70 90", "the arm's holes", "no arm is so long"),
    ("holes", "1 3 5", "the arm's holes", "under the screw"),
    ("holes", "5 7 9 19", "the arm's holes", "was one left out"),
    ("cable", "near 18.1", "the cable's height", "from the top of the case"),
    ("cable", "near 45", "the cable's height", "point is one place off"),
]


def _before(key: str) -> dict[str, object]:
    found: dict[str, object] = {}
    for question in QUESTIONS:
        if question.key == key:
            return found
        found |= read(question, RIGHT[question.key])[0]
    return found


def _question(key: str):
    return next(question for question in QUESTIONS if question.key == key)


@pytest.mark.parametrize(("key", "answer", "which", "why"), WRONG, ids=[f"{row[0]} {row[1]}" for row in WRONG])
def test_a_wrong_answer_is_caught_with_the_measurement_and_the_reason(key, answer, which, why):
    """Of a 9 g servo, measured right up to there: the sentence names the measurement and why it looks wrong."""
    sample = read(_question(key), answer)[0]

    said = doubts(_question(key), sample, _before(key), KNOWN)

    assert said
    assert said[0].startswith(which)
    assert why in said[0]


@pytest.mark.parametrize("servo", KNOWN, ids=lambda servo: servo.name)
@pytest.mark.parametrize("off", [-0.2, 0.0, 0.2])
def test_a_servo_of_a_class_is_taken_as_measured(servo, off):
    """Every built-in class, all larger or smaller by 0.2 mm: no answer is doubted, but the ears of the 13 g one, which
    stand where the upper face of a 9 g servo's ears is; and the nearest class after three answers is its own."""
    measured: dict[str, object] = {}
    for index, question in enumerate(QUESTIONS):
        sample = {}
        for field in question.fields:
            value = getattr(servo, field)
            sample[field] = tuple(v + off for v in value) if isinstance(value, tuple) else round(value + off, 3)
        said = doubts(question, sample, measured, KNOWN)
        assert not said or (servo.name, question.key) == ("micro-13g", "height"), said
        measured |= sample
        if index == 2:
            assert nearest_class(measured, KNOWN).name == servo.name
    assert refusals({**measured, "cable_end": "near"}, servo) == []


@pytest.mark.parametrize(
    ("key", "answer"),
    [("case", "22.6 x 12.2"), ("case", "x"), ("cable", "middle 4"), ("shaft", "six"), ("shaft", "1/4"), ("holes", "")],
)
def test_what_is_no_answer_is_asked_for_again(key, answer):
    """Too few lengths, no length, a word that is not offered, a fraction without its unit."""
    with pytest.raises(InputError):
        read(_question(key), answer)


def test_units_are_taken_and_one_unit_serves_all():
    """0.89 in is 22.606 mm by definition of the inch; the last unit holds for lengths without one."""
    assert read(_question("case"), "0.89 x 0.48 x 0.89 in")[0]["case_length_mm"] == pytest.approx(22.606)
    assert read(_question("shaft"), "6,05")[0]["shaft_offset_mm"] == 6.05
    assert read(_question("holes"), "5; 7; 9 mm")[0]["horn_radii_mm"] == (5.0, 7.0, 9.0)


def test_the_rest_moves_with_what_it_stands_on():
    """A class's spline and arm keep their distance from a boss that is 1 mm higher; what was measured stays."""
    base = LIBRARY.servo("micro-9g")
    figures = filled({"boss_height_mm": base.boss_height_mm + 1.0}, base)

    assert figures["horn_plane_height_mm"] == pytest.approx(base.horn_plane_height_mm + 1.0)
    assert figures["spline_top_height_mm"] == pytest.approx(base.spline_top_height_mm + 1.0)
    assert figures["case_length_mm"] == base.case_length_mm


def test_samples_are_joined():
    """The case of the largest, the mean of all else, and what they differ by: by hand."""
    rows = [{"case_length_mm": 22.6, "shaft_offset_mm": 6.0}, {"case_length_mm": 22.2, "shaft_offset_mm": 6.2}]

    one, spread = joined(rows)

    assert one == {"case_length_mm": 22.6, "shaft_offset_mm": 6.1}
    assert spread == {"case_length_mm": 0.4, "shaft_offset_mm": 0.2}


def _spread_servo() -> Servo:
    return LIBRARY.servo("micro-9g").model_copy(
        update={"case_length_mm": 22.9, "case_length_spread_mm": 0.5, "case_width_mm": 12.4,
                "case_width_spread_mm": 0.3}
    )  # fmt: skip


@pytest.mark.solid
def test_of_a_hundred_samples_all_go_in_and_none_shakes_more_than_the_spread(tmp_path, monkeypatch):
    """Lengths drawn evenly from the measured spread (seeded): rays across the pocket on the bracket's mesh give its
    width; each case goes in, with play of at most twice the gap a side and the spread."""
    import trimesh

    servo = _spread_servo()
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path))
    (tmp_path / "profiles" / "servo").mkdir(parents=True)
    lines = [f"{key} = {getattr(servo, key)}" for key in
             ("case_length_mm", "case_width_mm", "case_length_spread_mm", "case_width_spread_mm")]  # fmt: skip
    text = "\n".join(['title = "five"', 'extends = "micro-9g"', *lines, "[source.m]", 'text = "mine"', 'mark = "S"'])
    (tmp_path / "profiles" / "servo" / "five.toml").write_text(text)
    mount = build({"lie": "across"}, servo="five")
    plan, mesh = mount.design.plan, mount.meshes[0]
    full = np.array(mesh.print_to_mount)
    points = mesh.vertices_mm @ full[:3, :3].T + full[:3, 3]
    tri = trimesh.Trimesh(points, mesh.faces, process=False)
    at = np.array([plan.wall_face_x - plan.wall_mm / 2, sum(plan.notch_y) / 2, plan.notch_top_z - 4.0])
    hits = [min(np.linalg.norm(p - at) for p in tri.ray.intersects_location([at], [[0, way, 0]])[0]) for way in (1, -1)]
    pocket_mm = sum(hits)

    lengths = np.random.default_rng(10).uniform(22.4, 22.9, 100)
    play = pocket_mm - lengths
    assert play.min() >= 0.4 - 0.01
    assert play.max() <= 0.4 + 0.5 + 0.01


@pytest.mark.solid
def test_a_check_says_whether_the_smallest_is_held():
    """With half a mm of spread it is told and passes; with so much that an ear slips off, just good and just bad."""
    from mounts.checks.clearance import _smallest

    mount = build({})
    ear = mount.design.spec.servo.ear_mm

    def verdict(spread: float) -> list[str]:
        servo = mount.design.spec.servo.model_copy(update={"case_length_spread_mm": spread})
        spec = mount.design.spec.model_copy(update={"servo": servo})
        return [check.verdict for check in _smallest(mount.design.model_copy(update={"spec": spec}))]

    assert verdict(0.0) == []
    assert verdict(0.5) == ["pass"]
    assert verdict(ear - 0.4 - 1.0) == ["pass"]
    assert verdict(ear - 0.4 - 0.99) == ["fail"]


class _Terminal:
    """A program on a pseudo-terminal."""

    def __init__(self, words: list[str], environment: dict[str, str]) -> None:
        self.child, self.line = pty.fork()
        if self.child == 0:  # pragma: no cover
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # a suite run in the background ignores it
            os.execve(sys.executable, [sys.executable, "-m", "mounts", *words], environment)  # noqa: S606
        self.text, self.seen = "", 0

    def until(self, wanted: str, seconds: float = 60.0) -> None:
        """Reads until a text is there."""
        end = time.monotonic() + seconds
        while wanted not in self.text[self.seen :]:
            assert time.monotonic() < end, self.text
            if select.select([self.line], [], [], 0.2)[0]:
                try:
                    self.text += os.read(self.line, 65536).decode(errors="replace")
                except OSError:
                    break
        assert wanted in self.text[self.seen :], self.text
        self.seen = self.text.index(wanted, self.seen) + len(wanted)

    def type(self, line: str) -> None:
        """Types a line."""
        os.write(self.line, f"{line}\n".encode())

    def ended(self, seconds: float = 60.0) -> int:
        """Waits, and tells the exit code; what does not end is ended."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            try:
                if select.select([self.line], [], [], 0.2)[0] and not os.read(self.line, 65536):
                    break
            except OSError:
                break
        else:
            os.kill(self.child, signal.SIGKILL)
        return os.waitstatus_to_exitcode(os.waitpid(self.child, 0)[1])


def _environment(folder) -> dict[str, str]:
    return {**os.environ, "MOUNTS_CONFIG_DIR": str(folder), "PYTHONPATH": str(Path.cwd()), "COLUMNS": "80"}


@pytest.mark.solid
def test_from_callipers_to_a_passing_mount_in_eight_answers_on_a_terminal(tmp_path, monkeypatch):
    """On a pseudo-terminal: a wrong answer is asked for again with its reason, `b` goes back, eight answers make a
    profile, and a mount for it passes every check."""
    from mounts.cli import main

    terminal = _Terminal(["profiles", "new", "servo", "mine"], _environment(tmp_path))
    for number, question in enumerate(QUESTIONS, start=1):
        terminal.until(f"such as {question.example}")
        assert f"{number} of 8" in terminal.text
        if question.key == "shaft":
            terminal.type("0.24")
            terminal.until("inches")
            terminal.until("such as")
        if question.key == "arm":
            terminal.type("b")
            terminal.until("5 of 8")
            terminal.until("such as 11.7 x 4.1")
            terminal.type(RIGHT["boss"])
            terminal.until("such as 15.4")
        terminal.type(RIGHT[question.key])
    assert terminal.ended() == 0
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path))
    mine = Library().servo("mine")
    assert (mine.case_length_mm, mine.flange_underside_height_mm, mine.horn_radii_mm[-1]) == (22.6, 15.8, 15.0)
    assert "spline_teeth" in mine.source["not_measured"].text
    words = ["make", "--id", "e1", "--style", "under-bracket", "--servo", "mine", "--board", "18 mm", "--scale", "HO"]
    assert main([*words, "--out", str(tmp_path / "out"), "--quiet"]) == 0


def test_ctrl_c_leaves_nothing(tmp_path):
    """After two answers Ctrl-C ends it, not with 0, and no profile is there."""
    terminal = _Terminal(["profiles", "new", "servo", "mine"], _environment(tmp_path))
    for question in QUESTIONS[:2]:
        terminal.until(f"such as {question.example}")
        terminal.type(RIGHT[question.key])
    terminal.until("such as 15.8")
    os.write(terminal.line, b"\x03")
    time.sleep(0.1)
    assert terminal.ended() != 0
    assert not list(tmp_path.rglob("*.toml"))
