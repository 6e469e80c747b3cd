"""Rules of the whole tree that no linter knows."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from mounts import styles

ROOT = Path(__file__).parents[1]
HEAVY = ("cadquery", "OCP", "trimesh", "manifold3d", "embreex", "shapely", "PIL", "vtkmodules")
MAKE = [
    "make",
    "--id",
    "east-1",
    "--style",
    "under-bracket",
    "--servo",
    "micro-9g",
    "--board",
    "18 mm",
    "--throw",
    "3",
    "--scale",
    "HO",
]
_PROBE = (
    "import json, sys\n"
    "from mounts.cli import main\n"
    "code = main(sys.argv[1:])\n"
    f"loaded = [name for name in {HEAVY!r} if name in sys.modules]\n"
    "print(json.dumps([code, loaded]))\n"
)


def _probe(arguments: list[str], folder: Path, probe: str = _PROBE) -> tuple[int, list[str]]:
    """Exit code of the command line in a fresh interpreter, and the heavy modules it loaded."""
    done = subprocess.run(
        [sys.executable, "-c", probe, *arguments], cwd=folder, capture_output=True, text=True, check=True
    )
    code, loaded = json.loads(done.stdout.splitlines()[-1])
    return code, loaded


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["--help"], 0),
        (["make", "--help"], 0),
        (["styles"], 0),
        (["profiles", "list"], 0),
        (["schema", "report"], 0),
        ([*MAKE, "--wat", "1"], 2),
        ([*MAKE, "--force", "hello"], 2),
        ([*MAKE, "--set", "plate_m=4"], 2),
    ],
    ids=lambda value: " ".join(value[-2:]) if isinstance(value, list) else str(value),
)
def test_nothing_but_a_mount_loads_the_kernel(arguments, code, tmp_path):
    """Help, lists, schemas and every input error answer without any geometry library."""
    assert _probe(arguments, tmp_path) == (code, [])


@pytest.mark.solid
def test_cached_make_loads_no_kernel(tmp_path):
    """The second `make` of the same mount answers from its folder, with the same words and exit code."""
    first, loaded = _probe([*MAKE, "--quiet"], tmp_path)
    assert "cadquery" in loaded

    assert _probe([*MAKE, "--quiet"], tmp_path) == (first, [])


@pytest.mark.parametrize("arguments", [["--help"], [*MAKE, "--board", "18 m"]], ids=["help", "error"])
def test_help_and_errors_load_no_arithmetic(arguments, tmp_path):
    """Help and an input error need pydantic and typer, not even numpy, so that they answer at once."""
    probe = _PROBE.replace(repr(HEAVY), repr((*HEAVY, "numpy", "scipy", "rich")))

    assert _probe(arguments, tmp_path, probe)[1] == []


@pytest.mark.parametrize("name", styles.names())
def test_every_style_has_its_own_test_file(name):
    """A style without tests/styles/test_<file>.py is not finished."""
    assert (ROOT / "tests" / "styles" / f"test_{name.replace('-', '_')}.py").is_file()


def test_the_options_of_make_are_the_fields_of_a_request():
    """One word per thing: every field of a request is an option of `make`, and the other way round."""
    import inspect

    from mounts.cli.make import make
    from mounts.inputs.request import MountRequest

    about_the_run = {"out", "as_json", "quiet", "keep_failed", "picture", "paper", "explain"}
    options = set(inspect.signature(make).parameters) - about_the_run

    assert {name.rstrip("_") for name in options} == set(MountRequest.model_fields)


def test_no_file_is_long():
    """A module above 400 lines asks to be split."""
    long = {
        str(path.relative_to(ROOT)): lines
        for path in (ROOT / "mounts").rglob("*.py")
        if (lines := len(path.read_text().splitlines())) > 400
    }

    assert long == {}
