"""How much thread a piece takes, bobbin by bobbin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.plan.model import ROLES, Gimp, WorkingPlan
from render.plan.stitches import order_after
from render.threads.model import ThreadPaths
from render.units import COTTON_DENSITY_G_CM3

# What is wound beyond the settled length (common practice, no source): a tenth for what work
# takes up and takes back, and enough to tie on, to hitch and to hold the bobbin by.
MORE_BY = 0.10
TO_HOLD_BY_MM = 400.0
PASSIVE = ROLES.index("passive")
WORKER = ROLES.index("worker")


@dataclass(frozen=True)
class Bobbin:
    """One bobbin to wind.

    Attributes
    ----------
    pair
        The pair it belongs to, in working order from 0; -1 for a gimp.
    role
        What it is wound for.
    settled_mm
        The length of its thread in the settled lace.
    wind_mm
        What to wind.
    tex
        Mass of its thread in g/km.
    """

    pair: int
    role: str
    settled_mm: float
    wind_mm: float
    tex: float

    @property
    def grams(self) -> float:
        """What the thread wound on it weighs."""
        return grams(self.wind_mm, self.tex)


def wind(plan: WorkingPlan, paths: ThreadPaths) -> tuple[Bobbin, ...]:
    """Return every bobbin of a worked piece, two for a gimp that goes both ways."""
    settled = thread_lengths_mm(paths)
    roles = _roles(plan, paths)
    parts = [(1.0,)] * (2 * len(plan.hangings)) + [_parts_of(gimp) for gimp in plan.gimps]
    return tuple(
        Bobbin(pair, ROLES[role], part * length, to_wind_mm(part * length), tex_of(2 * radius))
        for pair, role, length, radius, shares in zip(
            paths.pair.tolist(), roles.tolist(), settled.tolist(), paths.radius.tolist(), parts,
            strict=True,
        )
        for part in shares
    )  # fmt: skip


def _parts_of(gimp: Gimp) -> tuple[float, ...]:
    """Return which share of a gimp is wound on each of its bobbins, as it is drawn."""
    if gimp.bobbins == 1:
        return (1.0,)
    spots = np.array([gimp.tips[0], *(passing.at for passing in gimp.passings), gimp.tips[1]])
    steps = np.hypot(*np.diff(spots, axis=0).T)
    first = float(steps[: gimp.begun].sum() + steps[gimp.begun] / 2) / float(steps.sum())
    return first, 1.0 - first


def thread_lengths_mm(paths: ThreadPaths) -> NDArray[np.float64]:
    """Return the (T,) lengths of settled threads, take-up and all."""
    steps = np.linalg.norm(np.diff(paths.points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    lengths: NDArray[np.float64] = along[paths.starts[1:] - 1] - along[paths.starts[:-1]]
    return lengths


def to_wind_mm(settled_mm: float) -> float:
    """Return what to wind for a settled length."""
    return settled_mm * (1 + MORE_BY) + TO_HOLD_BY_MM


def tex_of(diameter_mm: float) -> float:
    """Return the mass in g/km of a thread as thick as this, the inverse of `units.diameter_mm`."""
    return float(np.pi * COTTON_DENSITY_G_CM3 * diameter_mm**2 / 4e-3)


def grams(length_mm: float, tex: float) -> float:
    """Return what a length of thread weighs; tex is g/km (ISO 1144)."""
    return length_mm * 1e-6 * tex


def _roles(plan: WorkingPlan, paths: ThreadPaths) -> NDArray[np.int64]:
    """Return the (T,) roles, with the worker of an area told from its passives.

    The worker is in every row from end to end: in more than half of the stitches of its area.
    """
    roles = paths.role.copy()
    shares = _stitches_of_threads(plan)
    sizes = np.bincount(plan.area[plan.area >= 0], minlength=len(plan.pricking.areas))
    for thread, (role, region) in enumerate(zip(roles, paths.region, strict=True)):
        if role == PASSIVE and region >= 0 and 2 * shares.get((thread, region), 0) > sizes[region]:
            roles[thread] = WORKER
    return roles


def _stitches_of_threads(plan: WorkingPlan) -> dict[tuple[int, int], int]:
    """Return in how many stitches of each area each thread takes part, by (thread, area)."""
    held = {h.leg: (2 * n, 2 * n + 1) for n, h in enumerate(plan.hangings)}
    parts: dict[tuple[int, int], int] = {}
    for moves, area, taken, given in zip(
        plan.moves, plan.area.tolist(), plan.taken.tolist(), plan.given.tolist(), strict=True
    ):
        four = [t for leg in taken for t in _twisted(held[leg], plan.twists[leg])]
        for thread in four:
            parts[thread, area] = parts.get((thread, area), 0) + 1
        a, b, c, d = (four[k] for k in order_after(moves))
        held[given[0]], held[given[1]] = (a, b), (c, d)
    return parts


def _twisted(pair: tuple[int, int], twists: int) -> tuple[int, int]:
    return pair if twists % 2 == 0 else (pair[1], pair[0])
