"""What the controller of a layout is set to: a channel a servo, what moves at once, and the supply that it takes.

Signals and currents are common practice without a source, but where a servo's profile has measured ones.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from pydantic import ConfigDict, Field

from mounts.inputs.model import Model
from mounts.inputs.servo import Servo
from mounts.report.kinds import telling
from mounts.report.model import Report
from mounts.units import number

FRAME_MS = 20.0  # one pulse every so often
MOVE_S = 1.5  # from one end to the other, slow enough to look right, quick enough to wait for
ASSUMED = "common practice, no source"
_IDLE_MA = 10.0  # under pulses, not moving
_STALL_MA_PER_NMM = 5.0  # at 4.8 to 6 V; cheap analogue servos draw 4 to 5
_MOVING_SHARE = 0.3  # of the current at stall, unloaded but for friction
_HOLDS_MARGIN = 5.0  # gears at rest hold about a fifth of what the motor can
_ROOM = 1.25  # of a fuse over what passes it for long, of a supply over what it gives
_FUSES_A = (0.5, 0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0)
"""Rated currents of IEC 60127 fuse links (from memory)."""
_HALF_TURN_DEG = 180.0  # that such a library spans


class Position(Model):
    """Where a servo is sent."""

    name: str
    pulse_us: float
    half_turn_deg: float = Field(description="for libraries that take 0 to 180°, with the channel's ends")


class Channel(Model):
    """One servo at one output of the controller."""

    channel: int = Field(description="counted from 0 over all boards of the controller")
    board: int = Field(description="of the controller, from 1")
    output: int = Field(description="of that board, from 0")
    id: str = Field(description="the mount")
    copy_: int = Field(alias="copy", description="of the mount, from 1")
    copies: int
    servo: str
    positions: tuple[Position, ...]
    centre_us: float
    us_per_mm: float = Field(description="pulse for a millimetre at the pin, at mid swing")
    us_per_frame: float = Field(description="speed: step of the pulse from one to the next, every frame")
    together: str | None = Field(description="name of what it moves at once with")
    stop_pulses: bool = Field(description="the pulses may stop after the move: its gears hold it without")
    ends_us: tuple[float, float] = Field(description="pulses of 0 and 180° to give such a library")

    model_config = ConfigDict(validate_by_name=True, validate_by_alias=True, serialize_by_alias=True)


class BoardSupply(Model):
    """What the servos of one board of the controller draw, A."""

    board: int
    servos: int
    idle_a: float = Field(description="all at rest, pulses on")
    moving_a: float = Field(description="the largest group moves, the others rest")
    switch_on_a: float = Field(description="all move at once, as they may when power comes")
    stalled_a: float = Field(description="the largest group is held fast, the others rest")
    fuse_a: float | None = Field(description="slow-blow; null: divide the servos among more fuses")


class Supply(Model):
    """The whole layout's."""

    boards: tuple[BoardSupply, ...]
    largest_group: str = Field(description="what moves at once")
    largest_group_servos: int
    supply_a: float = Field(description="5 V, at least; for all boards together")
    assumptions: tuple[str, ...] = Field(description="figures assumed, with their sources")


class Controller(Model):
    """The sheet, ``controller/1``."""

    schema_: Literal["controller/1"] = Field("controller/1", alias="schema")
    name: str
    frame_ms: float = FRAME_MS
    outputs: int = Field(description="servos that one board of the controller drives")
    channels: tuple[Channel, ...]
    supply: Supply
    notes: tuple[str, ...]

    model_config = ConfigDict(validate_by_name=True, validate_by_alias=True, serialize_by_alias=True)


@dataclass(frozen=True)
class Wired:
    """A made mount and where its copies are connected."""

    report: Report
    channels: tuple[int, ...]
    together: str | None


@dataclass(frozen=True)
class Currents:
    """Of one servo, mA."""

    idle: float
    moving: float
    stalled: float


def currents(servo: Servo) -> Currents:
    """Measured ones where the profile has them, the others by the stall torque."""
    stalled = servo.stall_ma or _STALL_MA_PER_NMM * servo.stall_torque_nmm
    return Currents(servo.idle_ma or _IDLE_MA, servo.moving_ma or _MOVING_SHARE * stalled, stalled)


def holds(report: Report) -> bool:
    """Whether the gears hold the arm against wire and blades while no pulses come."""
    return report.drive.torque_margin >= _HOLDS_MARGIN


def controller(name: str, outputs: int, wired: Iterable[Wired]) -> Controller:
    """The sheet of a layout.

    Args:
        name: of the layout.
        outputs: servos that one board of the controller drives.
        wired: every mount that was made.
    """
    mounts = [*wired]
    channels = sorted((row for mount in mounts for row in _channels(mount, outputs)), key=lambda row: row.channel)
    return Controller(
        name=name, outputs=outputs, channels=tuple(channels), supply=_supply(mounts, channels), notes=_notes(channels)
    )


def _channels(mount: Wired, outputs: int) -> Iterable[Channel]:
    report, servo, drive = mount.report, mount.report.servo, mount.report.drive
    ends = servo.pulse_min_us, servo.pulse_max_us
    positions = tuple(
        Position(name=name, pulse_us=round(us, 1), half_turn_deg=round(half_turn_deg(us, ends), 1))
        for name, us in telling(drive).positions(drive)
    )
    whole_us = max(at.pulse_us for at in positions) - min(at.pulse_us for at in positions)
    for copy, channel in enumerate(mount.channels, start=1):
        yield Channel(
            channel=channel,
            board=channel // outputs + 1,
            output=channel % outputs,
            id=report.mount.id,
            copy_=copy,
            copies=len(mount.channels),
            servo=servo.name,
            positions=positions,
            centre_us=round(drive.pulse_us.centre, 1),
            us_per_mm=round(1.0 / drive.pin_mm_per_us, 1),
            us_per_frame=round(whole_us * FRAME_MS / 1000.0 / MOVE_S, 1),
            together=mount.together,
            stop_pulses=holds(report),
            ends_us=ends,
        )


def half_turn_deg(pulse_us: float, ends_us: tuple[float, float]) -> float:
    """The number of degrees that a library which spans 0 to 180 between two pulses sends as a pulse."""
    return _HALF_TURN_DEG * (pulse_us - ends_us[0]) / (ends_us[1] - ends_us[0])


def _supply(mounts: Sequence[Wired], channels: Sequence[Channel]) -> Supply:
    """Board by board; a group that is spread over boards counts on each with its members there."""
    each = {mount.report.mount.id: currents(mount.report.servo) for mount in mounts}
    boards: dict[int, list[Channel]] = defaultdict(list)
    for row in channels:
        boards[row.board].append(row)
    rows = [_board_supply(board, on_it, each) for board, on_it in sorted(boards.items())]
    sizes = Counter(_group(row) for row in channels)
    (name, size) = max(sizes.items(), key=lambda pair: pair[1], default=("", 0))
    whole = _board_supply(0, channels, each)
    supply_a = max(whole.switch_on_a, whole.stalled_a, *(row.fuse_a or 0.0 for row in rows), 0.5)
    servos = {mount.report.servo.name: mount.report.servo for mount in mounts}
    return Supply(
        boards=tuple(rows),
        largest_group=name,
        largest_group_servos=size,
        supply_a=math.ceil(2 * _ROOM * supply_a - 1e-9) / 2,
        assumptions=tuple(_assumed(servo) for _, servo in sorted(servos.items())),
    )


def _group(row: Channel) -> str:
    copy = f" copy {row.copy_}" if row.copies > 1 else ""
    return row.together or f"{row.id}{copy}"


def _board_supply(board: int, rows: Sequence[Channel], each: dict[str, Currents]) -> BoardSupply:
    idle = sum(each[row.id].idle for row in rows)
    groups: dict[str, list[Currents]] = defaultdict(list)
    for row in rows:
        groups[_group(row)].append(each[row.id])
    moving = idle + max((sum(one.moving - one.idle for one in group) for group in groups.values()), default=0.0)
    stalled = idle + max((sum(one.stalled - one.idle for one in group) for group in groups.values()), default=0.0)
    switch_on = sum(each[row.id].moving for row in rows)
    lasting_a = _ROOM * max(moving, switch_on) / 1000.0
    return BoardSupply(
        board=board,
        servos=len(rows),
        idle_a=round(idle / 1000.0, 2),
        moving_a=round(moving / 1000.0, 2),
        switch_on_a=round(switch_on / 1000.0, 2),
        stalled_a=round(stalled / 1000.0, 2),
        fuse_a=next((rated for rated in _FUSES_A if rated >= lasting_a), None),
    )


def _assumed(servo: Servo) -> str:
    found = currents(servo)
    told = []
    for what, value, measured in (
        ("at rest", found.idle, servo.idle_ma),
        ("moving", found.moving, servo.moving_ma),
        ("held fast", found.stalled, servo.stall_ma),
    ):
        told.append(f"{number(value, 0)} mA {what} ({'profile' if measured else ASSUMED})")
    return f"{servo.name}: {', '.join(told)}"


def _notes(channels: Sequence[Channel]) -> tuple[str, ...]:
    """What holds for every channel; common practice where nothing else is said."""
    pulsed = sorted({row.id for row in channels if not row.stop_pulses})
    kept = f"; keep them on for {', '.join(pulsed)}, whose wire could push the gears back" if pulsed else ""
    return (
        f"Signal: one pulse every {number(FRAME_MS)} ms, 1.0 ms and 2.0 ms at the ends of a servo's nominal swing, "
        f"1.5 ms in its middle, 4.8 to 6 V ({ASSUMED}).",
        "Plug: three wires side by side; the middle one is the supply's plus, mostly red; minus is brown or black; the "
        f"signal is orange, yellow or white ({ASSUMED}). Feel and look twice: turned round it feeds the signal.",
        "The pulses are where to begin: each end is trimmed on the layout as its mount's steps say, and written down.",
        "Switch-on: servos jump to the first pulse at full speed, some twitch as soon as power comes. Send each the "
        "pulse where it was left, one after another, 0.3 s apart, never all to the centre; no train on the points.",
        "Speed: add the step of a channel to its pulse every frame until it is there, "
        f"{number(MOVE_S)} s from end to end.",
        "After a move wait 0.5 s, then stop the pulses: a servo at rest hums and warms up under "
        f"them{kept} ({ASSUMED}).",
        "Degrees: a library that takes 0 to 180 must be told the ends beside them, or it sends other pulses; whole "
        "degrees are coarser than µs, so trim in µs where the library can.",
        "Supply: 5 V of its own for the servos, never a microcontroller's regulator; join the minus of both. A fuse in "
        "each board's plus, close to the supply, wire that stands the fuse, 470 to 1000 µF beside each board. Buy "
        "mains supplies enclosed and approved for your country.",
    )
