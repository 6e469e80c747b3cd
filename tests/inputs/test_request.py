"""What is taken as a request, and how what is not is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mounts.errors import InputError
from mounts.inputs.request import MountRequest, band_n, read_request, safe_name

GOOD: dict[str, Any] = {"id": "east-1", "style": "under-bracket", "board": "12 mm"}


def _faults(**changed: object) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        read_request(GOOD | changed)
    return caught.value.lines


def test_request_keeps_what_was_written() -> None:
    """Lengths stay as written, so that an error can show them; what was not given is None."""
    request = read_request(GOOD | {"throw": None, "roadbed": "1/8 in", "wire": 0.8})

    assert (request.board, request.roadbed, request.wire, request.throw) == ("12 mm", "1/8 in", 0.8, None)


def test_keys_are_the_options_agreed() -> None:
    """Layout files and scripts rely on these names."""
    agreed = ["id", "style", "servo", "board", "roadbed", "throw", "scale", "printer", "wire", "force", "mirror"]

    assert set(agreed) <= set(MountRequest.model_fields)


@pytest.mark.parametrize("name", ["east-1", "Weiche 7", "über", "a" * 64, "a.b", "com10", "console", "岔道"])
def test_id_that_is_a_good_file_name_is_taken(name: str, tmp_path: Path) -> None:
    """An id is taken unchanged, and a folder and a file of that name can be made."""
    assert safe_name(name) == name

    (tmp_path / name).mkdir()
    (tmp_path / name / f"{name}.stl").write_bytes(b"")


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("", "1 to 64 characters"),
        ("a" * 65, "1 to 64 characters"),
        *((name, "without") for name in ("a/b", "a\\b", "a:b", "a*b", "a?b", 'a"b', "a<b", "a|b")),
        *((name, "without") for name in ("a\nb", "a\0b", "a\x7fb", "a\u202eb", "a\u200bb", "a\u00a0b", "a\ud800b")),
        *((name, "must not begin") for name in (".", "..", ".a", "a.", " a", "a ", "-a")),
        # names Windows keeps for devices, also with an end behind a dot
        *((name, "Windows") for name in ("CON", "nul", "Aux.txt", "com1", "LPT9.stl", "com¹", "prn .x", "CONIN$")),
        ("u\u0308ber", "composed"),
    ],
)
def test_id_that_is_no_good_file_name_is_refused(name: str, told: str) -> None:
    """What could leave the folder, vanish, or not exist on some system is refused by name."""
    (fault,) = _faults(id=name)

    assert fault.startswith("--id = ")
    assert told in fault
    assert fault.isprintable()


@given(st.text(max_size=70))
def test_id_taken_stays_in_its_folder(name: str) -> None:
    """Whatever is taken is one path component that a path does not change."""
    try:
        taken = safe_name(name)
    except ValueError:
        taken = "refused"

    assert (Path("out") / taken).parent == Path("out")
    assert (Path("out") / taken).name == taken
    assert len(f"{taken}-housing.stl".encode()) < 255


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("0.5-1.5", (0.5, 1.5)),
        ("0.5 - 1.5 N", (0.5, 1.5)),
        ("0,5 to 1,5", (0.5, 1.5)),
        ("1 N to 3 N", (1.0, 3.0)),
        ("0.5–1.5", (0.5, 1.5)),
        ([0.5, 1.5], (0.5, 1.5)),
        ((1, 3), (1.0, 3.0)),
    ],
)
def test_force_is_a_band(written: object, expected: tuple[float, float]) -> None:
    """A band of forces is written with a dash, with ``to`` or as a list."""
    assert band_n(written) == expected


@pytest.mark.parametrize(
    "written", ["2", "1.5-0.5", "1-1", [1], [1, 2, 3], [1, "2"], [True, 2], "0-1", "1-200", "-1-2", "a-b", 1.5, "١-٢"]
)
def test_force_that_is_no_band_is_refused(written: object) -> None:
    """A single force, a falling band or one beyond reason is told with both ends."""
    (fault,) = _faults(force=written)

    assert fault.endswith("must be a low and a higher force, 0.05 to 20 N, such as '0.5-1.5'")


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (
            ["plate-mm=3", "sunk=true", "gap=0.25", "text=a = b"],
            {"plate_mm": 3, "sunk": True, "gap": 0.25, "text": "a = b"},
        ),
        ({"plate_mm": 3, "sunk": False, "width": "3/4 in"}, {"plate_mm": 3, "sunk": False, "width": "3/4 in"}),
        ([], {}),
    ],
)
def test_settings_are_a_table_or_a_list(written: object, expected: dict[str, object]) -> None:
    """``--set`` and a table in a layout mean the same, and keep the kind of each value."""
    found = read_request(GOOD | {"set": written}).set

    assert found == expected
    assert [type(value) for value in found.values()] == [type(value) for value in expected.values()]


@pytest.mark.parametrize("written", [["plate"], ["=3"], ["a b=3"], ["a=1", "a=2"], [3]])
def test_settings_without_a_name_are_refused(written: object) -> None:
    """An item that sets nothing, or the same thing twice, is one line."""
    (fault,) = _faults(set=written)

    assert fault.startswith("--set = [")


def test_every_fault_comes_at_once_as_options() -> None:
    """On the command line a field is named as its option; a misspelt one is one line."""
    faults = _faults(swing=90, held="loose", mirror="yes", bord=3, throw="3/4", arm_hole="abc", id=7)

    assert faults == (
        "--id = 7: must be text",
        "--swing = 90: must be 5 to 60 °",
        "--held = 'loose': must be 'turning' or 'clamped'",
        "--mirror = 'yes': must be true or false",
        "--bord = 3: unknown field; nearest is 'board'",
        "--throw = '3/4': has no unit and looks like inches; write '3/4 in'",
        "--arm-hole = 'abc': must be a length such as 18, '18 mm', '0.032 in' or '1 1/2 in'",
    )


def test_missing_options_are_told() -> None:
    """What every mount needs is asked for by option."""
    with pytest.raises(InputError) as caught:
        read_request({"style": "under-bracket"})

    assert caught.value.lines == ("--id: must be given", "--board: must be given")


@pytest.mark.parametrize(
    ("written", "force_n"), [(None, None), ("none", 0.0), ("0.4 N", 0.4), ("0,4", 0.4), (0.4, 0.4), ("5N", 5.0)]
)
def test_own_spring_is_a_force_or_none(written: object, force_n: float | None) -> None:
    """The turnout's own spring: its force where it stays, 0 where there is none, None where nothing is said of it."""
    assert read_request(GOOD | {"own_spring": written}).own_spring == force_n


@pytest.mark.parametrize("written", ["0", "-0.4", "soft", "0.4 mm", 6.0, True, "٠.٤"])
def test_own_spring_of_another_kind_is_refused(written: object) -> None:
    """One line that names the option, what was written and what is taken."""
    (fault,) = _faults(own_spring=written)

    assert fault.startswith("--own-spring = ")
    assert "'0.4 N', or 'none'" in fault
