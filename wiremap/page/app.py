"""The pages of one job: who comes in, where the work stands, one card at a time."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Flask, Response, abort, g, redirect, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response as AnyResponse

from wiremap.content.cards import RingoutCard
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


def build_app(work: Work, gate: Gate, hosts: tuple[str, ...]) -> Flask:
    """The application for one job; `hosts` are the addresses that were given out, each with its port."""
    app = Flask(__name__)
    doors = Doors(gate, hosts)
    doors.stand_before(app)
    app.register_error_handler(HTTPException, refused)

    @app.get("/in/<secret>")
    def way_in(secret: str) -> str:
        return render_template("way_in.html", title=work.title, stands=gate.stands(secret))

    @app.post("/in/<secret>")
    def come_in(secret: str) -> AnyResponse:
        try:
            device = gate.admit(secret, request.form.get("by", ""))
        except Shut as shut:
            abort(403, str(shut))
        return doors.let_in(device)

    @app.get("/")
    def standing() -> str:
        return page("standing.html", lines=work.standing_lines())

    @app.get("/ringout")
    def ringout() -> str:
        return page("ringout.html", card=work.ringout_card(), said=())

    @app.post("/ringout")
    def answer_ringout() -> str | AnyResponse:
        marks = tuple(request.form.getlist("reading"))
        kept = work.keep_ringout(request.form, marks, by=hand().by)
        return shown(kept)

    @app.post("/ringout/undo")
    def undo_ringout() -> str | AnyResponse:
        return shown(work.undo_ringout(by=hand().by))

    @app.get("/devices")
    def devices() -> str:
        return page("devices.html", devices=gate.devices(), link="")

    @app.post("/devices")
    def change_devices() -> str | AnyResponse:
        if request.form.get("do") == "link":
            link = f"http://{request.host}/in/{gate.open_link()}"
            return page("devices.html", devices=gate.devices(), link=link)
        gate.put_out(request.form.get("number", default=0, type=int))
        return redirect("/devices", code=303)

    def page(template: str, **more: object) -> str:
        return render_template(
            template,
            title=work.title,
            standing=work.standing(),
            ways=WAYS,
            device=hand(),
            **more,
        )

    def shown(kept: Kept) -> str | AnyResponse:
        """After an answer: the next card, or the same one with what was wrong with it."""
        if not kept.said:
            return redirect("/ringout", code=303)
        card: RingoutCard = work.ringout_card()
        return page("ringout.html", card=card, said=kept.said)

    return app


def hand() -> Device:
    """The device that asks."""
    device: Device = g.device
    return device


def refused(error: HTTPException) -> Response:
    """A refusal as a page of one sentence."""
    text = render_template("refused.html", title="Refused", why=error.description)
    return Response(text, status=error.code, mimetype="text/html")
