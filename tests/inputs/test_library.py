"""Finding and reading profiles: names, the user's own, extends, and files that are no profiles."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from mounts.errors import InputError, placed
from mounts.inputs.library import KINDS, Library, built_in_folder, own_folder


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """An empty folder for the user's own profiles, with a folder a kind."""
    for kind in KINDS:
        (tmp_path / "profiles" / kind).mkdir(parents=True)
    return tmp_path / "profiles"


def _write(own: Path, kind: str, name: str, text: str) -> Path:
    path = own / kind / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def _faults(library: Library, kind: str, name: str) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        library.read(kind, name)
    return caught.value.lines


@pytest.mark.parametrize(
    ("kind", "written", "expected"),
    [
        ("servo", "Micro-9G", "micro-9g"),
        ("scale", "ho", "HO"),
        # NEM 010 spells HO and O with a nought
        ("scale", "H0", "HO"),
        ("scale", "0", "O"),
        ("scale", "00", "OO"),
        ("scale", "tt", "TT"),
    ],
)
def test_name_is_matched_as_people_write_it(kind: str, written: str, expected: str) -> None:
    """Case does not matter, and a nought in a scale's name is an O."""
    assert Library().read(kind, written).name == expected


def test_names_go_by_their_numbers(own: Path) -> None:
    """Board names are listed thin to thick, with the user's own among them."""
    _write(own, "board", "mdf-10", "")

    names = [name for name in Library(own=own).names("board") if name.startswith("mdf")]

    assert names == ["mdf-6", "mdf-9", "mdf-10", "mdf-12", "mdf-16", "mdf-18", "mdf-19", "mdf-25"]


@pytest.mark.parametrize(
    ("kind", "written", "told"),
    [
        ("servo", "mirco-9g", "'mirco-9g': no such servo profile; nearest is 'micro-9g'"),
        (
            "printer",
            "x",
            "'x': no such printer profile; there are fdm-0.25, fdm-0.4 and fdm-0.6",
        ),
        ("board", "zzz", "'zzz': no such board profile; 'mounts profiles list' names all 32"),
        ("servo", "a/b.toml", "'a/b.toml': no such file; give a path to a .toml file or a profile's name"),
        ("servo", "x" * 5000 + ".toml", None),
        ("servo", "~nobody-at-all/x.toml", None),
        ("servo", "nul\0.toml", None),
        ("servo", "", None),
    ],
)
def test_unknown_name_is_one_line(kind: str, written: str, told: str | None) -> None:
    """An unknown name is told with the nearest, or with the list where that is short."""
    (fault,) = _faults(Library(), kind, written)

    assert fault == told if told else fault.startswith(("'", '"'))
    assert "\n" not in fault


def test_unknown_name_is_told_where_it_was_written() -> None:
    """The option that held the name stands in front once its reader says so."""
    with pytest.raises(InputError, match="--servo = 'mirco-9g': no such servo"), placed("servo"):
        Library().servo("mirco-9g")


def test_own_profile_extends_a_built_in_one(own: Path) -> None:
    """Only what differs need be written; sources are joined, the base's no longer claims what the file gives anew."""
    _write(
        own,
        "servo",
        "mine",
        'extends = "micro-9g"\ntitle = "mine"\ncase_width_mm = "11.9 mm"\n'
        '[source.width]\ntext = "my callipers"\nmark = "S"\nfigures = ["case_width_mm"]\n',
    )
    library = Library(own=own)

    mine, base = library.servo("mine"), library.servo("micro-9g")

    assert mine.case_width_mm == 11.9
    rest = tuple(figure for figure in base.source["case"].figures if figure != "case_width_mm")
    assert len(rest) == len(base.source["case"].figures) - 1
    case = base.source["case"].model_copy(update={"figures": rest})
    assert mine.source == base.source | {"case": case, "width": mine.source["width"]}
    assert mine.source["width"].figures == ("case_width_mm",)
    unchanged = set(type(mine).model_fields) - {"name", "title", "case_width_mm", "source"}
    assert all(getattr(mine, field) == getattr(base, field) for field in unchanged)


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ('["case_wide_mm"]', "source.width.figures = 'case_wide_mm': must be keys of this profile"),
        ('["title"]', "source.width.figures = 'title': must be keys of this profile"),
        ('["mass_g", "mass_g"]', "source.width.figures = 'mass_g': must not be claimed by two sources"),
    ],
)
def test_sources_claim_figures_of_their_profile_once(own: Path, figures: str, said: str) -> None:
    """A source of a figure that is not there, or of one that has its source already, is a fault in its place."""
    head = 'extends = "micro-9g"\ntitle = "mine"\n[source.width]\ntext = "my callipers"\nmark = "S"\n'
    _write(own, "servo", "mine", f"{head}figures = {figures}\n")

    with pytest.raises(InputError, match=re.escape(said)):
        Library(own=own).servo("mine")


def test_own_profile_extends_another_of_the_user(own: Path) -> None:
    """A chain of two is followed, the last word being the file's own."""
    _write(own, "printer", "mine", 'extends = "fdm-0.4"\nbed_x_mm = 180\nbed_y_mm = 180\n')
    _write(own, "printer", "mine-fine", 'extends = "mine"\nlayer_mm = 0.12\nbed_y_mm = 190\n')

    printer = Library(own=own).printer("mine-fine")

    assert (printer.bed_x_mm, printer.bed_y_mm, printer.layer_mm, printer.nozzle_mm) == (180, 190, 0.12, 0.4)


def test_fault_of_an_extended_file_is_told_as_its_own(own: Path) -> None:
    """Who extends a faulty profile is told which file to mend."""
    path = _write(own, "printer", "mine", 'extends = "fdm-0.4"\nbed_x_mm = 5\n')
    _write(own, "printer", "mine-fine", 'extends = "mine"\n')

    assert _faults(Library(own=own), "printer", "mine-fine") == (f"{path}: bed_x_mm = 5: must be 50 to 1000 mm",)


@pytest.mark.parametrize("chain", [("a",), ("a", "b"), ("a", "b", "c")])
def test_circle_of_extends_is_refused(own: Path, chain: tuple[str, ...]) -> None:
    """Profiles that extend each other in a circle are told with the circle."""
    for name, base in zip(chain, (*chain[1:], chain[0]), strict=True):
        _write(own, "servo", name, f'extends = "{base}"\n')

    (fault,) = _faults(Library(own=own), "servo", "a")

    assert f"must not go in a circle ({', '.join((*chain, 'a'))})" in fault


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('extends = "micro-8g"', "extends = 'micro-8g': no such servo profile; nearest is 'micro-9g'"),
        ("extends = 3", "extends = 3: must be the name of a servo profile"),
        ('name = "x"\nextends = "micro-9g"', "name = 'x': must not be given, it is the file's name"),
    ],
)
def test_faulty_extends_is_one_line(own: Path, text: str, told: str) -> None:
    """What a profile extends is looked up like any name."""
    path = _write(own, "servo", "mine", text)

    (fault,) = _faults(Library(own=own), "servo", "mine")

    assert fault.startswith(str(path))
    assert told in fault


@pytest.mark.parametrize("name", ["micro-9g", "MICRO-9G"])
def test_own_profile_of_a_built_in_name_is_refused(own: Path, name: str) -> None:
    """A name means one file, whoever reads it on whichever computer."""
    path = _write(own, "servo", name, 'extends = "micro-13g"\n')

    (fault,) = _faults(Library(own=own), "servo", "micro-9g")

    assert fault.startswith(f"{path}: must not have the name of ")
    assert "rename it" in fault


def test_profile_is_read_by_path_beside_the_layout(own: Path, tmp_path: Path) -> None:
    """A path is taken from the folder of the layout file, and may extend a built-in profile."""
    (tmp_path / "bench").mkdir()
    (tmp_path / "bench" / "odd.toml").write_text('extends = "plywood-12"\nthickness_mm = 12.2\n', encoding="utf-8")

    board = Library(own=own, beside=tmp_path).board("bench/odd.toml")

    assert (board.name, board.thickness_mm, board.over_mm) == ("odd", 12.2, 0.5)


def test_every_fault_of_a_file_comes_at_once_in_its_order(own: Path) -> None:
    """A misspelt key is one line; ranges show both ends and the unit; order is the file's."""
    path = _write(
        own,
        "servo",
        "mine",
        'title = "mine"\nhorn_radii_mm = []\ncase_lenght_mm = 22.0\nmass_g = "heavy"\n'
        'flange_span_mm = "5 in"\ncable_end = "left"\nspline_teeth = 20.5\ncolour = "blue"\n'
        'extends = "micro-9g"\n[source.all]\ntext = "x"\n',
    )

    faults = _faults(Library(own=own), "servo", "mine")

    assert [fault.removeprefix(f"{path}: ") for fault in faults] == [
        "horn_radii_mm = []: must be a list of at least 1",
        "case_lenght_mm = 22: unknown field; nearest is 'case_length_mm'",
        "mass_g = 'heavy': must be a number",
        "flange_span_mm = '5 in' (127 mm): must be 15 to 100 mm",
        "cable_end = 'left': must be 'near' or 'far'",
        "spline_teeth = 20.5: must be a whole number",
        "colour = 'blue': unknown field; remove it",
        "source.all.text = 'x': must be text of at least 3 characters",
        "source.all.mark: must be given",
    ]


def test_misspelt_key_takes_the_place_of_the_missing_one(own: Path) -> None:
    """Without a base the missing key is not told a second time, the others are, with what is allowed."""
    path = _write(own, "roadbed", "mine", 'title = "mine"\nthicknes_mm = 4\n')

    faults = _faults(Library(own=own), "roadbed", "mine")

    assert [fault.removeprefix(f"{path}: ") for fault in faults] == [
        "thicknes_mm = 4: unknown field; nearest is 'thickness_mm'",
        "source: must be given",
    ]


def test_impossible_figures_are_told_with_the_file(own: Path) -> None:
    """Rules between figures are told in the same grammar."""
    path = _write(own, "servo", "mine", 'extends = "micro-9g"\nflange_span_mm = 20.0\nhorn_hub_mm = 4.0\n')

    faults = _faults(Library(own=own), "servo", "mine")

    assert faults[0] == f"{path}: flange_span_mm = 20: must exceed case_length_mm = 22.6"
    assert faults[-1] == f"{path}: horn_hub_mm = 4: must exceed spline_mm = 4.6"


def test_fault_inside_a_list_of_tables_names_its_place(own: Path) -> None:
    """The second wire of a stock is stock[1]."""
    path = _write(
        own,
        "wire",
        "mine",
        'title = "mine"\nstock = [{ diameter_mm = 0.5, tensile_mpa = 2000, modulus_mpa = 2e5 },'
        ' { diameter_mm = 8, tensile_mpa = 1, modulus_mpa = 2e5 }]\n[source.all]\ntext = "mine"\nmark = "P"\n',
    )

    faults = _faults(Library(own=own), "wire", "mine")

    assert faults == (
        f"{path}: stock[1].diameter_mm = 8: must be 0.2 to 3 mm",
        f"{path}: stock[1].tensile_mpa = 1: must be 300 to 4000 MPa",
    )


def test_broken_toml_tells_line_and_column(own: Path) -> None:
    """Where the file stops being TOML is told."""
    path = _write(own, "servo", "mine", 'title = "mine"\nmass_g 9\n')

    (fault,) = _faults(Library(own=own), "servo", "mine")

    assert fault == f"{path}: line 2, column 8: not TOML: expected '=' after a key in a key/value pair"


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", "title = 'größe'".encode("latin-1")])
def test_file_that_is_not_utf8_is_one_line(own: Path, content: bytes) -> None:
    """A file in another encoding is told as such."""
    path = own / "servo" / "mine.toml"
    path.write_bytes(content)

    (fault,) = _faults(Library(own=own), "servo", "mine")

    assert fault.startswith(f"{path}: must be UTF-8 text; byte ")


@pytest.mark.parametrize("text", ["a = " + "[" * 3000 + "]" * 3000, "a = 1\na = 2", "a = 10000-99-99", ""])
def test_odd_files_are_told_in_lines(own: Path, text: str) -> None:
    """Deep nesting, a key given twice, an impossible date and an empty file end in lines, not in a traceback."""
    path = _write(own, "roadbed", "mine", text)

    faults = _faults(Library(own=own), "roadbed", "mine")

    assert all(fault.startswith(f"{path}: ") and "\n" not in fault for fault in faults)


def test_folder_in_place_of_a_file_is_one_line(own: Path) -> None:
    """A folder whose name ends in .toml is no profile."""
    path = own / "servo" / "mine.toml"
    path.mkdir()

    assert _faults(Library(own=own), "servo", "mine") == (f"{path}: must be a file",)
    assert _faults(Library(own=own), "servo", str(path)) == (f"{path}: must be a file",)


def test_folders_are_those_of_the_package_and_the_user(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Built-in profiles are found without a working directory; the environment moves the user's own."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path))
    assert own_folder() == tmp_path / "profiles"
    assert (built_in_folder() / "servo" / "micro-9g.toml").is_file()

    monkeypatch.delenv("MOUNTS_CONFIG_DIR")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "xdg"))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert "turnout-mounts" in own_folder().parts


def test_a_servo_without_its_figures_is_one_line(own: Path) -> None:
    """Forty missing measurements are no list of forty: the first are named, and `extends` that gives the rest."""
    path = _write(own, "servo", "mine", 'title = "mine"\n')

    (line,) = _faults(Library(own=own), "servo", "mine")

    assert line.startswith(f"{path}: source, case_length_mm, case_width_mm, case_height_mm and ")
    assert "begin with extends = " in line
