"""The mount in space: turned by hand, each part shown or hidden, taken apart, cut, its arm swung."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from nicegui import background_tasks, ui

from mounts.design import Design
from mounts.frames import Vector
from mounts.page.bodies import Cut, Shown, arm_turned, moving
from mounts.page.store import Store
from mounts.stl import read_stl

_FOV_DEG = 30.0  # of the eye: little perspective, sizes can be compared
_LIGHT_MM, _LIGHT = (-2500.0, -1500.0, -700.0), 1.8  # from the left, so that faces differ; by eye
_LINGERS_S = 0.25  # a body stays until the one in its place is loaded, so that nothing flickers; by eye
# pictures a second while anything moves, and while nothing does: without a graphics card each costs 50 ms of a core,
# and what a person does meanwhile waits for it; at rest a change is seen within a quarter of a second
_MOVING_FPS, _STILL_FPS = 20, 4
_STILL_AFTER_S = 1.5  # without a change or a hand on it; by eye
_WAITING = 0.3  # opacity of a part that is being made anew; by eye
_FORGET = (
    "const m = getElement({scene})?.objects.get('{item}')?.mesh; m?.removeFromParent(); "
    "m?.traverse(o => {{ o.geometry?.dispose(); o.material?.dispose(); }});"
)
"""What the library leaves undone: a body that is taken away keeps its memory in the browser until it is told."""
VIEWS: dict[str, Vector] = {
    "the corner": (0.75, -0.95, 0.55), "below": (0.7, -0.75, -0.5), "the end of the track": (1.0, 0.02, 0.06),
    "across the track": (0.02, -1.0, 0.06), "above": (0.01, -0.02, 1.0),
}  # fmt: skip
"""Where the eye stands, from the middle of the mount."""


class Picture:
    """A scene of one mount.

    Args:
        store: where browsers fetch meshes.
        on_parts: called when other parts can be shown or hidden: key and label of each.
    """

    def __init__(self, store: Store, on_parts: Callable[[dict[str, str]], None]) -> None:
        self.store, self.on_parts = store, on_parts
        self.design: Design | None = None
        self.apart = 0.0
        self.cut: Cut | None = None
        self.theta_rad = 0.0
        self.tie_bar_mm = 0.0
        self._objects: dict[str, Any] = {}
        self._shown: dict[str, Shown] = {}
        self._hidden: set[str] = {"gauge"}
        self._pale: set[str] = set()
        self._mark: list[Any] = []
        self._wire_apart: Vector = (0.0, 0.0, 0.0)
        self._unfitted = True  # the eye was placed before there were parts
        self._middle = np.zeros(3)
        self._reach = 100.0
        self._still_at_s = 0.0
        self.scene = ui.scene(
            width=800, height=460, grid=False, background_color="#dde3ea", fps=_MOVING_FPS,
            camera=ui.scene.perspective_camera(fov=_FOV_DEG, near=1, far=5000),
        ).style("width:100%;height:min(50vh,480px);touch-action:none")  # fmt: skip
        with self.scene:  # the library lights from above only: a bracket is looked at from below
            self.scene.spot_light(intensity=_LIGHT, decay=0.0).move(*_LIGHT_MM)
        self.scene.props["role"] = "img"
        self.scene.props["aria-label"] = (
            "the mount in its place, turned by mouse or touch; 'look from' turns it by keys"
        )
        for name in ("pointerdown", "pointermove", "wheel"):
            self.scene.on(name, self._moves, args=[], throttle=_STILL_AFTER_S / 2)

    def show(self, design: Design, shown: Sequence[Shown], *, parts_follow: bool) -> None:
        """Puts bodies in place of those there are.

        Args:
            design: of the mount.
            shown: its bodies at mid swing.
            parts_follow: the printed parts are being made: those of before stay, pale.
        """
        first = self.design is None or design.spec.style != self.design.spec.style
        self.design = design
        self._moves()
        self._unmark()
        self.store.put(shown)
        kept = {key for key in self._objects if parts_follow and key.startswith("part")}
        for key in [key for key in self._objects if key not in {one.key for one in shown} | kept]:
            self._drop(key)
        for key in kept:
            if key not in self._pale:
                self._pale.add(key)
                self._objects[key].material(_hex(self._shown[key]), _WAITING, side="both")
        for one in shown:
            if one.key == "wire":
                self._wire_apart = one.apart
            elif one.key != "worked":
                self._put(one)
        self._place()
        self.on_parts({key: one.label for key, one in self._shown.items()})
        if first or (self._unfitted and not parts_follow):
            self._unfitted = parts_follow
            self._measure(shown)
            self.look("the corner" if design.on_board else "below")

    def swing(self, theta_rad: float, tie_bar_mm: float) -> None:
        """Turns the arm; wire, tie bar and what is worked follow."""
        self.theta_rad, self.tie_bar_mm = theta_rad, tie_bar_mm
        self._moves()
        self._place()

    def take_apart(self, share: float) -> None:
        """Moves everything out by a share of the way."""
        self.apart = share
        self._moves()
        self._place()

    def hide(self, key: str, hidden: bool) -> None:
        """Shows or hides a part, and what else has its name."""
        self._moves()
        (self._hidden.add if hidden else self._hidden.discard)(key)
        for each, item in self._objects.items():
            item.visible(not self._is_hidden(each))

    def is_hidden(self, key: str) -> bool:
        """Whether a part is not shown."""
        return key in self._hidden

    def look(self, name: str) -> None:
        """Moves the eye to a place of ``VIEWS``."""
        self._moves()
        way = np.array(VIEWS[name])
        eye = self._middle + way / np.linalg.norm(way) * self._reach * 2.0
        self.scene.move_camera(*map(float, eye), *map(float, self._middle), 0.0, 0.0, 1.0, duration=0.3)

    def mark(self, at: Vector, words: str) -> None:
        """Shows a place."""
        self._moves()
        self._unmark()
        with self.scene:
            dot = self.scene.sphere(max(1.2, self._reach / 45)).material("#c2161c").move(*at)
            text = self.scene.text(words, "color:#fff;background:#a3161b;padding:2px 6px;border-radius:4px")
            self._mark = [dot, text.move(at[0], at[1], at[2] + self._reach / 12)]

    def _moves(self) -> None:
        """Something moves: it is drawn often until it has been still for a while."""
        if time.monotonic() >= self._still_at_s:
            background_tasks.create(self._rest())
        self._still_at_s = time.monotonic() + _STILL_AFTER_S

    async def _rest(self) -> None:
        self.scene.props["fps"] = _MOVING_FPS
        while (left_s := self._still_at_s - time.monotonic()) > 0:
            await asyncio.sleep(left_s)
        self.scene.props["fps"] = _STILL_FPS

    def _unmark(self) -> None:
        for item in self._mark:
            item.delete()
        self._mark = []

    def _measure(self, shown: Sequence[Shown]) -> None:
        points = [read_stl(one.stl)[0] for one in shown if one.moves in ("stays", "wire") and one.key not in
                  ("board", "rails") and not one.key.startswith("gauge")]  # fmt: skip
        if points:
            low, high = np.vstack(points).min(axis=0), np.vstack(points).max(axis=0)
            self._middle, self._reach = (low + high) / 2, float(np.linalg.norm(high - low))

    def _place(self) -> None:
        """Everything where swing and taking apart put it."""
        if self.design is None:
            return
        now = moving(self.design, self.theta_rad, self.cut, self._wire_apart)
        self.store.put(now)
        for key in ("wire", "worked"):
            one = next((one for one in now if one.key == key), None)
            if one is None:
                self._drop(key)
            else:
                self._put(one)
        turn, shaft = arm_turned(self.design, self.theta_rad)
        for key, one in self._shown.items():
            x, y, z = (self.apart * away for away in one.apart)
            item = self._objects[key]
            if one.moves == "arm":
                item.rotate_R(turn.tolist())
                x, y, z = x + float(shaft[0]), y + float(shaft[1]), z + float(shaft[2])
            elif one.moves == "tie bar":
                y += self.tie_bar_mm
            item.move(x, y, z)

    def _put(self, one: Shown) -> None:
        before = self._shown.get(one.key)
        if before is not None and before.name == one.name and one.key in self._objects:
            self._shown[one.key] = one
            if one.key in self._pale:
                self._pale.discard(one.key)
                self._objects[one.key].material(_hex(one), one.opacity, side="both")
            return
        self._drop(one.key)
        with self.scene:
            item = self.scene.stl(f"/mesh/{one.name}").material(_hex(one), one.opacity, side="both")
        item.visible(not self._is_hidden(one.key))
        self._objects[one.key], self._shown[one.key] = item, one

    def _drop(self, key: str) -> None:
        item = self._objects.pop(key, None)
        self._shown.pop(key, None)
        self._pale.discard(key)
        if item is not None:
            background_tasks.create(_gone(item))

    def _is_hidden(self, key: str) -> bool:
        return key in self._hidden or key.split(" ")[0] in self._hidden


async def _gone(item: Any) -> None:
    await asyncio.sleep(_LINGERS_S)
    if item.id in item.scene.objects:
        item.scene.client.run_javascript(_FORGET.format(scene=item.scene.id, item=item.id))
        item.delete()


def _hex(one: Shown) -> str:
    return "#{:02x}{:02x}{:02x}".format(*one.rgb)
