"""How thick a thread suits a pricking."""

from dataclasses import dataclass

import numpy as np

from render.pattern.model import Pattern
from render.pricking.model import Pricking
from render.pricking.sort import suitable_gauge_mm
from render.units import parse_gauge_mm


@dataclass(frozen=True)
class Gauge:
    """A thread diameter and where it was taken from."""

    diameter_mm: float
    reason: str

    def __str__(self) -> str:
        return f"{self.diameter_mm:.2f} mm ({self.reason})"


def choose_gauge(pattern: Pattern, pricking: Pricking, asked_mm: float | None = None) -> Gauge:
    """Return the thread diameter asked for, else the pattern's own, else one that suits.

    Parameters
    ----------
    pattern, pricking
        The same piece, as marked and as sorted.
    asked_mm
        A diameter that goes before all others.
    """
    if asked_mm is not None:
        return Gauge(asked_mm, "as asked")
    if pattern.gauge_mm is not None:
        return Gauge(pattern.gauge_mm, "the pattern's own")
    if pattern.thread is not None:
        return Gauge(parse_gauge_mm(pattern.thread), f"the pattern's own, {pattern.thread}")
    spacing = float(np.median(pricking.spacing))
    diameter = suitable_gauge_mm(pricking.spacing)
    return Gauge(diameter, f"chosen for holes {spacing:.1f} mm apart, as the pattern names none")
