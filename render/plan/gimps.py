"""Lay gimps along the lines that are drawn for them."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from render.errors import Place, Remark
from render.geometry.polygon import path_length, signed_area, spot_on_path
from render.plan.gaps import find_gaps
from render.plan.gimp_map import find_crossings, lie_flat
from render.plan.gimp_order import begin_gimps
from render.plan.gimp_way import Crossed, Stretch, Way
from render.plan.model import Gimp, Passing, WorkingPlan
from render.plan.stitches import trailing_twists
from render.plan.ways import leg_ends
from render.pricking.model import Pricking
from render.units import parse_gauge_mm

Points = NDArray[np.float64]

# How many threads thick a gimp is that has no gauge of its own (common practice, no source).
GIMP_GAUGES = 4.0
# Passings of one leg nearer than so many of their own diameters have no twist between them.
TOGETHER = 1.5
# How far a gimp runs on beyond the last pair it passes, in spacings.
TIP_REACH = 0.4
# Past how many pairs the end of a gimp that closes lies beside its beginning (common practice, no
# source), and how far beside it, in its own diameters.
OVERLAP, BESIDE = 2, 1.1
# A gimp through a single pair would slip out.
FEWEST_PAIRS = 2
# A leg shorter than this share of the spacing has no room for a gimp.
SHORTEST_LEG = 0.2

ITSELF = "the gimp would cross itself here and is left out: draw it as two lines that cross"
TANGLED = "the gimp cannot come from here to its next pair past other gimps: it is left out"
CUT = "the work cannot follow this gimp any further in one: it is cut here and begun anew"


def lay_gimps(plan: WorkingPlan, gauge_mm: float) -> WorkingPlan:
    """Return a plan with its gimps, the legs they pass twisted before and after.

    Parameters
    ----------
    plan
        Any plan.
    gauge_mm
        Diameter of the thread.
    """
    runs = plan.pricking.runs
    drawn = [k for k, run in enumerate(runs) if run.word == "gimp"]
    if not drawn:
        return plan
    ends = leg_ends(plan)
    way = Way(plan, find_gaps(plan), ends, _open_legs(plan, ends))
    found: list[Gimp] = []
    remarks = list(plan.remarks)
    for number in drawn:
        gimps, told = _lay(plan, way, number, gauge_mm)
        found += gimps
        remarks += told
    kept = found if _fault(plan, found) is None else _sound(plan, found, remarks)
    laid, twists = _twisted(plan, kept)
    laid, cut = begin_gimps(plan, laid)
    remarks += [_told(plan, gimp.run, gimp.passings[0].at, CUT) for gimp in cut]
    return replace(
        plan,
        gimps=tuple(laid),
        gimp_crossings=tuple(find_crossings(plan, laid)),
        twists=twists,
        remarks=tuple(remarks),
    )


def _sound(plan: WorkingPlan, found: Sequence[Gimp], remarks: list[Remark]) -> list[Gimp]:
    """Take gimp by gimp what can lie among those before it, and say what cannot."""
    kept: list[Gimp] = []
    for gimp in found:
        fault = _fault(plan, [*kept, gimp])
        if fault is None:
            kept.append(gimp)
        else:
            remarks.append(fault)
    return kept


def _fault(plan: WorkingPlan, gimps: Sequence[Gimp]) -> Remark | None:
    """Say why gimps cannot lie among each other, blaming the last one unless one crosses itself."""
    if not gimps:
        return None
    sorted_in, _ = _twisted(plan, gimps)
    crossings = find_crossings(plan, sorted_in)
    for crossing in crossings:
        if crossing.left[0] == crossing.right[0]:
            return _told(plan, gimps[crossing.left[0]].run, crossing.at, ITSELF)
    if lie_flat(plan, sorted_in, crossings):
        return None
    return _told(plan, gimps[-1].run, gimps[-1].passings[0].at, TANGLED)


def _lay(
    plan: WorkingPlan, way: Way, number: int, gauge_mm: float
) -> tuple[list[Gimp], list[Remark]]:
    """Return the gimps along one line, and what is to be said of it."""
    run = plan.pricking.runs[number]
    text = run.options.get("gauge-mm")
    gauge = GIMP_GAUGES * gauge_mm if text is None else parse_gauge_mm(text)
    holes = plan.pricking.holes
    middle = run.points.mean(axis=0)
    near = np.argsort(np.hypot(*(holes - middle).T), kind="stable")[:9]
    spacing = float(np.median(plan.pricking.spacing[near]))
    if path_length(run.points) == 0:
        return [], [Remark("this gimp has no length: it is left out", run.place)]
    path = _as_worked(run.points, plan.pricking)
    found = way.follow(path, spacing)
    stretches = [stretch for stretch in found if len(stretch.crossed) >= FEWEST_PAIRS]
    if not stretches:
        message = "this gimp passes through hardly any pair of ground: it is left out"
        return [], [Remark(message, run.place)]
    gimps = [_gimp(path, way.ends, stretch, number, gauge, spacing) for stretch in stretches]
    return gimps, _gaps_told(plan, way.closed_legs(path, spacing), number, found)


def _as_worked(path: Points, pricking: Pricking) -> Points:
    """Return a line from its upper end, or the left one of two at a height.

    One that closes has its inside on the left.
    """
    if (path[0] == path[-1]).all():
        around = path[:-1] if signed_area(path[:-1]) < 0 else path[-1:0:-1]
        return np.concatenate([around, around[:1]])
    rank = path[[0, -1]] @ np.stack([pricking.down, pricking.across], axis=1)
    upper_first = tuple(np.round(rank[0], 6)) <= tuple(np.round(rank[1], 6))
    return path if upper_first else path[::-1]


def _gimp(
    path: Points, ends: Points, stretch: Stretch, run: int, gauge: float, spacing: float
) -> Gimp:
    crossed = list(stretch.crossed)
    first, last = crossed[0].way, crossed[-1].way
    reach, beside, over = TIP_REACH * spacing, 0.0, 0
    if stretch.closed:
        # The end runs on outside the beginning.
        again = crossed[: min(OVERLAP, len(crossed) - 1)]
        beside = BESIDE * gauge
        crossed += [_aside(c, ends, beside) for c in again]
        over = len(again)
        length = path_length(path)
        first, last = (first - reach) % length, (crossed[-1].way + reach) % length
    else:
        first, last = first - reach, last + reach
    passings = tuple(Passing(c.leg, 1, c.along, c.rightward, c.at) for c in crossed)
    tips = (_tip(path, first), _tip(path, last, beside))
    return Gimp(run, gauge, passings, tips, over)


def _tip(path: Points, way: float, right_mm: float = 0.0) -> tuple[float, float]:
    """Return the place after so many mm of a line, and so many to the right of it."""
    spot, left = spot_on_path(path, way)
    x, y = (spot - right_mm * left).tolist()
    return x, y


def _aside(crossed: Crossed, ends: Points, beside: float) -> Crossed:
    """Return where a second length of a gimp, on the right of the first, passes the same leg."""
    way = ends[crossed.leg, 1] - ends[crossed.leg, 0]
    length = max(float(np.hypot(*way)), 1e-9)
    onward = beside / length if crossed.rightward else -beside / length
    x, y = (np.array(crossed.at) + onward * way).tolist()
    return replace(crossed, along=crossed.along + onward, at=(x, y))


def _gaps_told(
    plan: WorkingPlan, closed: Sequence[Crossed], number: int, found: Sequence[Stretch]
) -> list[Remark]:
    """Say where a line is left out, and why."""
    run = plan.pricking.runs[number]
    told: list[Remark] = []
    if any(stretch.closed for stretch in found):
        return []
    spans = [(s.crossed[0].way, s.crossed[-1].way) for s in found]
    reasons: set[str] = set()
    for crossed in closed:
        reason = _reason(plan, crossed.leg)
        if reason is None or any(a < crossed.way < b for a, b in spans) or reason in reasons:
            continue
        reasons.add(reason)
        x, y = crossed.at
        message = f"a gimp cannot be laid through {reason}: it is left out there"
        told.append(Remark(message, Place(run.place.item, x, y)))
    if len(found) > 1 and not told:
        x, y = found[0].crossed[-1].at
        message = "there is no way between the pairs here: the gimp is left out and begun again"
        told.append(Remark(message, Place(run.place.item, x, y)))
    return told


def _reason(plan: WorkingPlan, leg: int) -> str | None:
    """Say what a leg is part of that no gimp may pass; None where it merely ends."""
    source = np.flatnonzero((plan.given == leg).any(axis=1))
    goal = np.flatnonzero((plan.taken == leg).any(axis=1))
    stitches = [*source.tolist(), *goal.tolist()]
    areas = [int(plan.area[k]) for k in stitches if plan.area[k] >= 0]
    if areas:
        known = plan.pricking.areas
        return known[areas[0]].place.item if areas[0] < len(known) else "cloth"
    if any(plan.run[k] >= 0 for k in stitches):
        return "a plait or leaf"
    return None


def _told(plan: WorkingPlan, number: int, at: tuple[float, float], why: str) -> Remark:
    return Remark(why, Place(plan.pricking.runs[number].place.item, *at))


def _open_legs(plan: WorkingPlan, ends: Points) -> NDArray[np.bool_]:
    """Return the (L,) legs a gimp may pass: from stitch to stitch, but not in cloth or plaits."""
    legs = len(plan.twists)
    source, goal = np.full(legs, -1), np.full(legs, -1)
    number = np.arange(len(plan.moves))
    source[plan.given.ravel()] = np.repeat(number, 2)
    goal[plan.taken.ravel()] = np.repeat(number, 2)
    area = [np.where(s >= 0, plan.area[s], -1) for s in (source, goal)]
    run = [np.where(s >= 0, plan.run[s], -1) for s in (source, goal)]
    inside = ((area[0] >= 0) & (area[1] >= 0)) | ((run[0] >= 0) & (run[0] == run[1]))
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    long = length > SHORTEST_LEG * float(np.median(plan.pricking.spacing))
    return np.asarray((source >= 0) & (goal >= 0) & ~inside & (plan.turn < 0) & long)


def _twisted(plan: WorkingPlan, gimps: Sequence[Gimp]) -> tuple[list[Gimp], NDArray[np.int64]]:
    """Say after which twist of its leg each passing comes, and return the (L,) twists it takes."""
    own = np.zeros(len(plan.twists), np.int64)
    own[plan.given.ravel()] = np.repeat([trailing_twists(m) for m in plan.moves], 2)
    ends = leg_ends(plan)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    on_leg: dict[int, list[tuple[float, int, int]]] = {}
    for g, gimp in enumerate(gimps):
        for k, passing in enumerate(gimp.passings):
            on_leg.setdefault(passing.leg, []).append((passing.along, g, k))
    twists, after = plan.twists.copy(), {}
    for leg, row in on_leg.items():
        row.sort()
        group = [0]
        for (before, g, k), (along, h, j) in pairwise(row):
            near = TOGETHER * max(gimps[g].gauge_mm, gimps[h].gauge_mm)
            turns_back = g == h and abs(k - j) == 1
            together = (along - before) * length[leg] < near and not turns_back
            group.append(group[-1] + (not together))
        groups = group[-1] + 1
        twists[leg] += max(0, groups + 1 - int(own[leg] + twists[leg]))
        have = int(own[leg] + twists[leg])
        for (_, g, k), n in zip(row, group, strict=True):
            after[g, k] = round((n + 1) * have / (groups + 1))
    laid = [
        replace(gimp, passings=tuple(
            replace(p, after=after[g, k]) for k, p in enumerate(gimp.passings)
        ))
        for g, gimp in enumerate(gimps)
    ]  # fmt: skip
    return laid, twists
