"""How well one colour shows upon another, to eyes of every kind."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from render.colour.contrast import contrast_ratio
from render.colour.deficiency import SEEN_WITHOUT, seen_without
from render.colour.difference import ciede2000
from render.colour.lab import lab_from_srgb

# Three kinds of cones, or all but one of them.
SIGHTS = ("usual", *SEEN_WITHOUT)
# Lines and shapes are read at this contrast (W3C, WCAG 2.2, criterion 1.4.11).
READ = 3.0
# Two shades of an area are told apart at a glance, or by looking twice (our own choice; the key
# of a pattern keeps its shades twice the first apart).
OTHER_SHADE, NEAR_SHADE = 12.0, 6.0


@dataclass(frozen=True)
class Rating:
    """How one colour shows upon another.

    Attributes
    ----------
    difference
        CIEDE2000, for each of `SIGHTS`.
    contrast
        Contrast ratio, for each of `SIGHTS`.
    verdict
        ``clear``, ``soft`` (it takes a second look) or ``lost``.
    """

    difference: tuple[float, ...]
    contrast: tuple[float, ...]
    verdict: str

    @property
    def least_difference(self) -> float:
        """The difference to the eyes that see least of it."""
        return min(self.difference)

    @property
    def least_contrast(self) -> float:
        """The contrast to the eyes that see least of it."""
        return min(self.contrast)


def as_seen(sight: str, srgb: ArrayLike) -> NDArray[np.float64]:
    """Return (..., 3) sRGB colours as one of `SIGHTS` has them."""
    colours = np.asarray(srgb, float)
    return colours if sight == SIGHTS[0] else seen_without(sight, colours)


def differences(first: ArrayLike, second: ArrayLike) -> NDArray[np.float64]:
    """Return the CIEDE2000 differences of (..., 3) sRGB colours, one row for each of `SIGHTS`."""
    return np.stack(
        [ciede2000(*(lab_from_srgb(as_seen(s, one)) for one in (first, second))) for s in SIGHTS]
    )


def contrasts(first: ArrayLike, second: ArrayLike) -> NDArray[np.float64]:
    """Return the contrast ratios of (..., 3) sRGB colours, one row for each of `SIGHTS`."""
    return np.stack([contrast_ratio(as_seen(s, first), as_seen(s, second)) for s in SIGHTS])


def rate_thread(thread: ArrayLike, under: ArrayLike) -> Rating:
    """Rate a thread upon what lies under it: a thin line needs a step of lightness.

    Parameters
    ----------
    thread, under
        (3,) sRGB, 0 to 1.
    """
    away, contrast = differences(thread, under), contrasts(thread, under)
    shows = away.min() >= OTHER_SHADE
    verdict = "clear" if contrast.min() >= READ and shows else "soft" if shows else "lost"
    return Rating(tuple(away.tolist()), tuple(contrast.tolist()), verdict)


def rate_marking(marking: ArrayLike, card: ArrayLike) -> Rating:
    """Rate a marked area upon the bare card: another hue is enough.

    Parameters
    ----------
    marking, card
        (3,) sRGB, 0 to 1.
    """
    away, contrast = differences(marking, card), contrasts(marking, card)
    least = away.min()
    verdict = "clear" if least >= OTHER_SHADE else "soft" if least >= NEAR_SHADE else "lost"
    return Rating(tuple(away.tolist()), tuple(contrast.tolist()), verdict)
