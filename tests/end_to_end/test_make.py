"""`mounts make` as a user runs it: files, keys, exit codes, errors."""

import hashlib
import json
import re
import subprocess
import sys

import numpy as np
import pytest

from mounts.cli import main
from mounts.report.refused import Refused
from mounts.stl import read_stl

HO = {
    "--style": "under-bracket",
    "--servo": "micro-9g",
    "--board": "18 mm",
    "--roadbed": "3",
    "--throw": "3 mm",
    "--scale": "HO",
}
SERVOS = ("submicro-4g", "micro-9g", "micro-13g", "mini-20g", "standard-40g")

PICTURES = ("east-1.png", "east-1-apart.png")
REPORT_KEYS = {"schema", "mount", "inputs", "servo", "drive", "datums", "parts", "hardware", "checks"}
DRIVE_KEYS = {
    "kind",
    "horn_radius_mm",
    "pivot_to_horn_mm",
    "pivot_to_pin_mm",
    "horn_towards_pivot",
    "wire_mm",
    "swing_deg",
    "travel_mm",
    "overtravel_mm",
    "rate_n_per_mm",
    "force_n",
    "stress_mpa",
    "servo_torque_nmm",
    "torque_margin",
    "pulse_us",
    "pin_mm_per_us",
    "deadband_mm",
}
SERVO_KEYS = {
    "case_length_mm",
    "case_width_mm",
    "case_height_mm",
    "flange_span_mm",
    "flange_thickness_mm",
    "flange_underside_height_mm",
    "flange_hole_spacing_mm",
    "shaft_offset_mm",
    "horn_plane_height_mm",
}


def _words(**options: str) -> list[str]:
    given = {**HO, **{f"--{name.replace('_', '-')}": value for name, value in options.items()}}
    return ["make", "--id", "east-1", *(word for option in given.items() for word in option)]


@pytest.fixture
def make(tmp_path, capfd):
    """Runs `make` into tmp_path; gives exit code, report or None, and stderr."""

    def run(*flags: str, **options: str):
        code = main([*_words(**options), "--out", str(tmp_path), *flags])
        path = tmp_path / "east-1" / "east-1" / "report.json"
        return code, json.loads(path.read_text()) if path.exists() else None, capfd.readouterr().err

    return run


@pytest.mark.solid
def test_the_demo_mount_is_written_whole(make, tmp_path):
    """A 9 g servo under 18 mm with 3 mm of cork and throw, HO: every check passes and every file is there."""
    code, report, stderr = make()

    folder = tmp_path / "east-1" / "east-1"
    assert (code, stderr) == (0, "")
    assert report.keys() >= REPORT_KEYS
    assert report["drive"].keys() >= DRIVE_KEYS
    assert report["servo"].keys() >= SERVO_KEYS
    assert report["schema"] == "report/1"
    assert report["mount"]["style"] == "under-bracket"
    assert report["inputs"]["board_mm"] == 18.0
    assert {check["verdict"] for check in report["checks"]} <= {"pass", "warn"}
    assert {path.name for path in folder.iterdir()} == {"report.json"} | report["files"].keys()
    sheets = {"east-1-template.svg", "east-1-template.dxf", "east-1-wire.svg", "east-1-steps.txt", "east-1.pdf"}
    assert {"east-1.stl", "east-1.step", *sheets, *PICTURES} <= {path.name for path in folder.iterdir()}
    for name, sha256 in report["files"].items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == sha256


@pytest.mark.solid
def test_the_stl_is_the_part_of_the_report(make, tmp_path):
    """Lowest face on z = 0, and box and volume of the triangles are those reported, to the mesh tolerance."""
    _, report, _ = make()

    vertices, faces = read_stl((tmp_path / "east-1" / "east-1" / "east-1.stl").read_bytes())
    part = report["parts"][0]
    corners = vertices[faces]
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6
    assert vertices[:, 2].min() == 0.0
    assert np.ptp(vertices, axis=0) == pytest.approx(part["size_mm"], abs=0.06)
    assert volume == pytest.approx(part["volume_mm3"], rel=2e-3)
    assert 0.4 < part["mass_g"] / (volume / 1000 * 1.27) < 1.05  # PETG 1.25–1.29 g/cm³, walls solid, the rest sparse
    assert report["print_settings"].startswith("3 walls, 15 % infill")


@pytest.mark.solid
def test_print_to_mount_puts_the_board_face_against_the_board(make, tmp_path):
    """Moved by print_to_mount the highest vertices lie on the underside of the board, where the screws are."""
    _, report, _ = make()

    vertices, _ = read_stl((tmp_path / "east-1" / "east-1" / "east-1.stl").read_bytes())
    print_to_mount = np.array(report["parts"][0]["print_to_mount"])
    in_mount = vertices @ print_to_mount[:3, :3].T + print_to_mount[:3, 3]
    assert np.linalg.det(print_to_mount[:3, :3]) == pytest.approx(1.0)
    assert in_mount[:, 2].max() == pytest.approx(-18.0, abs=1e-3)
    assert {z for _, _, z in report["datums"]["fixings"]} == {-18.0}


@pytest.mark.solid
def test_travel_is_the_printed_formula(make):
    """travel_mm is 2·h·r·sin θ/(d + s·r·(1 − cos θ)) at θ = swing_deg: throw and twice the over-travel."""
    _, report, _ = make()

    drive = report["drive"]
    sense = 1 if drive["horn_towards_pivot"] else -1
    r, d, h = drive["horn_radius_mm"], drive["pivot_to_horn_mm"], drive["pivot_to_pin_mm"]
    swing = np.radians(drive["swing_deg"])
    travel = 2 * h * r * np.sin(swing) / (d + sense * r * (1 - np.cos(swing)))
    assert drive["travel_mm"] == pytest.approx(travel, abs=1e-4)
    assert drive["travel_mm"] == pytest.approx(3.0 + 2 * drive["overtravel_mm"], abs=1e-4)
    assert h == pytest.approx(report["datums"]["pin"][2] - report["datums"]["pivot"][2], abs=1e-6)


@pytest.mark.solid
@pytest.mark.parametrize("board", ["3/4 in", "9", "25 mm", '1/2"', "plywood-12"])
def test_boards(make, board):
    """Inch and metric boards, thin and thick, give a mount that passes, for the thickness that was given."""
    code, report, stderr = make(board=board)

    thick = {"3/4 in": 19.05, "9": 9.0, "25 mm": 25.0, '1/2"': 12.7, "plywood-12": 12.0}
    assert (code, stderr) == (0, "")
    assert report["inputs"]["board_mm"] == pytest.approx(thick[board])
    assert {check["verdict"] for check in report["checks"]} <= {"pass", "warn"}


@pytest.mark.solid
@pytest.mark.parametrize("servo", SERVOS)
def test_servo_classes(make, servo):
    """Every built-in size class gives a mount that passes under the demo board."""
    code, report, stderr = make("--max-depth", "120", servo=servo)

    assert (code, stderr) == (0, "")
    assert report["mount"]["servo"] == servo


@pytest.mark.solid
@pytest.mark.parametrize(("scale", "throw"), [("N", "2"), ("TT", "2"), ("O", "3.5")])
def test_scales(make, scale, throw):
    """The smaller and larger common scales give a mount that passes, within the scale's band of force."""
    code, report, stderr = make(scale=scale, throw=throw)

    low, high = report["inputs"]["force_n"]
    assert (code, stderr) == (0, "")
    assert low <= report["drive"]["force_n"] <= high


@pytest.mark.solid
def test_json_is_the_report_and_nothing_else(tmp_path):
    """`--json` prints report.json, byte for byte, on stdout; stderr stays empty."""
    done = subprocess.run(
        [sys.executable, "-m", "mounts", *_words(), "--json", "--out", str(tmp_path)], capture_output=True, check=True
    )

    assert done.stdout == (tmp_path / "east-1" / "east-1" / "report.json").read_bytes()
    assert done.stderr == b""


@pytest.mark.solid
def test_two_processes_write_the_same_bytes(tmp_path):
    """Same input, same bytes: every file, from two interpreters with other hash seeds."""
    trees = []
    for seed in ("1", "2"):
        subprocess.run(
            [sys.executable, "-m", "mounts", *_words(), "--quiet", "--out", str(tmp_path / seed)],
            env={"PYTHONHASHSEED": seed, "PATH": ""},
            check=True,
        )
        folder = tmp_path / seed / "east-1" / "east-1"
        trees.append({path.name: path.read_bytes() for path in folder.iterdir()})

    assert trees[0] == trees[1]


@pytest.mark.solid
def test_a_damaged_file_is_made_again(make, tmp_path):
    """The cache trusts no file whose SHA-256 is not the recorded one."""
    make()
    stl = tmp_path / "east-1" / "east-1" / "east-1.stl"
    good = stl.read_bytes()
    stl.write_bytes(good[:-1])

    make()

    assert stl.read_bytes() == good


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"board": "18 m"}, ["--board", "'18 m'", "3 to 60 mm"]),
        ({"servo": "mirco-9g"}, ["--servo", "'mirco-9g'", "nearest is 'micro-9g'"]),
        ({"scale": "HOO"}, ["--scale", "'HOO'"]),
        ({"throw": "0"}, ["--throw", "'0'", "mm"]),
        ({"throw": "a bit"}, ["--throw", "'a bit'"]),
        ({"style": "under-braket"}, ["--style", "'under-braket'", "nearest is 'under-bracket'"]),
        ({"set": "plate_mmm=4"}, ["plate_mmm", "nearest is 'plate_mm'"]),
        ({"set": "plate_mm=40"}, ["plate_mm", "40", "3 to 8 mm"]),
        ({"set": "plate_mm"}, ["--set", "'plate_mm'", "name=value"]),
        ({"force": "strong"}, ["--force", "'strong'"]),
        ({"swing": "500"}, ["--swing", "'500'"]),
    ],
)
def test_wrong_input_is_named_and_nothing_is_written(make, tmp_path, options, said):
    """Exit 2, one line that names option, value and what is allowed, and an empty folder."""
    code, report, stderr = make(**options)

    (line,) = stderr.splitlines()
    assert code == 2
    assert line.startswith("error: ")
    assert all(word in line for word in said), line
    assert list(tmp_path.iterdir()) == []
    assert report is None


def test_every_fault_is_told_at_once(make):
    """Three wrong options give three lines."""
    code, _, stderr = make(board="18 m", servo="mirco-9g", throw="0.1")

    assert code == 2
    assert len(stderr.splitlines()) == 3


def test_no_design_says_which_limit(make, tmp_path):
    """Exit 1, one line with the depth that would do, and nothing written."""
    code, report, stderr = make("--max-depth", "12")

    (line,) = stderr.splitlines()
    assert code == 1
    assert line.startswith("no design: east-1: ")
    assert "12" in line
    assert report is None
    assert list(tmp_path.iterdir()) == []


def test_unknown_option_names_the_nearest(capfd):
    """A misspelt option is one line with the nearest name."""
    assert main(["make", "--id", "a", "--thrw", "3"]) == 2
    assert capfd.readouterr().err == "error: --thrw: unknown option; nearest is '--throw'\n"


def test_a_mistake_of_ours_is_one_line(capfd, monkeypatch):
    """What nobody foresaw is a line that begins with 'bug: ', without traceback, exit 1."""

    def break_down(*_args, **_kwargs):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("mounts.pipeline.design_mount", break_down)

    assert main([*_words(), "--out", "/nonexistent"]) == 1
    assert capfd.readouterr().err == "bug: ZeroDivisionError: division by zero; rerun with --debug\n"


@pytest.fixture
def small_bed(tmp_path_factory):
    """A printer whose bed is too small for any bracket."""
    path = tmp_path_factory.mktemp("printer") / "small.toml"
    path.write_text('extends = "fdm-0.4"\nbed_x_mm = 50\nbed_y_mm = 50\nbed_z_mm = 30\n')
    return str(path)


@pytest.mark.solid
def test_a_failed_mount_leaves_its_report_and_no_part(make, tmp_path, small_bed):
    """Exit 1, the check in the report, no STL and no STEP; asked again it says the same without making it."""
    for _ in range(2):
        code, report, stderr = make("--quiet", printer=small_bed, servo="standard-40g", max_depth="120")

        folder = tmp_path / "east-1" / "east-1"
        assert code == 1
        assert "fail: east-1: bed: " in stderr
        assert report["verdict"] == "fail"
        assert [part["file"] for part in report["parts"]] == [None]
        assert {path.name for path in folder.iterdir()} == {"report.json", "design.json", *PICTURES}


@pytest.mark.solid
def test_keep_failed_puts_the_parts_aside(make, tmp_path, small_bed):
    """`--keep-failed` writes them under failed/, and a run without it takes them away again."""
    folder = tmp_path / "east-1" / "east-1"
    options = {"printer": small_bed, "servo": "standard-40g", "max_depth": "120"}
    make("--quiet")

    code, report, _ = make("--quiet", "--keep-failed", **options)

    assert code == 1
    assert {path.name for path in folder.iterdir()} == {"report.json", "design.json", *PICTURES, "failed"}
    beside = {"east-1-template.svg", "east-1-template.dxf", "east-1-wire.svg", "east-1-steps.txt"}
    assert {path.name for path in (folder / "failed").iterdir()} == {"east-1.stl", "east-1.step", *beside}
    assert [part["file"] for part in report["parts"]] == ["failed/east-1.stl"]
    make("--quiet", **options)
    assert {path.name for path in folder.iterdir()} == {"report.json", "design.json", *PICTURES}


def test_what_a_style_cannot_place_names_the_mount(make):
    """A hut inside a curve that is tighter than it is long is told with the mount's id in front."""
    code, _, stderr = make("--set", "curve=inside", style="hut", scale="O", servo="standard-40g", track_radius="100")

    assert code == 1
    assert stderr.startswith("no design: east-1: ")


def test_a_missing_system_library_names_its_package(capfd, monkeypatch):
    """Without libGL the loader's own words become one line with the command that mends it."""

    def no_kernel(*_args, **_kwargs):
        raise ImportError("libGL.so.1: cannot open shared object file: No such file or directory")

    monkeypatch.setattr("mounts.pipeline.make_mount", no_kernel)

    assert main([*_words(), "--out", "/nonexistent"]) == 1
    assert capfd.readouterr().err == (
        "error: the CAD kernel needs the system library libGL.so.1; on Debian or Ubuntu: "
        "apt-get install libgl1 libexpat1\n"
    )


def test_out_must_be_a_folder(make, tmp_path):
    """A file where the folder should be is an input error."""
    file = tmp_path / "file"
    file.write_text("")

    assert main([*_words(), "--out", str(file)]) == 2


@pytest.mark.solid
def test_pictures_are_drawn_unless_they_are_not_wanted(make, tmp_path):
    """Two PNGs that Pillow opens and that are not blank, also of a mount made before with ``--no-picture``."""
    from PIL import Image

    _, without, _ = make("--no-picture")
    code, report, stderr = make()

    assert not [name for name in without["files"] if name.endswith(".png")]
    assert (code, stderr) == (0, "")
    for name in ("east-1.png", "east-1-apart.png"):
        assert name in report["files"]
        with Image.open(tmp_path / "east-1" / "east-1" / name) as image:
            dark = sum(image.convert("L").histogram()[:200])
            assert dark > 0.05 * image.width * image.height


def test_an_option_the_style_has_no_use_for_is_refused_with_all_other_faults(tmp_path, monkeypatch, capfd):
    """Three faults of three kinds, three lines in the order of the options, and nothing is written."""
    monkeypatch.chdir(tmp_path)
    asked = ["--id", "a", "--style", "hut", "--board", "12", "--depth", "30", "--set", "pose=up", "--wire", "50"]

    assert main(["make", *asked]) == 2

    told = capfd.readouterr().err.splitlines()
    assert [line.split(" = ")[0] for line in told] == ["error: --wire", "error: --depth", "error: --set: pose"]
    assert "does not apply to hut: a push rod has no pivot" in told[1]
    assert not list(tmp_path.iterdir())


def test_defaults_of_a_layout_may_serve_one_kind_of_drive_only(tmp_path):
    """A track distance for the housings of a layout does not hinder its brackets."""
    from mounts.inputs.library import Library
    from mounts.inputs.read_layout import read_layout
    from mounts.styles import check_asked

    (tmp_path / "l.toml").write_text(
        '[defaults]\nboard = 12\ntrack_distance = 40\n[[mount]]\nid = "a"\nstyle = "under-bracket"\n'
        '[[mount]]\nid = "b"\nstyle = "hut"\n'
    )
    assert len(read_layout(tmp_path / "l.toml", Library(), check_asked).mounts) == 2


@pytest.mark.parametrize("flags", [("--json",), ("--json", "--keep-failed"), ("--keep-failed", "--quiet")])
def test_a_refusal_is_a_report_too(flags, tmp_path, capfd):
    """With ``--json`` on stdout, with ``--keep-failed`` in the folder: report/1 that fails, with the reason; exit 1."""
    code = main([*_words(max_depth="12"), "--out", str(tmp_path), *flags])

    out, stderr = capfd.readouterr()
    path = tmp_path / "east-1" / "east-1" / "report.json"
    assert code == 1
    assert path.exists() is ("--keep-failed" in flags)
    assert bool(out) is ("--json" in flags)
    report = json.loads(out or path.read_text())
    assert report["schema"] == "report/1"
    assert report["verdict"] == "fail"
    assert stderr == f"no design: {report['reason']}\n"
    assert [check["verdict"] for check in report["checks"]] == ["fail"]
    assert (report["parts"], report["drive"]) == ([], None)
    main(["schema", "report"])
    assert {"#/$defs/Report", "#/$defs/Refused"} == {one["$ref"] for one in json.loads(capfd.readouterr().out)["anyOf"]}
    assert Refused.model_validate(report).reason == report["reason"]


@pytest.mark.parametrize(
    "options",
    [
        {"max_depth": "12"},
        {"wire": "0.4"},
        {"depth": "60", "max_depth": "40"},
        {"style": "hut", "scale": "N", "board": "12", "roadbed": "0", "throw": "2", "set": "height_mm=10"},
        {"style": "cabin", "scale": "N", "board": "12", "roadbed": "0", "throw": "2", "wire": "0.9"},
    ],
    ids=["depth", "wire", "pinned-depth", "height", "rod"],
)
def test_what_a_refusal_offers_was_tried(options, tmp_path, capfd):
    """Every change named behind 'tried and works' is an option of ``make``, and with it there is a design."""
    assert main([*_words(**options), "--out", str(tmp_path)]) == 1
    (line,) = capfd.readouterr().err.splitlines()
    _, offers = line.split("; tried and works: ")

    for offer in offers.split(", or "):
        changed = {**HO, **{f"--{name.replace('_', '-')}": value for name, value in options.items()}}
        for name in re.findall(r"leave --set (\w+) out", offer):
            assert changed.pop("--set").startswith(f"{name}=")
        for option in re.findall(r"leave (--[\w-]+) free", offer):
            del changed[option]
        found = re.findall(r"(?<!leave )(--[\w-]+) ([\w.=-]+)", offer.split(" instead ")[0])
        changed |= {option: value for option, value in found if not offer.startswith("leave")}
        assert changed != {**HO, **{f"--{name.replace('_', '-')}": value for name, value in options.items()}}, offer
        words = ["make", "--id", "east-1", *(word for pair in changed.items() for word in pair)]
        assert "no design" not in _designed_by(words), offer


def _designed_by(words):
    """What ``design_mount`` says of a command line, without building."""
    from mounts.asked import asked
    from mounts.errors import NoDesign
    from mounts.pipeline import design_mount

    given = {name[2:].replace("-", "_"): value for name, value in zip(words[1::2], words[2::2], strict=True)}
    given["set"] = [given["set"]] if "set" in given else []
    try:
        design_mount(asked(**given))
    except NoDesign as fault:
        return f"no design: {fault}"
    return ""
