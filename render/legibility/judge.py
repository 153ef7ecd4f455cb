"""Judge the colours of a marked copy before a pen touches the card."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import parse_colour
from render.errors import SettingError, did_you_mean
from render.estimate.gauge import choose_gauge
from render.image.background import Colour
from render.legibility.propose import propose_colours
from render.legibility.rating import Rating, differences, rate_marking, rate_thread
from render.pattern.key import STITCH_SHADES
from render.pattern.model import Pattern, Shade
from render.pattern.read import read_pattern
from render.pricking.sort import sort_holes


@dataclass(frozen=True)
class Marking:
    """A colour that areas of one stitch are marked with.

    Attributes
    ----------
    word
        The stitch.
    colour
        sRGB, 0 to 1, as it looks on the card.
    thread
        sRGB of the thread that is worked over it.
    source
        Where the colour was taken from: ``drawn``, ``pen`` (asked for), ``key`` or ``proposed``.
    under_thread
        How the thread shows on it.
    on_card
        How it shows on the card.
    """

    word: str
    colour: Colour
    thread: Colour
    source: str
    under_thread: Rating
    on_card: Rating


@dataclass(frozen=True)
class Legibility:
    """How well a coloured copy would be read.

    Attributes
    ----------
    name
        The piece.
    thread, card
        sRGB, 0 to 1.
    gauge_mm
        Thread diameter.
    thread_on_card
        How the thread shows on the bare card.
    markings
        The colours in use, by stitch, each with every thread that is worked over it.
    proposals
        Restful colours for the same stitches.
    """

    name: str
    thread: Colour
    card: Colour
    gauge_mm: float
    thread_on_card: Rating
    markings: tuple[Marking, ...]
    proposals: tuple[Marking, ...]


def judge_colours(
    path: Path, *, thread: Colour, card: Colour, pens: Mapping[str, Colour] | None = None
) -> Legibility:
    """Judge how thread, marking colours and card of a pattern are told apart.

    Areas count in the colours they are drawn in; one marked by a word alone, in the key's. Over an
    area with a colour of its own (`data-colour`) it is that colour which must show.

    Parameters
    ----------
    path
        A marked pricking; all stitches are judged if it has no marked area.
    thread, card
        sRGB, 0 to 1; the thread is that of areas without a colour of their own.
    pens
        Marking colours by stitch that are used instead of what is drawn.

    Raises
    ------
    LaceError
        Where the pattern or a stitch is at fault.
    """
    pattern = read_pattern(path)
    own = dict(pens or {})
    for word in own:
        if word not in STITCH_SHADES:
            raise SettingError(f'unknown stitch "{word}"; {did_you_mean(word, STITCH_SHADES)}')
    used = _pens_of(pattern, thread, card, own) or [
        _Pen(word, _colour(STITCH_SHADES[word]), thread, "key") for word in STITCH_SHADES
    ]
    words = [word for word in STITCH_SHADES if word in {pen.word for pen in used}]
    first = {pen.word: pen.colour for pen in reversed(used)}
    threads = np.array(list(dict.fromkeys(pen.thread for pen in used)))
    shades = propose_colours(threads, card, np.array([first[word] for word in words]))
    restful = {word: _three(shade) for word, shade in zip(words, shades, strict=True)}
    proposed = dict.fromkeys(
        _Pen(pen.word, restful[pen.word], pen.thread, "proposed") for pen in used
    )
    return Legibility(
        name=pattern.title or pattern.name,
        thread=thread,
        card=card,
        gauge_mm=choose_gauge(pattern, sort_holes(pattern)).diameter_mm,
        thread_on_card=rate_thread(thread, card),
        markings=tuple(_rated(pen, card) for pen in used),
        proposals=tuple(_rated(pen, card) for pen in proposed),
    )


def nearest_two(markings: Sequence[Marking]) -> tuple[float, Marking, Marking] | None:
    """Return the two stitches' markings most easily confused, and their CIEDE2000 to worst eyes."""
    found = [
        (float(differences(a.colour, b.colour).min()), a, b)
        for a, b in combinations(markings, 2)
        if a.word != b.word
    ]
    return min(found, key=lambda one: one[0], default=None)


@dataclass(frozen=True)
class _Pen:
    """What areas are marked with, and the thread worked over them."""

    word: str
    colour: Colour
    thread: Colour
    source: str


def _pens_of(
    pattern: Pattern, thread: Colour, card: Colour, asked: Mapping[str, Colour]
) -> list[_Pen]:
    """Return every pen in use, by stitch and in the order of the file."""
    pens = [_Pen(word, colour, thread, "pen") for word, colour in asked.items()]
    for region in pattern.regions:
        word, shade = region.stitch, region.shade
        over = region.options.get("colour")
        worked = thread if over is None else _colour(over)
        if word in asked:
            pens.append(_Pen(word, asked[word], worked, "pen"))
        elif shade is None:
            pens.append(_Pen(word, _colour(STITCH_SHADES[word]), worked, "key"))
        else:
            pens.append(_Pen(word, _on_card(shade, card), worked, "drawn"))
    words = list(STITCH_SHADES)
    return sorted(dict.fromkeys(pens), key=lambda pen: words.index(pen.word))


def _on_card(shade: Shade, card: Colour) -> Colour:
    """Lay a colour over the card by its opacity, as a viewer of the drawing does."""
    *colour, opacity = shade
    return _three(opacity * np.array(colour) + (1 - opacity) * np.array(card))


def _colour(text: str) -> Colour:
    return _three(parse_colour(text))


def _three(colour: NDArray[np.float64]) -> Colour:
    red, green, blue = (float(part) for part in colour)
    return red, green, blue


def _rated(pen: _Pen, card: Colour) -> Marking:
    return Marking(
        pen.word,
        pen.colour,
        pen.thread,
        pen.source,
        rate_thread(pen.thread, pen.colour),
        rate_marking(pen.colour, card),
    )
