"""The places beside the stages: a pin table typed or pasted, the sheet, the devices."""

from __future__ import annotations

from dataclasses import replace
from http import HTTPStatus

from flask import Flask, Response, g, redirect, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from wiremap.content.gather import gather
from wiremap.page.gate import Gate
from wiremap.page.tables import PastedTable, read_pasted, save_table
from wiremap.page.work import UnreadJob, Work
from wiremap.trade.colours import SYSTEM_NAMES

QUIET_ZONE = 4  # modules left white round a code (ISO/IEC 18004)
PAPERS = ("a4", "letter")


class OtherPages:
    """The places beside the stages; each method answers one request."""

    def __init__(self, work: Work, gate: Gate) -> None:
        self.work = work
        self.gate = gate

    def add_to(self, app: Flask, *, lan: bool) -> None:
        """Give an application their addresses."""
        app.add_url_rule("/table", view_func=self.table)
        app.add_url_rule("/table", "pin_table", self.take_table, methods=["POST"])
        app.add_url_rule("/print", view_func=self.print_page, endpoint="print_page")
        app.add_url_rule("/sheet.pdf", view_func=self.sheet)
        if lan:
            app.add_url_rule("/devices", view_func=self.devices)
            app.add_url_rule("/devices", view_func=self.change_devices, methods=["POST"])

    # -- pin table --------------------------------------------------------------------------------

    def table(self) -> str:
        """An empty table."""
        return self.show_table(PastedTable(title=""), "")

    def take_table(self) -> str:
        """What was pasted, as it is read; saved if that was asked for."""
        text = request.form.get("text", "")
        letters = request.form.get("letters", "")
        table = read_pasted(text, request.form.get("title", ""), letters)
        if request.form.get("do") != "save" or not table.name:
            return self.show_table(table, text, letters=letters)
        wrong = save_table(table, self.work.folder)
        if wrong is not None:
            mend = "Give it another title." if wrong.rule == "file-exists" else wrong.fix
            refusal = f"not saved: {wrong.message}. {mend}"
            return self.show_table(table, text, letters=letters, said=refusal)
        return self.show_table(table, text, letters=letters, saved=table.name)

    def show_table(
        self, table: PastedTable, text: str, *, letters: str = "", said: str = "", saved: str = ""
    ) -> str:
        """The table with how each row is read."""
        return self.page(
            "table.html",
            table=table,
            text=text,
            letters=letters,
            systems=SYSTEM_NAMES,
            said=said,
            saved=saved,
        )

    # -- the sheet --------------------------------------------------------------------------------

    def print_page(self) -> str:
        """Which sheet is wanted."""
        from wiremap.content.compose import ANNEX_PARTS  # as below

        return self.page("print.html", annex=ANNEX_PARTS)

    def sheet(self) -> Response:
        """The sheet as PDF, drawn from the files as they stand.

        What draws it takes a fifth of the page's start to import, and is asked for last.
        """
        from wiremap.content.compose import ANNEX_PARTS, compose
        from wiremap.sheet import pdf

        given, faults = gather(self.work.path)
        if given is None:
            raise UnreadJob(faults)
        given = replace(given, filled_in=request.args.get("filled") == "in")
        wanted = [part for part in request.args.getlist("annex") if part in ANNEX_PARTS]
        paper = request.args.get("paper", "")
        drawn = pdf(compose(given, wanted), paper if paper in PAPERS else PAPERS[0])
        headers = {"Content-Disposition": 'inline; filename="sheet.pdf"'}
        return Response(drawn, mimetype="application/pdf", headers=headers)

    # -- devices ----------------------------------------------------------------------------------

    def devices(self, link: str = "") -> str:
        """Who is in, and a link for one more if asked for."""
        code = drawn_code(link) if link else Markup()
        return self.page("devices.html", devices=self.gate.devices(), link=link, code=code)

    def change_devices(self) -> str | AnyResponse:
        """Put a device out, or open a link for one more."""
        if request.form.get("do") == "link":
            return self.devices(link=f"http://{request.host}/in/{self.gate.open_link()}")
        self.gate.put_out(request.form.get("number", type=int))
        return redirect("/devices", code=HTTPStatus.SEE_OTHER)

    def page(self, template: str, **more: object) -> str:
        """A page with where the work stands on top and the other places below."""
        return render_page(self.work, template, **more)


def drawn_code(link: str) -> Markup:
    """The code of a link for a phone to scan; what draws it is asked for last, as above."""
    import segno

    return Markup(segno.make(link, micro=False).svg_inline(border=QUIET_ZONE, omitsize=True))


def render_page(work: Work, template: str, **more: object) -> str:
    """A page with where the work stands on top and the other places below."""
    return render_template(
        template,
        title=work.title,
        state=work.state(),
        stamp=work.stamp(),
        device=g.device,
        **more,
    )
