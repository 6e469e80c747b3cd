"""`mounts profiles`, `mounts styles` and `mounts schema` as a user runs them."""

import io
import json

import pytest

from mounts import styles
from mounts.cli import main
from mounts.inputs.library import KINDS, Library


@pytest.fixture
def config(tmp_path, monkeypatch):
    """The user's own profiles in a folder of this test."""
    monkeypatch.setenv("MOUNTS_CONFIG_DIR", str(tmp_path))
    return tmp_path / "profiles"


def test_list_names_every_profile(config, capsys):
    """Every built-in profile of every kind is listed."""
    assert main(["profiles", "list"]) == 0

    text = capsys.readouterr().out
    assert all(f"  {name} " in text for kind in KINDS for name in Library().names(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_what_show_prints_is_the_profile(kind, config, capsys):
    """The printed text of every profile, saved under another name, reads back to the same figures."""
    library = Library()
    (config / kind).mkdir(parents=True)
    for name in library.names(kind):
        assert main(["profiles", "show", kind, name]) == 0
        (config / kind / f"copy-of-{name}.toml").write_text(capsys.readouterr().out, "utf-8")

        expected = library.read(kind, name).model_dump(exclude={"name"})
        assert Library().read(kind, f"copy-of-{name}").model_dump(exclude={"name"}) == expected


def test_new_keeps_what_was_measured(config, capsys):
    """Figures given with --set, one of them in inches, stand over those of the profile it extends."""
    code = main(
        [
            "profiles",
            "new",
            "servo",
            "mine",
            "--extends",
            "micro-9g",
            "--set",
            "case_length_mm=22.7",
            "--set",
            "shaft_offset_mm=1/4 in",
            "--set",
            "horn_radii_mm=[6, 8]",
        ]
    )

    mine, base = Library().servo("mine"), Library().servo("micro-9g")
    assert code == 0
    assert (mine.case_length_mm, mine.shaft_offset_mm, mine.horn_radii_mm) == (22.7, 6.35, (6.0, 8.0))
    assert mine.flange_span_mm == base.flange_span_mm
    assert capsys.readouterr().out.strip() == str(config / "servo" / "mine.toml")
    assert main(["profiles", "list", "servo"]) == 0
    assert any("mine" in line and "(yours)" in line for line in capsys.readouterr().out.splitlines())


def test_new_asks_and_asks_again(config, capsys, monkeypatch):
    """Enter keeps a figure, a new one is kept, one that can't be is asked for again with the reason."""
    answers = iter(["9", "22.4"])
    monkeypatch.setattr(
        "rich.console.Console.input",
        lambda _console, prompt, **_: next(answers) if str(prompt).startswith("case_length_mm") else "",
    )

    assert main(["profiles", "new", "servo", "mine", "--extends", "micro-9g"]) == 0

    mine, base = Library().servo("mine"), Library().servo("micro-9g")
    figures = {"case_length_mm", "name", "title", "source"}
    assert "must be 10 to 70 mm" in capsys.readouterr().err
    assert mine.case_length_mm == 22.4
    assert mine.model_dump(exclude=figures) == base.model_dump(exclude=figures)


def test_new_with_nothing_measured_says_so(config, capsys, monkeypatch):
    """Enter at every question: neither title nor sources speak of a measurement; the figures keep their own."""
    monkeypatch.setattr("rich.console.Console.input", lambda _console, prompt, **_: "")

    assert main(["profiles", "new", "servo", "mine", "--extends", "micro-9g"]) == 0

    mine, base = Library().servo("mine"), Library().servo("micro-9g")
    assert "measure" not in (config / "servo" / "mine.toml").read_text()
    assert mine.source == base.source


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["servo", "micro-9g", "--set", "case_length_mm=22"], "name = 'micro-9g': is built in"),
        (["servo", "../x", "--set", "case_length_mm=22"], "name = '../x': must be letters"),
        (["servo", "mine", "--extends", "mirco-9g"], "nearest is 'micro-9g'"),
        (["servo", "mine", "--extends", "micro-9g", "--set", "case_len_mm=22"], "nearest is 'case_length_mm'"),
        (["servo", "mine", "--extends", "micro-9g", "--set", "case_length_mm"], "must be NAME=VALUE"),
        (["servo", "mine", "--extends", "micro-9g", "--set", "case_length_mm=90"], "must be 10 to 70 mm"),
        (["servos", "mine"], "nearest is 'servo'"),
    ],
)
def test_new_refuses_and_writes_nothing(words, said, config, capsys):
    """A wrong name or figure is a line with the way out, exit 2, and no profile."""
    assert main(["profiles", "new", *words]) == 2

    assert said in capsys.readouterr().err
    assert not config.exists()


def test_new_never_overwrites_unasked(config, capsys):
    """A profile of yours is replaced with --replace only."""
    words = ["profiles", "new", "servo", "mine", "--extends", "micro-9g", "--set"]
    main([*words, "case_length_mm=22.7"])

    assert main([*words, "case_length_mm=22.9"]) == 2
    assert "--replace" in capsys.readouterr().err
    assert Library().servo("mine").case_length_mm == 22.7
    assert main([*words, "case_length_mm=22.9", "--replace"]) == 0
    assert Library().servo("mine").case_length_mm == 22.9


def test_new_without_answers_ends(config, capsys, monkeypatch):
    """Where nobody answers, `profiles new` says so instead of waiting or writing."""
    monkeypatch.setattr("sys.stdin", io.StringIO(""))

    assert main(["profiles", "new", "servo", "mine", "--extends", "micro-9g"]) == 2
    assert "--set: must be given where nobody answers" in capsys.readouterr().err
    assert not config.exists()


def test_styles_lists_every_style_and_option(capsys):
    """Every style has a line, and every option of a style one in its own list."""
    assert main(["styles"]) == 0
    assert [line.split()[0] for line in capsys.readouterr().out.splitlines()] == list(styles.names())
    for name, style in styles.styles().items():
        assert main(["styles", name]) == 0
        text = capsys.readouterr().out
        assert all(f"--set {key}=" in text for key in style.options.model_fields)
    main(["styles", "bank"])
    text = capsys.readouterr().out
    assert "(8 to 200 mm)" in text
    assert "(auto, hang or side)" in text
    assert "--set trim_arm=true" in text


def test_schema_of_a_report_names_the_keys_of_the_report(capsys):
    """The schema requires the keys that outside checks read."""
    assert main(["schema", "report"]) == 0

    schema = json.loads(capsys.readouterr().out)
    keys = {"schema", "mount", "inputs", "servo", "drive", "datums", "parts", "hardware", "checks"}
    assert keys <= set(schema["required"])


def test_schema_of_profiles_covers_every_kind(capsys):
    """Each kind has its schema, and each schema is defined."""
    assert main(["schema", "profile"]) == 0

    schema = json.loads(capsys.readouterr().out)
    assert schema["properties"].keys() == KINDS.keys()
    assert all(place["$ref"].removeprefix("#/$defs/") in schema["$defs"] for place in schema["properties"].values())


def test_schema_of_a_layout_takes_the_options_of_make(capsys):
    """Every option of a mount is a key of a layout's mount."""
    from mounts.inputs.request import MountRequest

    assert main(["schema", "layout"]) == 0

    schema = json.loads(capsys.readouterr().out)
    mount = schema["$defs"][schema["properties"]["mount"]["items"]["$ref"].removeprefix("#/$defs/")]
    assert mount["properties"].keys() >= MountRequest.model_fields.keys() - {"board"}
