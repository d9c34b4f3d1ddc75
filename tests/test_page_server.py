"""The server holds its bounds: too many clients, requests that dribble in, bodies and heads too large."""

from __future__ import annotations

import gc
import socket
import threading
import time
import weakref
from collections.abc import Callable, Iterator
from typing import Any

import pytest

pytest.importorskip("waitress")

from wiremap.page import server as room


def plain(environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
    """Answers every request with the length of its body."""
    body = environ["wsgi.input"].read()
    start("200 OK", [("Content-Type", "text/plain")])
    return [f"{len(body)} bytes".encode()]


@pytest.fixture
def address(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, int]]:
    """A running server with a short time limit and room for three clients."""
    monkeypatch.setattr(room, "REQUEST_SECONDS", 2)
    monkeypatch.setattr(room, "MOST_CLIENTS", 3)
    server = room.listen(plain, "127.0.0.1", 0)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield "127.0.0.1", server.effective_port
    server.task_dispatcher.shutdown(timeout=1)
    server.close()


def asked(address: tuple[str, int], request: bytes) -> bytes:
    """What the server answers to raw bytes, until it closes."""
    with socket.create_connection(address, timeout=8) as client:
        client.sendall(request)
        return all_of(client)


def all_of(client: socket.socket) -> bytes:
    """All that comes until the other side closes."""
    parts = []
    try:
        while part := client.recv(65536):
            parts.append(part)
    except (ConnectionResetError, BrokenPipeError):
        pass
    return b"".join(parts)


def test_an_ordinary_request_is_answered(address: tuple[str, int]) -> None:
    """The bounds leave ordinary use alone."""
    answer = asked(address, b"POST / HTTP/1.0\r\nContent-Length: 5\r\n\r\nhello")
    assert answer.startswith(b"HTTP/1.0 200")
    assert answer.endswith(b"5 bytes")


def test_the_server_does_not_say_what_it_is(address: tuple[str, int]) -> None:
    """No head names a program or its version."""
    head = asked(address, b"GET / HTTP/1.0\r\n\r\n").lower()
    assert b"waitress" not in head
    assert b"python" not in head


def test_a_byte_now_and_then_is_cut_off(address: tuple[str, int]) -> None:
    """A request that never gets whole is ended in time, though something comes every moment."""
    begun = time.monotonic()
    with socket.create_connection(address, timeout=8) as client:
        ended = False
        for byte in b"GET / HTTP/1.0\r\nX: " + b"a" * 200:
            try:
                client.sendall(bytes((byte,)))
                client.settimeout(0.1)
                ended = client.recv(10) == b""
            except TimeoutError:
                continue
            except OSError:
                ended = True
            if ended:
                break
    assert ended
    assert time.monotonic() - begun < 8


def test_one_client_too_many_is_told(address: tuple[str, int]) -> None:
    """It gets a plain refusal at once; when one leaves there is room again."""
    held = [socket.create_connection(address, timeout=8) for _ in range(3)]
    time.sleep(0.3)
    with socket.create_connection(address, timeout=8) as client:
        assert b"503" in all_of(client)
    held.pop().close()
    time.sleep(0.3)
    assert b"200" in asked(address, b"GET / HTTP/1.0\r\n\r\n")
    for client in held:
        client.close()


def test_what_answers_leave_behind_is_swept_between_them() -> None:
    """With the collector off, as while a page is served, rings of objects go."""

    class Ring:
        pass

    server = room.listen(plain, "127.0.0.1", 0)
    gc.collect()
    gc.disable()
    try:
        for _ in range(room.MANY_MADE + 1):
            ring = Ring()
            ring.itself = ring  # type: ignore[attr-defined]
        left = weakref.ref(ring)
        del ring
        assert left() is not None
        server.maintenance(time.time())
        assert left() is None
    finally:
        gc.enable()
        server.task_dispatcher.shutdown(timeout=1)
        server.close()


def test_ten_megabytes_are_refused(address: tuple[str, int]) -> None:
    """The server says no by the length alone and takes none of it in."""
    answer = asked(address, b"POST / HTTP/1.0\r\nContent-Length: 10485760\r\n\r\n")
    assert b" 413 " in answer.split(b"\r\n")[0]


def test_a_huge_head_is_refused(address: tuple[str, int]) -> None:
    """So does a head that is larger than any browser sends."""
    answer = asked(address, b"GET / HTTP/1.0\r\nX: " + b"a" * 100_000 + b"\r\n\r\n")
    assert b" 431 " in answer.split(b"\r\n")[0]
