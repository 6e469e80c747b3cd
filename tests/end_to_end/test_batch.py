"""`mounts batch` as a user runs it: files, rows, exit codes, and the same bytes whatever happens on the way."""

import hashlib
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from mounts.cli import main

pytestmark = pytest.mark.solid
ROOT = Path(__file__).parents[2]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}
LAYOUT = """
[layout]
name = "yard"
scale = "HO"
[defaults]
style = "under-bracket"
servo = "micro-9g"
roadbed = 3
[boards.main]
board = "plywood-12"
[[mount]]
id = "east"
board = "main"
x = 100
y = 100
[[mount]]
id = "west"
board = "main"
x = 200
y = 100
mirror = true
[[mount]]
id = "pit"
board = 18
copies = 2
[[mount]]
id = "shallow"
board = "main"
max_depth = 12
"""
IDS = ("east", "west", "pit")
HOURS = "must be 0.25 to 1000 hours"


def command(layout: Path, out: Path, *flags: str) -> list[str]:
    return [sys.executable, "-m", "mounts", "batch", str(layout), "--out", str(out), *flags]


def batch(layout: Path, out: Path, *flags: str) -> subprocess.CompletedProcess[str]:
    """A batch in a fresh interpreter."""
    return subprocess.run(
        command(layout, out, *flags), env=ENVIRONMENT, capture_output=True, text=True, check=False, timeout=300
    )


def tree(folder: Path) -> dict[str, bytes]:
    """Every file by its path, hidden ones too."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def stamps(folder: Path) -> dict[str, int]:
    """When each file of a folder was moved into place, as the system counts."""
    return {path.name: path.stat().st_ino for path in folder.iterdir()}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The layout, made once without disturbance: its file, its output folder and what was said."""
    folder = tmp_path_factory.mktemp("made")
    layout = folder / "layout.toml"
    layout.write_text(LAYOUT)
    return layout, folder / "out", batch(layout, folder / "out")


@pytest.fixture
def copy(made, tmp_path):
    """Layout file and output that a test may spoil."""
    layout, out, _ = made
    shutil.copytree(out, tmp_path / "out")
    return Path(shutil.copy(layout, tmp_path)), tmp_path / "out"


def test_one_failing_mount_leaves_the_others_alone(made):
    """Exit 1 and one line for the mount without a design; the others are whole, with a row each."""
    _, out, done = made

    report = json.loads((out / "yard" / "report.json").read_text())
    assert done.returncode == 1
    (line,) = done.stderr.splitlines()
    assert line.startswith("no design: shallow: ")
    assert {row["id"]: row["verdict"] for row in report["mounts"]} == {
        "east": "pass",
        "west": "pass",
        "pit": "pass",
        "shallow": "no design",
    }
    assert not (out / "yard" / "shallow").exists()
    for mount_id in IDS:
        names = {path.name for path in (out / "yard" / mount_id).iterdir()}
        assert names >= {f"{mount_id}.stl", f"{mount_id}.step", "report.json"}
    for row in report["mounts"]:
        for name, digest in row["files"].items():
            assert hashlib.sha256((out / "yard" / name).read_bytes()).hexdigest() == digest


def test_copies_are_built_once_and_counted(made):
    """Two of one mount: one folder, two objects, one of them to try first, twice its grams and screws."""
    _, out, _ = made

    report = json.loads((out / "yard" / "report.json").read_text())
    first, later = report["plates"]
    assert (first["try_first"], later["try_first"]) == (True, False)
    assert "pit copy 1 of 2" in first["objects"]
    assert "pit copy 2 of 2" in later["objects"]
    assert sorted([*first["objects"], *later["objects"]]) == ["east", "pit copy 1 of 2", "pit copy 2 of 2", "west"]
    mass = {row["id"]: row["mass_g"] for row in report["mounts"]}
    together = mass["east"] + mass["west"] + 2 * mass["pit"]
    assert first["mass_g"] + later["mass_g"] == pytest.approx(together, abs=1e-4)
    assert report["summary"]["made"] == 4
    bought = {(entry["item"], entry["size"]): entry["quantity"] for entry in report["hardware"]}
    assert bought["servo, with arm and arm screw", "micro-9g"] == 4


_PROBE = (
    "import sys\nfrom mounts.cli import main\ncode = main(sys.argv[1:])\n"
    "heavy = {'cadquery', 'OCP', 'trimesh', 'manifold3d', 'embreex', 'scipy', 'shapely', 'rectpack'}\n"
    "print(code, sorted(heavy & set(sys.modules)), file=sys.stderr)\n"
)


def test_a_rerun_with_nothing_changed_does_nothing(copy):
    """Same words on stderr, same exit code, no file touched, no geometry library loaded, under a second."""
    layout, out = copy
    before = {mount_id: stamps(out / "yard" / mount_id) for mount_id in IDS}
    begun = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", _PROBE, "batch", str(layout), "--out", str(out)],
        env=ENVIRONMENT,
        capture_output=True,
        text=True,
        check=True,
    )
    spent_s = time.perf_counter() - begun

    assert done.stderr.splitlines()[0].startswith("no design: shallow: ")
    assert done.stderr.splitlines()[-1] == "1 []"
    assert "(unchanged)" in done.stdout
    assert {mount_id: stamps(out / "yard" / mount_id) for mount_id in IDS} == before
    assert spent_s < 3  # 0.3 s alone; a kernel takes that only to load


def test_a_mount_that_is_no_more_is_left_alone_and_told(copy):
    """Pit taken out of the layout: its folder stays, a line of every run says so, and no plate has it.

    A folder whose report is not a mount's is none of ours, and the line is not for scripts.
    """
    layout, out = copy
    (out / "yard" / "mine").mkdir()
    (out / "yard" / "mine" / "report.json").write_text('{"schema": "mine/1"}')
    layout.write_text(LAYOUT.replace('[[mount]]\nid = "pit"\nboard = 18\ncopies = 2\n', ""))

    done = batch(layout, out)

    told = "no longer in the layout, left as they are: pit"
    assert done.stdout.splitlines()[-1] == told
    assert batch(layout, out).stdout.splitlines()[-2:] == [f"files    {out}/yard  (unchanged)", told]
    assert batch(layout, out, "--quiet").stdout == ""
    assert batch(layout, out, "--json").stdout == (out / "yard" / "report.json").read_text()
    assert (out / "yard" / "pit" / "pit.stl").exists()
    report = json.loads((out / "yard" / "report.json").read_text())
    assert sorted(name for plate in report["plates"] for name in plate["objects"]) == ["east", "west"]


def test_a_terminal_sees_what_is_built_and_what_failed(made, tmp_path):
    """On a terminal a bar names the mounts in hand, and the one that failed."""
    pty = pytest.importorskip("pty")
    layout, _, _ = made
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        command(layout, tmp_path / "out", "--workers", "1"), env={**ENVIRONMENT, "COLUMNS": "100"}, stderr=theirs,
        stdout=subprocess.DEVNULL,
    ):  # fmt: skip
        os.close(theirs)
        told = b""
        try:
            while piece := os.read(ours, 4096):
                told += piece
        except OSError:  # the terminal's way to say that nobody writes any more
            pass
    os.close(ours)

    text = told.decode()
    assert "east, west" in text
    assert "; failed: shallow" in text
    assert "no design: shallow: " in text.rstrip().splitlines()[-1]


def test_json_is_the_report_and_nothing_else(copy):
    """--json prints the layout's report byte for byte."""
    layout, out = copy

    assert batch(layout, out, "--json").stdout == (out / "yard" / "report.json").read_text()


def test_one_worker_and_the_other_order_give_the_same_bytes(made, tmp_path):
    """Built by one worker, mounts in reverse: every mount and plate is the same, byte for byte."""
    _, out, _ = made
    head, *mounts = LAYOUT.split("[[mount]]")
    (tmp_path / "layout.toml").write_text("[[mount]]".join([head, *(f"{mount}\n" for mount in mounts[::-1])]))

    batch(tmp_path / "layout.toml", tmp_path / "out", "--workers", "1")

    assert without_report(tree(tmp_path / "out")) == without_report(tree(out))


def without_report(files: dict[str, bytes]) -> dict[str, bytes]:
    """All but what has the mounts in the file's order: the layout's report, its pictures and its channels."""
    ordered = ("report.json", "layout.png", "book.pdf", "controller.csv", "controller.json", "controller.h")
    return {name: content for name, content in files.items() if name.removeprefix("yard/") not in ordered}


def test_a_changed_board_rebuilds_the_mounts_on_it(copy):
    """East and west are on it and made anew; pit, on a thickness of its own, is not touched."""
    layout, out = copy
    before = {mount_id: stamps(out / "yard" / mount_id) for mount_id in IDS}
    layout.write_text(LAYOUT.replace("plywood-12", "plywood-9"))

    done = batch(layout, out)

    after = {mount_id: stamps(out / "yard" / mount_id) for mount_id in IDS}
    assert done.returncode == 1
    assert after["pit"] == before["pit"]
    for mount_id in ("east", "west"):
        assert not set(after[mount_id].values()) & set(before[mount_id].values())
        report = json.loads((out / "yard" / mount_id / "report.json").read_text())
        assert report["inputs"]["board_mm"] == 9.0


FAMILY = """
[layout]
name = "yard"
scale = "HO"
[defaults]
style = "under-bracket"
servo = "micro-9g"
roadbed = 3
[boards.front]
board = "12 mm"
[families.lad]
match = ["arm hole", "wire", "pulses"]
force = "0.2-1.5"
[[mount]]
id = "near"
board = "front"
family = "lad"
[[mount]]
id = "far"
board = 18
family = "lad"
mirror = true
"""


def _setting(out: Path, mount_id: str) -> tuple[str, str, str]:
    """Arm hole, wire and pulses in rising order, as the mount's own report has them."""
    drive = json.loads((out / "yard" / mount_id / "report.json").read_text())["drive"]
    pulses = "/".join(f"{pulse:g}" for pulse in sorted(drive["pulse_us"].values()))
    return f"{drive['horn_radius_mm']:g}", f"{drive['wire_mm']:g}", pulses


def test_a_family_that_is_set_otherwise_is_told(tmp_path):
    """A thinner board under one member: both are made anew with other values, and one line says which; once."""
    layout, out = tmp_path / "layout.toml", tmp_path / "out"
    layout.write_text(FAMILY)
    first = batch(layout, out)
    was = _setting(out, "far")
    layout.write_text(FAMILY.replace("12 mm", "9 mm"))
    shutil.copytree(out, tmp_path / "again")

    second, as_json = batch(layout, out), batch(layout, tmp_path / "again", "--json")

    now = _setting(out, "far")
    assert now == _setting(out, "near")
    assert all(old != new for old, new in zip(was, now, strict=True))
    names, units = ("arm hole", "wire", "pulses"), ("mm", "mm", "µs")
    each = [f"{name} {old} → {new} {unit}" for name, old, new, unit in zip(names, was, now, units, strict=True)]
    line = f"family lad: {', '.join(each)} in near, far; those already installed need the new values"
    assert second.stdout.splitlines()[-1] == line
    assert as_json.stdout == (out / "yard" / "report.json").read_text()
    assert "family lad" not in first.stdout + batch(layout, out).stdout


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


def _edit(path: Path, old: bytes, new: bytes) -> None:
    content = path.read_bytes()
    assert old in content
    path.write_bytes(content.replace(old, new))


DAMAGE = {
    "cut part": lambda yard: _cut(yard / "east" / "east.stl"),
    "other byte": lambda yard: (yard / "pit" / "pit.step").write_bytes(b"x" + (yard / "pit" / "pit.step").read_bytes()),
    "no mount report": lambda yard: (yard / "west" / "report.json").unlink(),
    "no plate": lambda yard: (yard / "plates" / "plate-01.3mf").unlink(),
    "no report": lambda yard: (yard / "report.json").unlink(),
    "torn report": lambda yard: _cut(yard / "report.json"),
    "no mount": lambda yard: shutil.rmtree(yard / "east"),
    "other figure": lambda yard: _edit(yard / "report.json", b'"made": 4', b'"made": 5'),
    "other figure of a mount": lambda yard: _edit(yard / "pit" / "report.json", b'"board_mm": 18', b'"board_mm": 19'),
    "stage of a killed run": lambda yard: (yard / "east" / ".partial-x" / "new").mkdir(parents=True),
}


def test_damage_is_noticed_and_repaired(made, copy):
    """Each kind of damage alone, then all at once, is mended to the bytes of the undisturbed run."""
    layout, out = copy
    good = tree(made[1])

    quick = ("no plate", "no report", "torn report", "other figure", "stage of a killed run")
    for name in quick:
        DAMAGE[name](out / "yard")
        batch(layout, out)
        assert tree(out) == good, name
        assert not list(out.rglob(".partial*")), name
    for name in ("cut part", "no mount report", "other figure of a mount"):  # a mount each: one run mends all
        DAMAGE[name](out / "yard")
    batch(layout, out)
    assert tree(out) == good
    for name in ("no mount", "other byte", "no report"):
        DAMAGE[name](out / "yard")
    batch(layout, out)
    assert tree(out) == good


def test_killed_at_any_moment_nothing_is_torn_and_a_rerun_finishes(made, tmp_path):
    """SIGKILL at eight random moments: each file is whole; in the end all bytes are those undisturbed."""
    layout, out, _ = made
    good = tree(out)
    moments = random.Random(8)  # noqa: S311  no secret
    begun = time.perf_counter()
    batch(layout, tmp_path / "timed")
    whole_s = time.perf_counter() - begun
    target = tmp_path / "out"
    for _ in range(8):
        with subprocess.Popen(command(layout, target, "--quiet"), env=ENVIRONMENT, stderr=subprocess.DEVNULL) as run:
            try:
                run.wait(moments.uniform(0.1, whole_s))
            except subprocess.TimeoutExpired:
                run.send_signal(signal.SIGKILL)
        there = {name: content for name, content in tree(target).items() if ".partial-" not in name}
        for name, content in there.items():
            assert content == good[name], name
        if there == good:
            shutil.rmtree(target)

    done = batch(layout, target)

    assert done.returncode == 1
    assert tree(target) == good


def test_two_batches_at_once_both_end_well(made, tmp_path):
    """Two into one folder: both say the same as one alone, and its bytes are there."""
    layout, out, alone = made
    options = {"env": ENVIRONMENT, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    runs = [subprocess.Popen(command(layout, tmp_path / "out", "--workers", "1"), **options) for _ in range(2)]
    said = [run.communicate(timeout=300)[1] for run in runs]

    assert [run.returncode for run in runs] == [1, 1]
    assert said == [alone.stderr] * 2
    assert tree(tmp_path / "out") == tree(out)


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 600 kB of its own; skipped where none can be mounted."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = shutil.which("mount")
    if (
        not mount
        or subprocess.run(
            [mount, "-t", "tmpfs", "-o", "size=600k", "tmpfs", str(place)], capture_output=True, check=False
        ).returncode
    ):
        pytest.skip("no file system can be mounted here")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_full_disk_is_one_line(made, small_disk):
    """Exit code, one line that names the folder and the reason, what was there is intact, nothing is torn."""
    layout, out, _ = made
    (small_disk / "mine.txt").write_text("mine")

    done = batch(layout, small_disk)

    (line,) = done.stderr.splitlines()
    assert done.returncode in (1, 2)
    assert line.startswith(f"error: {small_disk}/yard/")
    assert line.endswith("cannot write: No space left on device")
    there = tree(small_disk)
    assert there.pop("mine.txt") == b"mine"
    assert all(content == tree(out)[name] for name, content in there.items())


def test_a_read_only_folder_is_one_line_before_any_work(made, small_disk):
    """A disk mounted read-only: exit 2 at once, what was there is intact."""
    layout, _, _ = made
    (small_disk / "mine.txt").write_text("mine")
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)

    done = batch(layout, small_disk)

    assert done.returncode == 2
    assert done.stderr == f"error: {small_disk}/yard: cannot write: {small_disk} does not allow it\n"
    assert tree(small_disk) == {"mine.txt": b"mine"}


def test_mounts_that_collide_are_withheld_until_they_are_moved(made, copy):
    """East and west moved into one place fail, lose their parts and plates; moved back they are as before."""
    layout, out = copy
    good = tree(made[1])
    layout.write_text(LAYOUT.replace("x = 200", "x = 104"))

    done = batch(layout, out)

    report = json.loads((out / "yard" / "report.json").read_text())
    assert {row["id"]: row["verdict"] for row in report["mounts"]} == {
        "east": "fail",
        "west": "fail",
        "pit": "pass",
        "shallow": "no design",
    }
    assert "fail: east: neighbour: 0 mm, limit 2: overlaps 'west'; move it " in done.stderr
    for mount_id in ("east", "west"):
        own = json.loads((out / "yard" / mount_id / "report.json").read_text())
        assert own["verdict"] == "fail"
        assert {path.name for path in (out / "yard" / mount_id).iterdir()} == {"report.json", *own["files"]}
        assert own["files"].keys() == {"design.json", f"{mount_id}.png", f"{mount_id}-apart.png"}
    assert [plate["objects"] for plate in report["plates"]] == [["pit copy 1 of 2"], ["pit copy 2 of 2"]]
    stamped = stamps(out / "yard" / "east")
    assert batch(layout, out).stderr == done.stderr
    assert stamps(out / "yard" / "east") == stamped

    layout.write_text(LAYOUT)
    batch(layout, out)

    assert tree(out) == good


def test_keep_failed_moves_withheld_parts_aside(made, copy):
    """With --keep-failed the parts of a mount in the wrong place are under failed/, their bytes unchanged."""
    layout, out = copy
    layout.write_text(LAYOUT.replace("x = 200", "x = 104"))

    batch(layout, out, "--keep-failed")

    there, good = tree(out / "yard" / "east"), tree(made[1] / "yard" / "east")
    stays = {"report.json", "design.json", "east.png", "east-apart.png"}
    withheld = good.keys() - stays
    sheets = ("-template.svg", "-template.dxf", "-wire.svg", "-steps.txt")
    assert withheld == {f"east{end}" for end in (".stl", ".step", *sheets)}
    assert there.keys() == {*stays, *(f"failed/{name}" for name in withheld)}
    assert all(there[f"failed/{name}"] == good[name] for name in withheld)


def test_wrong_input_writes_nothing(tmp_path, capfd):
    """Exit 2, a line a fault, no folder."""
    layout = tmp_path / "layout.toml"
    layout.write_text(LAYOUT.replace("micro-9g", "mirco-9g").replace('id = "west"', 'id = "east"'))

    code = main(["batch", str(layout), "--out", str(tmp_path / "out")])

    lines = capfd.readouterr().err.splitlines()
    assert code == 2
    assert len(lines) == 2
    assert all(re.match(r"error: \S*layout\.toml:\d+: ", line) for line in lines)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["batch", "nowhere.toml"], "error: nowhere.toml: no such file\n"),
        (["batch", "."], "error: .: must be a file\n"),
        (["batch", "nowhere.toml", "--workers", "0"], None),
        *(
            (["batch", "nowhere.toml", "--max-hours", hours], f"error: --max-hours = '{hours}': {HOURS}\n")
            for hours in ("0", "-1", "1001", "nan", "inf", "six")
        ),
    ],
)
def test_a_wrong_command_is_one_line(words, said, capfd):
    """A missing file, a folder, no workers, no time to print in: one line, exit 2."""
    assert main(words) == 2
    stderr = capfd.readouterr().err
    assert len(stderr.splitlines()) == 1
    assert said in (None, stderr)


def test_a_dask_scheduler_builds_the_same_bytes(made, tmp_path):
    """A local scheduler with one worker, as a club's would be: every byte is that of the local run."""
    pytest.importorskip("distributed")
    layout, out, _ = made
    script = (
        "import sys\n"
        "from distributed import LocalCluster\n"
        "from mounts.cli import main\n"
        "if __name__ == '__main__':\n"
        "    with LocalCluster(n_workers=1, threads_per_worker=2, dashboard_address=None) as cluster:\n"
        "        code = main([*sys.argv[1:], '--scheduler', cluster.scheduler_address])\n"
        "    print(code)\n"
    )
    (tmp_path / "club.py").write_text(script)

    done = subprocess.run(
        [sys.executable, str(tmp_path / "club.py"), "batch", str(layout), "--out", str(tmp_path / "out"), "--quiet"],
        env=ENVIRONMENT,
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )

    assert done.stdout.split()[-1] == "1"
    assert tree(tmp_path / "out") == tree(out)


def test_a_scheduler_that_does_not_answer_is_one_line(tmp_path, capfd, monkeypatch):
    """Exit 2 and one line; so where the extra is not installed."""
    layout = tmp_path / "layout.toml"
    layout.write_text(LAYOUT)
    monkeypatch.setattr("mounts.batch.cluster.CONNECT_S", 0.5)

    assert main(["batch", str(layout), "--out", str(tmp_path / "out"), "--scheduler", "tcp://127.0.0.1:9"]) == 2
    (line,) = capfd.readouterr().err.splitlines()
    assert line.startswith("error: --scheduler = 'tcp://127.0.0.1:9': ")


@pytest.mark.solid
def test_batch_says_warnings_cautions_and_hours(tmp_path, capfd):
    """The sentence of each warning once with its mounts, each caution once, grams and time with their settings."""
    (tmp_path / "shed.toml").write_text(
        '[layout]\nscale = "HO"\n[defaults]\nstyle = "under-bracket"\nboard = "12"\n'
        '[[mount]]\nid = "a"\n[[mount]]\nid = "b"\nmirror = true\n'
    )

    assert main(["batch", str(tmp_path / "shed.toml"), "--out", str(tmp_path), "--workers", "1"]) == 0

    out = capfd.readouterr().out
    said = " ".join(out.split())
    report = json.loads((tmp_path / "shed" / "report.json").read_text())
    assert said.count("wear eye protection when cutting spring wire") == 1
    assert report["summary"]["hours_rule"] in said
    assert report["cautions"]
    for row in report["mounts"]:
        assert row["print_minutes"] > 10
        assert all(" ".join(warning.split()) in said for warning in row["warnings"])
    assert report["summary"]["hours"] * 60 == pytest.approx(sum(row["print_minutes"] for row in report["mounts"]))
    assert max(len(line) for line in out.splitlines() if not line.startswith("files")) <= 80
