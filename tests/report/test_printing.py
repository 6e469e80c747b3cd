"""Grams and minutes against prusa-slicer with the same settings, and against arithmetic where the answer is known."""

from concurrent.futures import ThreadPoolExecutor
from math import prod
from pathlib import Path

import pytest
from made import kept
from meshes import box, part
from slicer import estimate, needs_slicer

from mounts.inputs.library import Library
from mounts.report.printing import plate_minutes, printed, settings
from mounts.stl import write_stl

PRINTER = Library().printer("fdm-0.4")
PLA = Library().filament("pla")

# Other mounts, servos, boards and scales than those that the constants were fitted on (Z and N, 12 and 20 mm).
MOUNTS = [
    {"style": "under-bracket", "scale": "TT", "board": "15", "servo": "micro-13g"},
    {"style": "under-bracket", "scale": "HO", "board": "18", "servo": "micro-9g"},
    {"style": "under-bracket", "scale": "O", "board": "9", "servo": "mini-20g", "max_depth": "120"},
    {"style": "under-bracket", "scale": "S", "board": "12", "servo": "submicro-4g"},
    {"style": "hut", "scale": "HO", "board": "18", "servo": "micro-9g"},
    {"style": "hut", "scale": "O", "board": "15", "servo": "submicro-4g"},
    {"style": "cabin", "scale": "OO", "board": "18", "servo": "micro-13g"},
    {"style": "cabin", "scale": "S", "board": "15", "servo": "micro-9g"},
    {"style": "stack", "scale": "HO", "board": "18", "servo": "micro-9g"},
    {"style": "stack", "scale": "S", "board": "24", "servo": "submicro-4g"},
    {"style": "bank", "scale": "TT", "board": "18", "servo": "submicro-4g"},
]  # fmt: skip


# What the same parts cost, in cubes of 20 mm sliced in the same run, plus a twentieth: plastic and time can't creep up.
MOST_CUBES = {
    "under-bracket": (1.53, 2.08), "hut": (1.12, 1.45), "hut shell": (3.25, 3.78), "hut roof": (1.18, 2.65),
    "cabin": (1.23, 1.56), "cabin shell": (3.4, 3.55), "stack": (1.12, 1.36), "stack shell": (1.98, 3.5),
    "bank": (0.98, 1.17), "bank shell": (3.48, 3.47),
}  # fmt: skip


@pytest.mark.slicer
@pytest.mark.solid
@needs_slicer
def test_grams_and_minutes_are_those_of_a_slicer(tmp_path: Path) -> None:
    """Of 20 parts of every style, in six scales: each within 15 % in mass and time, and none costs more than it did."""
    parts = [
        (f"{mount.design.spec.style} {mount.design.spec.scale.name} {mesh.name}", mesh, stl)
        for mount in (kept(**asked) for asked in MOUNTS)
        for mesh, stl in zip(mount.meshes, mount.stl, strict=True)
    ]
    cube = part(box(20, 20, 20))
    parts.append(("cube", cube, write_stl(cube.vertices_mm, cube.faces)))

    def compared(number: int) -> tuple[str, float, float, float, float]:
        name, mesh, stl = parts[number]
        path = tmp_path / f"{number}.stl"
        path.write_bytes(stl)
        minutes, grams = estimate(path, PRINTER, PLA)
        ours = printed(mesh, PRINTER, PLA)
        assert ours.minutes is not None
        return name, round(ours.mass_g / grams, 2), round(ours.minutes / minutes, 2), grams, minutes

    with ThreadPoolExecutor(2) as pool:
        *found, (_, _, _, cube_g, cube_min) = list(pool.map(compared, range(len(parts))))

    assert len(found) >= 20
    assert [row for row in found if not (0.85 <= row[1] <= 1.15 and 0.85 <= row[2] <= 1.15)] == []
    for name, _, _, grams, minutes in found:
        style, _, *part_name = name.split()
        most_g, most_min = MOST_CUBES[" ".join((style, *part_name))]
        assert grams < most_g * cube_g, name
        assert minutes < most_min * cube_min, name


@pytest.mark.parametrize("walls", [2, 3, 4])
def test_a_plate_of_solid_layers_weighs_its_volume(walls: int) -> None:
    """Eight layers, four solid ones from each side: nothing is sparse, so that mass is volume × density, to 8 %.

    The slicer lays infill a quarter of a line into the walls, which adds some.
    """
    size = (30.0, 20.0, 1.6)

    found = printed(part(box(*size)), PRINTER.model_copy(update={"wall_lines": walls}), PLA)

    assert found.mass_g == pytest.approx(prod(size) / 1000 * PLA.density_g_per_cm3, rel=0.08)


def test_a_block_is_mostly_infill() -> None:
    """40 mm cube: skins of 4 × 0.2 mm, walls of 3 × 0.41, the rest at 15 %, doubled at most by its links."""
    found = printed(part(box(40, 40, 40)), PRINTER, PLA)

    inner = (40 - 2 * 3 * 0.41) ** 2 * (40 - 2 * 0.8)
    density = PLA.density_g_per_cm3 / 1000
    assert (64000 - inner * 0.85) * density < found.mass_g < (64000 - inner * 0.6) * density


def test_a_small_layer_waits() -> None:
    """A 3 mm pin is drawn at 5 s a layer, a good part of which is waiting; a large plate never waits."""
    pin, plate = printed(part(box(3, 3, 20)), PRINTER, PLA), printed(part(box(60, 60, 2)), PRINTER, PLA)

    assert pin.minutes is not None
    assert pin.minutes == pytest.approx(100 * 5 / 60, rel=0.01)
    assert 0.3 * pin.minutes < pin.cooling_minutes < pin.minutes
    assert plate.cooling_minutes == 0.0


def test_parts_on_a_plate_cool_while_others_are_drawn() -> None:
    """Two pins of 10 min, 8 of them waiting, take 10 min together; beside a part of 60 min they take 64."""
    assert plate_minutes([(10.0, 8.0), (10.0, 8.0)]) == 10.0
    assert plate_minutes([(10.0, 8.0), (10.0, 8.0), (60.0, 0.0)]) == 64.0


def test_the_settings_are_told() -> None:
    """What the figures hold for, as people set a slicer."""
    assert settings(PRINTER) == "3 walls, 15 % infill, 4 solid layers top and bottom, 0.2 mm layers, 50 mm/s"


def test_twice_the_speed_is_less_time_and_the_same_mass() -> None:
    """Corners and travel keep what they take."""
    mesh = part(box(50, 30, 10))
    slow, fast = (printed(mesh, PRINTER.model_copy(update={"print_mm_per_s": v}), PLA) for v in (50.0, 100.0))

    assert fast.mass_g == slow.mass_g
    assert slow.minutes is not None
    assert fast.minutes is not None
    assert 0.5 * slow.minutes < fast.minutes < 0.85 * slow.minutes
