"""Wire colours: three letter systems and words, read and written back.

Sources of the letters: IEC 60757 (national adoption), DIN 47100 and DIN 72551 practice, legends of three Japanese
vehicle makers.  What readers mistake, and what is hard to tell apart, is common practice.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wiremap.trade.colours import (
    BASES,
    CODES,
    SYSTEMS,
    Colour,
    ColourFault,
    Letters,
    confusable,
    paper_letters,
    read_colour,
    translate,
)

# IEC 60757, table 1, in its order (gold, turquoise and silver follow pink there).
IEC = {
    "BK": "black",
    "BN": "brown",
    "RD": "red",
    "OG": "orange",
    "YE": "yellow",
    "GN": "green",
    "BU": "blue",
    "VT": "violet",
    "GY": "grey",
    "WH": "white",
    "PK": "pink",
    "GD": "gold",
    "TQ": "turquoise",
    "SR": "silver",
}
# DIN 47100 / DIN 72551 practice.
GERMAN = {
    "sw": "black",
    "br": "brown",
    "rt": "red",
    "ro": "red",
    "or": "orange",
    "ge": "yellow",
    "gn": "green",
    "bl": "blue",
    "vi": "violet",
    "li": "violet",
    "gr": "grey",
    "ws": "white",
    "rs": "pink",
    "tk": "turquoise",
    "hb": "light-blue",
}
# Legends of three Japanese vehicle makers (Sb in one of them).
JAPANESE = {
    "B": "black",
    "Br": "brown",
    "R": "red",
    "O": "orange",
    "Or": "orange",
    "Y": "yellow",
    "G": "green",
    "L": "blue",
    "V": "violet",
    "Gr": "grey",
    "W": "white",
    "P": "pink",
    "Sb": "light-blue",
    "Lb": "light-blue",
    "Lg": "light-green",
}
TABLES: dict[Letters, dict[str, str]] = {"iec": IEC, "german": GERMAN, "japanese": JAPANESE}


def read(text: str, letters: Letters | None = None) -> Colour:
    colour = read_colour(text, letters)
    assert isinstance(colour, Colour), colour
    return colour


def refused(text: str, letters: Letters | None = None) -> ColourFault:
    fault = read_colour(text, letters)
    assert isinstance(fault, ColourFault), fault
    return fault


@pytest.mark.parametrize(
    ("letters", "code", "base"),
    [(system, code, base) for system, codes in TABLES.items() for code, base in codes.items()],
)
def test_every_code_reads_in_its_own_system(letters: Letters, code: str, base: str) -> None:
    """IEC 60757; DIN 47100 practice; Japanese legends."""
    assert (base, ()) == (read(code, letters).base, read(code, letters).tracers)
    assert code == read(code, letters).written


def test_no_code_is_known_beyond_the_tables() -> None:
    """`Pu` for purple is common practice in Japanese legends; all others stand in the published tables."""
    for system, codes in TABLES.items():
        extra = set(CODES[system]) - {code.casefold() for code in codes}
        assert extra == ({"pu"} if system == "japanese" else set())


def test_joined_iec_letters_do_not_tell_the_base() -> None:
    """IEC 60757: two colours are joined in the order of the table; its own example is RDBU for red and blue."""
    colour = read("RDBU", "iec")
    assert not colour.ordered
    assert {"red", "blue"} == set(colour.colours)
    assert (colour.word, colour.iec) == ("red and blue, order unknown", "RDBU")
    assert colour.same_as(read("BURD", "iec"))
    assert not colour.same_as(read("RD/BU", "iec"))


def test_green_and_yellow_stand_together() -> None:
    """IEC 60757: green-and-yellow is one designation, GNYE."""
    assert (read("GNYE").word, read("GNYE").iec) == ("green and yellow", "GNYE")


@pytest.mark.parametrize(
    ("text", "letters", "word", "iec"),
    [
        (
            "GN/WH",
            "iec",
            "green with white tracer",
            "GN/WH",
        ),  # common practice: a slash puts the base first
        ("WH/GN", "iec", "white with green tracer", "WH/GN"),
        ("VT/GN", None, "violet with green tracer", "VT/GN"),
        ("GY/PK", None, "grey with pink tracer", "GY/PK"),
        (
            "ws/sw",
            "german",
            "white with black tracer",
            "WH/BK",
        ),  # DIN 47100 practice: base, then tracer
        ("wssw", "german", "white with black tracer", "WH/BK"),
        ("rt/bl", None, "red with blue tracer", "RD/BU"),
        ("gr/rs", "german", "grey with pink tracer", "GY/PK"),
        ("bl/ge", None, "blue with yellow tracer", "BU/YE"),
        (
            "G/Y",
            "japanese",
            "green with yellow tracer",
            "GN/YE",
        ),  # Japanese legends: base, then stripe
        ("GY", "japanese", "green with yellow tracer", "GN/YE"),
        ("L-Y", "japanese", "blue with yellow tracer", "BU/YE"),
        ("GrR", "japanese", "grey with red tracer", "GY/RD"),  # the longest letters first
        ("LgB", "japanese", "light green with black tracer", "light-green/BK"),
        ("BR", "japanese", "brown", "BN"),
        (
            "BKWHYE",
            "iec",
            "black with white and yellow tracers",
            "BK/WH/YE",
        ),  # DIN 72551 cable name: base first
        ("swwsge", "german", "black with white and yellow tracers", "BK/WH/YE"),
    ],
)
def test_two_and_three_colours(text: str, letters: Letters | None, word: str, iec: str) -> None:
    colour = read(text, letters)
    assert (word, iec, True) == (colour.word, colour.iec, colour.ordered)


# The demo's own invented loom, donor and gateway colours, each with the letters its paper uses.
DEMO: list[tuple[Letters, str, str]] = [
    *(
        ("iec", code, word)
        for code, word in [
            ("RD", "red"),
            ("BN", "brown"),
            ("GN/WH", "green with white tracer"),
            ("BK", "black"),
            ("WH/GN", "white with green tracer"),
            ("YE", "yellow"),
            ("GN", "green"),
            ("BU", "blue"),
            ("RDBU", "red and blue, order unknown"),
            ("GY", "grey"),
            ("GY/PK", "grey with pink tracer"),
            ("VT/GN", "violet with green tracer"),
        ]
    ),
    *(
        ("german", code, word)
        for code, word in [
            ("sw", "black"),
            ("rt/bl", "red with blue tracer"),
            ("rt", "red"),
            ("rs", "pink"),
            ("sw/ws", "black with white tracer"),
            ("vi", "violet"),
            ("ge", "yellow"),
            ("ws", "white"),
            ("blank", "bare"),
            ("br", "brown"),
            ("ws/gn", "white with green tracer"),
            ("gn/ws", "green with white tracer"),
            ("bl/ge", "blue with yellow tracer"),
            ("bl/rt", "blue with red tracer"),
            ("gr", "grey"),
            ("gr/rs", "grey with pink tracer"),
            ("or", "orange"),
            ("vi/gn", "violet with green tracer"),
        ]
    ),
    *(
        ("japanese", code, word)
        for code, word in [
            ("Y", "yellow"),
            ("G", "green"),
            ("L", "blue"),
            ("W", "white"),
            ("P", "pink"),
            ("B", "black"),
            ("R", "red"),
            ("bare", "bare"),
        ]
    ),
]


@pytest.mark.parametrize(("letters", "code", "word"), DEMO)
def test_demo_colours(letters: Letters, code: str, word: str) -> None:
    assert word == read(code, letters).word


@pytest.mark.parametrize(
    "text",
    [
        "gr",
        "GR",
        "B",
        "b",
        "BL",
        "bl",
        "L",
        "P",
        "br",
        "BR",
        "rs",
        "SB",
        "Sb",
        "LG",
        "LB",
        "G",
        "GY",
        "OG",
        "ro",
        "gr/rs",
    ],
)
def test_ambiguous_letters_are_refused_without_a_system(text: str) -> None:
    """Common practice: papers and readers differ on these; each reading is listed with who reads it so."""
    fault = refused(text)
    assert len(fault.readings) >= 2
    assert fault.why
    assert "letters" in fault.fix


@pytest.mark.parametrize(
    ("text", "base"),
    [
        ("rt", "red"),
        ("BK", "black"),
        ("sw", "black"),
        ("WH", "white"),
        ("ws", "white"),
        ("ge", "yellow"),
        ("YE", "yellow"),
        ("GN", "green"),
        ("gn", "green"),
        ("BU", "blue"),
        ("VT", "violet"),
        ("vi", "violet"),
        ("R", "red"),
        ("W", "white"),
        ("Y", "yellow"),
        ("OR", "orange"),
        ("BN", "brown"),
        ("RD", "red"),
        ("PK", "pink"),
    ],
)
def test_letters_that_mean_one_thing_need_no_system(text: str, base: str) -> None:
    assert base == read(text).base


def test_the_paper_proves_its_letters() -> None:
    """`GY` is grey or green-yellow by itself; beside `WH` and `RD` a paper can only be IEC.  `gr` stays refused."""
    assert paper_letters(["GY", "WH", "RD", "white"]) == "iec"
    colour = read_colour("GY", None, "iec")
    assert isinstance(colour, Colour)
    assert colour.base == "grey"
    assert paper_letters(["sw", "gr", "bl"]) == "german"
    assert isinstance(read_colour("gr", None, "german"), ColourFault)
    assert paper_letters(["GY", "OG"]) is None
    assert paper_letters(["WH", "sw"]) is None


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("red", "red"),
        ("white/green", "white with green tracer"),
        ("brown", "brown"),
        ("Grey", "grey"),
        ("gray", "grey"),
        ("rot", "red"),
        ("schwarz/weiß", "black with white tracer"),
        ("noir", "black"),
        ("vert/blanc", "green with white tracer"),
        ("röd", "red"),
        ("svart", "black"),
        ("musta", "black"),
        ("vihreä", "green"),
        ("czerwony", "red"),
        ("żółty", "yellow"),
        ("modrá", "blue"),
        ("černá", "black"),
        ("purple", "violet"),
        ("green with white tracer", "green with white tracer"),
        ("red and blue", "red and blue, order unknown"),
        ("Red with Blue Stripe", "red with blue tracer"),
        ("light blue", "light blue"),
        ("BLK/WHT", "black with white tracer"),
        ("hellblau/schwarz", "light blue with black tracer"),
        ("white green", "green and white, order unknown"),
    ],
)
@pytest.mark.parametrize("letters", [None, *SYSTEMS])
def test_words_read_whatever_the_letters(text: str, word: str, letters: Letters | None) -> None:
    """Colour words of seven languages, from memory, unverified."""
    assert word == read(text, letters).word


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "xx",
        "0.5",
        "GN/",
        "/",
        "GN/GN",
        "GNWHBKRD",
        "red/red",
        "?",
        "QQ/BK",
        "a" * 10_000,
        "\u202eGN",
        "🟥",
        "GN\nWH/ZZ",
    ],
)
def test_what_is_no_colour_is_a_fault(text: str) -> None:
    assert refused(text).why


def test_letters_of_another_system_are_told() -> None:
    fault = refused("rt", "iec")
    assert "IEC 60757" in fault.why
    assert fault.readings == ("red (German letters)",)


@pytest.mark.parametrize(
    ("one", "two"),
    [
        ("black", "blue"),
        ("black", "brown"),
        ("brown", "violet"),
        ("blue", "violet"),
        ("pink", "red"),
        ("grey", "white"),
        ("orange", "red"),
    ],
)
def test_confusable_in_poor_light(one: str, two: str) -> None:
    """Common practice: black, blue, brown and violet are never told apart by hue alone."""
    assert confusable(one, two)
    assert confusable(two, one)


@pytest.mark.parametrize(
    ("one", "two"), [("black", "yellow"), ("red", "green"), ("white", "black"), ("yellow", "blue")]
)
def test_not_confusable(one: str, two: str) -> None:
    assert not confusable(one, two)


def test_exchanged_base_and_tracer_are_confusable() -> None:
    assert confusable(read("GN/WH"), read("WH/GN"))
    assert confusable(read("RD/BU"), read("PK/VT"))
    assert not confusable(read("GN/WH"), read("GN", "iec"))


coded = st.sampled_from([(system, code) for system in SYSTEMS for code in TABLES[system]])


@given(system=st.sampled_from(SYSTEMS), data=st.data())
def test_round_trip_through_letters(system: Letters, data: st.DataObject) -> None:
    """What a system can say reads back to the same colour, and the writing is kept."""
    names = sorted(set(TABLES[system].values()))
    picked = data.draw(st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True))
    colour = Colour(picked[0], tuple(picked[1:]), True, "as found")
    written = translate(colour, system)
    assert written is not None
    again = read(written, system)
    assert colour.same_as(again)
    assert written == again.written


@given(one=st.sampled_from(sorted(IEC.values())), two=st.sampled_from(sorted(IEC.values())))
def test_unordered_pairs_stay_unordered(one: str, two: str) -> None:
    if one == two:
        return
    code = {name: letters for letters, name in IEC.items()}
    colour = read(code[one] + code[two], "iec")
    assert not colour.ordered
    assert colour.same_as(read(code[two] + code[one], "iec"))
    assert colour.same_as(read(colour.iec, "iec"))
    assert translate(colour, "german") is None


@given(st.text(max_size=80), st.sampled_from([None, *SYSTEMS]))
def test_nothing_raises(text: str, letters: Letters | None) -> None:
    found = read_colour(text, letters)
    assert isinstance(found, ColourFault) or found.word


def test_every_word_of_a_colour_reads_back() -> None:
    for name in BASES:
        assert name == read(name).base
        assert read(name).same_as(read(read(name).word))


def test_translation_between_systems() -> None:
    """IEC 60757, DIN 47100 practice and the Japanese legends side by side."""
    assert translate(read("BK/WH"), "german") == "sw/ws"
    assert translate(read("BU/YE"), "japanese") == "L/Y"
    assert translate(read("gn/ws"), "iec") == "GN/WH"
    assert translate(read("TQ"), "japanese") is None
