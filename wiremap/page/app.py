"""The pages of one job: who comes in, where the work stands, one card at a time."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Flask, Response, abort, g, redirect, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response as AnyResponse

from wiremap.page.doors import Doors
from wiremap.page.gate import Device, Gate, Shut
from wiremap.page.work import Kept, Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """Another place of the page, and its words."""

    path: str
    words: str


WAYS = (
    Way(path="/", words="Where the work stands"),
    Way(path="/ringout", words="Ring-out: the next readings"),
    Way(path="/devices", words="Devices that are let in"),
)


class Pages:
    """The pages of one job; each method answers one request."""

    def __init__(self, work: Work, doors: Doors) -> None:
        self.work = work
        self.doors = doors
        self.gate = doors.gate

    def way_in(self, secret: str) -> str:
        """What a link shows; looking at it does not use it up."""
        stands = self.gate.stands(secret)
        return render_template("way_in.html", title=self.work.title, stands=stands)

    def come_in(self, secret: str) -> AnyResponse:
        """Let a device in, at an address that no longer names the link."""
        try:
            device = self.gate.admit(secret, request.form.get("by", ""))
        except Shut as shut:
            abort(403, str(shut))
        return self.doors.let_in(device)

    def standing(self) -> str:
        """Where the work stands."""
        return self.page("standing.html", lines=self.work.standing_lines())

    def ringout(self) -> str:
        """The readings to take next."""
        return self.page("ringout.html", card=self.work.ringout_card(), said=())

    def answer_ringout(self) -> str | AnyResponse:
        """Keep what was answered."""
        marks = tuple(request.form.getlist("reading"))
        return self.after(self.work.keep_ringout(request.form, marks, by=hand().by))

    def undo_ringout(self) -> str | AnyResponse:
        """Take the last answer back."""
        return self.after(self.work.undo_ringout(by=hand().by))

    def after(self, kept: Kept) -> str | AnyResponse:
        """After an answer: the next card, or the same one with what was wrong with it."""
        if not kept.said:
            return redirect("/ringout", code=303)
        return self.page("ringout.html", card=self.work.ringout_card(), said=kept.said)

    def devices(self, link: str = "") -> str:
        """Who is in, and a link for one more if asked for."""
        return self.page("devices.html", devices=self.gate.devices(), link=link)

    def change_devices(self) -> str | AnyResponse:
        """Put a device out, or open a link for one more."""
        if request.form.get("do") == "link":
            return self.devices(link=f"http://{request.host}/in/{self.gate.open_link()}")
        self.gate.put_out(request.form.get("number", default=0, type=int))
        return redirect("/devices", code=303)

    def page(self, template: str, **more: object) -> str:
        """A page with where the work stands on top and the other places below."""
        return render_template(
            template,
            title=self.work.title,
            standing=self.work.standing(),
            ways=WAYS,
            device=hand(),
            **more,
        )


def build_app(work: Work, gate: Gate, hosts: tuple[str, ...]) -> Flask:
    """The application for one job; `hosts` are the addresses that were given out, with their
    port.
    """
    app = Flask(__name__)
    doors = Doors(gate, hosts)
    doors.stand_before(app)
    app.register_error_handler(HTTPException, refused)
    pages = Pages(work, doors)
    app.add_url_rule("/in/<secret>", view_func=pages.way_in)
    app.add_url_rule("/in/<secret>", view_func=pages.come_in, methods=["POST"])
    app.add_url_rule("/", view_func=pages.standing)
    app.add_url_rule("/ringout", view_func=pages.ringout)
    app.add_url_rule("/ringout", view_func=pages.answer_ringout, methods=["POST"])
    app.add_url_rule("/ringout/undo", view_func=pages.undo_ringout, methods=["POST"])
    app.add_url_rule("/devices", view_func=pages.devices)
    app.add_url_rule("/devices", view_func=pages.change_devices, methods=["POST"])
    return app


def hand() -> Device:
    """The device that asks."""
    device: Device = g.device
    return device


def refused(error: HTTPException) -> Response:
    """A refusal as a page of one sentence."""
    text = render_template("refused.html", title="Refused", why=error.description)
    return Response(text, status=error.code, mimetype="text/html")
