"""The mutation tool sets a constant of a module as a fresh import would, or says that it can't."""

import sys
from types import ModuleType

import pytest
from bench import constants

SOUND = """
from dataclasses import dataclass
STEP = 2
TWICE = 2 * STEP
OTHER = [7]
def reckoned(): return 10 * TWICE
TABLE = {"a": reckoned()}
def later(n): return n * STEP
"""


READER = "from own_sizes import TWICE as double\ndef f(): return double\n"


def _loaded(monkeypatch, tmp_path, name, source):
    path = tmp_path / f"{name}.py"
    path.write_text(source)
    module = ModuleType(name)
    module.__file__ = str(path)
    monkeypatch.setitem(sys.modules, name, module)
    exec(source, vars(module))  # noqa: S102
    return module


def test_what_is_reckoned_from_a_constant_and_who_imports_it_follow(monkeypatch, tmp_path):
    """A constant, what comes of it directly and by a function that is called, and an import under another name."""
    module = _loaded(monkeypatch, tmp_path, "own_sizes", SOUND)
    other = _loaded(monkeypatch, tmp_path, "own_reader", READER)
    third = _loaded(monkeypatch, tmp_path, "own_third", "from own_reader import double\n")
    kept = module.OTHER, module.later
    again, moved = constants.assignments(SOUND, SOUND.replace("STEP = 2", "STEP = 3"))
    constants.put(module, again, constants.holders("own_sizes", moved, tmp_path))
    assert (module.STEP, module.TWICE, module.TABLE, module.later(1)) == (3, 6, {"a": 60}, 3)
    assert (other.f(), third.double) == (6, 6)
    assert (module.OTHER, module.later) == kept


@pytest.mark.parametrize(
    "reads",
    [
        "def f(n=STEP): return n",
        "f = 1\n@register(STEP)\ndef g(): pass",
        "class A:\n    n: int = STEP",
        "if STEP > 1: pass",
        "class A:\n    def f(self, n: int = STEP): return n",
    ],
)
def test_a_constant_that_is_read_on_import_is_left_to_a_fresh_import(reads):
    """Defaults, decorators, fields and conditions hold what the constant was."""
    assert constants.assignments(f"STEP = 2\n{reads}\n", f"STEP = 3\n{reads}\n") is None


@pytest.mark.parametrize(
    "reads", ["N = STEP + 1", "import own_sizes\nN = own_sizes.STEP + 1", "def f(n=STEP): return n"]
)
def test_another_modules_reading_on_import_is_left_to_a_fresh_import(monkeypatch, tmp_path, reads):
    """By the name, behind a dot, as a default."""
    _loaded(monkeypatch, tmp_path, "own_sizes", "STEP = 2\n")
    _loaded(monkeypatch, tmp_path, "own_reader", f"from own_sizes import STEP\n{reads}\n")
    assert constants.holders("own_sizes", {"STEP"}, tmp_path) is None


def test_a_change_inside_a_function_is_no_constant():
    """Nor is one of a statement that is no assignment."""
    assert constants.assignments("def f(): return 1\n", "def f(): return 2\n") is None
    assert constants.assignments("A = 1\n", "A = 1\n") is None
