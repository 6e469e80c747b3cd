"""What README.md promises, run."""

import json
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from mounts.inputs.library import Library

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text()
INDENTED = re.findall(r"^    (.+)$", README, flags=re.MULTILINE)
COMMANDS = [match[1] for line in INDENTED if (match := re.search(r"(?:^|/)(mounts .+)$", line))]
DEMO = "mounts batch profiles/demo/yard.toml"


def _run(command: str, folder: Path) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(command)],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env={"XDG_CONFIG_HOME": str(folder / "config"), "PATH": ""},
    )
    return done.returncode, done.stderr


def test_two_commands_stand_first():
    """The first block makes the demo layout, the second runs the tests, each from a fresh checkout."""
    assert INDENTED[0] == f"python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/{DEMO}"
    assert INDENTED[1].startswith("python3 -m venv .venv && ")
    assert INDENTED[1].endswith("-m pytest -n 2")


@pytest.mark.solid
def test_every_command_runs(tmp_path):
    """Each `mounts …` line exits 0 and is silent on stderr, one after the other in one folder."""
    once = [command for command in dict.fromkeys(COMMANDS) if command != DEMO]  # tests/end_to_end/test_demo.py runs it

    assert len(once) > 10
    assert [(command, *_run(command, tmp_path)) for command in once] == [(command, 0, "") for command in once]


@pytest.mark.solid
def test_the_printed_layout_is_made(tmp_path):
    """The layout in the text is a good one: its family is matched and every mount passes."""
    (listing,) = re.findall(r"^```toml\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    (tmp_path / "shed.toml").write_text(listing)

    assert _run("mounts batch shed.toml --quiet", tmp_path) == (0, "")
    assert sorted(path.name for path in (tmp_path / "out" / "shed").iterdir()) == [
        "back-1",
        "book.pdf",
        "controller.csv",
        "controller.h",
        "controller.json",
        "front-1",
        "layout.png",
        "plates",
        "report.json",
    ]


@pytest.mark.solid
def test_the_printed_python_makes_a_mount(tmp_path):
    """Its lines write the files of a mount that passes, as many as its report lists, and say nothing."""
    (listing,) = re.findall(r"^```python\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    done = subprocess.run([sys.executable, "-c", listing], cwd=tmp_path, capture_output=True, text=True, check=True)
    report = json.loads((tmp_path / "out/yard-6/report.json").read_text())

    assert done.stdout + done.stderr == ""
    assert report["verdict"] in ("pass", "warn")
    assert {path.name for path in (tmp_path / "out/yard-6").iterdir()} == {*report["files"], "report.json"}


def test_the_own_servo_differs():
    """What `profiles new` sets in the example is not what the class has already."""
    (line,) = (command for command in COMMANDS if command.startswith("mounts profiles new servo"))
    base = Library().servo(re.search(r"--extends (\S+)", line)[1])
    chosen = re.findall(r"--set (\w+)=(\S+)", line)

    assert chosen
    assert all(getattr(base, name) != float(value) for name, value in chosen)


def test_mounts_is_on_the_path_before_it_is_typed_bare():
    """How to have the bare command is said once, before it is first used."""
    assert README.index(". .venv/bin/activate") < re.search(r"^    mounts ", README, flags=re.MULTILINE).start()


def test_the_printed_layout_shows_places_and_framing():
    """A board with its outline and framing, and a mount with its place and heading."""
    (listing,) = re.findall(r"^```toml\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)
    layout = tomllib.loads(listing)

    front = layout["boards"]["front"]
    assert front["outline"]
    assert front["framing"]
    assert any({"x", "y", "heading_deg"} <= mount.keys() for mount in layout["mount"])


def test_pictures_are_there():
    """Every picture that the text shows is in the repository."""
    shown = re.findall(r"!\[.*?\]\((.+?)\)", README)

    assert shown
    assert all((ROOT / path).is_file() for path in shown)
