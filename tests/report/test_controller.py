"""The controller's sheet read by others: a compiler, a data-frame library, JSON; and its figures by hand."""

import io
import json
import re
import shutil
import subprocess

import pandas as pd
import pytest

from mounts.asked import asked
from mounts.pipeline import make_mount
from mounts.report.controller import Wired, controller, currents, half_turn_deg
from mounts.report.controller_files import render_csv, render_header, render_json
from mounts.report.kinds import positions_of

pytestmark = pytest.mark.solid
EVIL = (
    '=HYPERLINK("x")',
    "@SUM(A1)",
    "+1",
    "-2+3",
    '"; int x = 1; "',
    "*/ #error no",
    "a\\",
    "??/",
    "Ünïcode №7",
    "007",
)


@pytest.fixture(scope="module")
def report():
    """Of one bracket."""
    return make_mount(asked(id="east-1", style="under-bracket", board="18 mm", scale="HO")).report


def named(report, mount_id):
    return report.model_copy(update={"mount": report.mount.model_copy(update={"id": mount_id})})


@pytest.fixture(scope="module")
def sheet(report):
    """Three servos that move at once, one of four alike alone, on boards of eight."""
    pair = [Wired(named(report, name), (at,), "crossover") for name, at in (("a", 9), ("b", 0))]
    return controller("yard", 8, [*pair, Wired(named(report, "siding"), (3, 4, 5, 6), None)])


def test_channels_are_in_order_with_their_boards_and_outputs(sheet):
    """Channel 9 of boards with eight outputs is output 1 of the second; copies are told apart."""
    assert [row.channel for row in sheet.channels] == [0, 3, 4, 5, 6, 9]
    assert (sheet.channels[-1].board, sheet.channels[-1].output) == (2, 1)
    assert [row.copy_ for row in sheet.channels if row.id == "siding"] == [1, 2, 3, 4]


def test_degrees_are_those_that_a_library_turns_back_into_the_pulse(sheet, report):
    """Linear between its two ends (common practice): 0° is the one, 180° the other, 90° the middle."""
    assert half_turn_deg(1500, (1000, 2000)) == 90.0
    for row in sheet.channels:
        low, high = row.ends_us
        for at in row.positions:
            assert low + (high - low) * at.half_turn_deg / 180 == pytest.approx(at.pulse_us, abs=0.4)
    assert {at.name: at.pulse_us for at in sheet.channels[0].positions} == {
        "normal": round(report.drive.pulse_us.normal, 1), "reverse": round(report.drive.pulse_us.reverse, 1)
    }  # fmt: skip


def test_currents_add_up(sheet, report):
    """By hand from what one servo draws: rest of all, a group on top, and a fuse above what lasts."""
    one = currents(report.servo)
    first, second = sheet.supply.boards

    assert (first.servos, second.servos) == (5, 1)
    assert first.idle_a == pytest.approx(5 * one.idle / 1000, abs=0.006)
    assert first.moving_a == pytest.approx((4 * one.idle + one.moving) / 1000, abs=0.006)
    assert first.switch_on_a == pytest.approx(5 * one.moving / 1000, abs=0.006)
    assert second.stalled_a == pytest.approx(one.stalled / 1000, abs=0.006)
    assert sheet.supply.largest_group == "crossover"
    assert first.fuse_a >= 1.25 * first.switch_on_a
    whole = (4 * one.idle + 2 * one.stalled) / 1000
    assert sheet.supply.supply_a >= 1.25 * max(whole, 6 * one.moving / 1000, first.fuse_a) - 1e-9


def test_measured_currents_stand_before_assumed_ones(report):
    """A profile's figure is used and called so."""
    servo = report.servo.model_copy(update={"stall_ma": 620.0})
    found = controller("x", 16, [Wired(report.model_copy(update={"servo": servo}), (0,), None)])

    assert currents(servo).stalled == 620.0
    assert "620 mA held fast (profile)" in found.supply.assumptions[0]
    assert "10 mA at rest (common practice, no source)" in found.supply.assumptions[0]


def test_pulses_go_on_where_the_gears_might_not_hold(report):
    """With a torque margin of 5 they may stop, with less not, and the sheet names the mount."""
    for margin, stops in ((5.0, True), (4.9, False)):
        drive = report.drive.model_copy(update={"torque_margin": margin})
        found = controller("x", 16, [Wired(report.model_copy(update={"drive": drive}), (0,), None)])
        assert found.channels[0].stop_pulses is stops
        assert any("keep them on for east-1" in note for note in found.notes) is not stops


def test_a_drive_with_positions_of_its_own_has_those():
    """Three of a semaphore, as they are listed."""

    class Three:
        positions = tuple(
            type("P", (), {"name": name, "pulse_us": us}) for name, us in (("stop", 1200.0), ("c", 1500.0))
        )

    assert [*positions_of(Three())] == [("stop", 1200.0), ("c", 1500.0)]


def test_the_csv_keeps_its_types(sheet):
    """pandas reads whole numbers, figures and words as such, a row a channel."""
    table = pd.read_csv(io.BytesIO(render_csv(sheet)), dtype={"id": str})

    assert table["channel"].tolist() == [row.channel for row in sheet.channels]
    assert table["channel"].dtype.kind == "i"
    assert table["us_per_mm"].dtype.kind == "f"
    assert table["pulse_us_1"].tolist() == [row.positions[0].pulse_us for row in sheet.channels]
    assert table["id"].tolist() == [row.id for row in sheet.channels]
    assert table["position_2"].unique().tolist() == ["reverse"]


@pytest.mark.parametrize("evil", EVIL)
def test_no_id_is_a_formula(report, evil):
    """No cell begins with a sign that a spreadsheet reckons (OWASP, CSV injection); ids are otherwise as they were."""
    found = controller(evil, 16, [Wired(named(report, evil), (0,), evil)])

    table = pd.read_csv(io.BytesIO(render_csv(found)), dtype=str)

    for cell in table.iloc[0].dropna():
        assert cell[0] not in "=+-@\t\r"
    assert table["id"][0].lstrip("'") == evil
    assert json.loads(render_json(found))["channels"][0]["id"] == evil


@pytest.mark.skipif(shutil.which("cc") is None, reason="needs a C compiler")
def test_the_header_compiles_and_says_what_the_sheet_says(report, tmp_path):
    """C99, pedantic, no warning, with every evil id; strings and figures come back out of the program."""
    clashing = ("a-b", "a_b", "a b", "centre", "3rd", *EVIL)
    found = controller(EVIL[4], 16, [Wired(named(report, name), (at,), None) for at, name in enumerate(clashing)])
    header = render_header(found)
    (tmp_path / "controller.h").write_bytes(header)
    (tmp_path / "main.c").write_text(
        '#include <stdio.h>\n#include "controller.h"\n#include "controller.h"\n'
        '#define ROW(channel, id, first, last, centre, step) printf("%d|%s|%d|%d|%d|%d\\n", channel, id, first, last, '
        'centre, step);\nint main(void) { SERVO_LIST(ROW) printf("%s|%d\\n", LAYOUT_NAME, SERVO_COUNT); return 0; }\n'
    )

    command = ["cc", "-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-o", "main", "main.c"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    *rows, last = subprocess.run([tmp_path / "main"], capture_output=True, check=True).stdout.decode().splitlines()

    assert last == f"{EVIL[4]}|{len(clashing)}"
    for row, name, channel in zip(rows, clashing, found.channels, strict=True):
        at, said, first, end, centre, _ = row.split("|")
        assert (int(at), said) == (channel.channel, name)
        assert [int(first), int(end), int(centre)] == [
            *(round(position.pulse_us) for position in channel.positions), round(channel.centre_us)
        ]  # fmt: skip
    macros = re.findall(r"^#define (\w+)", header.decode(), re.MULTILINE)
    assert len(macros) == len(set(macros))
