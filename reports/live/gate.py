"""Who is let in: those who hold the token of this start, from a page of this server, under a name it goes by.

The name (Host) is checked so that a stranger's name that was pointed at this machine leads nowhere; the Origin, so that
no other page in the same browser can speak to the rehearsal.
"""

from __future__ import annotations

import ipaddress
import secrets
from collections.abc import Iterable
from urllib.parse import parse_qs, urlsplit

from starlette.types import ASGIApp, Message, Receive, Scope, Send

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
HEADERS = (
    (b"cache-control", b"no-store"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
NOT_LET_IN = """Not let in.

Open the address as the terminal shows it, all of it, with "?token=" and what follows. It holds for one rehearsal,
and ends with it: ask for the one of today. Use the numbers that stand there, not another name of that computer.
"""
PLAIN = (b"content-type", b"text/plain; charset=utf-8")


class Gate:
    """An application behind a gate: what is not let in never reaches it."""

    def __init__(self, app: ASGIApp, host: str, token: str) -> None:
        self.app = app
        self.host = plain(host)
        self.token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One connection."""
        if scope["type"] == "lifespan" or self.lets_in(scope):
            await self.app(scope, receive, _with_headers(send))
        elif scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008})
        else:
            await send({"type": "http.response.start", "status": 403, "headers": [PLAIN, *HEADERS]})
            await send({"type": "http.response.body", "body": NOT_LET_IN.encode()})

    def lets_in(self, scope: Scope) -> bool:
        """Whether name, origin and token are all as they should be."""
        host, origin = (_only(scope["headers"], name) for name in (b"host", b"origin"))
        if host is None or not self.goes_by(host):
            return False
        ours = origin == f"http://{host}"
        if not (ours or (origin is None and scope["type"] == "http")):
            return False
        try:
            given = parse_qs(scope["query_string"].decode("ascii"), max_num_fields=8).get("token", [])
        except ValueError:
            return False
        return len(given) == 1 and secrets.compare_digest(given[0].encode(), self.token.encode())

    def goes_by(self, host: str) -> bool:
        """Whether this server goes by that name: any bare address, where it listens for others too."""
        try:
            name = plain(urlsplit(f"//{host}").hostname or "")
        except ValueError:
            return False
        address = as_address(name)
        if is_loopback(self.host):
            return is_loopback(name)
        return name == self.host or address is not None or (is_any(self.host) and name == "localhost")


def plain(name: str) -> str:
    """A host's name as all write it: case and a dot at the end say nothing."""
    return name.strip().lower().removesuffix(".")


def is_loopback(name: str) -> bool:
    """Whether only this machine itself is meant."""
    address = as_address(plain(name))
    return plain(name) == "localhost" or (address is not None and address.is_loopback)


def is_any(name: str) -> bool:
    """Whether it means every address of this machine."""
    address = as_address(plain(name))
    return plain(name) == "" or (address is not None and address.is_unspecified)


def as_address(name: str) -> Address | None:
    """A bare address, with or without the zone that it is of; None: another name."""
    try:
        return ipaddress.ip_address(name)
    except ValueError:
        return None


def _only(headers: Iterable[tuple[bytes, bytes]], wanted: bytes) -> str | None:
    """The value of a header that was given once; None: not given; one given twice counts as a wrong one."""
    found = [value.decode("latin-1") for name, value in headers if name.lower() == wanted]
    return found[0] if len(found) == 1 else (None if not found else "")


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {name.lower() for name, _ in message.get("headers", ())}
            ours = [each for each in HEADERS if each[0] not in own]
            message = {**message, "headers": [*message.get("headers", ()), *ours]}
        await send(message)

    return sending
