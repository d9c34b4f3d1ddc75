"""Words that name danger: held in many languages, compounds and spellings; false friends let go."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wiremap.trade.dangers import CLASSES, DangerKind, Treatment, dangers_in, names_alternating
from wiremap.trade.phrases import phrases
from wiremap.trade.slipping import weight_of
from wiremap.trade.tables import table

HERE = Path(__file__).parent
LISTS = {
    path.stem: tomllib.loads(path.read_text("utf-8"))
    for path in sorted((HERE / "danger_words").glob("*.toml"))
}
LEAST = 60  # wordings of each sort in a list
every_list = pytest.mark.parametrize("name", LISTS)


def stopped(wording: str) -> list[str]:
    """The kinds that hold a wording; a lamp that only tells of a danger holds nothing."""
    return [str(danger.kind) for danger in dangers_in(wording) if not danger.lamps_only]


@every_list
def test_words_drawn_up_beforehand_are_held(name: str) -> None:
    """Of wordings in many languages at least 95 % are held, as the kind that they are.

    Measured once before the table was mended by it: 330 of 333, 337 of 353, 247 of 255; of the
    last two, drawn up to be hard, 263 of 296 (a few of them no words) and 127 of 154 held.  Five
    more, before any of them was used, and after those before it were: sixth 66 of 67; seventh 61 of 67
    before; eighth (hard) 75 of 100 before, 83 after; ninth (hard) 82 of 98 before, 90 after; tenth, in
    the ordinary words of papers, 80 of 86 before, 84 after.  In trade shorthand, whatever the kind: eleventh
    159 of 170 before; twelfth 116 of 124 before; thirteenth 134 of 141 before.  As people type, slips of
    the hand among them: fourteenth 172 of 194 before; fifteenth, once those were mended, 132 of 143 before.
    Four more: sixteenth 262 of 281 before; seventeenth 296 of 323 before; eighteenth 333 of 351 before;
    nineteenth, once those were mended, 222 of 231 before.  Twentieth, of the mains: 44 of its first 132 before.
    Twenty-first, of attachments, knives and lock-outs: 96 of 158 before.
    Over all kinds and fourteen languages: twenty-second 190 of 200 before; twenty-third 104 of 110;
    twenty-fourth 102 of 110; twenty-fifth 101 of 110;
    twenty-sixth 104 of 110; twenty-seventh 105 of 112 before.
    Of throttles, gas, fences and remote stops, of which no word stood in the table: twenty-eighth none of 104
    before; twenty-ninth, once those were mended, 45 of 67 before.
    Over all kinds, throttles and gas first: thirtieth 182 of 199 before; and each once those before it were
    mended: thirty-first 73 of 90, thirty-second 61 of 68, thirty-third 52 of 62, thirty-fourth 57 of 63 before.
    As loom sheets have it: thirty-fifth 118 of 126; thirty-sixth, with boats, presses and gear ranges, of which no
    word stood in the table, 96 of 123 before; thirty-seventh, run together with capitals, 82 of 107 before;
    thirty-eighth, in the words of the workshop, 115 of 136 before; thirty-ninth,
    of all kinds, 116 of 117 before; fortieth, of ploughs, drills and rails, 90 of 123 before;
    forty-first, of loaders and trailers, 85 of 102 before.
    Of machines not met before: forty-second 45 of 118 and forty-third 56 of 140 before nouns and motions were
    combined, 111 and 137 once they were; forty-fourth 87 of 109 and forty-fifth 92 of 114, drawn up after that.
    Drawn up unseen, before pieces were combined too: forty-sixth 172 of 176 and forty-eighth 120 of 120, of all kinds;
    forty-seventh 129 of 183 and forty-ninth 109 of 120, of machines not met before.  Once they were: fiftieth 142 of 203
    and fifty-second 66 of 109, of machines not met before; fifty-first 131 of 136, of all kinds.  Once parts and
    motions stood by themselves, the fifty-second 88 of 109 before it was used, and fifty-third 91 of 128, of machines not met before;
    once endings counted, fifty-fourth 124 of 141, some 55 of them of all kinds.
    """
    every = [(kind, word) for kind, words in LISTS[name]["danger"].items() for word in words]
    missed = [(kind, wording) for kind, wording in every if not _is_held(kind, wording)]
    assert len(every) >= LEAST
    assert len(missed) <= 0.05 * len(every), missed


def _is_held(kind: str, wording: str) -> bool:
    held = stopped(wording)
    return bool(held) if kind == "any" else kind in held


@every_list
def test_harmless_words_are_let_go(name: str) -> None:
    """At most 5 % of ordinary wordings are stopped without cause.

    Measured once before the table was mended by it: 1 of 194, 0 of 195, 1 of 167, 16 of 199 and 1 of 80.
    Five more, likewise: 1 of 60; 6 of 60 before; 11 of 62 before, 3 after; 5 of 62 before, 1 after;
    2 of 60 before, none after.  Beside the shorthand: 1 of 143, 4 of 113, none of 115 before; as people type:
    2 of 113 and 4 of 90 before.  Four more: 8 of 134, 4 of 173,
    2 of 217 and none of 110 before.  Beside the mains: none of the first 106, before as after;
    of the twenty-first, 1 of 89 before as after; of the next six, 3 of 120 and 1 of 60 each before;
    of the two after them, none of 67 and 2 of 64 before; of the last five 3 of 86, 1 of 60, none of 66 and
    62, 1 of 63 before; of the five after them 4 of 67, 5 of 71, 1 of 70,
    4 of 83, 2 of 94 and,
    of the two after them, 2 of 81 and 2 of 77 before; of the four after them, 1 of 87, none of 95, 2 of 102
    and 6 of 103 (of these 5 by words of the table before) before; of the four after them, none of 102, 2 of 108,
    1 of 120 and 2 of 120; of the three after them 2 of 121,
    1 of 152 and 12 of 170; of the last two, 2 of 146 and none of 126.
    """
    every = [wording for words in LISTS[name]["harmless"].values() for wording in words]
    caught = [wording for wording in every if stopped(wording)]
    assert len(every) >= LEAST
    assert len(caught) <= 0.05 * len(every), caught


@pytest.mark.parametrize(
    "wording", ["Schutztür", "SCHUTZTÜR", "Schutztuer", "schutztur", "Schutztürkontakt 2"]
)
def test_accents_case_and_compounds_do_not_count(wording: str) -> None:
    assert ["guard"] == stopped(wording)


@pytest.mark.parametrize(
    "wording", ["E-stop", "EStop", "e stop", "E_STOP 2", "ESTOP", "emergency stop", "EmergencyStop"]
)
def test_words_may_be_run_together_or_parted(wording: str) -> None:
    assert ["emergency-stop"] == stopped(wording)


@pytest.mark.parametrize(
    ("wording", "held"),
    [
        ("Park. br. sol.", ["brakes"]),
        ("Arrêt urg. ch1", ["emergency-stop"]),
        ("Arr. d'urg. ch1", ["emergency-stop"]),
        ("Heckzapfw. ein", ["power-take-off"]),
        ("Pretens. L+", ["restraint"]),
        ("Stop. lamp", []),
        ("Rev. cam. 12 V", []),
        ("Temp. sens.", []),
        ("Str. lamp L.", []),
        ("Wischer vo. re.", []),
        ("Pumpe hi. re.", []),
    ],
)
def test_words_cut_short_by_a_full_stop(wording: str, held: list[str]) -> None:
    """They count as what they begin; of a few letters only beside a second word that fits."""
    assert held == stopped(wording)


@pytest.mark.parametrize(
    ("wording", "lamps_only"),
    [
        ("PTO", [False]),
        ("PTO lamp", [True]),
        ("PTO indicator lamp", [True]),
        ("PTO valve with lamp", [False]),
        ("ABS warning lamp", [True]),
        ("Kran Kontrollleuchte", [True]),
        ("light curtain", [False]),
        ("airbag lamp", [True]),
        ("airbag lamp relay coil", [False]),
        ("HV warning lamp", [True]),
        ("HV warning lamp 400 V", [False]),
        ("parking brake lamp", [True]),
        ("Dump valve lamp", [True]),
        ("Dump valve lamp L 2", [True]),
        ("Dump valve and lamp relay", [False]),
        ("Voyant électrovanne frein", [True]),
        ("Électrovanne frein voyant", [False]),
        ("Brk lgt L", []),
        ("parking brake lamp switch valve", [False]),
        ("emergency stop lamp", [True]),
        ("trailer brake lamps", []),
        ("wheel speed output to radio", [True]),
        ("crane operator radio", [True]),
        ("crane radio remote stop", [True, False]),
        ("travel pump hours", [True]),
        ("emergency stop hours", [False]),
        ("stop lamp", []),
        ("Bremslicht", []),
    ],
)
def test_a_lamp_that_tells_of_a_danger(wording: str, lamps_only: list[bool]) -> None:
    """A lamp, or what counts or plays, is told apart from what acts; volts of class B stay what they are."""
    assert lamps_only == [danger.lamps_only for danger in dangers_in(wording)]


@pytest.mark.parametrize(
    ("wording", "held"),
    [
        ("60 V", False),
        ("60.1 V", True),
        ("+400V", True),
        ("0.4 kV", True),
        ("24 V", False),
        ("30 VAC", False),
        ("31 V AC", True),
        ("60 vehicles", False),
        ("100 vane", False),
    ],
)
def test_volts_of_class_b_in_words(wording: str, held: bool) -> None:
    """ISO 6469-3: above 60 V DC or 30 V AC."""
    assert (["high-voltage"] if held else []) == stopped(wording)


@pytest.mark.parametrize(
    "wording",
    [
        "230 AC", "AC 230", "230V~", "mains in", "shore power", "Netz 230", "Netzanschluss",
        "Drehstrom", "secteur 230", "triphasé", "red eléctrica", "tensione di rete", "rede elétrica",
        "netstroom", "krachtstroom", "elnät", "netspænding", "verkkovirta", "napięcie sieciowe",
        "síťové napětí", "сеть 220 В", "380 В", "220 вольт",
    ],
)  # fmt: skip
def test_mains_in_words(wording: str) -> None:
    """Mains of 110 V to 415 V is class B, whether a figure says so or a word (IEC 60038)."""
    assert "high-voltage" in stopped(wording)


@pytest.mark.parametrize(
    ("wording", "said"),
    [
        ("24 V AC", True),
        ("24VAC supply", True),
        ("12 V~", True),
        ("AC generator", True),
        ("Wechselspannung 24 V", True),
        ("courant alternatif", True),
        ("vaihtojännite", True),
        ("AC compressor", False),
        ("A/C clutch", False),
        ("ACC 12 V", False),
        ("24 V", False),
    ],
)
def test_alternating_volts_in_words(wording: str, said: bool) -> None:
    """However few they are; the air conditioning, whose letters are the same, says nothing."""
    assert names_alternating(wording) is said


def test_what_a_danger_tells() -> None:
    """The wording's own words, the table's, its language, and how it is treated."""
    (danger,) = dangers_in("Feststellbremse, Magnetventil")
    assert "Feststellbremse" == danger.said
    assert DangerKind.BRAKES == danger.kind
    assert Treatment.LICENSED == danger.treatment
    assert danger.word and danger.language and danger.standing and danger.meaning
    assert Treatment.REFUSED == dangers_in("airbag")[0].treatment
    assert Treatment.ASKED == dangers_in("engine stop")[0].treatment


def test_every_kind_is_named_in_at_least_nine_languages() -> None:
    languages: dict[str, set[str]] = {str(kind): set() for kind in CLASSES}
    for row in table("dangers.toml").section("word"):
        languages[row["class"]].add(row["language"])
    assert {} == {kind: len(found) for kind, found in languages.items() if len(found) < 9}


def test_every_word_of_the_table_is_found_again() -> None:
    """No false friend hides a word of the table by itself, and none stands on an article."""
    lost = []
    for row in table("dangers.toml").section("word"):
        for word in row["words"]:
            plain = " ".join(
                part.split("|")[0].strip("*") for part in word.replace(" + ", " ").split()
            )
            if row["class"] not in [str(danger.kind) for danger in dangers_in(plain)]:
                lost.append((row["class"], row["language"], word))
    assert [] == lost


@pytest.mark.parametrize(
    ("wording", "held"),
    [
        ("ramp up", ["lifting"]),
        ("up, ramp 2", ["lifting"]),
        ("Ladderarm omhoog", ["lifting"]),
        ("Stelzarm heben", ["lifting"]),
        ("Fräswalzenventil", ["power-take-off"]),
        ("davit relay", ["lifting"]),
        ("conveyor fold", ["lifting", "power-take-off"]),
        ("conveyor motor", []),
        ("Spreading disc valve", []),
        ("salt conveyor vlv", []),
        ("Streuteller Ventil", []),
        ("Dosierventil Salz", []),
        ("Strooischijf ventiel", []),
        ("Convoyeur à sel, vanne", []),
        ("Levityslautanen nopeus", []),
        ("ramp", []),
        ("ramp lamp", []),
        ("ramp heater", []),
        ("Ramp wash pump", []),
        ("Rückfahralarm ein", []),
        ("mirror arm fold", []),
        ("Stump grinder wheel", ["power-take-off"]),
        ("Broyeur rotor", ["power-take-off"]),
        ("Rammhammer", ["lifting", "power-take-off"]),
        ("Отвал вниз", ["lifting"]),
        ("wheel shaft", []),
        ("Rotor 2", ["power-take-off"]),
        ("Rotor speed sensor", []),
        ("Tyre shredder rotor", ["power-take-off"]),
        ("Tyre pressure", []),
        ("Empaquetadora", ["power-take-off"]),
        ("Sgranatrice", ["power-take-off"]),
        ("Mechaniczna przesiewarka", ["power-take-off"]),
        ("Rohrschneider", ["power-take-off"]),
        ("Impresora", []),
        ("Feu veilleuse", []),
        ("Wood pulper knife", ["power-take-off"]),
        ("Grab 2", ["lifting"]),
        ("Grab level", []),
        ("blade fuse", []),
        ("cable clamp", []),
        ("jack plug", []),
        ("blade lower", ["lifting"]),
        ("Solar tracker tilt", ["tipping"]),
        ("Riot fence deploy", ["lifting"]),
        ("deploy", []),
        ("Channel up", []),
        ("Fensterheber auf", []),
        ("Disc valve open", []),
        ("Światło robocze", []),
        ("massage", []),
        ("Spinner guard loop out", ["guard"]),
        ("Spindeltemperatur", []),
        ("Scheibenwischer Stufe 1", []),
        ("oil press sw", []),
    ],
)
def test_a_part_and_its_motion_are_a_danger(wording: str, held: list[str]) -> None:
    """A noun and a motion, what feeds it or another piece of it, however they are put together; a lamp, water
    or a gauge is no motion, a word that means other things needs one, and a wording that the table of dangers has is what it says there."""
    assert held == stopped(wording)


def test_parts_and_motions_are_named_in_fourteen_languages() -> None:
    for section in ("part", "carry", "way", "fed", "piece"):
        assert 14 == len({row["language"] for row in table("parts.toml").section(section)})


@given(st.text(max_size=80))
def test_no_text_raises(text: str) -> None:
    assert all(danger.kind in CLASSES for danger in dangers_in(text))


@pytest.mark.parametrize(
    "section",
    [
        "word",
        "friend",
        "lamp",
        "acts",
        "tell",
        "command",
        "motion",
        "beside",
        "place",
        "alternating",
    ],
)
def test_every_wording_of_the_table_can_be_written_out(section: str) -> None:
    """Wordings are written out when first met: here all are, so that a wrong row is found."""
    of_table = phrases(section)
    patterns = [pattern for wording in of_table.wordings() for pattern in wording.patterns()]
    assert patterns
    for pattern in patterns:
        assert pattern in list(of_table.met("~".join(pattern.needles)))


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("Gaurd switch", "guard"),  # exchanged
        ("Outriger down", "outrigger"),  # one of two left out
        ("Bremmse hinten", "brakes"),  # doubled
        ("Safty gate sw", "guard"),  # left out
        ("Emergancy stop", "emergency-stop"),  # one wrong
        ("Ladeboardwand auf", "lifting"),  # one too many
        ("Frin à main", "brakes"),  # a vowel left out of a short word
        ("Rear stear lock", "steering"),  # a vowel that sounds like it
        ("Ohjausventiili", "steering"),  # behind a word that is ordinary by itself
        ("Bremzventil", "brakes"),  # within a compound
        ("Fahrtrichtg", "drive-direction"),  # drawn together
        ("Lid intrlk", "guard"),  # without vowels
        ("Emerg. stp", "emergency-stop"),  # in shorthand
        ("bescherm kap", "guard"),  # a compound written apart
        ("Sitz-Kontakt", "operator-presence"),
        ("arrêt dʼurgence", "emergency-stop"),  # with a letter for an apostrophe
        ("PdF", "power-take-off"),  # capitals within a short word
        ("Saet switch", "operator-presence"),  # two of four letters exchanged
        ("THROT ACT", "engine-speed"),  # cut short without a full stop
        ("Zapfw ein", "power-take-off"),  # within a compound
        ("FUEL S/O SOL", "engine-stop"),  # in letters round a stroke
        ("Druckluftbr.", "brakes"),  # the last word of a compound cut short
        ("Kraftst.-Absperrv.", "engine-stop"),  # both words of one
        ("dir. hydr. ventil", "steering"),
        ("EmgStpRly", "emergency-stop"),  # shorthand parted by capitals
        ("AC_L1", "high-voltage"),  # and by strokes
    ],
)
def test_slips_of_the_hand_as_people_type(typed: str, kind: str) -> None:
    assert kind in stopped(typed)


@pytest.mark.parametrize("wording", ["Bremslciht", "Bremslich li", "Bremse lihgt", "Stoppliht"])
def test_slips_in_the_words_of_a_lamp(wording: str) -> None:
    assert stopped(wording) == []


@pytest.mark.parametrize("wording", ["jarrupolkimen anturi", "Schwenkmotor", "Bremsluft"])
def test_a_danger_is_no_slip_for_a_friend(wording: str) -> None:
    """Near in letters to jarrupala, Schwenkmonitor and Bremslicht; each is what it says."""
    assert stopped(wording)


@pytest.mark.parametrize(
    ("typed", "meant", "weight"),
    [
        ("gaurd", "guard", 1),  # exchanged
        ("bremmse", "bremse", 1),  # doubled
        ("frin", "frein", 1),  # a vowel left out
        ("stear", "steer", 1),  # alike in sound
        ("emergemcy", "emergency", 2),  # another letter
        ("fahrtrichtg", "fahrtrichtung", 3),  # two letters lost in a long word
        ("wagen", "waren", 0),  # too short for that
        ("bremsen", "bremsem", 0),  # the last letter inflects
        ("tremse", "bremse", 0),  # the first one is right
        ("guard", "guard", 0),
        ("saet", "seat", 1),  # exchanged
        ("seet", "seat", 0),  # too short for another
    ],
)
def test_what_slips_weigh(typed: str, meant: str, weight: int) -> None:
    """Light slips weigh one, others two; the longer the word, the more is allowed."""
    assert weight_of(typed, meant) == weight


@pytest.mark.parametrize(
    "wording",
    [
        "Linker Blinker",
        "Wischermotor",
        "Remlichten",
        "Kraftstoffpumpe",
        "Steel tank",
        "Breakout box",
    ],
)
def test_a_word_of_its_own_is_no_slip_for_another(wording: str) -> None:
    """Near in letters to Lenker, Winsch, Remlucht, Kraftheber, steering and brake (common practice)."""
    assert stopped(wording) == []


@pytest.mark.parametrize(
    ("wording", "held"),
    [
        ("Auger valve reverse", []),
        ("Fan drive reverse sol", []),
        ("Reverse conveyor", []),
        ("Gebläse rückw.", []),
        ("Förderband reversieren", []),
        ("Vis, marche arrière", []),
        ("ventilador reversa", []),
        ("nastro indietro", []),
        ("ventilator achteruit", []),
        ("wentylator wstecz", []),
        ("fläkt bakåt", []),
        ("kuljetin taaksepäin", []),
        ("šnek vzad", []),
        ("шнек реверс", []),
        ("Reverse", ["drive-direction"]),
        ("Pump reverse", ["drive-direction"]),
        ("Drive pump reverse", ["drive-direction"]),
        ("Travel reverse auger", ["drive-direction"]),
        ("Auger reverse, travel reverse", ["drive-direction"]),
        ("Reverse gear fan", ["drive-direction"]),
        ("Fahren rückwärts Schnecke", ["drive-direction"]),
        ("PTO reverse auger", ["power-take-off"]),
    ],
)
def test_an_implement_that_turns_back_drives_nowhere(wording: str, held: list[str]) -> None:
    """Nor does it take back what the machine itself does; a pump may be the one that drives."""
    assert stopped(wording) == held


def test_a_friend_never_hides_a_danger_that_reaches_beyond_it() -> None:
    """A lift pump moves fuel; a tail lift's pump moves the tail lift."""
    assert stopped("Lift pump relay") == []
    assert stopped("Tail lift pump relay") == ["lifting"]


@pytest.mark.parametrize(
    "wording", ["Boom", "Stop lamp", "Dump valve lamp", "hold to", "4 ws", "AC"]
)
@pytest.mark.parametrize("number", ["1", "2", "17", "230", "4711"])
def test_a_number_behind_only_counts(wording: str, number: str) -> None:
    """It changes nothing, unless the table has it: `AC 230` is mains."""
    alone, counted = dangers_in(wording), dangers_in(f"{wording} {number}")
    assert counted == alone or (wording, number) == ("AC", "230")


@pytest.mark.parametrize("wording", ["seat sw.", "seat s/w", "oper. seat", "Seat Sw."])
def test_a_switch_cut_short_is_no_swivel(wording: str) -> None:
    """`sw.` is a switch on every drawing (common practice)."""
    assert [str(danger.kind) for danger in dangers_in(wording)] == ["operator-presence"]


@pytest.mark.parametrize(
    "wording",
    [
        "E-stop lamp and contact",
        "Airbag Lampe und Zünder",
        "guard lamp, guard contact",
        "voyant frein et électrovanne",
        "luz de freno y válvula",
        "lampka hamulca i zawór",
        "tail lift lamp/valve",
        "two-hand lamp button",
        "dead man lamp pedal",
        "parking brake lamp + release",
    ],
)
def test_a_lamp_excuses_nothing_that_stands_behind_it(wording: str) -> None:
    """What a wording names beside the lamp still acts."""
    assert stopped(wording)


@pytest.mark.parametrize(
    "wording",
    [
        "boom light raise",
        "Hubmast Leuchte heben",
        "winch light in",
        "HV lamp contactor",
        "neutral lamp start inhibit",
        "drive enable LED out",
        "crane lamp lower LH",
        "Forklift clamp squeeze",
        "Ausleger Licht ausfahren",
        "fourche éclairage descente",
        "kraan lamp omhoog",
        "puomi valo ylös",
    ],
)
def test_a_lamp_excuses_no_motion_behind_it(wording: str) -> None:
    """What goes somewhere, or may, is named round the lamp."""
    assert stopped(wording)


@pytest.mark.parametrize(
    "wording",
    [
        "lamp boom raise",
        "red LED PTO engage",
        "Kontrollleuchte Kran heben",
        "voyant levée benne",
        "boom light left",
        "PTO lamp switch",
        "brake/tail lamp",
        "guard lamp / GND",
        "parking brake lamp, ground",
        "airbag lamp -",
        "winch lamp +",
        "brake, tail and turn lamps",
        "crane work lights left/right",
        "voyant frein",
        "guard lamp supply",
        "E-stop lamp 1/2",
    ],
)
def test_a_lamp_with_its_own_ground_or_switch_stays_a_lamp(wording: str) -> None:
    assert stopped(wording) == []
