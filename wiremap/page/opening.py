"""Opens the page of a job: the address it is bound to, the first link, the code that a phone
scans.
"""

from __future__ import annotations

import gc
import io
import ipaddress
import socket
import sys
from dataclasses import dataclass

from wiremap.page.app import build_app
from wiremap.page.gate import Gate
from wiremap.page.server import Server, listen
from wiremap.page.work import Work

FIND = "find"  # stated in place of an address: find this machine's own
ELSEWHERE = ("192.0.2.1", 9)  # RFC 5737: an address that nobody has; nothing is sent to it


class NoAddress(Exception):
    """No address of this machine was found, or the stated one is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenPage:
    """A page that is bound to its address: the first link, its code in characters."""

    server: Server
    port: int
    link: str
    code: str

    def serve(self) -> None:
        """Answer browsers until the process is interrupted.

        What stands by now stays, so the collector need not look through it; what comes is swept
        between two answers, not within one.
        """
        gc.freeze()
        gc.disable()
        self.server.run()


def open_page(job: str, host: str, port: int, *, lan: bool) -> OpenPage:
    """The page of a job at an address; raises Unread for the job, OSError for the address."""
    work = Work(job)
    gate = Gate()
    server = listen(refuse_all, host, port)
    bound = int(server.effective_port)
    server.application = build_app(work, gate, allowed_hosts(host, bound), lan=lan)
    link = f"http://{host}:{bound}/in/{gate.open_link()}"
    return OpenPage(
        server=server, port=bound, link=link, code=code_in_characters(link) if lan else ""
    )


def refuse_all(environ: object, start: object) -> list[bytes]:
    """Answers nobody: the port is bound before the page is built."""
    return []


def allowed_hosts(host: str, port: int) -> tuple[str, ...]:
    """The addresses that the page is asked at: `Host` headers that a browser may send."""
    hosts = [f"{host}:{port}"]
    if ipaddress.ip_address(host).is_loopback:
        hosts.append(f"localhost:{port}")
    return tuple(hosts)


def own_address(stated: str) -> str:
    """The stated address, or the one by which this machine reaches others; raises NoAddress."""
    if stated != FIND:
        try:
            return str(ipaddress.IPv4Address(stated))
        except ValueError as error:
            raise NoAddress(f"`{stated}` is no IPv4 address") from error
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(ELSEWHERE)
        except OSError as error:
            raise NoAddress("this machine is on no network") from error
        address: str = probe.getsockname()[0]
    return address


def code_in_characters(link: str) -> str:
    """The code that a phone scans, drawn in characters; empty where the terminal has none of
    them.

    What makes it is asked for here: a page for this machine alone starts 50 ms sooner without.
    """
    import segno

    drawn = io.StringIO()
    segno.make(link, error="l", micro=False).terminal(out=drawn, compact=True)
    text = drawn.getvalue()
    try:
        text.encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return ""
    return text
