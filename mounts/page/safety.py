"""Who may ask the page for something: a browser of this machine, or one that has the token; and how much."""

from __future__ import annotations

import hmac
import ipaddress
from collections.abc import Awaitable, Callable, Iterator, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, urlsplit

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LARGEST_BODY = 1_000_000  # bytes of a request: a layout of a thousand mounts has a tenth of it
LARGEST_ADDRESS = 16_000  # bytes of path and query
COOKIE = "bench-token"
_METHODS = ("GET", "HEAD", "POST")
_HEADERS = (
    (b"content-security-policy", b"default-src 'self' 'unsafe-inline' 'unsafe-eval' data: blob:; "
     b"connect-src 'self' ws: wss: data: blob:; frame-ancestors 'none'; form-action 'self'; base-uri 'self'"),
    (b"x-frame-options", b"DENY"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
)  # fmt: skip


class Guard:
    """Stands before the page and refuses what is not for it.

    Args:
        app: the page.
        host: address it listens at.
        port: likewise.
        token: asked for once, then kept by the browser as a cookie; None: loopback only, nothing is asked for.
    """

    def __init__(self, app: App, host: str, port: int, token: str | None) -> None:
        self.app, self.host, self.port, self.token = app, host, port, token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request or web socket, as ASGI has it."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        refused = self._refused(scope)
        if refused is None and self.token is not None and not self._known(scope):
            if scope["type"] == "http" and scope["method"] == "GET" and self._brings_token(scope):
                await self._let_in(scope, send)
                return
            refused = 403, "the address with its token stands where the page was started"
        if refused is not None:
            await _refuse(scope, send, *refused)
            return
        if scope["type"] == "websocket":
            await self.app(scope, receive, send)
            return
        await self._answer(scope, receive, send)

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        taken = 0

        async def bounded() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > LARGEST_BODY:
                return {"type": "http.disconnect"}
            return message

        async def headed(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), *_HEADERS]
            await send(message)

        await self.app(scope, bounded, headed)

    def _refused(self, scope: Scope) -> tuple[int, str] | None:
        """What is wrong with a request, whoever asks."""
        headers = [(name.lower(), value) for name, value in scope["headers"]]
        hosts = [value for name, value in headers if name == b"host"]
        if len(hosts) != 1 or not self._is_ours(_text(hosts[0])):
            return 400, "this host is not served here"
        for name, value in headers:
            if name == b"origin" and not self._is_same(_text(value), _text(hosts[0])):
                return 403, "pages of other sites get nothing here"
            if name == b"content-length" and not (value.isdigit() and int(value) <= LARGEST_BODY):
                return 413, "too much"
        raw: bytes = scope.get("raw_path") or scope["path"].encode()
        if len(raw) + len(scope["query_string"]) > LARGEST_ADDRESS:
            return 414, "the address is too long"
        path: str = scope["path"]
        if any(part == ".." for part in path.split("/")) or "\\" in path or not path.isprintable():
            return 400, "no such place"
        if scope["type"] == "http" and scope["method"] not in _METHODS:
            return 405, "that is not done here"
        if scope["type"] == "websocket" and not any(name == b"origin" for name, _ in headers):
            return 403, "only a browser opens this"
        return None

    def _is_ours(self, host: str) -> bool:
        """Whether a Host header means this page: by name only on the loopback, so that no other name leads here."""
        try:
            named = urlsplit(f"//{host}")
            name, port = named.hostname or "", named.port or 80
        except ValueError:
            return False
        if port != self.port or named.username is not None or named.path:
            return False
        if self.token is None:
            return name in ("localhost", self.host) or _is_loopback(name)
        return name == self.host or name == "localhost" or _is_address(name)

    def _is_same(self, origin: str, host: str) -> bool:
        try:
            came = urlsplit(origin)
        except ValueError:
            return False
        return came.scheme in ("http", "https") and came.netloc.casefold() == host.casefold()

    def _known(self, scope: Scope) -> bool:
        return any(hmac.compare_digest(value, self.token or "") for value in _cookies(scope) if value.isascii())

    def _brings_token(self, scope: Scope) -> bool:
        given = parse_qs(_text(scope["query_string"])).get("token", [""])[0]
        return given.isascii() and hmac.compare_digest(given, self.token or "")

    async def _let_in(self, scope: Scope, send: Send) -> None:
        """Keeps the token as a cookie and takes it out of the address."""
        kept = f"{COOKIE}={self.token}; HttpOnly; SameSite=Strict; Path=/".encode()
        headers = [(b"location", b"/"), (b"set-cookie", kept), (b"content-length", b"0"), *_HEADERS]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})


def is_loopback(host: str) -> bool:
    """Whether an address to listen at is reached from this machine only."""
    return host == "localhost" or _is_loopback(host)


def _is_loopback(name: str) -> bool:
    try:
        return ipaddress.ip_address(name).is_loopback
    except ValueError:
        return False


def _is_address(name: str) -> bool:
    """A bare address can't be made to point elsewhere, as a name of a foreign zone can."""
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _cookies(scope: Scope) -> Iterator[str]:
    for name, value in scope["headers"]:
        if name.lower() == b"cookie":
            jar: SimpleCookie = SimpleCookie()
            try:
                jar.load(_text(value))
            except CookieError:
                continue
            if COOKIE in jar:
                yield jar[COOKIE].value


def _text(raw: bytes) -> str:
    return raw.decode("latin-1")


async def _refuse(scope: Scope, send: Send, status: int, said: str) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    body = f"{said}\n".encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode()),
               (b"connection", b"close"), *_HEADERS]  # fmt: skip
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
