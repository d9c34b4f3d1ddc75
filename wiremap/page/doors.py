"""What stands before every request: the host it names, the cookie it bears, where a form comes
from.
"""

from __future__ import annotations

from collections.abc import Iterable
from http import HTTPStatus

from flask import Flask, Response, abort, g, redirect, request
from werkzeug.wrappers import Response as AnyResponse

from wiremap.page.gate import Device, Gate, same_secret

LARGEST_ANSWER = 64 * 1024  # bytes of a form
LARGEST_TABLE = 1024 * 1024  # bytes of a form with a pasted table
OPEN_TO_ALL = frozenset({"static", "way_in", "come_in"})  # endpoints that need no cookie
FORM_MARK = "form_mark"  # the field of a form that bears the device's
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; "
        "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}


class Doors:
    """Checks each request before a page sees it; what does not pass is refused in a sentence."""

    def __init__(self, gate: Gate, hosts: Iterable[str]) -> None:
        self.gate = gate
        self.hosts = frozenset(hosts)
        self.cookie_name = cookie_name(self.hosts)

    def stand_before(self, app: Flask) -> None:
        """Put these checks before, and these headers on, every answer of an application."""
        app.before_request(self.check)
        app.after_request(with_headers)

    def check(self) -> AnyResponse | None:
        """Refuse what names another host, comes from another page or from a device not let in."""
        if request.host not in self.hosts:
            abort(HTTPStatus.MISDIRECTED_REQUEST, "this address was not given out by this page")
        if request.method == "POST":
            self._check_form()
        if request.endpoint in OPEN_TO_ALL:
            return None
        device = self.gate.known(request.cookies.get(self.cookie_name, ""))
        if device is None:
            abort(
                HTTPStatus.FORBIDDEN,
                "this device was not let in: open the link that the machine shows",
            )
        g.device = device
        if request.method == "POST" and not same_secret(
            device.form_mark, request.form.get(FORM_MARK, "")
        ):
            abort(HTTPStatus.FORBIDDEN, "this form was not made by this page: open the page again")
        return None

    def let_in(self, device: Device) -> AnyResponse:
        """The answer that gives a device its cookie, at an address that no longer names the
        link.
        """
        answer = redirect("/", code=HTTPStatus.SEE_OTHER)
        answer.set_cookie(
            self.cookie_name, device.cookie, httponly=True, samesite="Strict", path="/"
        )
        return answer

    def _check_form(self) -> None:
        largest = LARGEST_TABLE if request.endpoint == "pin_table" else LARGEST_ANSWER
        request.max_content_length = largest
        origin = request.headers.get("Origin")
        if origin is None or origin.removeprefix("http://") not in self.hosts:
            abort(HTTPStatus.FORBIDDEN, "this answer comes from another page: it was not kept")


def cookie_name(hosts: frozenset[str]) -> str:
    """The cookie's name: one a port, so that two pages on one machine keep apart."""
    ports = {host.rpartition(":")[2] for host in hosts}
    return f"wiremap_{min(ports)}"


def with_headers(answer: Response) -> Response:
    """An answer that no foreign script, frame, form or cache can use."""
    for name, value in HEADERS.items():
        answer.headers[name] = value
    return answer
