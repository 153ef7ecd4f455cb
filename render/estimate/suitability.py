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
_CLOTH = ("whole", "double")
# How closeness grows with a thread is known from any one.
_TRIED_MM = 0.25
# Cloth on a pillow is worked between these parts of the closest (common practice, no source).
LIMP_CLOTH, GOOD_CLOTH, FULL_CLOTH = 0.35, 0.65, 0.9
# What is off is said in steps of so many per cent; nobody buys thread more finely graded.
_STEP = 5
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
    felt_in
        ``cloth`` or ``ground``: what sets the bound that the thread is nearest to or beyond.
    """

    diameter_mm: float
    spacing_mm: float
    diameters_per_spacing: float
    verdict: str
    best_mm: tuple[float, float]
    closeness: Mapping[str, float] = field(default_factory=dict)
    felt_in: str = "ground"

    @property
    def in_short(self) -> str:
        """How far the thread is off, as a maker would say it."""
        thin, thick = self.best_mm
        if self.verdict == "suits":
            return "suits"
        if self.verdict == "thick":
            off, what = f"{_about(self.diameter_mm / thick - 1)} too thick", "crowd"
        else:
            off, what = f"{_about(1 - self.diameter_mm / thin)} too thin", "be open"
        return f"{off}: the {self.felt_in} will {what}"

    def __str__(self) -> str:
        thin, thick = self.best_mm
        closest = max(self.closeness, key=lambda name: self.closeness[name], default=None)
        cloth = (
            ""
            if closest is None
            else f"; the cloth of {closest} {100 * self.closeness[closest]:.0f} % of the closest"
        )
        return (
            f"{self.diameter_mm:.2f} mm: {self.in_short} ({self.diameters_per_spacing:.1f} threads "
            f"from hole to hole{cloth}; {thin:.2f} to {thick:.2f} mm suit, common practice; work a "
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
    by_ground = has_ground or not closeness
    ranges = [(usual / OPEN, usual / CLOSE, "ground")] if by_ground else []
    # Where there is ground too, cloth may be limp; it may never be crowded.
    ranges += [
        (
            0.0 if has_ground else diameter_mm * LIMP_CLOTH / part,
            diameter_mm * FULL_CLOTH / part,
            "cloth",
        )
        for part in closeness.values()
    ]
    least, _, thin_in = max(ranges, key=lambda one: one[0])
    _, most, thick_in = min(ranges, key=lambda one: one[1])
    thin = min(max(least, THINNEST_MM), THICKEST_MM)
    thick = min(max(most, THINNEST_MM), THICKEST_MM)
    verdict = "thick" if diameter_mm > thick else "thin" if diameter_mm < thin else "suits"
    return Suitability(
        diameter_mm,
        round(spacing, 3),
        round(spacing / diameter_mm, 2),
        verdict,
        (round(min(thin, thick), 3), round(thick, 3)),
        {name: round(part, 3) for name, part in closeness.items()},
        thin_in if diameter_mm - thin < thick - diameter_mm else thick_in,
    )


def propose_mm(plan: WorkingPlan) -> tuple[float, str]:
    """Return the diameter in mm that suits a piece best, and why.

    All of its cloth in whole and double stitch together is to be well covered; the ground must
    still suit. Without such cloth the holes decide.
    """
    found = judge_thread(plan, _TRIED_MM)
    wanted = found.spacing_mm / DIAMETERS_PER_SPACING
    reason = f"proposed for holes {found.spacing_mm:.1f} mm apart"
    if found.closeness:
        cloth = _cloth_together(plan, _TRIED_MM)
        wanted = _TRIED_MM * GOOD_CLOTH / cloth
        reason = "proposed so that the whole stitch is well covered"
    thin, thick = found.best_mm
    if not thin <= wanted <= thick:
        bound = "ground" if found.closeness else "thread that is sold"
        reason += f", as far as the {bound} allows"
    return round(min(max(wanted, thin), thick), 3), reason


def _about(part: float) -> str:
    """Return a part in words, in steps of some per cent, never none."""
    return f"about {max(_STEP, _STEP * round(100 * part / _STEP))} %"


def _cloth_together(plan: WorkingPlan, diameter_mm: float) -> float:
    """Return how close all cloth of a piece is, areas counting by their stitches."""
    cloth = {n for n, area in enumerate(plan.pricking.areas) if area.stitch in _CLOTH}
    stitches = np.bincount(plan.area[np.isin(plan.area, list(cloth))])
    size = sum(area_mm2(plan.pricking.areas[n]) for n in np.flatnonzero(stitches).tolist())
    return float(diameter_mm / (np.sqrt(size / stitches.sum()) / 2) / JAMMED)


def cloth_closeness(plan: WorkingPlan, diameter_mm: float) -> dict[str, float]:
    """Return how close the cloth of each area in whole or double stitch is, 1 the closest.

    A stitch of two pairs is a field of two threads by two; the side of a square as large as the
    field is the distance of two threads.
    """
    closeness = {}
    for number, area in enumerate(plan.pricking.areas):
        stitches = int((plan.area == number).sum())
        size = area_mm2(area)
        if area.stitch in _CLOTH and stitches and size > 0:
            distance = np.sqrt(size / stitches) / 2
            name = area.place.item.partition('"')[2].rstrip('"') or area.place.item
            closeness[name] = float(diameter_mm / distance / JAMMED)
    return closeness
