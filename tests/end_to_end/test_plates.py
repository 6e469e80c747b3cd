"""The plates of a layout through the command line: two stacks of sleepers, one to try, frames apart from shells."""

import json
import re
import subprocess
import zipfile

import pytest
from slicer import needs_slicer

from mounts.cli import main

pytestmark = pytest.mark.solid
LAYOUT = (
    '[layout]\nname = "sidings"\n[[mount]]\nid = "stack"\nstyle = "stack"\nboard = "12 mm"\nscale = "HO"\ncopies = 2\n'
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The words that make the layout, and its folder; made once."""
    folder = tmp_path_factory.mktemp("plates")
    file = folder / "sidings.toml"
    file.write_text(LAYOUT)
    words = ["batch", str(file), "--out", str(folder / "out"), "--no-picture", "--paper", "none", "--workers", "1"]
    assert main([*words, "--quiet"]) == 0
    return words, folder / "out" / "sidings"


def plates_of(folder):
    """Rows of the plates, each with the bytes of its file."""
    report = json.loads((folder / "report.json").read_bytes())
    return report, [(row, (folder / row["file"]).read_bytes()) for row in report["plates"]]


def test_one_is_tried_first_and_scenery_lies_apart(made):
    """Four plates of one object: frame and shell of the first to try, then of the other; files and summary say so."""
    report, plates = plates_of(made[1])

    assert [(row["try_first"], row["role"], row["objects"]) for row, _ in plates] == [
        (True, "frame", ["stack copy 1 of 2"]),
        (True, "scenery", ["stack-shell copy 1 of 2"]),
        (False, "frame", ["stack copy 2 of 2"]),
        (False, "scenery", ["stack-shell copy 2 of 2"]),
    ]
    assert [row["file"] for row, _ in plates] == [f"plates/plate-0{number}.3mf" for number in (1, 2, 3, 4)]
    (mount,) = report["mounts"]
    first = report["summary"]["try_first"]
    assert mount["tried_by"] == "stack"
    assert (first["mounts"], first["plates"]) == (1, 2)
    assert first["mass_g"] == pytest.approx(mount["mass_g"], abs=1e-5)
    assert first["hours"] == pytest.approx(sum(part["print_minutes"] for part in mount["parts"]) / 60, abs=1e-5)
    own = json.loads((made[1] / "stack" / "report.json").read_bytes())
    assert [(part["name"], part["role"]) for part in own["parts"]] == [("", "frame"), ("shell", "scenery")]
    with zipfile.ZipFile(made[1] / plates[1][0]["file"]) as package:
        title = re.search(r'<metadata name="Title">(.+)</metadata>', package.read("3D/3dmodel.model").decode())
    assert title[1] == "sidings, plates/plate-02.3mf: try first, scenery"


def test_a_limit_packs_anew_and_builds_nothing(made, monkeypatch, capfd):
    """A limit between a frame's time and its shell's: shells are told, exit 0. Without it the bytes are as before."""
    words, folder = made
    report, before = plates_of(folder)
    (frame_h, shell_h) = (part["print_minutes"] / 60 for part in report["mounts"][0]["parts"])
    limit_h = round((frame_h + shell_h) / 2, 1)
    assert frame_h < limit_h < shell_h

    def nothing(*_args, **_kwargs):
        raise AssertionError("a mount is built")

    monkeypatch.setattr("mounts.batch.run.build_mount", nothing)
    assert main([*words, "--max-hours", f"{limit_h:g}"]) == 0
    said = " ".join(capfd.readouterr().out.split())
    report, plates = plates_of(folder)
    assert report["max_hours"] == limit_h
    assert [row["over_limit"] for row, _ in plates] == [False, True, False, True]
    assert all((row["hours"] > limit_h) == row["over_limit"] for row, _ in plates)
    assert "warn stack-shell copy 1 of 2 alone prints " in said
    assert f"longer than the {limit_h:g} h of --max-hours: it has a plate to itself" in said
    assert "first print and fit one mount of each kind (style, servo, board, wire), 2 plates: 1 mount" in said
    assert "plates/plate-02.3mf, try first, scenery, 1 object, " in said
    assert main([*words, "--quiet"]) == 0
    assert plates_of(folder)[1] == before


@needs_slicer
@pytest.mark.slicer
def test_a_slicer_opens_each_plate_part_by_part(made, tmp_path):
    """prusa-slicer: one manifold object a part."""
    for row, _ in plates_of(made[1])[1]:
        told = subprocess.run(
            ["prusa-slicer", "--info", str(made[1] / row["file"]), "--datadir", str(tmp_path)],
            capture_output=True, text=True, check=True,
        ).stdout  # fmt: skip
        assert re.findall(r"manifold = (\w+)", told) == ["yes"] * len(row["objects"])
