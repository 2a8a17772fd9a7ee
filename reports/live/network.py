"""Where others find this machine: its addresses on the networks it is in."""

from __future__ import annotations

import contextlib
import socket
import struct
import sys
from collections.abc import Iterator

from reports.live.gate import as_address, is_any, plain

OWN = ("lo", "docker", "br-", "veth", "virbr")  # interfaces that lead to nobody else begin like this
ELSEWHERE = {socket.AF_INET: "192.0.2.1", socket.AF_INET6: "2001:db8::1"}  # RFC 5737, RFC 3849: never anybody's
ASK_ADDRESS = {"linux": 0x8915, "darwin": 0xC0206921}  # SIOCGIFADDR


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens there; OSError where that cannot be."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    both = family == socket.AF_INET6 and is_any(host) and socket.has_dualstack_ipv6()
    return socket.create_server((host.strip(), port), family=family, dualstack_ipv6=both)


def names(host: str, listening: socket.socket) -> list[str]:
    """Under which names others can open what listens there; first the one that is easiest."""
    bound = str(listening.getsockname()[0])
    if is_any(bound):
        found = of_this_machine()
        return found if ":" in bound else [name for name in found if ":" not in name]
    return list(dict.fromkeys([plain(host), bound]))


def of_this_machine() -> list[str]:
    """The addresses that others in its networks can reach, first the one it itself goes out by."""
    found = dict.fromkeys([*_outward(), *_of_interfaces(), *_of_its_name()])
    return [name for name in found if _is_for_others(name)]


def _outward() -> Iterator[str]:
    """The addresses that it would go out by; nothing is sent."""
    for family, there in ELSEWHERE.items():
        with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as out:
            out.connect((there, 9))
            yield str(out.getsockname()[0])


def _of_interfaces() -> Iterator[str]:
    """The IPv4 address of each interface, where the system can be asked."""
    ask = ASK_ADDRESS.get(sys.platform)
    if ask is None:
        return
    import fcntl

    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as any_socket:
        for _, interface in socket.if_nameindex():
            if not interface.startswith(OWN):
                with contextlib.suppress(OSError):
                    request = struct.pack("256s", interface[:15].encode())
                    yield socket.inet_ntoa(fcntl.ioctl(any_socket.fileno(), ask, request)[20:24])


def _of_its_name() -> Iterator[str]:
    """What its own name leads to."""
    with contextlib.suppress(OSError, UnicodeError):
        for found in socket.getaddrinfo(socket.gethostname(), None, type=socket.SOCK_STREAM):
            yield str(found[4][0])


def _is_for_others(name: str) -> bool:
    address = as_address(name)
    return address is not None and not (
        address.is_loopback or address.is_unspecified or address.is_link_local or address.is_multicast
    )
