"""Starts the page: where it listens, who may ask, what happens when it ends."""

from __future__ import annotations

import asyncio
import secrets
import socket
from collections.abc import Callable
from contextlib import asynccontextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from mounts.errors import Fault, InputError
from mounts.page.safety import LARGEST_BODY, Guard, is_loopback

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

NEEDED = ("nicegui", "tomlkit")
EXTRA = "pip install 'turnout-mounts[page]'"
_LONGEST_WAIT_S = 2  # for requests in hand when the page ends


def refuse_without_extra() -> None:
    """Raises InputError where the libraries of the page are not installed."""
    if any(find_spec(name) is None for name in NEEDED):
        raise InputError(Fault(f"the page needs more than is installed: {EXTRA}", file=""))


def serve(folder: Path, host: str, port: int, begun: Callable[[str], None]) -> None:
    """Serves the page until it is ended.

    Args:
        folder: where layouts and servos are read, and everything is written.
        host: address to listen at; another than the loopback asks for a token.
        port: to listen at; 0: any that is free.
        begun: called with the address to open, once the port is ours.

    Raises:
        InputError: the address can't be listened at.
    """
    import uvicorn
    from fastapi import FastAPI
    from nicegui import ui

    from mounts.page.screen.pages import add_pages

    listening = _listening(host, port)
    port = listening.getsockname()[1]
    token = None if is_loopback(host) else secrets.token_urlsafe(24)
    builder, prepared = add_pages(folder)

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        builder.warm()
        asyncio.get_running_loop().run_in_executor(None, warm, folder)
        begun(f"http://{f'[{host}]' if ':' in host else host}:{port}/" + (f"?token={token}" if token else ""))
        yield
        builder.close()

    app = FastAPI(openapi_url=None, lifespan=lifespan)
    prepared(app)
    ui.run_with(app, title="turnout-mounts", language="en-US", dark=None, favicon=_FAVICON, show_welcome_message=False,
                reconnect_timeout=10.0)  # fmt: skip
    config = uvicorn.Config(
        Guard(app, host, port, token), log_level="error", access_log=False, ws_max_size=LARGEST_BODY,
        server_header=False, timeout_graceful_shutdown=_LONGEST_WAIT_S, h11_max_incomplete_event_size=64_000,
    )  # fmt: skip
    uvicorn.Server(config).run(sockets=[listening])


def warm(folder: Path) -> None:
    """Loads what the first answer needs, while the browser is still opening."""
    from mounts.page.address import FIRST
    from mounts.page.ask import answer
    from mounts.page.bodies import bodies
    from mounts.page.shelf import Shelf

    found = answer(FIRST, Shelf(folder))
    if found.designed is not None:
        bodies(found.designed.design, ())


def _listening(host: str, port: int) -> socket.socket:
    try:
        family, _, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listening = socket.socket(family, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(address)
    except (OSError, OverflowError, UnicodeError) as fault:
        said = f"can't be listened at: {getattr(fault, 'strerror', None) or fault}; give another --port or --host"
        raise InputError(Fault(said, ("host",), f"'{host}:{port}'")) from None
    return listening


_FAVICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><path d="M1 12h14M4 12 13 4" stroke="#17537d" '
    'stroke-width="2" fill="none"/></svg>'
)
