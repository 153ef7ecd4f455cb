"""Find where threads cross by plane geometry and by hand, without the code that laid them.

Crossings of the picture come from shapely (GEOS), those of the plan from working it thread by
thread on plain lists. Neither uses anything of `render`.
"""

from collections import Counter
from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely

GRAZING_MM = 1e-6


@dataclass(frozen=True)
class Found:
    """Where the curves of two threads meet in the plane.

    Attributes
    ----------
    low, high
        (M,) threads, low < high.
    at
        (M, 2) in mm.
    lines
        Each thread seen from above.
    overlaps
        Pairs of threads that run along each other over some length.
    """

    low: np.ndarray
    high: np.ndarray
    at: np.ndarray
    lines: np.ndarray
    overlaps: int

    @property
    def threads(self):
        """How often each unordered pair of threads meets."""
        return Counter(zip(self.low.tolist(), self.high.tolist(), strict=True))


def curves(paths):
    """Return each thread seen from above as a shapely line."""
    count = len(paths.starts) - 1
    return np.array([shapely.LineString(paths.thread(t)[:, :2]) for t in range(count)])


def meetings(paths):
    """Intersect every thread with every other."""
    lines = curves(paths)
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    low, high = first[first < second], second[first < second]
    met = shapely.intersection(lines[low], lines[high])
    parts, owner = shapely.get_parts(met, return_index=True)
    # Where threads graze each other in a crossing, rounding can make a line of less than a
    # thousand-millionth of a metre out of the point.
    point = shapely.length(parts) < GRAZING_MM
    at = shapely.get_coordinates(shapely.centroid(parts[point])).reshape(-1, 2)
    low, high = low[owner[point]], high[owner[point]]
    # The two threads of a pair are one thread, laid round its start: they part there.
    begin = np.array([shapely.get_coordinates(line)[0] for line in lines])
    parting = (begin[low] == begin[high]).all(axis=1) & (at == begin[low]).all(axis=1)
    return Found(low[~parting], high[~parting], at[~parting], lines, int((~point).sum()))


def that_cross_themselves(paths):
    """Return the threads whose curve meets itself."""
    return np.flatnonzero(~shapely.is_simple(curves(paths))).tolist()


def heights(paths, found, thread):
    """Return (M,) how high a thread of each meeting lies there."""
    along = shapely.line_locate_point(found.lines[thread], shapely.points(found.at))
    high = np.zeros(len(thread))
    for t in np.unique(thread):
        points = paths.thread(t)
        way = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(points[:, :2], axis=0).T))])
        high[thread == t] = np.interp(along[thread == t], way, points[:, 2])
    return high


def matched(paths, found):
    """Return for each meeting the recorded crossing of the same threads that lies nearest.

    Returns
    -------
    (M,) crossing and (M,) distance in mm.
    """
    crossings = paths.crossings
    ends = np.sort(np.stack([crossings.over, crossings.under], axis=1), axis=1)
    nearest, apart = np.full(len(found.at), -1), np.full(len(found.at), np.inf)
    recorded = {}
    for k, pair in enumerate(map(tuple, ends.tolist())):
        recorded.setdefault(pair, []).append(k)
    for m, pair in enumerate(zip(found.low.tolist(), found.high.tolist(), strict=True)):
        same = np.array(recorded.get(pair, []), int)
        if len(same):
            away = np.hypot(*(crossings.at[same] - found.at[m]).T)
            nearest[m], apart[m] = same[away.argmin()], away.min()
    return nearest, apart


def worked_by_hand(plan):
    """Return how often each thread lies over each other one: a count of (over, under).

    Gimps are numbered after all threads of pairs. Each lies under the left thread of every pair
    it passes and over the right one.

    The threads of the pair hung as number k are 2 k on the left and 2 k + 1 on the right. A cross
    lays left over right, a twist right over left. A pair may pass its neighbour as one, and the
    outermost thread may weave through the other three.
    """
    held = {hung.leg: [2 * k, 2 * k + 1] for k, hung in enumerate(plan.hangings)}
    laid = Counter()
    _lay_gimps(plan, laid)
    on_leg = {leg: tuple(threads) for leg, threads in held.items()}
    for number, moves in enumerate(plan.moves):
        threads = [
            t for leg in plan.taken[number].tolist() for t in _twisted(plan, held, leg, laid)
        ]
        for letter in moves:
            threads = DONE[letter](threads, laid)
        left, right = plan.given[number].tolist()
        held[left], held[right] = on_leg[left], on_leg[right] = threads[:2], threads[2:]
    for leg in list(held):
        _twisted(plan, held, leg, laid)
    # Each thread of a worker that is sewn goes over both of the earlier one, and back under them;
    # where they are the same, it is tied beside them.
    for sewing in plan.sewings:
        if set(on_leg[sewing.leg]) & set(on_leg[sewing.to]):
            continue
        for later, earlier in product(on_leg[sewing.leg], on_leg[sewing.to]):
            laid.update([(later, earlier), (earlier, later)])
    return laid


def _lay_gimps(plan, laid):
    """Lay every gimp through the pairs it passes, as they stand after so many twists."""
    begun = pairs_as_they_begin(plan)
    for number, gimp in enumerate(plan.gimps, start=2 * len(plan.hangings)):
        for passing in gimp.passings:
            pair, twists = begun[passing.leg]
            left, right = pair if (passing.after - twists) % 2 == 0 else pair[::-1]
            laid.update([(left, number), (number, right)])
    first = 2 * len(plan.hangings)
    laid.update((first + c.left[0], first + c.right[0]) for c in plan.gimp_crossings)


def pairs_as_they_begin(plan):
    """Return the two threads of each leg, and how many twists its stitch has left on them."""
    held = {hung.leg: [2 * k, 2 * k + 1] for k, hung in enumerate(plan.hangings)}
    begun = {leg: (pair, 0) for leg, pair in held.items()}
    for number, moves in enumerate(plan.moves):
        threads = [t for leg in plan.taken[number].tolist()
                   for t in _twisted(plan, held, leg, Counter())]  # fmt: skip
        for letter in moves:
            threads = DONE[letter](threads, Counter())
        left, right = plan.given[number].tolist()
        held[left], held[right] = threads[:2], threads[2:]
        twists = len(moves) - len(moves.rstrip("T"))
        begun |= {leg: (held[leg], twists) for leg in (left, right)}
    return begun


def _twisted(plan, held, leg, laid):
    """Take a leg, with the twists it gets on its way."""
    left, right = held.pop(leg)
    for _ in range(int(plan.twists[leg])):
        laid[right, left] += 1
        left, right = right, left
    return [left, right]


def _crossed(threads, laid):
    a, b, c, d = threads
    laid[b, c] += 1
    return [a, c, b, d]


def _both_twisted(threads, laid):
    a, b, c, d = threads
    laid[b, a] += 1
    laid[d, c] += 1
    return [b, a, d, c]


def _left_pair_over(threads, laid):
    for over in threads[:2]:
        for under in threads[2:]:
            laid[over, under] += 1
    return [*threads[2:], *threads[:2]]


def _right_pair_over(threads, laid):
    for over in threads[2:]:
        for under in threads[:2]:
            laid[over, under] += 1
    return [*threads[2:], *threads[:2]]


def _weaver_to_the_right(threads, laid):
    """Over the first, under the second, over the third."""
    weaver, *others = threads
    laid.update([(weaver, others[0]), (others[1], weaver), (weaver, others[2])])
    return [*others, weaver]


def _weaver_back(threads, laid):
    """Turn round the third, which it has just gone over: under it, over, under."""
    *others, weaver = threads
    laid.update([(others[2], weaver), (weaver, others[1]), (others[0], weaver)])
    return [weaver, *others]


DONE = {
    "C": _crossed,
    "T": _both_twisted,
    "L": _left_pair_over,
    "R": _right_pair_over,
    "W": _weaver_to_the_right,
    "B": _weaver_back,
}
