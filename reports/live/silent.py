"""Connections that say nothing: closed after a while, so that they keep nobody out."""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.auto import AutoHTTPProtocol

SILENT = 5.0  # how long a whole request is waited for [s]


class Impatient(AutoHTTPProtocol):  # type: ignore[misc,valid-type]
    """The server's own protocol, which waits for a first request for ever; this one does not."""

    def connection_made(self, transport: asyncio.Transport) -> None:
        """Somebody has connected."""
        super().connection_made(transport)
        self.loop.call_later(SILENT, self.give_up)

    def give_up(self) -> None:
        """Close it, if no request has come; one that has become a socket is the socket's."""
        if self.cycle is None and self.transport.get_protocol() is self:
            self.transport.close()
