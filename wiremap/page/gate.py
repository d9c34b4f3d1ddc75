"""Who may come in: a link that is good once, then a cookie for each device that was let in."""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

LINK_SECONDS = 600.0  # so long a link is good
MOST_TRIES = 20  # wrong links before every open one is void
MOST_DEVICES = 20
MOST_NAME = 60  # characters
SECRET_BYTES = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A browser that was let in, and whose hand it is in.

    `cookie` and `form_mark` are secrets: the one that it is known by, and the one that every form
    made for it bears.
    """

    number: int
    by: str
    cookie: str
    form_mark: str


class NotLetIn(Exception):
    """Somebody is not let in; the text says why and what to do."""


class Gate:
    """Lets devices in by a link and knows them again by a cookie.

    A link is good once and for ten minutes.  After too many wrong links every open link is void.
    `clock` gives seconds that never run backwards.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._links: dict[str, float] = {}
        self._devices: list[Device] = []
        self._tries = 0
        self._numbers = count(1)

    def open_link(self) -> str:
        """The secret part of a new link."""
        secret = secrets.token_urlsafe(SECRET_BYTES)
        with self._lock:
            self._links[secret] = self._clock() + LINK_SECONDS
            self._tries = 0
        return secret

    def is_good(self, secret: str) -> bool:
        """Whether a link is still good; looking at it does not use it up."""
        with self._lock:
            return self._open_link_of(secret) is not None

    def admit(self, secret: str, by: str) -> Device:
        """Let a device in and use its link up; raises Shut with the reason if it may not come
        in.
        """
        name = " ".join(by.split())[:MOST_NAME]
        with self._lock:
            link = self._open_link_of(secret)
            if link is None:
                self._count_wrong()
                raise NotLetIn("this link is used up or too old: ask for a new one at the machine")
            if not name:
                raise NotLetIn("a reading counts with a name under it: say who you are")
            if len(self._devices) >= MOST_DEVICES:
                raise NotLetIn(f"{MOST_DEVICES} devices are in already: put one of them out first")
            del self._links[link]
            device = Device(
                number=next(self._numbers),
                by=name,
                cookie=secrets.token_urlsafe(SECRET_BYTES),
                form_mark=secrets.token_urlsafe(SECRET_BYTES),
            )
            self._devices.append(device)
            return device

    def known(self, cookie: str) -> Device | None:
        """The device that bears a cookie, if it was let in and not put out."""
        with self._lock:
            bearer = None
            for device in self._devices:
                if same_secret(device.cookie, cookie):
                    bearer = device
            return bearer

    def devices(self) -> tuple[Device, ...]:
        """Every device that is in, the first one first."""
        with self._lock:
            return tuple(self._devices)

    def put_out(self, number: int | None) -> None:
        """Let a device in no longer; a number that is not in changes nothing."""
        with self._lock:
            self._devices = [device for device in self._devices if device.number != number]

    def _open_link_of(self, secret: str) -> str | None:
        """The open link that a secret spells, compared in constant time."""
        now = self._clock()
        self._links = {link: end for link, end in self._links.items() if end > now}
        open_link = None
        for link in self._links:
            if same_secret(link, secret):
                open_link = link
        return open_link

    def _count_wrong(self) -> None:
        self._tries += 1
        if self._tries >= MOST_TRIES:
            self._links.clear()


def same_secret(one: str, two: str) -> bool:
    """Whether two secrets are alike, in a time that does not tell where they differ."""
    return hmac.compare_digest(one.encode("utf-8", "replace"), two.encode("utf-8", "replace"))
