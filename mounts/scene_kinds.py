"""What the scene asks of a kind of drive: where its wire is."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from mounts.design import Design
from mounts.drive.kinds import kind_of
from mounts.frames import Array


@dataclass(frozen=True)
class Wiring:
    """A kind's wire in space; paths are axes of the wire (n, 3), mount frame, mm, from the arm's end to the pin's.

    Attributes:
        path: the wire unbent, at an arm angle (rad) from mid swing.
        others: the same of further wires, each in its own end of the arm.
        pressed: the wire as it is bent, its pin stopped by the blades or (False) free.
        ways: every way it lies in while it is used, at given arm angles and with the points held closed; and the same
            with those that it lies in without its tie bar, where it must pass too.
        pin_at: which point of a path is the pin, from the end.
        above_pin_mm: how far its end stands above the middle of the tie bar with the points closed.
        stands_out: points (n, 3) of the wire that count as room the servo takes, as seen from its neighbours.
        worked: what the wire works, at an arm angle (rad) from mid, as round bars for the picture: both ends (3,) and
            the radius of each, mm.
        used_mm: developed length as it stays, without a spare end.
    """

    path: Callable[[Design, float], Array]
    pressed: Callable[[Design, float, bool], Array]
    ways: Callable[[Design, Array], tuple[list[Array], list[Array]]]
    pin_at: int
    above_pin_mm: Callable[[Design], float]
    used_mm: Callable[[Design], float]
    stands_out: Callable[[Design], Array] = lambda design: np.zeros((0, 3))
    others: Callable[[Design, float], Iterable[Array]] = lambda design, theta_rad: ()
    worked: Callable[[Design, float], Iterable[tuple[Array, Array, float]]] = lambda design, theta_rad: ()


def wiring(design: Design) -> Wiring:
    """Where the wire of a design is."""
    return kind_of(design.drive).part("scene", Wiring)
