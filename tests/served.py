"""The page as the command serves it, for tests that look at it and for the benchmark."""

import os
import subprocess
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
# no display and no graphics card; as root there is no sandbox; no name but the loopback's is found
FLAGS = [
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]


def needs(*modules):
    """Skips with a reason where a library of the extra, or the browser, is not installed."""
    missing = [name for name in modules if find_spec(name) is None]
    if missing:
        pytest.skip(f"needs {', '.join(missing)}: pip install -e '.[dev]'")


@dataclass
class Served:
    """A page that runs: where, and its process."""

    address: str
    folder: Path
    process: subprocess.Popen

    def end(self, how="terminate"):
        """Ends it, asked to or killed."""
        getattr(self.process, how)()
        self.process.wait(30)
        self.process.stdout.close()


def serve(folder, *options):
    """Starts the page; the caller ends it."""
    process = subprocess.Popen(
        [sys.executable, "-m", "mounts", "page", str(folder), "--port", "0", "--no-open", *options],
        cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env={**os.environ, "PYTHONPATH": "."},
    )  # fmt: skip
    return Served(process.stdout.readline().strip(), folder, process)
