"""The server that brings the page to a browser: bounded in size, in time and in clients."""

from __future__ import annotations

import contextlib
import gc
import time
from collections.abc import Callable
from typing import Any

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer

REQUEST_SECONDS = 10  # in which a request must be whole
MOST_CLIENTS = 200
MOST_CONNECTIONS = 2 * MOST_CLIENTS  # beyond it nobody is told: we refuse before that
MOST_BODY = 1024 * 1024 + 64 * 1024  # bytes: a pasted table and the form around it
MOST_HEADER = 16 * 1024  # bytes
THREADS = 4
LOOK_SECONDS = 1  # between two looks for connections to close
MANY_MADE = 5000  # objects since the last sweep
TOO_MANY = b"too many browsers are connected: close one and try again\n"
REFUSAL = (
    b"HTTP/1.1 503 Service Unavailable\r\n"
    b"Content-Type: text/plain; charset=utf-8\r\n"
    b"Connection: close\r\n"
    b"Content-Length: %d\r\n\r\n%s"
) % (len(TOO_MANY), TOO_MANY)


class TimedChannel(HTTPChannel):
    """One browser's connection; `begun` is when the request began that is not yet whole."""

    begun: float | None = None

    def received(self, data: bytes) -> bool:
        """Take in what came, and note since when a request has been coming in."""
        if self.begun is None:
            self.begun = time.monotonic()
        taken = bool(super().received(data))
        if self.request is None:
            self.begun = None
        return taken


class Server(TcpWSGIServer):
    """Serves one application; a request must be whole in time, and one client too many is
    refused.
    """

    channel_class = TimedChannel

    def handle_accept(self) -> None:
        """Let a client in, or tell it plainly that there are too many."""
        if len(self.active_channels) < MOST_CLIENTS:
            super().handle_accept()
            return
        accepted = self.accept()
        if accepted is None:
            return
        connection, _ = accepted
        with contextlib.suppress(OSError):
            connection.send(REFUSAL)
        connection.close()

    def maintenance(self, now: float) -> None:
        """Close connections that are silent, and those whose request comes in too slowly.

        Also sweep what answers left behind: the collector is off while the page is served.
        """
        super().maintenance(now)
        made, *_ = gc.get_count()
        if made > MANY_MADE:
            gc.collect()
        oldest = time.monotonic() - REQUEST_SECONDS
        for channel in self.active_channels.values():
            if channel.begun is not None and channel.begun < oldest:
                channel.will_close = True


def listen(app: Callable[..., Any], host: str, port: int) -> Server:
    """A server bound to one address; port 0 takes a free one.  Raises OSError if it is taken."""
    settings = Adjustments(
        host=host,
        port=port,
        threads=THREADS,
        channel_timeout=REQUEST_SECONDS,
        cleanup_interval=LOOK_SECONDS,
        connection_limit=MOST_CONNECTIONS,
        max_request_body_size=MOST_BODY,
        max_request_header_size=MOST_HEADER,
        expose_tracebacks=False,
        ident="",
    )
    first, *_ = settings.listen
    return Server(app, adj=settings, sockinfo=first)
