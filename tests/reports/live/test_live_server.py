"""The server of a rehearsal: who is let in, what is heard, what all are simulated, what is stored."""

from __future__ import annotations

import asyncio
import json
import socket as sockets
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus

from reports.live.gate import NOT_LET_IN, Gate
from reports.live.messages import BURST, MOST_BYTES, Allowance, read
from tests.reports.live.served import Served, begun, serving, short_lift, to_the_end

FAST = 20.0


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """A short rehearsal at twenty times its speed."""
    with serving(short_lift(), tmp_path, speed=FAST) as it:
        yield it


# --- who is let in


def test_nothing_is_served_without_the_token(served: Served) -> None:
    """No page, no report, not even word of what there is; only what to do."""
    for path in ("/", "/?token=", "/?token=wrong", f"/?token={served.live.token}x", "/report", "/ws", "/nowhere"):
        assert served.get(path) == (403, NOT_LET_IN), path
    token = served.live.token
    assert served.get(f"/?token={token}&token=x")[0] == 403
    status, page = served.get(f"/?token={token}")
    assert status == 200 and "Rehearsal: built in a test" in page


def test_another_name_or_another_page_is_not_let_in(served: Served) -> None:
    """A stranger's name that leads here (Host), or a page from elsewhere (Origin), with the right token."""
    path = f"/?token={served.live.token}"
    for name in ("evil.example", f"evil.example:{served.port}", "127.0.0.1.evil.example", "10.0.0.1", ""):
        assert served.get(path, Host=name)[0] in (400, 403), name
    for origin in (
        "http://evil.example",
        "null",
        f"https://127.0.0.1:{served.port}",
        f"http://127.0.0.1:{served.port}0",
    ):
        assert served.get(path, Origin=origin)[0] == 403, origin
    assert served.get(path, Host=f"localhost:{served.port}")[0] == 200


def test_a_socket_needs_token_and_origin(served: Served) -> None:
    """A script without an Origin is no page of ours either."""

    async def refused(**how: Any) -> bool:
        try:
            async with served.socket(**how):
                return False
        except InvalidStatus as wrong:
            return wrong.response.status_code == 403

    async def all_of_them() -> None:
        assert await refused(token="")
        assert await refused(token="wrong")
        assert await refused(origin="http://evil.example")
        assert await refused(origin=None)
        assert not await refused()

    asyncio.run(all_of_them())


@pytest.mark.parametrize(
    "path",
    ["/../cli.py", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/static/", "/index.html", "/ws/", "/report/",
     "/\\..\\cli.py", "/runs", "/page.js", "/.", "/%00", "/?/../"],
)  # fmt: skip
def test_no_other_file_is_ever_served(served: Served, path: str) -> None:
    """With the right token: the page and nothing else, whatever tricks are in the path."""
    with sockets.create_connection(("127.0.0.1", served.port), timeout=10) as raw:
        mark = "&" if "?" in path else "?"
        lines = [f"GET {path}{mark}token={served.live.token} HTTP/1.1", f"Host: 127.0.0.1:{served.port}"]
        raw.sendall("\r\n".join([*lines, "Connection: close", "", ""]).encode())
        answer = b"".join(iter(lambda: raw.recv(65536), b"")).decode()
    status = int(answer.split()[1])
    assert status in (400, 403, 404) or (status == 200 and "Rehearsal: built in a test" in answer)
    assert "root:" not in answer and "typer" not in answer


def test_what_is_served_is_kept_nowhere_and_framed_by_nobody(served: Served) -> None:
    """The headers that browsers heed; the page's own policy lets it connect to where it came from only."""
    import urllib.request

    with urllib.request.urlopen(served.address, timeout=10) as answer:
        headers, page = answer.headers, answer.read().decode()
    assert headers["cache-control"] == "no-store" and headers["referrer-policy"] == "no-referrer"
    assert headers["x-frame-options"] == "DENY" and headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in page and "connect-src 'self'" in page and "server" not in headers


def test_on_a_network_only_addresses_and_its_own_name_lead_here() -> None:
    """Simulated to listen at an address: that one, another address of the same machine, or the name it was given."""
    gate = Gate(None, "0.0.0.0", "t")
    assert gate.goes_by("192.0.2.7:8000") and gate.goes_by("[2001:db8::1]:8000")
    assert not gate.goes_by("evil.example:8000") and not gate.goes_by("")
    assert Gate(None, "room.example", "t").goes_by("room.example:8000")
    assert gate.goes_by("localhost:8000") and not Gate(None, "192.0.2.7", "t").goes_by("localhost:8000")
    assert Gate(None, "Room.Example.", "t").goes_by("room.example:8000")
    for name in ("LOCALHOST", "localhost.", "127.0.0.2", "[::1]".strip("[]")):
        gate = Gate(None, name, "t")
        assert gate.goes_by("localhost:1") and gate.goes_by("LocalHost:1") and gate.goes_by("127.0.0.1:1"), name
        assert not gate.goes_by("192.0.2.7:1") and not gate.goes_by("evil.example:1"), name
    here = Gate(None, "127.0.0.1", "t")
    assert here.goes_by("localhost:1") and not here.goes_by("192.0.2.7:1") and not here.goes_by("[::")


# --- what is heard


def test_only_known_messages_are_read() -> None:
    """Of a known type, with known keys of the right kind, and small."""
    assert read('{"type":"call"}') and read('{"type":"call","side":"left lifter"}') and read('{"type":"stop"}')
    wrong = ["", "[]", "null", "{}", '{"type":"call","side":1}', '{"type":"call","more":1}', '{"type":"open"}', "x" * 9,
             '{"type":"seen","what":"ghost"}', '{"type":"surprise","kind":"slack","who":"strut"}', "[" * 900,
             '{"type":"call","side":"' + "x" * MOST_BYTES + '"}',
             '{"type":"call","side":"' + "x" * 201 + '"}']  # fmt: skip
    assert [read(text) for text in wrong] == [None] * len(wrong)


def test_a_page_may_send_so_many_at_once_and_so_many_a_second() -> None:
    """Forty at once, then twenty a second."""
    now = 0.0
    allowance = Allowance(lambda: now)
    assert all(allowance.spend() for _ in range(int(BURST))) and not allowance.spend()
    now = 1.0
    assert sum(allowance.spend() for _ in range(100)) in (19, 20)


@pytest.mark.parametrize("what", ["junk", "binary", "flood", "large", "unknown"])
def test_a_bad_page_loses_its_socket_and_nothing_else_happens(served: Served, what: str) -> None:
    """Ten thousand junk messages, ten megabytes, a flood: that socket closes, the lift goes on to its end."""
    sent = {
        "junk": ["junk"] * 10_000,
        "binary": [b"\x00\xff" * 100] * 10,
        "flood": [json.dumps({"type": "surprise", "kind": "slow", "who": "strut collar"})] * 10_000,
        "large": ["x" * 10_000_000],
        "unknown": ['{"type":"open","path":"/etc/passwd"}'],
    }[what]

    async def attack() -> None:
        async with served.socket("&watch=1") as bad:
            for message in sent:
                await bad.send(message)
            while True:
                await asyncio.wait_for(bad.recv(), 10)

    async def both() -> dict[str, Any]:
        async with served.socket() as good:
            caller = await begun(good)
            with pytest.raises(ConnectionClosed):
                await attack()
            return await to_the_end(caller)

    assert asyncio.run(both())["outcome"] == "raised"


def test_connections_that_say_nothing_keep_nobody_out(served: Served, monkeypatch: pytest.MonkeyPatch) -> None:
    """450 of them, and some that stop in the middle of a request: a while later the page is served; a socket stays."""
    monkeypatch.setattr("reports.live.server.SILENT", 1.0)

    async def all_of_it() -> dict[str, Any]:
        async with served.socket() as good:
            caller = await begun(good)
            silent = [await asyncio.open_connection("127.0.0.1", served.port) for _ in range(450)]
            for _, writer in silent[:50]:
                writer.write(b"GET / HTTP/1.1\r\nHost: ")
            deadline = asyncio.get_running_loop().time() + 30
            while (await asyncio.to_thread(served.get, f"/?token={served.live.token}"))[0] != 200:
                assert asyncio.get_running_loop().time() < deadline, "nobody gets in any more"
                await asyncio.sleep(0.2)
            for reader, writer in silent:
                assert await asyncio.wait_for(reader.read(), 15) == b""
                writer.close()
            return await to_the_end(caller)

    assert asyncio.run(all_of_it())["outcome"] == "raised"
