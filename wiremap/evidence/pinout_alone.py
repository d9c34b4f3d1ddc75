"""A pinout by itself, as a job that can be surveyed and asked about."""

from __future__ import annotations

from dataclasses import replace

from wiremap.model import Address, End, EndKind, Entry, Job, Notebook, Pinout, Side, frozen


def alone(
    pinout: Pinout,
    notebooks: tuple[Notebook, ...] = (),
    name: str = "end",
    side: Side = Side.MACHINE,
) -> Job:
    """A job of one pinout, to be surveyed and asked about.

    Bare cavities in its notebooks get the end's name.
    """
    end = End(name=name, pinout=pinout, kind=EndKind.CUT_TAIL, side=side)
    named = tuple(
        replace(n, entries=tuple(_named(e, pinout, name) for e in n.entries)) for n in notebooks
    )
    return Job(
        title=pinout.title, path=pinout.path, ends=frozen({name: end}), circuits=(), notebooks=named
    )


def _named(entry: Entry, pinout: Pinout, name: str) -> Entry:
    def full(text: str) -> Address:
        bare = text in pinout.cavities or text in pinout.switches
        if bare or Address.read(text).end in pinout.cavities:
            return Address(name, text)
        return Address.read(text)

    return replace(
        entry,
        about=str(full(entry.about)),
        red=tuple(map(full, entry.red)),
        black=tuple(map(full, entry.black)),
        subject=tuple(map(full, entry.subject)),
    )
