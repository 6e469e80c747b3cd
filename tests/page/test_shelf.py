"""What the page takes for a name and what for a way to the disk; fields, ways out and addresses."""

import shlex
import tomllib
from urllib.parse import unquote

import pytest
import typer
from served import ROOT

from mounts.cli.make import make
from mounts.errors import Fault, InputError, NoDesign
from mounts.inputs.request import MountRequest
from mounts.page.address import FIRST, address, command_line, options_of, values_of
from mounts.page.ask import answer
from mounts.page.fields import fields
from mounts.page.shelf import Shelf
from mounts.page.ways import of_fault, of_refusal, typed
from mounts.styles import names, style_of

FILES = (
    "../x.toml", "/etc/passwd", "/etc/x.toml", "a/b", "..\\x", "~/x.toml", "x.toml", "x.TOML", "18/../x.toml",
    "micro-9g/../../x.toml", "music-wire/x 0.8",
)  # fmt: skip


@pytest.fixture
def shelf(tmp_path):
    """A folder with a servo and something else."""
    (tmp_path / "mine.toml").write_text('title = "mine"\nextends = "micro-9g"\ncase_length_mm = 22.9\n')
    (tmp_path / "x.toml").write_text("secret = 1\n")
    return Shelf(tmp_path)


@pytest.mark.parametrize("key", ["servo", "board", "roadbed", "scale", "printer", "filament", "wire", "screw", "moves"])
def test_no_value_of_a_browser_is_read_as_a_file(shelf, key):
    """Every way to write a path, in every field that takes a profile."""
    for written in FILES:
        found = answer({**FIRST, key: written}, shelf)
        assert found.designed is None
        assert [told.field for told in found.told] == [key], written
        assert "secret" not in found.told[0].line


def test_fractions_and_servos_of_the_folder_are_no_paths(shelf):
    """A stroke inside a length is none to the disk; a servo that lies in the folder may be named."""
    for options in ({"board": "3/4 in"}, {"wire": "music-wire-inch 1/25 in"}, {"servo": "mine.toml"}):
        found = answer({**FIRST, **options}, shelf)
        assert found.designed is not None, found.told
    assert "mine.toml" in shelf.names("servo")
    assert "x.toml" not in shelf.names("servo")


@pytest.mark.parametrize("name", names())
def test_every_option_that_a_style_takes_has_a_field(shelf, name):
    """Those of the request but what its drive has no use for, and every option of its own, in range by default."""
    found = {field.key: field for field in fields(name, shelf, "HO")}

    own = {f"set.{key}" for key in style_of(name).options.model_fields}
    assert own <= set(found)
    assert set(found) - own <= set(MountRequest.model_fields) - {"set"}
    assert {"id", "style", "servo", "board", "scale", "wire", "printer"} <= set(found)
    assert ("travel" in found) == (style_of(name).drive == "lift")
    assert (found["throw"].low, found["throw"].high) == (1.6, 4.5) if "throw" in found else True


def test_an_address_is_a_design_and_a_command():
    """What stands in the form comes back from the address, and the command line gives the same options."""
    values = {**FIRST, "mirror": "true", "other_track": "140; -80 mm", "board": "3/4 in", "set.lie": "down"}
    query = dict(part.split("=", 1) for part in address(values)[2:].split("&"))

    assert values_of((unquote(key), unquote(value)) for key, value in query.items()) == values
    app = typer.Typer()
    app.command()(make)
    given = typer.main.get_command(app).make_context("make", shlex.split(command_line(values, "out"))[2:])
    asked = {key.rstrip("_"): value for key, value in given.params.items() if value}
    for key, value in options_of(values).items():
        if value != MountRequest.model_fields[key].default:
            assert list(asked[key]) == value if isinstance(value, list) else asked[key] == value


def test_an_address_that_is_too_long_is_cut_and_not_obeyed():
    """At most 64 fields of 200 characters."""
    found = values_of([("x" * 500, "1"), ("board", "9" * 500), *((f"k{n}", "1") for n in range(500))])

    assert len(found) == 64
    assert "board" not in found


def test_ways_out_are_the_options_that_were_told():
    """Lines of refusals as changes of the form."""
    assert typed("--throw 2.5 instead of 3 mm").values == {"throw": "2.5"}
    assert typed("--force 0.1-0.5 instead of 0.3-1 N").values == {"force": "0.1-0.5"}
    assert typed("leave --arm-hole free and leave --set rib_mm, --set web_mm out").values == {
        "arm_hole": "", "set.rib_mm": "", "set.web_mm": "",
    }  # fmt: skip
    assert of_refusal(NoDesign("none", ways=("--max-depth 30", "another world"))).ways[0].values == {"max_depth": "30"}
    assert len(of_refusal(NoDesign("none", ways=("another world",))).ways) == 0
    told = of_fault(Fault("must be 3 to 60 mm", ("board",), "'70'"))
    assert [way.values for way in told.ways] == [{"board": "60 mm"}]
    assert of_fault(Fault("unknown field; nearest is 'rib_mm'", ("set", "rip_mm"), "2")).ways[-1].values == {
        "set.rip_mm": "", "set.rib_mm": "2",
    }  # fmt: skip


def test_without_the_extra_it_says_how_to_install_it(monkeypatch, capsys):
    """One line, exit code 2."""
    from mounts.cli import main
    from mounts.page import serve

    monkeypatch.setattr(serve, "NEEDED", ("no_such_library_at_all",))

    assert main(["page"]) == 2
    told = capsys.readouterr().err
    assert "pip install 'turnout-mounts[page]'" in told
    assert told.count("\n") == 1


def test_a_folder_that_is_a_file_is_refused(tmp_path):
    """As --out is elsewhere."""
    from mounts.cli.faults import refuse_no_folder

    (tmp_path / "f").write_text("")
    with pytest.raises(InputError, match="must be a folder"):
        refuse_no_folder(tmp_path / "f", "folder")


def test_the_extra_is_pinned():
    """Both libraries of the page have an upper bound: another major version draws another page."""
    extra = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["optional-dependencies"]["page"]

    assert all("<" in requirement for requirement in extra)
