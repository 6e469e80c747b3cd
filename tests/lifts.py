"""Lifts for tests of their drive: requests, what a plain bracket leaves to them, and circles that cut."""

from __future__ import annotations

import math

from hypothesis import strategies as st
from requests_for_drives import request

from mounts.drive.lift.model import LiftLimits
from mounts.inputs.moved import Position, evenly


def bracket(spec, **changes) -> LiftLimits:
    """What a plain bracket under the board leaves to a rod."""
    half, top = spec.servo.case_width_mm / 2, -spec.board.thickness_mm
    return LiftLimits(
        **{
            "wire_tail_mm": 2.5, "guide_z": (top - 4.0, top), "shaft_below_guide_mm": half + 3.2,
            "below_shaft_mm": half + 1.5, "max_depth_mm": spec.max_depth_mm, "depth_over_guide_mm": 4.0,
            "arm_air_mm": 1.0, "max_board_hole_mm": 12.0, "max_guide_mm": 5.0, "max_bend_out_mm": 30.0,
            "ccw_lifts": True, **changes,
        }
    )  # fmt: skip


def lift(**asked):
    """A request for a lift without a roadbed, as its styles have it."""
    spec = request(**asked)
    return spec.model_copy(update={"roadbed": spec.roadbed.model_copy(update={"thickness_mm": 0.0})})


def places(*figures):
    return tuple(Position(name=f"p{n}", at=at) for n, at in enumerate(figures))


def cut(first, radius, second, other, *, left):
    """Where two circles cut, on the left or the right of the line from the first middle to the second."""
    (ax, ay), (bx, by) = first, second
    apart = math.hypot(bx - ax, by - ay)
    along = (radius**2 - other**2 + apart**2) / (2 * apart)
    aside = math.sqrt(radius**2 - along**2)
    ux, uy = (bx - ax) / apart, (by - ay) / apart
    side = 1.0 if left else -1.0
    return ax + along * ux - side * aside * uy, ay + along * uy + side * aside * ux


ASKED = st.one_of(
    st.builds(lambda travel, count: {"travel_mm": travel, "positions": evenly(count, 0.0, travel)},
              st.floats(1.0, 10.0).map(lambda x: round(x, 1)), st.sampled_from([2, 3])),
    st.builds(lambda crank, height, low, turn, aside: {
        "crank_mm": crank, "crank_pivot_mm": (None if aside is None else aside, height),
        "positions": places(low, low + turn)},
        st.floats(2.0, 6.0).map(lambda x: round(x, 1)), st.floats(15.0, 120.0), st.floats(-45.0, 0.0),
        st.floats(20.0, 80.0), st.one_of(st.none(), st.floats(-6.0, 6.0))),
)  # fmt: skip
