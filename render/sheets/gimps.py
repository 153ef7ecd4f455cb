"""What is to be read of gimps: how thick, on how many bobbins, and where each is begun."""

import numpy as np
from numpy.typing import NDArray

from render.plan.model import Gimp, WorkingPlan
from render.sheets.model import name_of


def gimps_in_words(plan: WorkingPlan) -> tuple[str, ...]:
    """Return a line for each gimp of a plan, in the order of the file."""
    return tuple(_in_words(plan, gimp) for gimp in plan.gimps)


def _in_words(plan: WorkingPlan, gimp: Gimp) -> str:
    name = name_of(plan.pricking.runs[gimp.run].place.item)
    bobbins = "1 bobbin" if gimp.bobbins == 1 else "2 bobbins, from there both ways"
    hole = int(np.hypot(*(plan.pricking.holes - _beginning(gimp)).T).argmin()) + 1
    return (
        f"{name}: {gimp.gauge_mm:g} mm thick, past {len(gimp.passings)} pairs, begun near hole "
        f"{hole} on {bobbins}"
    )


def _beginning(gimp: Gimp) -> NDArray[np.float64]:
    """Return where a gimp is begun, in mm."""
    if gimp.begun == 0:
        return np.array(gimp.tips[0])
    if gimp.begun == len(gimp.passings):
        return np.array(gimp.tips[1])
    before, after = (np.array(gimp.passings[gimp.begun - k].at) for k in (1, 0))
    return np.asarray((before + after) / 2)
