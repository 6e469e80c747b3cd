"""`mounts adapt` as a user runs it: the files of a mount in, another mount out, both sound."""

import hashlib
import json
import math
import shutil

import numpy as np
import pytest
from shapely import LineString

from mounts.cli import main
from mounts.stl import read_stl


@pytest.fixture(scope="module")
def east(tmp_path_factory):
    """The folder of an HO mount under 12 mm, made once."""
    out = tmp_path_factory.mktemp("made")
    words = ["--style", "under-bracket", "--board", "12 mm", "--throw", "3", "--scale", "HO"]
    assert main(["make", "--id", "east-1", *words, "--quiet", "--out", str(out)]) == 0
    return out / "east-1" / "east-1"


def report_in(folder):
    """The report of a mount's folder."""
    return json.loads((folder / "report.json").read_text())


def contents(folder):
    """Every file of a folder by name."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def travel_by_lines_mm(report):
    """End to end at the pin from the report alone: arm hole to pivot and on to the pin's height, in y and z."""
    drive, datums = report["drive"], report["datums"]
    shaft = np.array(datums["servo"])[1:3, 3]
    pivot, level = np.array(datums["pivot"])[1:], datums["pin"][2]
    at_mid = np.array(datums["horn_at_mid"])[1:]
    ends = []
    for sign in (-1, 1):
        angle = math.radians(sign * drive["swing_deg"])
        turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        hole = shaft + drive["horn_radius_mm"] * turn @ at_mid
        line = LineString([hole, hole + 20 * (pivot - hole)])
        ends.append(line.intersection(LineString([(-200, level), (200, level)])).x)
    return abs(ends[1] - ends[0])


@pytest.mark.solid
@pytest.mark.parametrize(("board", "tag"), [("18 mm", "18mm"), ("3/4 in", "19.05mm")])
def test_thicker_board_keeps_hole_wire_and_pulses_and_both_mounts_are_sound(east, tmp_path, capfd, board, tag):
    """From 12 mm to 18 and to 3/4 in: same hole, wire, pulses and screw holes; depth, wire and screws change."""
    before, was = report_in(east), contents(east)

    assert main(["adapt", str(east / "report.json"), "--board", board, "--out", str(tmp_path)]) == 0

    said = capfd.readouterr()
    folder = tmp_path / f"east-1-{tag}" / f"east-1-{tag}"
    after = report_in(folder)
    assert contents(east) == was
    assert said.err == ""
    assert "adapted from east-1" in said.out
    assert after["drive"]["pulse_us"] == before["drive"]["pulse_us"]
    for key in ("horn_radius_mm", "wire_mm", "arm_hole_drill_mm", "horn_towards_pivot", "swing_deg"):
        assert after["drive"][key] == before["drive"][key]
    assert [hole[:2] for hole in after["datums"]["fixings"]] == [hole[:2] for hole in before["datums"]["fixings"]]
    changes = {row["what"]: row for row in after["adapted"]["changes"]}
    assert changes.keys() <= {
        "board",
        "pivot to arm hole",
        "hole in the board",
        "wire to cut",
        "screws",
        "travel",
        "over-travel a side",
        "force at the blades",
    }
    assert changes["pivot to arm hole"]["after"] == after["drive"]["pivot_to_horn_mm"]
    assert changes["wire to cut"]["after"] == after["wire_cut_mm"] > before["wire_cut_mm"]
    for report in (before, after):
        assert {check["verdict"] for check in report["checks"]} <= {"pass", "warn"}
        asked = report["inputs"]["throw_mm"] + 2 * report["drive"]["overtravel_mm"]
        assert travel_by_lines_mm(report) == pytest.approx(asked, abs=0.05)
    for name, sha256 in after["files"].items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == sha256
    vertices, _ = read_stl((folder / f"east-1-{tag}.stl").read_bytes())
    deeper = after["parts"][0]["size_mm"][2] - before["parts"][0]["size_mm"][2]
    assert np.ptp(vertices, axis=0) == pytest.approx(after["parts"][0]["size_mm"], abs=0.02)
    assert deeper == pytest.approx(after["drive"]["pivot_to_horn_mm"] - before["drive"]["pivot_to_horn_mm"], abs=0.02)


@pytest.mark.solid
def test_folder_design_and_report_alone_give_the_same_mount(east, tmp_path, capfd):
    """Folder, design.json and a report without its design give the same STL; a second run changes nothing."""
    alone = tmp_path / "mailed"
    alone.mkdir()
    shutil.copy(east / "report.json", alone)
    stls = []
    for number, source in enumerate((east, east / "design.json", alone / "report.json")):
        out = tmp_path / str(number)
        assert main(["adapt", str(source), "--board", "13", "--id", "west", "--quiet", "--out", str(out)]) == 0
        stls.append((out / "west" / "west" / "west.stl").read_bytes())
    written = contents(tmp_path / "0" / "west" / "west")
    capfd.readouterr()

    code = main(["adapt", str(east), "--board", "13", "--id", "west", "--out", str(tmp_path / "0")])

    assert code == 0
    assert "(unchanged)" in capfd.readouterr().out
    assert contents(tmp_path / "0" / "west" / "west") == written
    assert stls[0] == stls[1] == stls[2]


@pytest.mark.solid
def test_an_edited_design_is_not_taken_for_the_reports(east, tmp_path):
    """Where design.json is no longer the one the report lists, the report's own figures count."""
    from mounts.cli.adapt import read_mount

    copy = tmp_path / "copy"
    shutil.copytree(east, copy)
    design = json.loads((copy / "design.json").read_text())
    design["drive"]["wire_mm"] = 0.5
    (copy / "design.json").write_text(json.dumps(design))

    assert read_mount(copy / "report.json").drive.wire_mm == report_in(east)["drive"]["wire_mm"]
    assert read_mount(copy / "design.json").drive.wire_mm == 0.5


@pytest.mark.solid
def test_a_design_with_figures_that_profiles_no_longer_have_is_read(east, tmp_path):
    """A press fit that nothing asked for does not keep an older mount from being read."""
    from mounts.cli.adapt import read_mount

    design = json.loads((east / "design.json").read_text())
    design["spec"]["printer"]["press_fit_mm"] = 0.08
    (tmp_path / "design.json").write_text(json.dumps(design))

    assert read_mount(tmp_path).spec == read_mount(east).spec


@pytest.mark.solid
@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], ["nothing to change"]),
        (["--board", "18 m"], ["--board = '18 m'", "3 to 60 mm"]),
        (["--board", "18", "--id", "../x"], ["--id = '../x'", "file name"]),
        (["--board", "18", "--servo", "mini-20"], ["--servo = 'mini-20'", "nearest is 'mini-20g'"]),
        (["--board", "18", "--id", "east-1"], ["--id = 'east-1'", "must not be that of the mount"]),
        (["--borad", "18"], ["--borad: unknown option; nearest is '--board'"]),
    ],
)
def test_wrong_input_is_one_line_and_nothing_is_written(east, capfd, words, said):
    """Exit 2, the option and what is allowed; the mount that exists is untouched."""
    was, beside = contents(east), sorted(east.parents[1].rglob("*"))

    assert main(["adapt", str(east), *words, "--out", str(east.parents[1])]) == 2

    (line,) = capfd.readouterr().err.splitlines()
    assert line.startswith("error: ")
    assert all(word in line for word in said), line
    assert contents(east) == was
    assert sorted(east.parents[1].rglob("*")) == beside


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "no such file"),
        ("{", "not JSON"),
        ("[]", "must be the design.json or report.json"),
        ('{"schema": "report/1"}', "mount, verdict, inputs, servo and "),
        ('{"spec": {}, "drive": {}, "datums": {}, "plan": {}}', "spec: id, style, mirror, servo and "),
    ],
    ids=["missing", "torn", "other json", "empty report", "empty design"],
)
def test_a_file_that_is_no_mount_is_named(tmp_path, capfd, content, said):
    """Exit 2; the first line names the file and what is wrong with it."""
    file = tmp_path / "design.json"
    if content is not None:
        file.write_text(content)

    assert main(["adapt", str(file), "--board", "18", "--out", str(tmp_path / "out")]) == 2

    first = capfd.readouterr().err.splitlines()[0]
    assert first.startswith(f"error: {file}: ")
    assert said in first


@pytest.mark.solid
def test_a_slip_in_a_reports_drive_is_told_at_its_place(east, tmp_path, capfd):
    """A wire that is no number: exit 2, one line with the field and what was written, not the whole drive."""
    report = report_in(east)
    report["drive"]["wire_mm"] = "0.5q"
    file = tmp_path / "y.json"
    file.write_text(json.dumps(report))

    assert main(["adapt", str(file), "--board", "18", "--out", str(tmp_path / "out")]) == 2

    assert capfd.readouterr().err == f"error: {file}: drive.wire_mm = '0.5q': must be a number\n"


@pytest.mark.solid
def test_nothing_to_keep_is_exit_1(east, tmp_path, capfd):
    """Where no drive exists, one line with the reason, and nothing is written."""
    assert main(["adapt", str(east), "--board", "60", "--force", "15-20", "--out", str(tmp_path / "out")]) == 1

    (line,) = capfd.readouterr().err.splitlines()
    assert line.startswith("no design: east-1-60mm-force15-20N: nothing can be kept: ")
    assert not (tmp_path / "out").exists()


@pytest.mark.solid
def test_pictures_are_drawn_of_an_adapted_mount_too(east, tmp_path):
    """The same two PNGs that ``make`` adds; ``--picture`` may be said."""
    words = ["--board", "15", "--id", "east-2", "--picture", "--quiet", "--out", str(tmp_path)]

    assert main(["adapt", str(east), *words]) == 0

    folder = tmp_path / "east-2" / "east-2"
    assert (folder / "east-2.png").read_bytes().startswith(b"\x89PNG")
    assert {"east-2.png", "east-2-apart.png"} <= report_in(folder)["files"].keys()
