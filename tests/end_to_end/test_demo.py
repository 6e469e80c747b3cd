"""The demo layout, made as the README says: every mount good, its family alike, its plates read by other programs."""

import json
import re
import subprocess
import tomllib
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import slicer

from mounts.cli import main
from mounts.inputs.library import built_in_folder

pytestmark = pytest.mark.solid
DEMO = built_in_folder() / "demo" / "yard.toml"


@pytest.fixture(scope="module")
def yard(tmp_path_factory) -> Path:
    """The folder of the demo's output."""
    out = tmp_path_factory.mktemp("demo")
    assert main(["batch", str(DEMO), "--out", str(out), "--quiet"]) == 0
    return out / "yard"


@pytest.fixture(scope="module")
def report(yard):
    return json.loads((yard / "report.json").read_text())


def test_every_mount_of_the_demo_is_good(report):
    """None fails, where it stands included, and every one is on a plate as often as it is to be printed."""
    asked = tomllib.loads(DEMO.read_text())["mount"]

    assert {row["verdict"] for row in report["mounts"]} <= {"pass", "warn"}
    assert sum(len(plate["objects"]) for plate in report["plates"]) == sum(
        row["copies"] * len(row["parts"]) for row in report["mounts"]
    )
    assert len(report["mounts"]) == len(asked)
    assert all(row["site_checks"] for row in report["mounts"] if row["x_mm"] is not None)


def test_the_demo_shows_what_there_is(report):
    """Several boards, two sizes of servo, mirrored mounts, a family over four thicknesses."""
    rows = report["mounts"]

    assert len({row["board"] for row in rows}) >= 4
    assert len({row["servo"] for row in rows}) >= 2
    assert len([row for row in rows if row["mirror"]]) >= 2
    assert {row["board_mm"] for row in rows if row["family"] == "ladder"} == {9.0, 12.0, 18.0, 25.0}


def test_the_family_is_alike(yard, report):
    """Pulses to the microsecond, arm hole, wire and screws the same; travel within 0.05 mm; depths differ."""
    family = [row for row in report["mounts"] if row["family"] == "ladder"]
    own = [json.loads((yard / row["id"] / "report.json").read_text()) for row in family]

    for key in ("pulse_us", "arm_hole_mm", "wire_mm"):
        assert len({json.dumps(row[key]) for row in family}) == 1, key
    assert np.ptp([row["travel_mm"] for row in family]) <= 0.05
    assert len({round(row["pivot_to_horn_mm"], 2) for row in family}) == len(family)
    assert len({json.dumps([screw[:2] for screw in each["datums"]["fixings"]]) for each in own}) == 1


def test_a_reference_reader_finds_every_object_on_the_bed(yard, report):
    """lib3mf in strict mode: names as reported, each manifold, inside the bed, lowest on z = 0."""
    for plate in report["plates"]:
        model = lib3mf.Wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromFile(str(yard / plate["file"]))
        items = model.GetBuildItems()
        names = []
        while items.MoveNext():
            item = items.GetCurrent()
            mesh = model.GetMeshObjectByID(item.GetObjectResourceID())
            names.append(mesh.GetName())
            assert mesh.IsManifoldAndOriented()
            motion = np.array([list(row) for row in item.GetObjectTransform().Fields])
            points = np.array([list(vertex.Coordinates) for vertex in mesh.GetVertices()])
            placed = np.column_stack([points, np.ones(len(points))]) @ motion
            assert placed.min(axis=0) == pytest.approx([*np.maximum(placed.min(axis=0)[:2], 3.0), 0.0], abs=1e-3)
            assert np.all(placed.max(axis=0)[:2] <= 220 - 3.0 + 1e-3)
        assert tuple(names) == tuple(plate["objects"])


@slicer.needs_slicer
@pytest.mark.slicer
def test_a_slicer_finds_every_object_manifold_and_keeps_its_name(yard, report, tmp_path):
    """prusa-slicer: as many objects as reported, all manifold; the G-code of the first plate names each."""
    for plate in report["plates"]:
        told = _slicer(tmp_path, "--info", str(yard / plate["file"]))
        assert re.findall(r"manifold = (\w+)", told) == ["yes"] * len(plate["objects"])
    sliced = tmp_path / "plate.gcode"
    plate = report["plates"][0]
    _slicer(
        tmp_path, "-g", str(yard / plate["file"]), "--dont-arrange", "--gcode-label-objects", "--layer-height", "0.3",
        "--fill-density", "0%", "--bed-shape", "0x0,220x0,220x220,0x220", "-o", str(sliced),
    )  # fmt: skip
    named = set(re.findall(r"^; printing object (.+) id:", sliced.read_text("utf-8"), re.MULTILINE))
    assert named == set(plate["objects"])


def _slicer(settings: Path, *arguments: str) -> str:
    done = subprocess.run(
        ["prusa-slicer", *arguments, "--datadir", str(settings / "settings")],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return done.stdout
