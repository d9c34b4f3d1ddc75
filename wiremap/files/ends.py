"""The ends of a job: which pinout each has, what it is, how its contacts are fed, how its switches
stand.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection

from wiremap.files import values, yamltext
from wiremap.files.contacts import LIMIT_C
from wiremap.files.faults import Faults, empty, listed, told
from wiremap.files.hints import short
from wiremap.files.lookalikes import remark_mixed_script
from wiremap.files.ranges import expand
from wiremap.files.strict import Map, Node, Scalar
from wiremap.files.values import FLAG, LATER, NAME, Table, read_map, stated
from wiremap.model import CHASSIS, End, EndKind, Fed, OnOff, Pinout, Side, frozen

MAX_ENDS = 500
FindPinout = Callable[[Faults, Node], Pinout | None]

ANY_MM = values.number(0, 1_000_000, "mm")
LENGTH_MM = values.number(0, 1_000_000, "mm", above=True)
RATING_A = values.number(0, 2000, "A", above=True)
ON_OFF = values.one_of(OnOff)

FED: Table = {
    "fuse": NAME,
    "found_amps": RATING_A,
    "fuse_amps": RATING_A,
    "milliohm": values.number(0, 1e6, "milliohm"),
    "length_mm": ANY_MM,
}
END: Table = {
    "pinout": LATER,
    "is": values.one_of(EndKind),
    "side": values.one_of(Side),
    "tail_mm": LENGTH_MM,
    "limit_C": LIMIT_C,
    "mated": FLAG,
    "fed": LATER,
    "switches": LATER,
}
PLAIN: Table = {key: kind for key, kind in END.items() if kind is not LATER}
BARE = ((EndKind.CUT_TAIL, Side.MACHINE), (EndKind.PIGTAIL, Side.UNIT))  # ends named by a file only


def own_name(faults: Faults, key: Scalar, what: str, taken: Collection[str] = ()) -> str | None:
    """The name of an end or extra: no dots, no spaces, not `chassis`, not taken."""
    word = values.name(faults, key, what)
    if word is None:
        return None
    if "." in word or re.search(r"\s", word) or word.startswith("~") or word == CHASSIS:
        faults.add(
            "wrong-name",
            f"`{short(word)}` cannot be the name of an {what}",
            key,
            "No dots and no spaces (an address such as loom.1 is parted at its first dot); "
            "`chassis` is taken.",
        )
        return None
    if word in taken:
        message = f"`{short(word)}` names an end and an extra"
        faults.add("duplicate-key", message, key, "Rename one of the two.")
        return None
    remark_mixed_script(faults, word, key)
    return word


class Ends:
    """Reads the ends of one job; `named` holds those as well whose pinout could not be read."""

    def __init__(self, faults: Faults, find_pinout: FindPinout) -> None:
        self.faults = faults
        self.find_pinout = find_pinout
        self.found: dict[str, End] = {}
        self.named: set[str] = set()
        self._bare = list(BARE)

    def read(self, node: Node) -> None:
        """Every end by its name."""
        faults = self.faults
        rows = values.entries(faults, node, "`ends`")
        if isinstance(node, Map) and not rows:
            fix = "Write `ends: {loom: old.yaml, donor: new.yaml}`."
            faults.add("missing-value", "`ends` names no end", node, fix)
        if len(rows) > MAX_ENDS:
            faults.add(
                "over-limit", f"more than {MAX_ENDS} ends in one job", node, "Split the job."
            )
            return
        for key, value in rows:
            word = own_name(faults, key, "end")
            if word is None:
                continue
            self.named.add(word)
            faults.where = f"end {short(word, 40)}"
            if isinstance(value, Scalar) and not empty(value):
                end = self._bare_end(word, key, value)
            else:
                end = self._end(word, key, value)
            if end is not None:
                self.found[word] = end
        faults.where = ""

    def _bare_end(self, word: str, key: Scalar, value: Scalar) -> End | None:
        """An end that is a file's name: the first the machine's cut tail, the second the unit's
        pigtail.
        """
        faults = self.faults
        pinout = self.find_pinout(faults, value)
        if not self._bare:
            faults.add(
                "missing-key",
                "a third end needs more than its file name",
                value,
                f"Write `{{pinout: {short(value.text)}, is: mate, side: between}}` "
                "with what it is and its side.",
            )
            return None
        kind, side = self._bare.pop(0)
        if pinout is None:
            return None
        return End(name=word, pinout=pinout, kind=kind, side=side, place=faults.place(key))

    def _end(self, word: str, key: Scalar, node: Node) -> End | None:
        faults = self.faults
        got = read_map(faults, node, END, "an end", required=("pinout",))
        self._require(node, "is", listed(EndKind))
        self._require(node, "side", listed(Side))
        pinout = self.find_pinout(faults, got.pop("pinout")) if "pinout" in got else None
        if pinout is None or "is" not in got or "side" not in got:
            return None
        if "fed" in got:
            got["fed"] = frozen(self._fed(got["fed"], pinout))
        if "switches" in got:
            got["switches"] = frozen(self._switches(got["switches"], pinout))
        kind = got.pop("is")
        return End(name=word, pinout=pinout, kind=kind, place=faults.place(key), **got)

    def _require(self, node: Node, wanted: str, words: str) -> None:
        if isinstance(node, Map) and wanted not in node.entries:
            fix = f"Add `{wanted}: ...`, one of {words}."
            self.faults.add("missing-key", f"an end lacks `{wanted}`", node, fix)

    def _fed(self, node: Node, pinout: Pinout) -> dict[str, Fed]:
        faults, found = self.faults, dict[str, Fed]()
        known = pinout.cavities
        for key, value in values.entries(faults, node, "`fed`"):
            if faults.full:
                break
            for cavity in expand(faults, key, known):
                if cavity not in known:
                    told_so = f"`fed` names cavity `{short(cavity)}`, which {short(pinout.path)}"
                    faults.unlike("bad-reference", f"{told_so} does not have", key, cavity, known)
                entry = self._feed(cavity, value)
                if entry is not None:
                    found[cavity] = entry
        return found

    def _feed(self, cavity: str, value: Node) -> Fed | None:
        faults = self.faults
        if not isinstance(value, Scalar):
            got = read_map(faults, value, FED, "`fed`")
            unfused = got.get("fuse") == "none"
            if unfused:
                del got["fuse"]
            return Fed(cavity=cavity, unfused=unfused, place=faults.place(value), **got)
        if value.text.strip() == "none":
            return Fed(cavity=cavity, unfused=True, place=faults.place(value))
        message = f"`fed` of cavity `{short(cavity)}` must be `none` or keys with values, not "
        fix = "Write `{fuse: F7, fuse_amps: 5}`, or `none` if there is no fuse."
        faults.add("wrong-value", message + told(value), value, fix)
        return None

    def _switches(self, node: Node, pinout: Pinout) -> dict[str, OnOff]:
        faults, found = self.faults, dict[str, OnOff]()
        for key, value in values.entries(faults, node, "`switches`"):
            state = ON_OFF.read(faults, value, key.text)
            if key.text in pinout.switches:
                if state is not None:
                    found[key.text] = state
                continue
            message = f"{short(pinout.path)} has no switch `{short(key.text)}`"
            guess = faults.did_you_mean(key.text, pinout.switches)
            if guess:
                message = f"{message}; {guess}"
            faults.add("bad-reference", message, key, "Switches are declared in the pinout.")
        return found


def fed_text(fed: Fed) -> str:
    """How a contact is fed, as its text in a file."""
    pairs = stated(fed, FED)
    if fed.unfused:
        if not pairs:
            return "none"
        pairs.insert(0, ("fuse", "none"))
    return yamltext.flow(pairs)


def end_text(end: End, pinout: str) -> str:
    """An end as its text in a file, with its pinout under the given name."""
    pairs = [("pinout", yamltext.word(pinout)), ("is", str(end.kind))]
    pairs += stated(end, PLAIN)
    if end.fed:
        fed = [(yamltext.key(cavity), fed_text(feed)) for cavity, feed in end.fed.items()]
        pairs.append(("fed", yamltext.flow(fed)))
    if end.switches:
        pairs.append(("switches", yamltext.texts(end.switches)))
    return yamltext.flow(pairs)
