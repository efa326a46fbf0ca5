"""How many connections from the local network are held at once: a neighbour who opens many shuts out nobody here."""

from asyncio import Transport

from uvicorn.protocols.http.h11_impl import H11Protocol

from bottlewright.web.guard import LAPTOP

__all__ = ["EACH", "TOGETHER", "Counted"]

EACH, TOGETHER = 24, 160
"""Connections of one address, and of all of them; an open page holds one, and a browser six more for a moment."""


class Counted(H11Protocol):
    """A connection that ends at once where there are too many; the laptop's own are never counted or refused."""

    def connection_made(self, transport: Transport) -> None:  # type: ignore[override]
        """Begin, or end at once."""
        super().connection_made(transport)
        if own := _neighbour(self):
            held = [who for one in self.connections if (who := _neighbour(one))]
            if held.count(own) > EACH or len(held) > TOGETHER:
                transport.abort()


def _neighbour(connection: object) -> str:
    """Return the address in the local network that a connection comes from; empty for the laptop's own."""
    server, client = getattr(connection, "server", None), getattr(connection, "client", None)
    return str(client[0]) if server and client and server[0] != LAPTOP else ""
