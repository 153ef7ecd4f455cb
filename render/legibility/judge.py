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
from render.pattern.model import Pattern
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
        sRGB, 0 to 1.
    under_thread
        How the thread shows on it.
    on_card
        How it shows on the card.
    """

    word: str
    colour: Colour
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
        The colours in use: one for each stitch of the pattern.
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

    Parameters
    ----------
    path
        A marked pricking; all stitches are judged if it has no marked area.
    thread, card
        sRGB, 0 to 1.
    pens
        Marking colours by stitch that are used instead of those of the colour key.

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
    marked = _stitches_of(pattern) | set(own)
    words = [word for word in STITCH_SHADES if word in marked] or list(STITCH_SHADES)
    shades = np.array([own.get(word, parse_colour(STITCH_SHADES[word])) for word in words])
    proposed = propose_colours(thread, card, shades)
    return Legibility(
        name=pattern.title or pattern.name,
        thread=thread,
        card=card,
        gauge_mm=choose_gauge(pattern, sort_holes(pattern)).diameter_mm,
        thread_on_card=rate_thread(thread, card),
        markings=_rated(words, shades, thread, card),
        proposals=_rated(words, proposed, thread, card),
    )


def nearest_two(markings: Sequence[Marking]) -> tuple[float, Marking, Marking] | None:
    """Return the two markings most easily confused, and their CIEDE2000 to the worst eyes."""
    found = [
        (float(differences(a.colour, b.colour).min()), a, b) for a, b in combinations(markings, 2)
    ]
    return min(found, key=lambda one: one[0], default=None)


def _stitches_of(pattern: Pattern) -> set[str]:
    """Return the stitches that areas and holes are marked with."""
    return {region.stitch for region in pattern.regions} | {*filter(None, pattern.hole_stitch)}


def _rated(
    words: list[str], colours: NDArray[np.float64], thread: Colour, card: Colour
) -> tuple[Marking, ...]:
    return tuple(
        Marking(word, (float(r), float(g), float(b)), rate_thread(thread, c), rate_marking(c, card))
        for word, c in zip(words, colours, strict=True)
        for r, g, b in [c]
    )
