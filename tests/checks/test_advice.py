"""What checks, drives and styles advise can be done: every option named exists where it is named."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import mounts
from mounts.cli.make import make
from mounts.inputs.request import MountRequest
from mounts.inputs.servo import Servo
from mounts.styles import names, style_of
from mounts.styles._housing import ARM_HOLE_WAYS, Options

ROOT = Path(mounts.__file__).parent
OPTIONS = {f"--{name.replace('_', '-')}" for name in MountRequest.model_fields} | {
    f"--{name.rstrip('_').replace('_', '-')}" for name in make.__annotations__
}


def _said(path: Path) -> Iterator[str]:
    """Every text of a module but its docstrings."""
    tree = ast.parse(path.read_text())
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef) and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


ADVICE = [
    (file, text)
    for room in ("checks", "drive", "styles")
    for path in sorted((ROOT / room).rglob("*.py"))
    for file in (path.relative_to(ROOT).as_posix(),)
    for text in _said(path)
    if " " in text
]


def test_every_option_that_advice_names_is_one_of_make() -> None:
    """``--something`` in a sentence can be typed."""
    named = {(file, option) for file, text in ADVICE for option in re.findall(r"(?<!-)--[a-z][a-z-]*", text)}

    assert len(named) > 10
    assert {(file, option) for file, option in named if option not in OPTIONS} == set()


def test_no_check_and_no_drive_names_an_option_of_a_style() -> None:
    """``--set name`` is said by the style that has it: a check asks it for a cure, a drive is given the words."""
    named = [(file, text) for file, text in ADVICE if not file.startswith("styles/") and re.search(r"--set \w", text)]

    assert named == []


@pytest.mark.parametrize("style", names())
def test_every_set_that_a_cure_names_is_one_of_the_style(style: str) -> None:
    """What a style supplies where a check's advice needs options are options of its own."""
    known = style_of(style).options.model_fields
    for check, words in style_of(style).cures.items():
        assert all(name in known for name in re.findall(r"--set (\w+)", words)), check


def test_every_set_that_housings_tell_the_rod_is_theirs() -> None:
    """The words that a push rod's limits say where the arm hole is not allowed name options that housings have."""
    told = re.findall(r"--set (\w+)", " ".join(ARM_HOLE_WAYS))

    assert told
    assert set(told) <= set(Options.model_fields)


def test_no_advice_names_a_field_that_is_no_option() -> None:
    """A bare ``something_mm`` in a sentence of a check or drive is a measurement of the servo's profile."""
    fields = {
        (file, name)
        for file, text in ADVICE
        if file.startswith("checks/") or file.endswith(("judge.py", "ranking.py", "rules.py"))
        for name in re.findall(r"(?<!--set )\b([a-z]+(?:_[a-z]+)*_mm)\b", text)
    }

    assert {(file, name) for file, name in fields if name not in Servo.model_fields} == set()
