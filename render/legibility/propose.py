"""Marking colours that rest the eye and let a thread show."""

from functools import lru_cache
from math import hypot

import numpy as np
from numpy.typing import ArrayLike, NDArray

from render.colour.difference import ciede2000
from render.colour.lab import lab_from_srgb
from render.legibility.rating import OTHER_SHADE, READ, contrasts, differences

Colours = NDArray[np.float64]

# Not dark: printed dots and pencil still show. Not vivid, and not so pale or grey that a marking
# looks like bare card (our own choice: CIELAB lightness and chroma).
LIGHTNESS = (50.0, 92.0)
CHROMA = (8.0, 30.0)
# From here on a colour is called vivid (our own choice; a strong pen has 60 to 100).
VIVID = 45.0
_STEPS = 27
# Where nothing meets every need, what falls short by little more than the best is as good.
_NEARLY = 1.1


def propose_colours(threads: ArrayLike, card: ArrayLike, shades: ArrayLike) -> Colours:
    """Return restful colours to mark with instead of the given ones.

    Each stands apart from the card and from the others, and every thread shows on it, to all of
    `SIGHTS`; where no colour does all of that, those that come nearest are taken.

    Parameters
    ----------
    threads
        (3,) or (M, 3) sRGB, 0 to 1.
    card
        (3,) sRGB, 0 to 1.
    shades
        (N, 3) colours to be replaced; each gets the proposal that reminds most of it.

    Returns
    -------
    (N, 3) sRGB, 0 to 1.
    """
    from scipy.optimize import linear_sum_assignment  # slow to import

    wanted = np.asarray(shades, float).reshape(-1, 3)
    over = np.asarray(threads, float).reshape(-1, 3)
    fitting = _fitting(restful_colours(), over, card)
    chosen = _spread(fitting, np.array([*over, card], float), len(wanted))
    away = ciede2000(lab_from_srgb(wanted)[:, None], lab_from_srgb(chosen)[None])
    _, column = linear_sum_assignment(away)
    return np.asarray(chosen[column])


def what_tires(colour: ArrayLike) -> str | None:
    """Say what makes a marking colour tiring to work over: ``dark``, ``vivid``, or nothing.

    On dark colours printed dots, pencil and shadows are lost; vivid ones dazzle.

    Parameters
    ----------
    colour
        (3,) sRGB, 0 to 1.
    """
    light, a, b = (float(part) for part in lab_from_srgb(colour))
    if light < LIGHTNESS[0]:
        return "dark"
    return "vivid" if hypot(a, b) > VIVID else None


@lru_cache(maxsize=1)
def restful_colours() -> Colours:
    """Return (M, 3) sRGB colours that are neither vivid nor dark, evenly spread, read-only."""
    steps = np.rint(np.linspace(0, 255, _STEPS)) / 255
    every = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    lab = lab_from_srgb(every)
    light, chroma = lab[:, 0], np.hypot(lab[:, 1], lab[:, 2])
    calm = (light >= LIGHTNESS[0]) & (light <= LIGHTNESS[1])
    calm &= (chroma >= CHROMA[0]) & (chroma <= CHROMA[1])
    found = every[calm]
    found.setflags(write=False)
    return found


def _fitting(colours: Colours, threads: Colours, card: ArrayLike) -> Colours:
    """Return the colours on which all threads show and that show on the card."""
    needs = [(differences(card, colours), OTHER_SHADE)]
    for thread in threads:
        needs.append((contrasts(thread, colours), READ))
        needs.append((differences(thread, colours), OTHER_SHADE))
    short = sum(np.maximum(0, 1 - found.min(axis=0) / enough) for found, enough in needs)
    return np.asarray(colours[short <= _NEARLY * np.min(short)])


def _spread(colours: Colours, taken: Colours, count: int) -> Colours:
    """Return some colours, each in turn as far as can be from all taken before it."""
    nearest = np.min([differences(one, colours).min(axis=0) for one in taken], axis=0)
    chosen = []
    for _ in range(count):
        chosen.append(colours[int(nearest.argmax())])
        nearest = np.minimum(nearest, differences(chosen[-1], colours).min(axis=0))
    return np.array(chosen).reshape(-1, 3)
