"""How stiff and how strong the prints are, by finite elements, beside what the checks tell.

``python tests/bench/bench_stiffness.py``: a line a mount. Its printed solid in bricks whose faces are those of web, rib
and plate, isotropic; held where its screws press it on the board, which the rest of it may leave but not enter; the
servo stiff on its ears where its screws press them; pulled at the arm's hole across the track. Stress is the largest
anywhere, in bricks of about a millimetre, at the servo's stall, beside what ``seat-strength`` tells and allows; and
without the peak in a sharp corner, which grows with ever smaller bricks (``Pulled.linear_mpa``).
"""

from __future__ import annotations

import sys
from itertools import product
from pathlib import Path

import numpy as np
import trimesh

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from cube_elements import Pulled, filled, pulled

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


def solved(designed: Designed) -> Pulled:
    """The first part of a mount, pulled with 1 N at the arm's hole across the track."""
    design, plan, spec = designed.design, designed.design.plan, designed.design.spec
    mesh = model_mount(designed)[1][0][0]
    part = trimesh.Trimesh(apply(mesh.print_to_mount, mesh.vertices_mm), mesh.faces)
    (corner, edge), (low, high) = bricks(design), part.bounds
    start = corner - edge * np.ceil((corner - low) / edge - 1e-6)
    board_z = spec.ground_mm if design.on_board else plan.board_face_z
    heads, thick = (plan.frame.heads_xy, plan.base_mm) if design.on_board else (plan.heads_xy, plan.plate_mm)
    pressed = spec.fixing.root_mm / 2 + thick  # pressure spreads by 45° under a head; Shigley 8-5, from memory
    into = scene.into_seat(design)
    along = int(np.argmax(np.abs(into)))
    seat = np.array(scene.servo_screw_heads(design)) + into * spec.servo.flange_thickness_mm
    by_a_screw = spec.servo.screw_head_mm / 2 + spec.servo.flange_thickness_mm

    def on_board(places: np.ndarray) -> np.ndarray:
        return np.abs(places[:, 2] + start[2] - board_z) < 1e-6

    def held(places: np.ndarray) -> np.ndarray:
        away = np.hypot(*((places + start)[:, None, :2] - np.array(heads)).transpose(2, 0, 1)).min(axis=1)
        return on_board(places) & (away < pressed)

    def tied(places: np.ndarray) -> np.ndarray:
        off = (places + start)[:, None] - seat
        beside = np.linalg.norm(off - (off @ into)[..., None] * into, axis=2).min(axis=1)
        return (beside < by_a_screw) & (np.abs((places + start)[:, along] - seat[0, along]) < edge[along] / 2)

    return pulled(
        filled(part, start, high, edge), edge, (spec.filament.modulus_mpa, POISSON), held, tied,
        np.array(scene.horn_hole(design, 0.0)) - start, np.array([0.0, 1.0, 0.0]),
        rests=on_board, into=-1.0 if design.on_board else 1.0,
    )  # fmt: skip


def main() -> None:
    """Prints the table."""
    print(f"{'':36}{'stiffness, N/mm':>24}{'stress at stall, MPa':>49}")
    print(
        f"{'mount':36}{'told':>8}{'found':>8}{'ratio':>8}{'told':>9}{'peak':>8}{'ratio':>8}{'linear':>8}{'ratio':>8}{'limit':>8}"
    )
    for (style, options), servo in product(ASKED, SERVOS):
        room = {"max_depth": 90} if style == "under-bracket" else {}
        designed = design_mount(asked(id="b", style=style, servo=servo, board="12 mm", scale="HO", set=options, **room))
        design, found = designed.design, solved(designed)
        pull, plan = stall_n(design.spec, design.drive.horn_radius_mm), design.plan
        told = plan.seat_mpa_per_n * pull
        peak, linear = float(np.abs(found.stress_mpa).max()) * pull, found.linear_mpa() * pull
        limit = bears_mpa(design.spec, across=options.get("lie") != "down")
        print(
            f"{' '.join((style, *options.values(), servo)):36}{plan.seat_n_per_mm:8.1f}{found.n_per_mm:8.1f}"
            f"{found.n_per_mm / plan.seat_n_per_mm:8.2f}{told:9.1f}{peak:8.1f}{peak / told:8.2f}{linear:8.1f}"
            f"{linear / told:8.2f}{limit:8.0f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
