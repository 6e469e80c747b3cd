"""Output is whole or absent: whatever interrupts a run, no file is half, and old and new are not mixed."""

import errno
import hashlib
import inspect
import json
import os
import re
import resource
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from mounts.errors import InputError
from mounts.export.commit import files_made_before, publish


def run_of(version: int, *further: str) -> dict[str, bytes]:
    """What a run makes: two big files, one in a sub-folder, those named, and the report that lists them."""
    names = ("east-1.stl", "sheets/cut.pdf", *further)
    content = {name: f"{version}:{name};".encode() * 5000 for name in names}
    digests = {name: hashlib.sha256(content[name]).hexdigest() for name in names}
    return {**content, "report.json": json.dumps({"version": version, "files": digests}).encode()}


def found_in(folder: Path) -> dict[str, bytes]:
    """Every file below the folder by name, hidden ones too."""
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def in_process(script: str, *arguments: str | int, **options) -> subprocess.Popen:
    """A fresh interpreter that knows run_of, so that it can be killed, limited or raced."""
    full_script = f"import hashlib, json\n{inspect.getsource(run_of)}\n{script}"
    command = [sys.executable, "-c", full_script, *(str(argument) for argument in arguments)]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    return subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, **options)


def test_publish_writes_the_files(tmp_path):
    """A folder that is missing is made, parents too, and holds the files and nothing else."""
    publish(tmp_path / "yard" / "east-1", run_of(1))

    assert found_in(tmp_path / "yard" / "east-1") == run_of(1)
    assert list((tmp_path / "yard").iterdir()) == [tmp_path / "yard" / "east-1"]


def test_publish_removes_what_we_no_longer_make_and_nothing_else(tmp_path):
    """A part of the run before goes, with its empty sub-folder; a file of the user's stays."""
    publish(tmp_path, run_of(1, "east-1-lid.stl", "failed/east-1.step"))
    (tmp_path / "notes.txt").write_text("mine")

    publish(tmp_path, run_of(2))

    assert found_in(tmp_path) == {**run_of(2), "notes.txt": b"mine"}
    assert not (tmp_path / "failed").exists()


def test_publish_leaves_what_the_user_changed(tmp_path):
    """A part that is no longer made, but was edited since, is the user's now."""
    publish(tmp_path, run_of(1, "east-1-lid.step"))
    (tmp_path / "east-1-lid.step").write_text("edited")

    publish(tmp_path, run_of(2))

    assert found_in(tmp_path) == {**run_of(2), "east-1-lid.step": b"edited"}


_LEADS_OUT = json.dumps({"files": {"../outside.txt": hashlib.sha256(b"outside").hexdigest()}})


@pytest.mark.parametrize(
    "report",
    [_LEADS_OUT, '{"files": {"a": [1]}}', '{"files": ["a"]}', "[]", "{"],
)
def test_publish_believes_no_report_that_is_not_ours(tmp_path, report):
    """Names that lead out of the folder, and reports that are no reports, remove nothing."""
    folder = tmp_path / "east-1"
    (folder / "a" / "b").mkdir(parents=True)
    (folder / "a" / "b" / "c.txt").write_text("deep")
    (tmp_path / "outside.txt").write_text("outside")
    (folder / "report.json").write_text(report)

    assert files_made_before(folder) == {}
    publish(folder, run_of(1))

    assert found_in(folder) == {**run_of(1), "a/b/c.txt": b"deep"}
    assert (tmp_path / "outside.txt").read_text() == "outside"


@pytest.mark.parametrize("name", ["../x", "/x", "a/b/c", "", ".", "a//b", "..", "a\\b", ".partial-1/x"])
def test_publish_refuses_names_that_lead_elsewhere(tmp_path, name):
    """A name has at most one sub-folder and stays inside."""
    with pytest.raises(ValueError, match="not a name for an output file"):
        publish(tmp_path / "new", {name: b""})

    assert not (tmp_path / "new").exists()


_KILLED = """
import os, signal, sys
from pathlib import Path
from mounts.export.commit import publish
left = int(sys.argv[2])
def deadly(call):
    def wrapped(*arguments, **options):
        global left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return call(*arguments, **options)
    return wrapped
for name in ("replace", "fsync", "mkdir", "unlink", "rmdir"):
    setattr(os, name, deadly(getattr(os, name)))
publish(Path(sys.argv[1]), run_of(2, "east-1-lid.stl"))
"""


@pytest.mark.parametrize("first_run", [True, False])
def test_a_kill_at_any_moment_leaves_whole_files_of_one_run(tmp_path, first_run):
    """Killed before each of its calls in turn: files are whole, of one run, and all there if a report is."""
    old, new = run_of(1, "east-1-old.stl"), run_of(2, "east-1-lid.stl")
    killed, ended_with = 0, set()
    while True:
        folder = tmp_path / str(killed)
        if not first_run:
            publish(folder, old)
        process = in_process(_KILLED, folder, killed + 1)
        _, told = process.communicate()
        if process.returncode == 0:
            break
        assert process.returncode == -signal.SIGKILL, told
        killed += 1
        left = {name: found for name, found in found_in(folder).items() if not name.startswith(".partial-")}
        assert left.items() <= old.items() or left.items() <= new.items()
        if "report.json" in left:
            assert left in (old, new)
            ended_with.add(json.loads(left["report.json"])["version"])
        publish(folder, new)
        assert found_in(folder) == new

    assert killed > 12
    assert ended_with == ({2} if first_run else {1, 2})


def test_publish_puts_everything_back_when_a_move_fails(tmp_path):
    """A folder stands where the last file must go: one line, and the old run is there as it was."""
    publish(tmp_path, run_of(1))
    (tmp_path / "zoo.stl" / "cage").mkdir(parents=True)

    with pytest.raises(InputError, match=re.escape(f"{tmp_path}: cannot write: Is a directory")):
        publish(tmp_path, run_of(2, "new/first.pdf", "zoo.stl"))

    assert found_in(tmp_path) == run_of(1)
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize("first_run", [True, False])
def test_publish_leaves_all_as_it_was_when_the_disk_is_full(tmp_path, monkeypatch, first_run):
    """The second file does not reach the disk: the old run stays, or no folder where there was none."""
    folder = tmp_path / "yard" / "east-1"
    if not first_run:
        publish(folder, run_of(1))
    calls = []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    line = f"{folder}: cannot write: No space left on device"
    with pytest.raises(InputError, match=re.escape(line)):
        publish(folder, run_of(2))

    assert found_in(folder) == ({} if first_run else run_of(1))
    assert (tmp_path / "yard").exists() is not first_run


_PUBLISH = """
import fcntl, os, sys  # fcntl: loaded while its file may still be read
from pathlib import Path
from mounts.errors import InputError
from mounts.export.commit import publish
if sys.argv[2:] == ["as-nobody"]:
    os.setegid(65534)
    os.seteuid(65534)
try:
    publish(Path(sys.argv[1]), run_of(2))
except InputError as fault:
    sys.exit(str(fault))
"""


def test_publish_leaves_nothing_half_when_the_system_stops_a_write(tmp_path):
    """The system refuses bytes beyond a limit in the middle of a file (setrlimit): the old run stays."""
    publish(tmp_path, run_of(1))

    process = in_process(
        _PUBLISH, tmp_path, preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (20000, 20000))
    )
    _, told = process.communicate()

    assert told.decode() == f"{tmp_path}: cannot write: File too large\n"
    assert found_in(tmp_path) == run_of(1)


def test_publish_leaves_nothing_half_on_a_small_disk(tmp_path):
    """A file system of 128 kB takes one run, not a second beside it: the first stays whole."""
    command = ["mount", "-t", "tmpfs", "-o", "size=128k", "tmpfs", str(tmp_path)]
    mounted = subprocess.run(command, capture_output=True, text=True, check=False)
    if mounted.returncode != 0:
        pytest.skip(f"cannot mount a small file system here: {mounted.stderr.strip()}")
    try:
        publish(tmp_path / "east-1", {"report.json": b"{}"})
        with pytest.raises(InputError, match="cannot write: No space left on device"):
            publish(tmp_path / "east-1", run_of(2))
        assert found_in(tmp_path) == {"east-1/report.json": b"{}"}
    finally:
        subprocess.run(["umount", str(tmp_path)], check=True)


def test_publish_says_so_when_the_folder_is_read_only():
    """Without the right to write: one line that names the folder."""
    with tempfile.TemporaryDirectory() as place:  # pytest's own folders are closed to other users
        folder = Path(place)
        publish(folder, run_of(1))
        folder.chmod(0o555)
        as_nobody = ("as-nobody",) if os.geteuid() == 0 else ()  # root may write anywhere

        process = in_process(_PUBLISH, folder, *as_nobody)
        _, told = process.communicate()
        folder.chmod(0o755)

        assert told.decode() == f"{folder}: cannot write: Permission denied\n"
        assert found_in(folder) == run_of(1)


def test_publish_says_so_when_a_file_is_in_the_way(tmp_path):
    """The output folder is a file: one line, the file stays."""
    (tmp_path / "out").write_text("a file")

    with pytest.raises(InputError, match="cannot write: File exists"):
        publish(tmp_path / "out", run_of(1))

    assert (tmp_path / "out").read_text() == "a file"


_OFTEN = """
import sys
from pathlib import Path
from mounts.export.commit import publish
folder, mine, rounds = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
for _ in range(rounds):
    publish(folder, run_of(mine, f"only-{mine}.stl"))
"""


def test_two_publishers_of_one_folder_do_not_mix(tmp_path):
    """Two processes publish different runs over and over: at the end the folder is one of them, whole."""
    for turn in range(2):
        folder = tmp_path / str(turn)
        racing = [in_process(_OFTEN, folder, mine, 25) for mine in (1, 2)]
        for process in racing:
            _, told = process.communicate()
            assert process.returncode == 0, told

        assert found_in(folder) in (run_of(1, "only-1.stl"), run_of(2, "only-2.stl"))
