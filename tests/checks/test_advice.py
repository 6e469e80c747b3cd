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

ROOT = Path(mounts.__file__).parent
OPTIONS = {f"--{name.replace('_', '-')}" for name in MountRequest.model_fields} | {
    f"--{name.rstrip('_').replace('_', '-')}" for name in make.__annotations__
}
HOUSINGS_ONLY = ("drive/push_rod/",)


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


@pytest.mark.parametrize("style", names())
def test_every_set_that_advice_names_is_one_of_the_style(style: str) -> None:
    """``--set name`` in what all styles may say is an option of each; what only some have, the style supplies."""
    own = style_of(style)
    known = own.options.model_fields
    shared = [
        (file, name)
        for file, text in ADVICE
        for name in re.findall(r"--set (\w+)", text)
        if file.startswith(("checks/", "drive/")) and (own.drive == "push-rod" or not file.startswith(HOUSINGS_ONLY))
    ]

    assert [(file, name) for file, name in shared if name not in known] == []
    for check, words in own.cures.items():
        assert all(name in known for name in re.findall(r"--set (\w+)", words)), check


def test_no_advice_names_a_field_that_is_no_option() -> None:
    """A bare ``something_mm`` in a sentence of a check or drive is a measurement of the servo's profile."""
    fields = {
        (file, name)
        for file, text in ADVICE
        if file.startswith("checks/") or file.endswith(("judge.py", "ranking.py"))
        for name in re.findall(r"(?<!--set )\b([a-z]+(?:_[a-z]+)*_mm)\b", text)
    }

    assert {(file, name) for file, name in fields if name not in Servo.model_fields} == set()
