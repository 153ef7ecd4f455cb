"""The thread for a piece: as asked, as the pattern has it, or as its cloth wants it."""

from typing import Final, Literal

from render.estimate.gauge import Gauge, choose_gauge
from render.estimate.suitability import propose_mm
from render.pattern.model import Pattern
from render.plan.work import plan_work
from render.pricking.model import Pricking

AUTO: Final = "auto"
Asked = float | Literal["auto"] | None


def gauge_for(
    pattern: Pattern, pricking: Pricking, asked: Asked = None, *, density: float = 1.0
) -> Gauge:
    """Return the thread a piece is worked in.

    Parameters
    ----------
    pattern, pricking
        The same piece, as marked and as sorted.
    asked
        A diameter in mm that goes before all others; AUTO for the one that suits best, whatever
        the pattern names; None for the pattern's own, else one that suits the holes.
    density
        As the piece will be planned: closer cloth wants a finer thread.

    Raises
    ------
    LaceError
        Where the piece cannot be worked.
    """
    if asked != AUTO:
        return choose_gauge(pattern, pricking, asked)
    diameter, reason = propose_mm(plan_work(pricking, density=density))
    return Gauge(diameter, reason)
