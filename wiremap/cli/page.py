"""`wiremap page`: the page beside the machine, in the browser of this machine or of a phone."""

from __future__ import annotations

import argparse
import webbrowser
from importlib.util import find_spec
from typing import Any

from wiremap.base import fault
from wiremap.cli.common import OK, emit_json, json_flag, note, say, unread

NEEDED = ("flask", "waitress", "segno")
LOOPBACK = "127.0.0.1"
ANY_PORT = 0
WHAT_LAN_MEANS = (
    "--lan: anyone on this network can read along, as nothing is encrypted; whoever opens the link "
    "first can write readings. Use a network of your own, and end the page when you leave."
)
SCREEN = "set the phone's screen to stay on: a page cannot do that"


def add(subparsers: Any) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "page",
        help="lead through the job in a browser, on this machine or a phone",
        description="Opens one page in the browser that leads through the job, a card at a "
        "time, and writes each answer into the job's notebook before it shows the next. It can be "
        "left and taken up at any moment. End it with Ctrl-C.",
        epilog="examples:\n  wiremap page job.yaml\n  wiremap page job.yaml --lan",
    )
    parser.add_argument("job", metavar="JOB", help="the job file")
    parser.add_argument(
        "--lan",
        nargs="?",
        const="find",
        metavar="ADDRESS",
        help="let a phone on the same network in, at this machine's address (found, or stated)",
    )
    parser.add_argument(
        "--port", type=int, default=ANY_PORT, metavar="N", help="the port (default: a free one)"
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="print the link and open no browser"
    )
    json_flag(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Serve the page until it is ended."""
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        message = f"the page needs {', '.join(missing)}, which this installation lacks"
        return unread("page", [fault("no-page", message, fix=how_to_get())], as_json=args.json)
    # Optional: only now is it known that what the page needs is installed.
    from wiremap.page.opening import NoAddress, open_page, own_address
    from wiremap.page.work import UnreadJob

    try:
        host = LOOPBACK if args.lan is None else own_address(args.lan)
        opened = open_page(args.job, host, args.port, lan=args.lan is not None)
    except UnreadJob as wrong:
        return unread("page", wrong.findings, as_json=args.json)
    except (NoAddress, OSError, OverflowError) as wrong:
        message = f"no page can be opened there: {wrong}"
        fix = "give another --port, or the machine's own address behind --lan"
        return unread("page", [fault("no-address", message, fix=fix)], as_json=args.json)
    if args.json:
        emit_json("page", {"link": opened.link, "address": host, "port": opened.port})
    else:
        tell(opened.link, opened.code, lan=args.lan is not None)
    if args.lan is None and not args.no_browser:
        webbrowser.open(opened.link)
    opened.serve()
    return OK


def tell(link: str, code: str, *, lan: bool) -> None:
    """The link, good once and for ten minutes, and what `--lan` means."""
    if lan:
        note(WHAT_LAN_MEANS)
        say(code)
        note(SCREEN)
    say(f"open this within ten minutes, it is good once: {link}")
    say("every answer is in the notebook before the next card shows; Ctrl-C ends the page")


def how_to_get() -> str:
    """How to install what the page needs."""
    return "install the project with its `page` extra: pip install '.[page]' in its folder"
