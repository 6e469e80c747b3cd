"""How stiff and how strong the prints are, by finite elements, beside what the checks tell.

``python tests/bench/bench_stiffness.py``: a line a mount. Its printed solid in bricks whose faces are those of web, rib
and plate, isotropic; held where its screws press it on the board, which the rest of it may leave but not enter; the
servo stiff on its ears where its screws press them; pulled at the arm's hole across the track. Stress is the largest
anywhere, in bricks of about a millimetre, at the servo's stall, beside what ``seat-strength`` tells and allows; and
without the peak in a sharp corner, which grows with ever smaller bricks (``Pulled.linear_mpa``). Under a bracket its
pivot, which the wire pushes across the track: the wire is worked out as if it stood still.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np
import trimesh

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from cube_elements import Chosen, Pulled, filled, pulled

from mounts import scene
from mounts.asked import asked
from mounts.design import Design
from mounts.frames import apply
from mounts.pipeline import Designed, design_mount, model_mount
from mounts.styles._fixings import bears_mpa, stall_n

POISSON = 0.36  # of PLA and PETG, from memory
ASKED = (
    ("under-bracket", {"lie": "across"}),
    ("under-bracket", {"lie": "down"}),
    ("hut", {"pose": "side"}),
    ("hut", {"pose": "hang"}),
)
SERVOS = ("submicro-4g", "micro-9g", "mini-20g", "standard-40g")


def bricks(design: Design) -> tuple[np.ndarray, np.ndarray]:
    """A corner where bricks meet, mm, mount frame, and their size, so that plate, web and ribs are whole numbers."""
    plan = design.plan
    if design.on_board:
        thick = plan.base_mm
        face = plan.frame.wall_x if hasattr(plan.frame, "wall_x") else plan.frame.near_x
        across = (face[1] - face[0]) / round((face[1] - face[0]) / 0.95)
        return np.array([face[1], plan.base_y[0], design.spec.ground_mm]), np.array([across, 0.95, thick / 3])
    if hasattr(plan, "web_mm"):
        corner = (plan.wall_face_x, plan.inside_y[1], plan.board_face_z - plan.plate_mm)
        return np.array(corner), np.array([plan.web_mm / 2, plan.rib_mm / 2, plan.plate_mm / 4])
    corner = (plan.wall_face_x, plan.wall_y[0], plan.board_face_z)
    return np.array(corner), np.array([plan.wall_mm / 6, plan.rib_mm / 2, plan.plate_mm / 4])


@dataclass(frozen=True)
class Bricked:
    """The first part of a mount in bricks.

    Attributes:
        there: (nx, ny, nz) which bricks are there.
        edge_mm: (3,) of a brick.
        start_mm: (3,) where the first begins, mount frame.
        across: (3,) unit vector, across the layers of the print.
    """

    design: Design
    there: np.ndarray
    edge_mm: np.ndarray
    start_mm: np.ndarray
    across: np.ndarray

    def seat(self, places_mm: np.ndarray) -> np.ndarray:
        """Which of some places (n, 3), from the start on, the servo's ears are pressed on by its screws."""
        servo, into = self.design.spec.servo, scene.into_seat(self.design)
        along = int(np.argmax(np.abs(into)))
        seat = np.array(scene.servo_screw_heads(self.design)) + into * servo.flange_thickness_mm
        places = places_mm + self.start_mm
        off = places[:, None] - seat
        beside = np.linalg.norm(off - (off @ into)[..., None] * into, axis=2).min(axis=1)
        on_face = np.abs(places[:, along] - seat[0, along]) < self.edge_mm[along] / 2
        return (beside < servo.screw_head_mm / 2 + servo.flange_thickness_mm) & on_face

    def on_board(self, places_mm: np.ndarray) -> np.ndarray:
        """Which of them lie on the board."""
        design = self.design
        board_z = design.spec.ground_mm if design.on_board else design.plan.board_face_z
        return np.abs(places_mm[:, 2] + self.start_mm[2] - board_z) < 1e-6

    def held(self, places_mm: np.ndarray) -> np.ndarray:
        """Which of them screws press on the board; it spreads by 45° under a head: Shigley 8-5, from memory."""
        plan, on_board = self.design.plan, self.design.on_board
        heads, thick = (plan.frame.heads_xy, plan.base_mm) if on_board else (plan.heads_xy, plan.plate_mm)
        away = np.hypot(*((places_mm + self.start_mm)[:, None, :2] - np.array(heads)).transpose(2, 0, 1)).min(axis=1)
        return self.on_board(places_mm) & (away < self.design.spec.fixing.root_mm / 2 + thick)

    def pivot(self, places_mm: np.ndarray) -> np.ndarray:
        """Which of them are the inside of a bracket's pivot: what is there within a millimetre or so of its slot."""
        plan = self.design.plan
        off = np.abs(places_mm + self.start_mm - self.design.datums.pivot)
        return (off < np.array([plan.slot_x_mm, plan.slot_y_mm, plan.plate_mm / 2]) / 2 + 1.0).all(axis=1)

    def pulled(
        self, tied: Chosen, at_mm: tuple[float, float, float], way: tuple[float, float, float] = (0.0, 1.0, 0.0)
    ) -> Pulled:
        """Pulled with 1 N, across the track or another way, at a point of something stiff that is fixed to some places;
        mount frame."""
        return pulled(
            self.there, self.edge_mm, (self.design.spec.filament.modulus_mpa, POISSON), self.held, tied,
            np.array(at_mm) - self.start_mm, np.array(way),
            rests=self.on_board, into=-1.0 if self.design.on_board else 1.0,
        )  # fmt: skip


def bricked(designed: Designed) -> Bricked:
    """The first part of a mount."""
    mesh = model_mount(designed)[1][0][0]
    part = trimesh.Trimesh(apply(mesh.print_to_mount, mesh.vertices_mm), mesh.faces)
    (corner, edge), (low, high) = bricks(designed.design), part.bounds
    start = corner - edge * np.ceil((corner - low) / edge - 1e-6)
    return Bricked(designed.design, filled(part, start, high, edge), edge, start, np.array(mesh.print_to_mount)[:3, 2])


def mounts(servos: Sequence[str] = SERVOS, *, sturdy: bool = False) -> Iterator[tuple[str, Designed]]:
    """The mounts of the table, each with its name."""
    for (style, options), servo in product(ASKED, servos):
        room = {"max_depth": 90} if style == "under-bracket" else {}
        asked_for = asked(
            id="b", style=style, servo=servo, board="12 mm", scale="HO", set=options, sturdy=sturdy, **room
        )
        yield " ".join((style, *options.values(), servo)), design_mount(asked_for)


def main() -> None:
    """Prints the table."""
    print(f"{'':36}{'stiffness, N/mm':>24}{'stress at stall, MPa':>49}")
    print(
        f"{'mount':36}{'told':>8}{'found':>8}{'ratio':>8}{'told':>9}{'peak':>8}{'ratio':>8}{'linear':>8}{'ratio':>8}{'limit':>8}"
    )
    for name, designed in mounts():
        design, body = designed.design, bricked(designed)
        found = body.pulled(body.seat, scene.horn_hole(design, 0.0))
        pull, plan = stall_n(design.spec, design.drive.horn_radius_mm), design.plan
        told = plan.seat_mpa_per_n * pull
        peak, linear = float(np.abs(found.stress_mpa).max()) * pull, found.linear_mpa().max() * pull
        limit = bears_mpa(design.spec, across=abs(body.across[2]) > 0.5)
        print(
            f"{name:36}{plan.seat_n_per_mm:8.1f}{found.n_per_mm:8.1f}"
            f"{found.n_per_mm / plan.seat_n_per_mm:8.2f}{told:9.1f}{peak:8.1f}{peak / told:8.2f}{linear:8.1f}"
            f"{linear / told:8.2f}{limit:8.0f}",
            flush=True,
        )
        if hasattr(plan, "slot_x_mm"):
            # all of the stall at the arm and what the pin bears of it, as a lever about the pivot
            drive, at_pivot = design.drive, body.pulled(body.pivot, design.datums.pivot)
            pushes = pull * (1 + drive.pivot_to_horn_mm / drive.pivot_to_pin_mm)
            times = at_pivot.n_per_mm / drive.rate_n_per_mm
            mpa = at_pivot.linear_mpa().max() * pushes
            print(f"{'  its pivot':44}{at_pivot.n_per_mm:8.0f}, {times:.0f} times the wire{mpa:21.1f}", flush=True)


if __name__ == "__main__":
    main()
