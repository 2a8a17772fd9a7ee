"""For a training room: addresses that others can open, one that is refused says what to do, a code for a telephone."""

from __future__ import annotations

import ipaddress
import socket
from pathlib import Path

import pytest

from reports.live import network
from reports.live.gate import NOT_LET_IN
from reports.live.network import listen, names, of_this_machine
from reports.live.start import Settings, prepare, say_addresses
from reports.terminal.code import QUIET, code
from tests.reports.live.served import serving, short_lift


def said_at(host: str, runs: Path) -> tuple[str, list[str]]:
    """What is printed when it listens there, and of what address a code."""
    said: list[str] = []
    codes: list[str] = []
    settings = Settings(host=host, runs=runs)
    live, _ = prepare(short_lift(), settings)
    with listen(host, 0) as listening:
        say_addresses(live, settings, listening, said.append, codes.append)
    return "\n".join(said), codes


def test_the_addresses_of_this_machine_are_ones_that_others_can_open() -> None:
    """No loopback, no 0.0.0.0, none that holds on one wire only."""
    for name in of_this_machine():
        address = ipaddress.ip_address(name)
        assert not (address.is_loopback or address.is_unspecified or address.is_link_local)


def test_at_every_address_those_that_others_can_open_are_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`--host 0.0.0.0` is no address to open; each of this machine's is printed, the first as a code too."""
    monkeypatch.setattr(network, "of_this_machine", lambda: ["192.0.2.7", "2001:db8::7", "198.51.100.2"])
    said, codes = said_at("0.0.0.0", tmp_path)
    assert "0.0.0.0" not in said and "2001" not in said
    assert said.startswith("call:   http://192.0.2.7:") and "\nor:     http://198.51.100.2:" in said
    assert len(codes) == 1 and codes[0] in said and codes[0].startswith("http://192.0.2.7:")
    if socket.has_ipv6 and socket.has_dualstack_ipv6():
        assert "http://[2001:db8::7]:" in said_at("::", tmp_path)[0]


def test_in_no_network_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not an address that nobody can open."""
    monkeypatch.setattr(network, "of_this_machine", list)
    said, codes = said_at("0.0.0.0", tmp_path)
    assert "in no network" in said and said.startswith("call:   http://127.0.0.1:") and codes == []


def test_a_name_that_is_this_machine_alone_is_said_to_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As a machine's own name often is, by its hosts file."""
    there = socket.getaddrinfo

    def looked_up(host: object, *rest: object, **more: object) -> object:
        return there("127.0.0.1" if host == "yard" else host, *rest, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(socket, "getaddrinfo", looked_up)
    with listen("127.0.0.1", 0) as listening:
        assert names("YARD", listening) == ["yard", "127.0.0.1"]
        live, _ = prepare(short_lift(), Settings(runs=tmp_path))
        said: list[str] = []
        say_addresses(live, Settings(host="yard", runs=tmp_path), listening, said.append, said.append)
    assert "nobody else can open it; try --host 0.0.0.0" in said[-1]


@pytest.mark.parametrize("host", ["LOCALHOST", "localhost", "127.0.0.1"])
def test_this_machine_s_own_names_are_let_in_however_they_are_written(tmp_path: Path, host: str) -> None:
    """What is printed can be opened."""
    with serving(short_lift(), tmp_path, host=host) as served:
        said = f"http://{names(host, served.listening)[0]}:{served.port}"
        for name in (said.removeprefix("http://"), f"localhost:{served.port}", f"LocalHost:{served.port}"):
            assert served.get(f"/?token={served.live.token}", Host=name)[0] == 200, name


def test_at_every_address_each_one_printed_is_let_in(tmp_path: Path) -> None:
    """And so is this machine's own; another name is told what to do."""
    with serving(short_lift(), tmp_path, host="0.0.0.0") as served:
        path = f"/?token={served.live.token}"
        for name in [*names("0.0.0.0", served.listening), "127.0.0.1", "localhost"]:
            assert served.get(path, Host=f"{name}:{served.port}")[0] == 200, name
        assert served.get(path, Host=f"yard.example:{served.port}") == (403, NOT_LET_IN)
    assert "as the terminal shows it" in NOT_LET_IN and "token" in NOT_LET_IN


def test_the_code_is_one_that_a_camera_reads() -> None:
    """ISO/IEC 18004: dark finder patterns of 7 x 7 modules in three corners, 4 light modules all round."""
    lines = code("http://192.168.100.200:54321/?token=" + "x" * 22)
    rows = [[dark for line in lines[k : k + 1] for dark in (sign in "▀ " if lower else sign in "▄ " for sign in line)]
            for k in range(len(lines)) for lower in (False, True)]  # fmt: skip
    size = len(rows[0])
    assert size <= 80  # a plain terminal
    finder = [[max(abs(x - 3), abs(y - 3)) != 2 for x in range(7)] for y in range(7)]
    for top, left in ((QUIET, QUIET), (QUIET, size - QUIET - 7), (size - QUIET - 7, QUIET)):
        assert [row[left : left + 7] for row in rows[top : top + 7]] == finder
    assert not any(any(row[:QUIET]) or any(row[-QUIET:]) for row in rows)
    assert not any(any(row) for row in [*rows[:QUIET], *rows[size - QUIET :]])
