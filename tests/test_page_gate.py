"""Who comes in to the page: a link once and for ten minutes, a cookie each, wrong tries limited."""

from __future__ import annotations

import pytest

from wiremap.page.gate import LINK_SECONDS, MOST_DEVICES, MOST_TRIES, Gate, NotLetIn


class Clock:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


def test_a_link_is_good_once() -> None:
    """The second device that presses begin on the same link stays out."""
    gate = Gate()
    link = gate.open_link()
    assert gate.admit(link, "RK").by == "RK"
    with pytest.raises(NotLetIn, match="used up"):
        gate.admit(link, "somebody else")


def test_looking_at_a_link_does_not_use_it_up() -> None:
    """A program that fetches previews burns nothing."""
    gate = Gate()
    link = gate.open_link()
    assert all(gate.is_good(link) for _ in range(5))
    assert gate.admit(link, "RK").number == 1


def test_a_link_is_good_for_ten_minutes() -> None:
    """One moment before the end it lets in, at the end no more."""
    clock = Clock()
    gate = Gate(clock)
    early, late = gate.open_link(), gate.open_link()
    clock.now += LINK_SECONDS - 0.1
    assert gate.admit(early, "RK").number == 1
    clock.now += 0.1
    assert not gate.is_good(late)
    with pytest.raises(NotLetIn):
        gate.admit(late, "RK")


def test_a_name_is_wanted() -> None:
    """Nobody comes in without a name, and the link stays good for the one who gives it."""
    gate = Gate()
    link = gate.open_link()
    with pytest.raises(NotLetIn, match="name"):
        gate.admit(link, "  \n ")
    assert gate.admit(link, " R\nK ").by == "R K"


def test_guessing_closes_every_link() -> None:
    """After so many wrong links no open one is good any more; one fewer, and it still is."""
    for wrong in (MOST_TRIES - 1, MOST_TRIES):
        gate = Gate()
        link = gate.open_link()
        for guess in range(wrong):
            with pytest.raises(NotLetIn):
                gate.admit(f"guess {guess}", "guesser")
        assert gate.is_good(link) == (wrong < MOST_TRIES)


def test_a_device_that_was_put_out_is_known_no_longer() -> None:
    """Putting one out leaves the other in."""
    gate = Gate()
    one = gate.admit(gate.open_link(), "one")
    two = gate.admit(gate.open_link(), "two")
    gate.put_out(one.number)
    assert gate.known(one.cookie) is None
    assert gate.known(two.cookie) == two
    assert gate.devices() == (two,)


def test_no_cookie_no_device() -> None:
    """An empty, a foreign or an odd cookie is nobody's."""
    gate = Gate()
    device = gate.admit(gate.open_link(), "RK")
    for cookie in ("", "x", device.cookie[:-1], device.cookie + "x", "\udc80", "ä"):
        assert gate.known(cookie) is None


def test_so_many_devices_and_no_more() -> None:
    """The one too many is told so, and its link stays good for when there is room."""
    gate = Gate()
    for number in range(MOST_DEVICES):
        gate.admit(gate.open_link(), f"device {number}")
    link = gate.open_link()
    with pytest.raises(NotLetIn, match="devices are in already"):
        gate.admit(link, "one more")
    gate.put_out(1)
    assert gate.admit(link, "one more").by == "one more"
