"""Who is let in, over plain sockets: nobody but a browser of this machine, that asks for what there is."""

import http.client
import itertools
import random
import re
import socket
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

from served import needs, serve

from mounts.page.safety import LARGEST_BODY, Guard, is_loopback


def _ask(address, path="/", method="GET", headers=(), body=None):
    """Status, headers and body of a request made by hand, Host and all; 0: thrown out without an answer."""
    named = urlsplit(address)
    connection = http.client.HTTPConnection(named.hostname, named.port, timeout=60)
    try:
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in headers:
            connection.putheader(name, value)
        connection.endheaders(body)
        answer = connection.getresponse()
        return answer.status, dict(answer.getheaders()), answer.read()
    except (http.client.HTTPException, OSError):
        return 0, {}, b""
    finally:
        connection.close()


def _hostile(address):
    """Requests that must not be served, each in a shape that a browser on another site, or a script, could make."""
    host = urlsplit(address).netloc
    port = urlsplit(address).port
    ours = ("Host", host)
    names = (
        f"evil.example evil.example:{port} 127.0.0.1 127.0.0.1:{port + 1} 127.0.0.1.nip.example:{port} "
        f"user@127.0.0.1:{port} localhost.evil.example:{port} [::ffff:7f00:1:{port} 0x7f000001:{port}"
    )
    for name in ("", *names.split()):
        yield "/", "GET", [("Host", name)], None
        yield "/mesh/x.stl", "GET", [("Host", name)], None
    yield "/", "GET", [], None
    yield "/", "GET", [ours, ours], None
    for origin in ("http://evil.example", "null", f"https://evil.example:{port}", f"http://127.0.0.1:{port + 1}", "file://",
                   f"http://{host}.evil.example", "http://[", f"chrome-extension://{host}"):  # fmt: skip
        for path in ("/", "/layout", "/_nicegui_ws/socket.io/?EIO=4&transport=polling"):
            yield path, "GET", [ours, ("Origin", origin)], None
            yield path, "POST", [ours, ("Origin", origin), ("Content-Length", "2")], b"{}"
    ways = (
        "/../etc/passwd /mesh/../../etc/passwd /mesh/..%2f..%2fetc%2fpasswd /%2e%2e/%2e%2e/etc/passwd "
        "/_nicegui/../../../etc/passwd /_nicegui/static/..%5c..%5cx /mesh/%00.stl /..%2f..%2fpyproject.toml "
        "//etc/passwd /mesh/a%0d%0aSet-Cookie:x /etc/passwd /mesh/%2fetc%2fpasswd /file?/etc/passwd"
    )
    for path in ways.split():
        yield path, "GET", [ours], None
        yield path, "HEAD", [ours], None
    for method in ("PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "CONNECT", "PROPFIND"):
        yield "/", method, [ours], None
        yield "/mesh/x.stl", method, [ours], None
    for length in (str(LARGEST_BODY + 1), "99999999999999999999", "-1", "x"):
        yield "/_nicegui_ws/socket.io/?EIO=4&transport=polling", "POST", [ours, ("Content-Length", length)], b"x" * 100
    for size in (20_000, 60_000, 200_000):
        yield "/?" + "a" * size, "GET", [ours], None
        yield "/" + "a" * size, "GET", [ours], None
        yield "/", "GET", [ours, ("X-Long", "b" * size)], None
    dice = random.Random(4)  # noqa: S311  not to keep a secret
    for _ in range(90):
        noise = "".join(f"%{dice.randrange(256):02x}" for _ in range(dice.randrange(1, 40)))
        yield f"/mesh/{noise}", "GET", [ours], None


def test_two_hundred_hostile_requests_get_nothing_and_the_page_stays_up(served):
    """Foreign Host and Origin, ways out of the folder, long, binary, eight at once: nothing of a file or page."""
    tried = [*_hostile(served.address)]
    before = {path: path.read_bytes() for path in served.folder.rglob("*") if path.is_file()}

    with ThreadPoolExecutor(8) as crowd:
        found = [*crowd.map(lambda one: _ask(served.address, *one), tried)]

    assert len(tried) >= 200
    # a header of any length is read and forgotten
    let_in = [(one[:3], status) for one, (status, _, _) in zip(tried, found, strict=True) if 200 <= status < 400]
    long_headers = [one for one in let_in if any(name == "X-Long" for name, _ in one[0][2])]
    assert [one for one in let_in if one not in long_headers] == []
    for _, headers, body in found:
        assert b"root:" not in body
        assert not any(name.lower() == "set-cookie" for name in headers)
    assert {path: path.read_bytes() for path in served.folder.rglob("*") if path.is_file()} == before
    status, headers, body = _ask(served.address, headers=[("Host", urlsplit(served.address).netloc)])
    assert (status, b"</html>" in body) == (200, True)
    assert "frame-ancestors 'none'" in headers["content-security-policy"]


def test_noise_in_place_of_a_request_changes_nothing(served):
    """Bytes that are no HTTP, and connections that say nothing, in a crowd."""
    named = urlsplit(served.address)
    held = []
    dice = random.Random(5)  # noqa: S311  not to keep a secret
    for _ in range(40):
        silent = socket.create_connection((named.hostname, named.port), timeout=30)
        silent.sendall(dice.randbytes(dice.randrange(0, 5000)))
        held.append(silent)

    assert _ask(served.address, headers=[("Host", named.netloc)])[0] == 200
    for each in held:
        each.close()


def test_a_web_socket_of_another_site_is_refused(served):
    """The page's own channel is not opened for a foreign origin, nor for who names none."""
    named = urlsplit(served.address)
    upgrade = [("Connection", "Upgrade"), ("Upgrade", "websocket"), ("Sec-WebSocket-Version", "13"),
               ("Sec-WebSocket-Key", "dGhlIHNhbXBsZSBub25jZQ==")]  # fmt: skip
    path = "/_nicegui_ws/socket.io/?EIO=4&transport=websocket"
    for origin in ([("Origin", "http://evil.example")], []):
        assert _ask(served.address, path, headers=[("Host", named.netloc), *upgrade, *origin])[0] == 403
    assert _ask(
        served.address, path, headers=[("Host", named.netloc), *upgrade, ("Origin", f"http://{named.netloc}")]
    )[0] in (0, 101)  # fmt: skip


def _through(guard, **scope):
    """Status, or 0 where it is let through, and headers."""
    sent = []

    async def send(message):
        sent.append(message)

    async def receive():
        return {"type": "http.request", "body": b"", "more_body": False}

    whole = {"type": "http", "method": "GET", "path": "/", "raw_path": b"/", "query_string": b"", "headers": []} | scope
    with suppress(StopIteration):  # nothing in it waits
        guard(whole, receive, send).send(None)
    return (sent[0]["status"], dict(sent[0]["headers"])) if sent else (0, {})


def test_another_address_asks_for_the_token_once():
    """Without it nothing; with it a cookie that no script reads and no other site sends; then the page."""

    async def app(scope, receive, send):
        pass

    guard = Guard(app, "192.0.2.7", 8421, "abc-token")
    host = (b"host", b"192.0.2.7:8421")
    assert _through(guard, headers=[host])[0] == 403
    assert _through(guard, headers=[host], query_string=b"token=abc")[0] == 403
    assert _through(guard, headers=[host], query_string="token=äbc".encode())[0] == 403
    assert _through(guard, headers=[host, (b"cookie", b"bench-token=other")])[0] == 403
    assert _through(guard, headers=[(b"host", b"evil.example:8421")], query_string=b"token=abc-token")[0] == 400

    status, headers = _through(guard, headers=[host], query_string=b"token=abc-token")
    assert (status, headers[b"location"]) == (303, b"/")
    assert re.fullmatch(rb"bench-token=abc-token; HttpOnly; SameSite=Strict; Path=/", headers[b"set-cookie"])
    assert _through(guard, headers=[host, (b"cookie", b"bench-token=abc-token")])[0] == 0
    assert (
        _through(guard, headers=[host, (b"cookie", b"bench-token=abc-token"), (b"origin", b"http://a.example")])[0]
        == 403
    )


def test_only_the_loopback_is_the_loopback():
    """Addresses that are reached from this machine only."""
    assert all(map(is_loopback, ("127.0.0.1", "127.9.9.9", "::1", "localhost")))
    assert not any(map(is_loopback, ("0.0.0.0", "::", "192.168.1.2", "localhost.example", "")))  # noqa: S104  nothing listens here


def test_an_end_in_the_middle_leaves_nothing_half_written(tmp_path):
    """Killed while it works: the folder is empty or not there, and no worker stays behind."""
    needs("nicegui", "tomlkit")
    found = serve(tmp_path / "bench")
    workers = [
        int(path.parent.name) for path in Path("/proc").glob("[0-9]*/status")
        if f"PPid:\t{found.process.pid}\n" in _read(path)
    ]  # fmt: skip
    found.end("kill")

    assert not [*itertools.islice((tmp_path / "bench").rglob("*"), 5)]
    for _ in range(100):
        left = [worker for worker in workers if Path(f"/proc/{worker}/stat").exists()
                and ") Z" not in _read(Path(f"/proc/{worker}/stat"))]  # fmt: skip
        if not left:
            break
        time.sleep(0.2)
    assert left == []


def _read(path):
    try:
        return path.read_text()
    except OSError:
        return ""
