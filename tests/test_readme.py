"""What README.md promises, run."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text()
INDENTED = re.findall(r"^    (.+)$", README, flags=re.MULTILINE)
COMMANDS = [match[1] for line in INDENTED if (match := re.search(r"(?:^|/)(mounts .+)$", line))]
DEMO = "mounts batch profiles/demo/yard.toml"


def _run(command: str, folder: Path) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(command)], cwd=folder, capture_output=True, text=True, check=False,
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
        "back-1", "front-1", "plates", "report.json",
    ]


def test_pictures_are_there():
    """Every picture that the text shows is in the repository."""
    shown = re.findall(r"!\[.*?\]\((.+?)\)", README)

    assert shown
    assert all((ROOT / path).is_file() for path in shown)
