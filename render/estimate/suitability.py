"""Whether a thread suits a pricking."""

from dataclasses import dataclass

import numpy as np

from render.estimate.gauge import DIAMETERS_PER_SPACING, THICKEST_MM, THINNEST_MM
from render.pricking.model import Pricking

# Within this of the usual distance a thread suits (common practice, no source).
CLOSE, OPEN = 0.75, 1.35


@dataclass(frozen=True)
class Suitability:
    """A thread against the holes of a pricking.

    Attributes
    ----------
    diameter_mm
        Of the thread.
    spacing_mm
        The usual distance of neighbouring holes.
    diameters_per_spacing
        How many threads would lie between two holes.
    verdict
        ``suits``, ``thick`` or ``thin``.
    best_mm
        The thickest and the thinnest thread that would suit.
    """

    diameter_mm: float
    spacing_mm: float
    diameters_per_spacing: float
    verdict: str
    best_mm: tuple[float, float]

    def __str__(self) -> str:
        meaning = {
            "suits": "suits these holes",
            "thick": "is thick for these holes: the work will be crowded",
            "thin": "is thin for these holes: the work will be open and limp",
        }[self.verdict]
        thin, thick = self.best_mm
        return (
            f"{self.diameter_mm:.2f} mm {meaning} ({self.diameters_per_spacing:.1f} threads from "
            f"hole to hole; {thin:.2f} to {thick:.2f} mm suit, common practice; work a sample)"
        )


def judge_thread(pricking: Pricking, diameter_mm: float) -> Suitability:
    """Say whether a thread suits the usual distance of the holes."""
    spacing = float(np.median(pricking.spacing))
    ratio = spacing / diameter_mm
    part = ratio / DIAMETERS_PER_SPACING
    verdict = "thick" if part < CLOSE else "thin" if part > OPEN else "suits"
    usual = spacing / DIAMETERS_PER_SPACING
    thin = min(max(usual / OPEN, THINNEST_MM), THICKEST_MM)
    thick = min(max(usual / CLOSE, THINNEST_MM), THICKEST_MM)
    return Suitability(
        diameter_mm, round(spacing, 3), round(ratio, 2), verdict, (round(thin, 3), round(thick, 3))
    )
