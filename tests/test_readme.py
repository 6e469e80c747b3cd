"""What README.md promises, run."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

README = (Path(__file__).parents[1] / "README.md").read_text()
INDENTED = re.findall(r"^    (.+)$", README, flags=re.MULTILINE)
COMMANDS = [match[1] for line in INDENTED if (match := re.search(r"(?:^|/)(mounts .+)$", line))]


def test_two_commands_stand_first():
    """The first block makes a mount and the second runs the tests, each from a fresh checkout."""
    assert INDENTED[0].startswith("python3 -m venv .venv && ")
    assert " mounts make " in INDENTED[0].replace("/mounts", "/ mounts")
    assert INDENTED[1].startswith("python3 -m venv .venv && ")
    assert INDENTED[1].endswith("-m pytest -n 2")


@pytest.mark.solid
@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_runs(command, tmp_path):
    """Each `mounts …` line of README exits 0 in an empty folder."""
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(command)], cwd=tmp_path, capture_output=True, text=True, check=False,
        env={"XDG_CONFIG_HOME": str(tmp_path / "config"), "PATH": ""},
    )

    assert (done.returncode, done.stderr) == (0, "")
