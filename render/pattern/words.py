"""The words a pattern is marked with, and what may be said along with each."""

import math
import re
from collections.abc import Callable, Iterable, Mapping
from difflib import get_close_matches

from render.colour.srgb import parse_colour
from render.errors import SettingError, did_you_mean
from render.units import parse_gauge_mm, parse_length_mm

STITCHES = {
    "whole": "cross, twist, cross: looks woven",
    "half": "cross, twist: an open lattice",
    "double": "cross, twist, cross, twist",
    "ground": "a ground of another kind than the pattern's own",
    "open": "nothing is worked there",
}
GROUNDS = {
    "torchon": "CT p CT",
    "twisted": "CT p CTT",
    "doubled": "CTCT p CTCT",
    "point": "CTTT p",
    "honeycomb": "CTT p CTT",
    "rose": "pins CT p CT, crossings without pin CTCT",
    "brussels": "CTCT p CTCTT",
    "valenciennes": "plaited sides, joined CT p CT",
    "spider": "legs meet at one pin",
}
LINES = {
    "plait": "two pairs, half stitch repeated",
    "leaf": "a woven leaf, pointed at its ends",
    "square-leaf": "a woven leaf with square ends",
    "gimp": "a thick thread laid through the pairs",
    "footside": "the straight edge that is sewn on",
    "headside": "the free edge",
    "direction": "which way the region it lies in is worked",
    "join": "where two pieces of pricking meet",
}

MOST_TWISTS = 9
LOOSEST, CLOSEST = 0.1, 10.0

Check = Callable[[str], None]


def check_stitch(text: str) -> None:
    """Refuse what is no stitch word."""
    if text not in STITCHES:
        raise SettingError(f'unknown stitch "{text}"; {did_you_mean(text, STITCHES)}')


def check_line(text: str) -> None:
    """Refuse what is no line word."""
    if text not in LINES:
        raise SettingError(f'unknown line "{text}"; {did_you_mean(text, LINES)}')


def check_ground(text: str) -> None:
    """Refuse what is neither the name of a ground nor spelt in C, T and p."""
    if text in GROUNDS:
        return
    if not re.fullmatch("[CTp]{1,40}", text):
        hint = did_you_mean(text, GROUNDS)
        raise SettingError(
            f'unknown ground "{text}"; {hint}'
            + ("" if "did you" in hint else ", or letters C, T, p")
        )
    if "C" not in text or text.count("p") > 1 or text.startswith("p"):
        raise SettingError(
            f'the ground "{text}" cannot be worked; it needs a C, and at most one p, after it'
        )


def whole_number(low: int, high: int) -> Check:
    """Return a check that takes whole numbers of a range."""

    def check(text: str) -> None:
        if not re.fullmatch(r"\d{1,9}", text, re.ASCII) or not low <= int(text) <= high:
            raise SettingError(f'is "{text}"; it must be a whole number from {low} to {high}')

    return check


def number(low: float, high: float) -> Check:
    """Return a check that takes numbers of a range."""

    def check(text: str) -> None:
        value = parse_number(text)
        if value is None or not low <= value <= high:
            raise SettingError(f'is "{text}"; it must be a number from {low:g} to {high:g}')

    return check


def one_of(*choices: str) -> Check:
    """Return a check that takes a few words."""

    def check(text: str) -> None:
        if text not in choices:
            raise SettingError(f'is "{text}"; {did_you_mean(text, choices)}')

    return check


def check_gauge(text: str) -> None:
    """Refuse what is no thread diameter in mm."""
    parse_length_mm(text)
    parse_gauge_mm(text)


def check_colour(text: str) -> None:
    """Refuse what is no colour."""
    parse_colour(text)


def check_text(text: str) -> None:
    """Take any text that says something."""
    if not text:
        raise SettingError("is empty; write something or leave it out")


REGION_OPTIONS: Mapping[str, Check] = {
    "pairs": whole_number(1, 500),
    "density": number(LOOSEST, CLOSEST),
    "colour": check_colour,
    "tie": whole_number(0, MOST_TWISTS),
    "ground": check_ground,
    "area": check_text,
}
LINE_OPTIONS: Mapping[str, Check] = {
    "twists": whole_number(0, MOST_TWISTS),
    "width-mm": number(0.3, 50),
    "picots": one_of("left", "right", "both"),
    "passives": whole_number(0, 50),
    "colour": check_colour,
    "gauge-mm": check_gauge,
    "stitch": check_stitch,
}
ROOT_WORDS = (
    "title", "maker", "notes", "down", "ground", "thread", "gauge-mm", "repeat", "leg-twists",
    "format",
)  # fmt: skip
ELEMENT_WORDS = frozenset({"stitch", "line", "role", *REGION_OPTIONS, *LINE_OPTIONS})


def parse_number(text: str) -> float | None:
    """Return a finite number, None where the text is none."""
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def wrong_options(options: Mapping[str, str], table: Mapping[str, Check]) -> list[str]:
    """Return what is wrong with the values of options, one sentence each.

    Parameters
    ----------
    options
        Values by name; names the table does not hold are passed over.
    table
        REGION_OPTIONS or LINE_OPTIONS.
    """
    wrong = []
    for name, text in options.items():
        try:
            if name in table:
                table[name](text)
        except SettingError as error:
            joint = " " if str(error).startswith("is ") else ": "
            wrong.append(f"data-{name}{joint}{error}")
    return wrong


def misspelt(names: Iterable[str], known: Iterable[str]) -> dict[str, str]:
    """Return the names that are nearly, but not quite, a known one, each with the one it is like.

    Drawing programs write ``data-`` attributes of their own, so a name that is like none of ours
    is left alone.
    """
    choices = list(known)
    found = {name: get_close_matches(name, choices, n=1, cutoff=0.75) for name in names}
    return {name: close[0] for name, close in found.items() if close and name not in choices}
