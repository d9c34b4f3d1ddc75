"""The pages of one job: who comes in, where the work stands, one card at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from http import HTTPStatus

from flask import Flask, Response, abort, g, redirect, render_template, request
from markupsafe import Markup
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response as AnyResponse

from wiremap.content.cards import CardLink
from wiremap.content.face_card import FaceCard
from wiremap.page.doors import Doors
from wiremap.page.gate import Device, Gate, NotLetIn
from wiremap.page.other_pages import OtherPages, render_page
from wiremap.page.stages import STAGES, PageStage
from wiremap.page.work import UnreadJob, Work
from wiremap.ringout.plan import TooLarge

MOST_PICTURES = 256  # faces kept as markup
HOME = CardLink(path="/", words="Where the work stands, and what comes next")


class Pages:
    """The pages of one job; each method answers one request."""

    def __init__(self, work: Work, doors: Doors) -> None:
        self.work = work
        self.doors = doors
        self.gate = doors.gate

    def way_in(self, secret: str) -> str:
        """What a link shows; looking at it does not use it up."""
        is_good = self.gate.is_good(secret)
        return render_template("way_in.html", title=self.work.title, is_good=is_good)

    def come_in(self, secret: str) -> AnyResponse:
        """Let a device in, at an address that no longer names the link."""
        try:
            device = self.gate.admit(secret, request.form.get("by", ""))
        except NotLetIn as refusal:
            abort(HTTPStatus.FORBIDDEN, str(refusal))
        return self.doors.let_in(device)

    def home(self) -> str:
        """Where the work stands, and the next thing to do."""
        return render_page(self.work, "home.html", following=self.work.next_stage())

    def stamp(self) -> Response:
        """A text that changes when an answer is kept on some screen: open pages ask for it."""
        return Response(self.work.stamp(), mimetype="text/plain")

    def card(self, stage: PageStage, refusals: Sequence[str] = ()) -> str:
        """The card of a stage, with what was wrong with the last answer."""
        at = request.values.get("at", "")
        shown = self.work.show(stage, at)
        typed = request.form if refusals else {}
        return render_page(
            self.work, "card.html", shown=shown, stage=stage, said=refusals, at=at, typed=typed
        )

    def answer(self, stage: PageStage) -> str | AnyResponse:
        """Keep what was answered."""
        marks = request.form.getlist("ask")
        return self.after(stage, self.work.keep(stage, request.form, marks, by=asking_device().by))

    def undo(self, stage: PageStage) -> str | AnyResponse:
        """Take the last answer of a stage back."""
        marks = request.form.get("marks", "")
        named = request.form.get("named", "")
        return self.after(stage, self.work.undo(stage, marks, by=asking_device().by, named=named))

    def after(self, stage: PageStage, refusals: Sequence[str]) -> str | AnyResponse:
        """After an answer: the next card, or the same one with what was wrong with it."""
        if not refusals:
            return redirect(stage.path, code=HTTPStatus.SEE_OTHER)
        return self.card(stage, refusals)


def build_app(work: Work, gate: Gate, hosts: tuple[str, ...], *, lan: bool = False) -> Flask:
    """The application for one job.

    `hosts` are the addresses that were given out, with their port; `lan` says that other devices
    than this machine may come in.
    """
    app = Flask(__name__)
    doors = Doors(gate, hosts)
    doors.stand_before(app)
    app.register_error_handler(HTTPException, refused)
    app.register_error_handler(UnreadJob, unread)
    app.register_error_handler(TooLarge, too_large)
    pages = Pages(work, doors)
    app.add_url_rule("/in/<secret>", view_func=pages.way_in)
    app.add_url_rule("/in/<secret>", view_func=pages.come_in, methods=["POST"])
    app.add_url_rule("/", view_func=pages.home)
    app.add_url_rule("/stamp", view_func=pages.stamp)
    for stage in STAGES:
        add_stage(app, pages, stage)
    OtherPages(work, gate).add_to(app, lan=lan)
    app.jinja_env.globals["ways"] = places(lan=lan)
    app.jinja_env.globals["picture"] = pictures(app)
    return app


def pictures(app: Flask) -> Callable[[FaceCard], Markup]:
    """Gives a face as markup, made once however often it is shown."""

    @lru_cache(maxsize=MOST_PICTURES)
    def picture(face: FaceCard) -> Markup:
        template = app.jinja_env.get_template("face.html")
        return Markup(template.render(face=face))

    return picture


def add_stage(app: Flask, pages: Pages, stage: PageStage) -> None:
    """The three addresses of a stage: its card, its answers, the way back."""

    def add(view: Callable[[PageStage], str | AnyResponse], path: str, method: str) -> None:
        def answered() -> str | AnyResponse:
            return view(stage)

        app.add_url_rule(path, f"{method} {path}", answered, methods=[method])

    add(pages.card, stage.path, "GET")
    add(pages.answer, stage.path, "POST")
    add(pages.undo, f"{stage.path}/undo", "POST")


def places(*, lan: bool) -> tuple[CardLink, ...]:
    """Links to every page, for the foot of each."""
    links = [HOME, *(CardLink(path=stage.path, words=stage.words) for stage in STAGES)]
    links.append(CardLink(path="/table", words="Pin table: type or paste one"))
    links.append(CardLink(path="/print", words="Print the sheet"))
    if lan:
        links.append(CardLink(path="/devices", words="Devices that are let in"))
    return tuple(links)


def asking_device() -> Device:
    """The device that asks."""
    device: Device = g.device
    return device


def refused(error: HTTPException) -> Response:
    """A refusal as a page of one sentence."""
    text = render_template("refused.html", title="Refused", why=[error.description])
    return Response(text, status=error.code, mimetype="text/html")


def too_large(error: TooLarge) -> Response:
    """A job for which no sheet is drawn, as no ring-out is planned: why, and what to do."""
    why = [f"{error}: {error.fix}"]
    text = render_template("refused.html", title="The job is too large", why=why)
    return Response(text, status=HTTPStatus.CONFLICT, mimetype="text/html")


def unread(error: UnreadJob) -> Response:
    """A job that was changed so that it cannot be read any more: where, and how to mend it."""
    lines = []
    for finding in error.findings:
        lines.append(f"{finding.place}: {finding.message}" if finding.place else finding.message)
    text = render_template("refused.html", title="The job cannot be read", why=lines)
    return Response(text, status=HTTPStatus.CONFLICT, mimetype="text/html")
