"""Which address shows which page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from fastapi import Request, Response
from nicegui import ui

from mounts.page.builder import Builder
from mounts.page.plan import Footprints
from mounts.page.screen.layout import LayoutDesk
from mounts.page.screen.mount import Bench
from mounts.page.screen.servo import ServoDesk
from mounts.page.shelf import Shelf
from mounts.page.store import Store


def add_pages(folder: Path) -> tuple[Builder, Callable[[Any], None]]:
    """Adds every page.

    Args:
        folder: where layouts and servos are read, and everything is written.

    Returns:
        The worker beside them; and what adds to an app the addresses that are no pages.
    """
    shelf, builder, store, footprints = Shelf(folder), Builder(), Store(), Footprints(folder)

    def mount(request: Request) -> None:
        Bench(shelf, builder, store, request.url.query)

    def layout(file: str = "", unit: str = "mm") -> None:
        LayoutDesk(shelf, footprints, file, unit)

    def servo() -> None:
        ServoDesk(shelf)

    ui.page("/")(mount)
    ui.page("/layout")(layout)
    ui.page("/servo")(servo)

    def mesh(name: str) -> Response:
        found = store.get(name)
        if found is None:
            return Response("no such mesh\n", 404)
        return Response(found, media_type="model/stl", headers={"cache-control": "private, max-age=3600"})

    def prepared(app: Any) -> None:
        app.get("/mesh/{name}")(mesh)

    return builder, prepared
