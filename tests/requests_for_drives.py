"""Requests and limits for tests of the drives: built-in profiles, and limits as a plain bracket sets them."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any, NamedTuple, TypeVar

from mounts.drive.push_rod.model import PushRodLimits
from mounts.drive.rocking_wire.model import RockingWireLimits
from mounts.inputs.board import Board, Roadbed
from mounts.inputs.fixing import Fixing
from mounts.inputs.model import Profile
from mounts.inputs.printer import Filament, Printer
from mounts.inputs.scale import Scale
from mounts.inputs.servo import Servo
from mounts.inputs.spec import MountSpec
from mounts.inputs.wire import Wire

PROFILES = Path(__file__).parent.parent / "profiles"
SERVOS = ("submicro-4g", "micro-9g", "micro-13g", "mini-20g", "standard-40g")


P = TypeVar("P", bound=Profile)


@cache
def profile(kind: type[P], name: str) -> P:
    """A built-in profile, read straight from its file."""
    path = PROFILES / kind.__name__.lower() / f"{name}.toml"
    return kind.model_validate({**tomllib.loads(path.read_text("utf-8")), "name": name})


def board(thickness_mm: float, *, over_mm: float = 0.3, under_mm: float = 0.3) -> Board:
    """A plain board of any thickness."""
    return profile(Board, "mdf-12").model_copy(
        update={
            "thickness_mm": thickness_mm,
            "screw_depth_mm": thickness_mm,
            "over_mm": over_mm,
            "under_mm": under_mm,
        }
    )


def request(
    *,
    servo: str | Servo = "micro-9g",
    scale: str = "HO",
    board_mm: float = 12.0,
    wire: str = "spring-wire-sm",
    **changes: Any,
) -> MountSpec:
    """One mount under the board; everything else as the scale has it."""
    rails = profile(Scale, scale)
    roadbed = profile(Roadbed, "none").model_copy(update={"thickness_mm": rails.roadbed_mm})
    return MountSpec(
        **{
            "id": "east-1",
            "style": "under-bracket",
            "mirror": False,
            "servo": profile(Servo, servo) if isinstance(servo, str) else servo,
            "board": board(board_mm),
            "roadbed": roadbed,
            "scale": rails,
            "printer": profile(Printer, "fdm-0.4"),
            "filament": profile(Filament, "petg"),
            "wire": profile(Wire, wire),
            "fixing": profile(Fixing, "wood-3"),
            "throw_mm": rails.throw_mm,
            "pin_height_mm": roadbed.thickness_mm + rails.pin_above_roadbed_mm,
            "force_n": rails.force_n,
            "tie_bar_hole_mm": rails.tie_bar_hole_mm,
            "max_depth_mm": 60.0,
            **changes,
        }
    )


def bracket_limits(spec: MountSpec, **changes: float) -> RockingWireLimits:
    """What a plain under-board bracket would allow."""
    half = spec.servo.case_width_mm / 2.0
    return RockingWireLimits(
        **{
            "pivot_to_pin_mm": spec.pin_height_mm + spec.board.thickness_mm + 2.0,
            "pivot_drop_mm": 2.0,
            "below_shaft_mm": half + 2.0,
            "min_pivot_to_shaft_mm": half + 5.0,
            "min_arm_tip_to_pivot_mm": 4.0,
            "max_depth_mm": spec.max_depth_mm,
            "max_board_hole_mm": 12.0,
            "board_hole_clearance_mm": 0.5,
            "pivot_slack_mm": spec.printer.moving_fit_mm,
            "min_pivot_land_mm": 0.4,
            "max_pivot_tilt_deg": 35.0,
            "wire_tail_mm": 2.5,
            **changes,
        }
    )


def housing_limits(spec: MountSpec, **changes: Any) -> PushRodLimits:
    """What a plain housing beside the track would allow."""
    return PushRodLimits(
        **{
            "rod_length_mm": (35.0, 70.0),
            "before_loop_mm": 6.0,
            "after_loop_mm": 12.0,
            "max_loop_width_mm": 22.0,
            "max_loop_height_mm": 18.0,
            "max_lean_deg": 10.0,
            "wire_tail_mm": 2.5,
            "pin_leg_mm": 6.0,
            "ccw_moves_pin_to_reverse": not spec.mirror,
            **changes,
        }
    )


class Asked(NamedTuple):
    """A request and the drive that was found for it."""

    spec: MountSpec
    drive: Any


def asked(
    drive: dict[str, float], servo: dict[str, Any] | None = None, fixing: dict[str, Any] | None = None, **figures: Any
) -> Asked:
    """In N, with other figures of servo and fixing, of the request or of its drive; nothing is solved."""
    spec = request(scale="N")
    spec = spec.model_copy(update={
        "servo": spec.servo.model_copy(update=servo or {}), "fixing": spec.fixing.model_copy(update=fixing or {}),
        **{name: figures.pop(name) for name in [*figures] if hasattr(spec, name) and name not in drive},
    })  # fmt: skip
    return Asked(spec, SimpleNamespace(**drive | figures))
