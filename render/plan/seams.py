"""Whether the repeats of a piece fit each other where they meet."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.errors import Remark
from render.pattern.model import Pattern
from render.pattern.repeat import SAME_MM, Laid, step_of
from render.plan.model import WorkingPlan

Points = NDArray[np.float64]

# Holes so near to those of the next repeat, in spacings, lie at the seam.
AT_THE_SEAM = 1.6
# Repeats whose holes are so much further apart, in spacings, lie apart.
APART = 2.5


def look_at_seams(part: Pattern, laid: Laid, plan: WorkingPlan) -> tuple[Remark, ...]:
    """Say where repeats do not fit each other, of the kind ``repeat``.

    Parameters
    ----------
    part
        One repeat.
    laid, plan
        Some of them, and how they are worked.
    """
    if laid.times == 1:
        return ()
    step = np.array(step_of(part))
    spacing = float(np.median(plan.pricking.spacing))
    away = np.asarray(cKDTree(part.holes).query(part.holes + step)[0])
    nearest = int(away.argmin())
    if away[nearest] > APART * spacing:
        return _apart(plan, step, part.holes[nearest] + step, float(away[nearest]))
    return _unlike(laid, plan, _seam(part, step, AT_THE_SEAM * spacing))


def _apart(plan: WorkingPlan, step: Points, hole: Points, gap: float) -> tuple[Remark, ...]:
    """Say that no pair goes on from one repeat into the next."""
    way = step / np.hypot(*step)
    between = float(hole @ way) - gap / 2
    level = np.full((len(plan.twists), 2), np.nan)
    level[plan.given.ravel(), 0] = np.repeat(plan.at @ way, 2)
    level[plan.taken.ravel(), 1] = np.repeat(plan.at @ way, 2)
    if ((level < between).any(axis=1) & (level > between).any(axis=1)).any():
        return ()
    message = (
        f"the repeat before this one ends {gap:.1f} mm away, and no pair goes on into it: does "
        "data-repeat lead to where the first holes are pricked again?"
    )
    found = int(cKDTree(plan.pricking.holes).query(hole)[1])
    return (Remark(message, plan.pricking.place(found), "repeat"),)


def _seam(part: Pattern, step: Points, near: float) -> Points:
    """Return the holes on both sides of the first seam."""
    after = part.holes + step
    above = cKDTree(after).query(part.holes)[0] <= near
    below = cKDTree(part.holes).query(after)[0] <= near
    return np.concatenate([part.holes[above], after[below]])


def _unlike(laid: Laid, plan: WorkingPlan, seam: Points) -> tuple[Remark, ...]:
    """Say that pairs of ground come and go at every seam."""
    owners, step = plan.pricking.owners, np.array(step_of(laid.pattern))
    places = {(r.place.x_mm, r.place.y_mm): r.place for r in plan.remarks
              if r.kind == "change" and r.place and r.place.x_mm is not None}  # fmt: skip
    if not places or not len(seam):
        return ()
    spots = np.array(list(places), float)
    holes = np.asarray(cKDTree(plan.pricking.holes).query(spots)[1])
    ground = np.array([not owners[hole] for hole in holes.tolist()])
    tree = cKDTree(seam)
    moves = range(laid.times - 1)
    hits = np.array([tree.query(spots - k * step)[0] <= SAME_MM for k in moves]) & ground
    if not hits.any(axis=1).all():
        return ()
    first = list(places.values())[int(np.flatnonzero(hits.any(axis=0))[0])]
    count = int(hits.sum(axis=1).min())
    more = f" and at {count - 1} more hole{'s' * (count > 2)} of every seam" if count > 1 else ""
    message = (
        f"repeats do not fit each other: pairs of the ground are hung in or thrown out here{more}; "
        "does data-repeat lead to where the first holes are pricked again?"
    )
    return (Remark(message, first, "repeat"),)
