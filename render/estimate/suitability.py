"""Whether a thread suits a pricking."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from render.estimate.shares import area_mm2
from render.plan.model import WorkingPlan
from render.pricking.sort import DIAMETERS_PER_SPACING, THICKEST_MM, THINNEST_MM

# Within this of the usual distance of holes a thread suits (common practice, no source).
CLOSE, OPEN = 0.75, 1.35
# Threads over their distance in the closest square cloth: p / D = 0.866 with D two diameters
# (F. T. Peirce, J. Text. Inst. 28 (1937) T45, as restated by N. Balasubramanian).
JAMMED = 1 / np.sqrt(3)
# Cloth on a pillow is worked between these parts of the closest (common practice, no source).
LIMP_CLOTH, FULL_CLOTH = 0.35, 0.9
# A piece with fewer holes of ground than this is judged by its cloth.
_GROUND_PART = 0.2


@dataclass(frozen=True)
class Suitability:
    """A thread against the holes and the cloth of a piece.

    Attributes
    ----------
    diameter_mm
        Of the thread.
    spacing_mm
        The usual distance of neighbouring holes, of ground where there is some.
    diameters_per_spacing
        How many threads would lie between two holes.
    closeness
        By area in whole or double stitch, how close its cloth is; 1 is the closest that can be.
    verdict
        ``suits``, ``thick`` or ``thin``.
    best_mm
        The thinnest and the thickest thread that would suit.
    """

    diameter_mm: float
    spacing_mm: float
    diameters_per_spacing: float
    verdict: str
    best_mm: tuple[float, float]
    closeness: Mapping[str, float] = field(default_factory=dict)

    def __str__(self) -> str:
        meaning = {
            "suits": "suits",
            "thick": "is thick: the work will be crowded",
            "thin": "is thin: the work will be open and limp",
        }[self.verdict]
        thin, thick = self.best_mm
        closest = max(self.closeness, key=lambda name: self.closeness[name], default=None)
        cloth = (
            ""
            if closest is None
            else f"; the cloth of {closest} {100 * self.closeness[closest]:.0f} % of the closest"
        )
        return (
            f"{self.diameter_mm:.2f} mm {meaning} ({self.diameters_per_spacing:.1f} threads from "
            f"hole to hole{cloth}; {thin:.2f} to {thick:.2f} mm suit, common practice; work a "
            "sample)"
        )


def judge_thread(plan: WorkingPlan, diameter_mm: float) -> Suitability:
    """Say whether a thread suits the holes of the ground and the cloth of the areas."""
    pricking = plan.pricking
    ground = np.array([not owners for owners in pricking.owners]) & (pricking.interior < 0)
    has_ground = ground.mean() >= _GROUND_PART
    spacing = float(np.median(pricking.spacing[ground] if has_ground else pricking.spacing))
    closeness = cloth_closeness(plan, diameter_mm)
    usual = spacing / DIAMETERS_PER_SPACING
    ranges = [(usual / OPEN, usual / CLOSE)] if has_ground or not closeness else []
    # Where there is ground too, cloth may be limp; it may never be crowded.
    ranges += [
        (0.0 if has_ground else diameter_mm * LIMP_CLOTH / part, diameter_mm * FULL_CLOTH / part)
        for part in closeness.values()
    ]
    thin = min(max(max(low for low, _ in ranges), THINNEST_MM), THICKEST_MM)
    thick = min(max(min(high for _, high in ranges), THINNEST_MM), THICKEST_MM)
    verdict = "thick" if diameter_mm > thick else "thin" if diameter_mm < thin else "suits"
    return Suitability(
        diameter_mm,
        round(spacing, 3),
        round(spacing / diameter_mm, 2),
        verdict,
        (round(min(thin, thick), 3), round(thick, 3)),
        {name: round(part, 3) for name, part in closeness.items()},
    )


def cloth_closeness(plan: WorkingPlan, diameter_mm: float) -> dict[str, float]:
    """Return how close the cloth of each area in whole or double stitch is, 1 the closest.

    A stitch of two pairs is a field of two threads by two; the side of a square as large as the
    field is the distance of two threads.
    """
    closeness = {}
    for number, area in enumerate(plan.pricking.areas):
        stitches = int((plan.area == number).sum())
        size = area_mm2(area)
        if area.stitch in ("whole", "double") and stitches and size > 0:
            distance = np.sqrt(size / stitches) / 2
            name = area.place.item.partition('"')[2].rstrip('"') or area.place.item
            closeness[name] = float(diameter_mm / distance / JAMMED)
    return closeness
