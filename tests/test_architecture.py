"""Rules of the whole tree that no linter knows."""

import ast
import itertools
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from mounts import styles

ROOT = Path(__file__).parents[1]
HEAVY = ("cadquery", "OCP", "trimesh", "manifold3d", "embreex", "shapely", "PIL", "vtkmodules", "nicegui", "tomlkit")
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
        (["page", "--help"], 0),
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


def _public(body, inside=()):
    """Public functions of a module and of its public classes: names of the classes round them, nodes."""
    for node in body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield inside, node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from _public(node.body, (*inside, node))


def _modules():
    """Every module of the package as it is written: path from the root, tree."""
    for path in sorted((ROOT / "mounts").rglob("*.py")):
        yield path.relative_to(ROOT), ast.parse(path.read_text())


def _told(docstring: str) -> set[str]:
    """Names that the section of arguments tells."""
    section = re.search(r"^Args:\n((?:(?: .*)?\n?)*)", docstring, re.MULTILINE)
    return set(re.findall(r"^ {4}(\w+): ", section[1], re.MULTILINE)) if section else set()


def test_many_arguments_are_told_one_by_one():
    """A public function of four arguments or more tells each in its docstring, a command of the line in its help."""
    silent = []
    for path, tree in _modules():
        for inside, node in _public(tree.body):
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs][bool(inside) :]
            if len(arguments) < 4:
                continue
            in_help = {a.arg for a in arguments if "cli" in path.parts and _helped(a)}
            untold = {a.arg for a in arguments} - _told(ast.get_docstring(node) or "") - in_help
            silent += [f"{path}:{node.lineno} {node.name}: {name}" for name in sorted(untold)]

    assert silent == []


def _helped(argument: ast.arg) -> bool:
    """Whether --help tells an option or argument of the command line."""
    return ast.unparse(argument.annotation).startswith(("Annotated[", "Kind"))


def test_shapes_of_arrays_are_told():
    """A public function that takes or gives arrays tells their shape, or its class or module does for all."""
    shape = re.compile(
        r"broadcast|scalar|4×4|(?:the|their|common|same) shape|shape (?:of|that)|\((?:n|m|k|\d|height)?(?:, ?\w+)*,?\)"
    )
    silent = []
    for path, tree in _modules():
        for inside, node in _public(tree.body):
            given = [a.annotation for a in (*node.args.args, *node.args.kwonlyargs) if a.annotation]
            types = " ".join(ast.unparse(kind) for kind in (*given, node.returns) if kind)
            texts = [ast.get_docstring(one) or "" for one in (node, *inside, tree)]
            if re.search(r"\b(?:Array|ArrayLike|NDArray|Floats|Matrix)\b", types) and not any(map(shape.search, texts)):
                silent.append(f"{path}:{node.lineno} {node.name}")

    assert silent == []


def test_numbers_have_a_word():
    """A constant of a module with a number in it says what it is, or why that much: behind it, over it or below it."""
    silent = []
    for path, tree in _modules():
        lines = (ROOT / path).read_text().splitlines()
        for node, following in itertools.pairwise([*tree.body, ast.Pass()]):
            if not isinstance(node, ast.Assign | ast.AnnAssign) or not _has_number(node.value):
                continue
            told = isinstance(following, ast.Expr) and isinstance(following.value, ast.Constant)
            behind = any("#" in line for line in lines[node.lineno - 1 : node.end_lineno])
            above = itertools.takewhile(str.strip, reversed(lines[: node.lineno - 1]))
            if not (told or behind or any(line.startswith("#") for line in above)):
                silent.append(f"{path}:{node.lineno} {lines[node.lineno - 1]}")

    assert silent == []


def _has_number(value: ast.expr | None) -> bool:
    """Whether a figure is written in a constant, and not only in what a type or a pattern asks for."""
    if isinstance(value, ast.Constant):
        return isinstance(value.value, int | float) and not isinstance(value.value, bool)
    if isinstance(value, ast.UnaryOp):
        return _has_number(value.operand)
    if isinstance(value, ast.BinOp):
        return _has_number(value.left) or _has_number(value.right)
    if isinstance(value, ast.Tuple | ast.List):
        return any(map(_has_number, value.elts))
    if isinstance(value, ast.Dict):
        return any(map(_has_number, value.values))
    return isinstance(value, ast.Call) and any(map(_has_number, value.args))
