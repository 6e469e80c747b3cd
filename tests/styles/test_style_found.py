"""How a style is found, and what is said of a request by its style: no kernel, no style built."""

from __future__ import annotations

import sys
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest
from pydantic import ValidationError
from requests_for_drives import request

from mounts import styles
from mounts.errors import InputError
from mounts.styles import bank, cabin, hut, lift_bracket, under_bracket


def test_a_style_is_a_file_without_an_underscore(tmp_path: Path) -> None:
    """Its name with '-', in order; what styles share begins with '_'."""
    for name in ("stump", "a_hut", "_shared", "b_"):
        (tmp_path / f"{name}.py").touch()

    assert styles._names_in((str(tmp_path),)) == ("a-hut", "b-", "stump")
    assert set(styles.names()) == set(styles.styles())


def _module(monkeypatch: pytest.MonkeyPatch, **held: Any) -> None:
    module = ModuleType("mounts.styles.made_up", held.pop("doc", "\n  A made-up one.\n\nMore of it.\n"))
    module.__dict__.update(held)
    monkeypatch.setitem(sys.modules, "mounts.styles.made_up", module)


def test_a_styles_summary_is_the_first_line_of_its_docstring(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first that is not empty."""
    _module(monkeypatch)
    assert styles.summary.__wrapped__("made-up") == "A made-up one."


@pytest.mark.parametrize(
    "held", [{"doc": ""}, {"STYLE": SimpleNamespace(examples=({},))}, {"STYLE": None}, {"examples": ()}]
)
def test_a_style_file_that_lacks_something_is_refused(monkeypatch: pytest.MonkeyPatch, held: dict[str, Any]) -> None:
    """Docstring, a ``STYLE`` that is one, and an example; with all of them it is the style."""
    good = under_bracket.STYLE
    _module(monkeypatch, STYLE=good)
    assert styles._style.__wrapped__("made-up") is good

    without = styles.replace(good, examples=()) if "examples" in held else good
    _module(monkeypatch, **{"STYLE": without} | {key: one for key, one in held.items() if key != "examples"})
    with pytest.raises(TypeError, match=r"made_up: a style needs a docstring, STYLE and an example"):
        styles._style.__wrapped__("made-up")


def _told(name: str, *given: Any, **asked: Any) -> list[tuple[tuple[Any, ...], str, str | None]]:
    try:
        styles.check_asked(name, *given, **asked)
    except InputError as error:
        return [(fault.place, fault.said, fault.written) for fault in error.faults]
    return []


def test_options_that_a_style_has_no_use_for_are_refused_one_by_one() -> None:
    """What its drive has no use for, and why; what only another kind of drive has. Not an empty or a usual one."""
    under = "it hangs under the board, track and ground are on top"

    given = {"track_distance": 40.0, "travel": 4.0, "throw": 3.0}
    assert _told("under-bracket", {}, given) == [
        (("track_distance",), f"does not apply to under-bracket: {under}; leave it out", "40"),
        (("travel",), "does not apply to under-bracket: it is for a lift; leave it out", "4"),
    ]
    assert _told("cabin", {}, {"track_distance": 40.0, "throw": 3.0}) == []
    assert [place for place, _, _ in _told("cabin", {}, {"depth": 30.0, "ground": 2.0})] == [("depth",)]
    assert [place for place, _, _ in _told("lift-bracket", {}, {"travel": 4.0, "throw": 3.0})] == [("throw",)]
    assert _told("under-bracket", {}, {"track_distance": None, "ground": 0.0, "other_track": ()}) == []
    with pytest.raises(InputError, match="throw"):
        styles.check_used("lift-bracket", {"throw": 3.0})
    default = styles.MountRequest.model_fields["held"].default
    assert _told("cabin", {}, {"held": default}) == []


def test_beside_other_faults_a_style_is_not_imported_for_what_most_kinds_take(monkeypatch: pytest.MonkeyPatch) -> None:
    """A lift's refusals of what throws points come once those are mended, unless something of a lift was asked."""
    assert [place for place, _, _ in _told("lift-bracket", {}, {"throw": 3.0})] == [("throw",)]
    assert [place for place, _, _ in _told("lift-bracket", {}, {"throw": 3.0, "travel": 4.0}, True)] == [("throw",)]
    assert [place for place, _, _ in _told("under-bracket", {}, {"ground": 3.0}, at_fault=True)] == [("ground",)]
    monkeypatch.setattr(styles, "_style", lambda name: pytest.fail(f"{name} was imported"))
    assert _told("lift-bracket", {}, {"throw": 3.0}, True) == []
    assert _told("under-bracket", {}, {"board": "12 mm"}) == []


def test_the_faults_of_name_options_and_set_come_at_once_at_their_keys() -> None:
    """A name that is none by itself, with the nearest; of an option that other styles have, which."""
    assert _told("under-braket", {"rods": 2}, {"ground": 3.0}) == [
        (("style",), "no such style; nearest is 'under-bracket'", "'under-braket'")
    ]
    ((place, said, _),) = _told("qqqqqqqq", {}, {})
    assert (place, said.startswith("no such style; must be ")) == (("style",), True)
    unused, unknown, other = _told("under-bracket", {"nonsense": 1, "rods": 2}, {"ground": 3.0})
    assert (unused[0], unknown[0], other[0]) == (("ground",), ("set", "nonsense"), ("set", "rods"))
    assert "; it is for" not in unknown[1]
    assert other[1].endswith("; it is for lift-bracket")
    ((place, said, _),) = _told("under-bracket", {"plate_mm": 99.0}, {})
    assert (place, "; it is for" in said) == (("set", "plate_mm"), False)


def test_a_request_is_settled_by_its_style_and_its_cures_are_its_own() -> None:
    """By what the style says fixes it; of one that says nothing it is as asked."""
    spec = request()
    asked = styles.style_options(spec.model_copy(update={"options": {"plate_mm": 5.0}}))

    assert asked.plate_mm == 5.0
    with pytest.raises(InputError) as refused:
        styles.style_options(spec.model_copy(update={"options": {"plate_mm": 99.0}}))
    assert refused.value.faults[0].place == ("set", "plate_mm")
    assert styles.settled(spec, asked).fixing == spec.fixing
    assert styles.cure("under-bracket", "wire-mount", "else") == "a thinner --set plate_mm"
    assert styles.cure("under-bracket", "no-such-check", "else") == "else"


def test_a_style_that_fixes_nothing_leaves_the_request(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same one; the other style's is asked with the options."""
    spec, options = request(), under_bracket.STYLE.options()
    told: list[Any] = []

    def fixed(*given: Any) -> Any:
        told.append(given)
        return spec.model_copy(update={"pad_mm": 6.5})

    monkeypatch.setattr(styles, "_style", lambda _: SimpleNamespace(fixed=None))
    assert styles.settled(spec, options) is spec
    monkeypatch.setattr(styles, "_style", lambda _: SimpleNamespace(fixed=fixed))
    assert styles.settled(spec, options).pad_mm == 6.5
    assert told == [(spec, options)]


MORE = {
    "lift_bracket": {
        "plate_mm": (3, 8), "wall_mm": (4, 10), "rib_mm": (1.6, 6), "web_mm": (1.6, 10), "rods": (1, 2),
        "beside_mm": (4, 60),
    },
    "bank": {"slope_deg": (45, 80), "front_mm": (2, 40), "length_mm": (20, 220), "rough_mm": (0, 3)},
    "cabin": {"eaves_m": (0.1, 0.8)},
    "hut": {"pitch_deg": (20, 50)},
}  # fmt: skip
READS = {
    "lift_bracket": lambda options: lift_bracket.limits(request(), options),
    "bank": lambda options: bank._size(request(), options),
    "cabin": lambda options: cabin._size(request(), options),
    "hut": lambda options: hut._size(request(), options),
}


@pytest.mark.parametrize(("name", "option"), [(name, option) for name, options in MORE.items() for option in options])
def test_an_option_is_taken_up_to_what_prints_and_no_further(name: str, option: str) -> None:
    """From the least to the greatest that is told, and 0.1 beyond neither. Common practice, no source."""
    step, read = 1 if option == "rods" else 0.1, styles.style_of(name.replace("_", "-")).options
    for good, beyond in zip(MORE[name][option], (-step, step), strict=True):
        assert READS[name](read.model_validate({option: good}))
        with pytest.raises(ValidationError):
            read.model_validate({option: good + beyond})
