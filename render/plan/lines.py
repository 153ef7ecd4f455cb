"""Plaits and leaves as drawn: which holes they join, and which of them can be worked."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.errors import Remark
from render.geometry.polygon import contains, nearest_on_path, part_of_path, path_length
from render.geometry.segments import any_crossed
from render.plan.spans import Drawn, Picot, Span
from render.plan.stitches import LINE_WORDS
from render.pricking.model import Pricking, Run

Points = NDArray[np.float64]

# How far, in spacings, a line may end from its hole; as the reader has it.
END_REACH = 1.5
# A line goes through a hole this near, in spacings and in gauges; one on the edge of an area must
# be meant.
THROUGH, THROUGH_EDGE, THROUGH_GAUGES = 0.25, 0.12, 2.0
# It passes the holes it joins a second time only so many spacings from its ends.
MIDWAY = 0.6
# What lies so near, in gauges, to another line somewhere in its middle part lies on it.
ON, MIDDLE = 1.5, (0.4, 0.5, 0.6)
# A line that runs this deep through an area, in spacings, has no way past it.
TOO_DEEP = 0.4
# One that keeps so near to an edge over this share of its length has no room beside it; but what
# crosses a narrow gap, so many times as long at most, is near to the edge it comes from.
MOSTLY, ACROSS = 0.7, 3.0
# How far beside a plait its picots may stand, in spacings and in gauges.
PICOT_REACH, PICOT_GAUGES = 0.75, 8.0
# A hole where a plait ends is one of ground when a free hole lies this near, in spacings.
GROUND_REACH = 1.5


def find_spans(pricking: Pricking) -> Drawn:
    """Find which holes the plaits and leaves of a piece join, and say which lines are left out."""
    spans: list[Span] = []
    remarks: list[Remark] = []
    for number, run in enumerate(pricking.runs):
        if run.word in LINE_WORDS:
            found = _spans(pricking, number, run)
            if not found:
                remarks.append(
                    Remark(f"this {run.word} joins no two holes: it is left out", run.place)
                )
            spans += found
    tied = frozenset(n for span in spans for hole in span.ends for n in pricking.owners[hole])
    spans = _clear_of_all_else(pricking, spans, remarks)
    ends = {hole for span in spans for hole in span.ends}
    spans = _with_picots(pricking, spans, ends)
    picots = {picot.hole for span in spans for picot in span.picots}
    free = np.array([
        not owned and inside < 0 for owned, inside in
        zip(pricking.owners, pricking.interior.tolist(), strict=True)
    ], bool)  # fmt: skip
    joints = {hole for hole in ends if free[hole]}
    free[sorted(joints | picots)] = False
    joints -= _among_ground(pricking, sorted(joints), np.flatnonzero(free))
    return Drawn(tuple(spans), frozenset(joints), frozenset(picots), tied, tuple(remarks))


def _spans(pricking: Pricking, number: int, run: Run) -> list[Span]:
    """Cut a line at the holes it goes through, from its upper end."""
    usable = np.flatnonzero((pricking.interior < 0) | np.array([bool(o) for o in pricking.owners]))
    path = run.points
    if not len(usable) or path_length(path) == 0:
        return []
    tree = cKDTree(pricking.holes[usable])
    away, near = (np.asarray(a) for a in tree.query(path[[0, -1]]))
    first, last = usable[near].tolist()
    reach = END_REACH * pricking.spacing[[first, last]]
    if (away > np.maximum(reach, 1.0)).any():
        return []
    through = _through(pricking, path, first, last)
    along = path_length(path)
    stops = [(0.0, first), *through, (along, last)]
    cut = [
        Span(number, run.word, (a, b), _part(pricking, path, (start, a), (stop, b)))
        for (start, a), (stop, b) in pairwise(stops)
        if a != b
    ]
    rank = np.column_stack([pricking.holes @ pricking.down, pricking.holes @ pricking.across])
    upper_first = tuple(np.round(rank[first], 6)) <= tuple(np.round(rank[last], 6))
    return cut if upper_first else [span.turned() for span in reversed(cut)]


def _through(pricking: Pricking, path: Points, first: int, last: int) -> list[tuple[float, int]]:
    """Return the holes a line goes through on its way, each with how far along it lies."""
    distance, along = nearest_on_path(path, pricking.holes, closed=False)
    owned = np.array([bool(o) for o in pricking.owners])
    reach = np.where(owned, THROUGH_EDGE, THROUGH) * pricking.spacing
    reach = np.minimum(reach, THROUGH_GAUGES * pricking.gauge_mm)
    inside = (pricking.interior >= 0) & ~owned
    whole = path_length(path)
    margin = 0.25 * pricking.spacing
    on = (distance <= reach) & ~inside & (along > margin) & (along < whole - margin)
    on[[first, last]] = False
    found = [(float(along[hole]), int(hole)) for hole in np.flatnonzero(on)]
    # A line may come back to where it began, or go past where it ends.
    for hole in {first, last}:
        off = MIDWAY * float(pricking.spacing[hole])
        if whole > 2 * off:
            between = part_of_path(path, off, whole - off)
            away, way = nearest_on_path(between, pricking.holes[[hole]], closed=False)
            found += [(off + float(way[0]), hole)] if away[0] <= reach[hole] else []
    return sorted(found)


def _part(
    pricking: Pricking, path: Points, start: tuple[float, int], stop: tuple[float, int]
) -> Points:
    """Return the part of a path between two holes on it, drawn to the holes themselves."""
    points = part_of_path(path, start[0], stop[0])
    points[[0, -1]] = pricking.holes[[start[1], stop[1]]]
    long = np.hypot(*np.diff(points, axis=0).T) > 1e-6 * path_length(path)
    kept = np.concatenate([[True], long[:-1], [True]])
    kept[-2] &= long[-1] or len(points) == 2
    return np.asarray(points[kept])


def _clear_of_all_else(
    pricking: Pricking, spans: Sequence[Span], remarks: list[Remark]
) -> list[Span]:
    """Leave out what would lie across areas and other lines, and say so."""
    kept: list[Span] = []
    laid = np.zeros((0, 2, 2))
    for span in spans:
        fault = _fault(pricking, span, kept, laid)
        if fault is None:
            kept.append(span)
            laid = np.concatenate([laid, span.pieces])
        else:
            a, b = (hole + 1 for hole in span.ends)
            place = pricking.runs[span.run].place
            message = f"between holes {a} and {b} this {span.word} {fault}: it is left out there"
            remarks.append(Remark(message, place))
    return kept


def _fault(pricking: Pricking, span: Span, kept: Sequence[Span], laid: Points) -> str | None:
    """Tell why a span has no way of its own."""
    for a, b in span.pieces:
        if any_crossed(a, b, laid):
            return "lies across another line where no hole is pricked for them to meet"
    middle = np.array([span.at(share * span.length)[0] for share in MIDDLE])
    for other in kept:
        if (nearest_on_path(other.path, middle, closed=False)[0] < ON * pricking.gauge_mm).any():
            return "lies on another line"
    if any(
        set(span.ends) == set(other.ends) and len(span.path) == len(other.path) == 2
        for other in kept
    ):
        return "is drawn twice"
    step = 0.25 * float(pricking.spacing[list(span.ends)].min())
    count = max(3, int(np.ceil(span.length / step)))
    spots = np.array([span.at(span.length * k / count)[0] for k in range(1, count)])
    deepest = TOO_DEEP * float(pricking.spacing[list(span.ends)].min())
    for number, area in enumerate(pricking.areas):
        if not area.worked:
            continue
        edge = np.min([nearest_on_path(c, spots, closed=True)[0] for c in area.contours], axis=0)
        if (contains(area.contours, spots) & (edge > deepest)).any():
            return f"runs through {area.place.item}"
        near = float(np.mean(edge < deepest))
        within = all(number in pricking.owners[hole] for hole in span.ends)
        if near > MOSTLY and (within or near * span.length > ACROSS * deepest):
            return f"runs along the edge of {area.place.item}"
    return None


def _with_picots(pricking: Pricking, spans: Sequence[Span], ends: set[int]) -> list[Span]:
    """Give each hole beside a plait that asks for picots on that side to the nearest plait."""
    best: dict[int, tuple[float, int, Picot]] = {}
    for k, span in enumerate(spans):
        asked = pricking.runs[span.run].options.get("picots")
        if asked is None or span.word != "plait":
            continue
        distance, along = nearest_on_path(span.path, pricking.holes, closed=False)
        reach = np.minimum(PICOT_REACH * pricking.spacing, PICOT_GAUGES * pricking.gauge_mm)
        near = (distance <= reach) & (along > 0) & (along < span.length)
        for hole in np.flatnonzero(near & (pricking.interior < 0)).tolist():
            if pricking.owners[hole] or hole in ends:
                continue
            spot, direction = span.at(float(along[hole]))
            x, y = pricking.holes[hole] - spot
            # Right of a direction, as the maker sees it who works along it.
            side = 1 if x * direction[1] - y * direction[0] > 0 else -1
            wish = (float(distance[hole]), k, Picot(hole, side, float(along[hole])))
            if asked in ("both", "right" if side > 0 else "left"):
                best[hole] = min(best.get(hole, wish), wish, key=lambda w: w[:2])
    found = list(spans)
    for k in {k for _, k, _ in best.values()}:
        mine = sorted((p for _, n, p in best.values() if n == k), key=lambda p: p.way)
        found[k] = replace(found[k], picots=tuple(mine))
    return found


def _among_ground(pricking: Pricking, joints: Sequence[int], free: NDArray[np.int64]) -> set[int]:
    """Return the holes where plaits end that have ground next to them."""
    if not joints or not len(free):
        return set()
    away = np.asarray(cKDTree(pricking.holes[free]).query(pricking.holes[joints])[0])
    near = away <= GROUND_REACH * pricking.spacing[joints]
    return {hole for hole, close in zip(joints, near.tolist(), strict=True) if close}
