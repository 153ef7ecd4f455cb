"""How many pairs an area keeps while plaits come and go, and which pair takes which way out."""

from collections.abc import Sequence

import numpy as np

from render.plan.cloth import Cloth
from render.plan.plaiting import Plaiting
from render.plan.traffic import Traffic

# A trail looks this many pins ahead before it takes a pair in, or throws one out, that a plait is
# about to bring or to take (common practice, no source).
OUTLOOK = 8
# A plait takes its pairs from a trail as long as this share of what its width asks for is left, and
# so many pairs with the worker (common practice, no source).
KEPT_SHARE, KEPT_PAIRS = 0.6, 4

# How many links go together, two in a plait, and whether they lead to the left.
Bunch = tuple[int, bool]


def pairs_going_out(traffic: Traffic, cloth: Cloth, hole: int, i: int, *, fed: bool) -> int:
    """Return how many pairs ground, plaits and leaves take out of an area at visit i, a hole."""
    leaving = traffic.leaving_links(hole)
    plaited = sum(link in traffic.headings for link in leaving)
    kept = 2 if fed else max(KEPT_PAIRS, int(np.ceil(KEPT_SHARE * cloth.wanted[i])))
    there = cloth.pairs + traffic.count_arriving(hole) - (len(leaving) - plaited)
    return len(leaving) - plaited + min(plaited, max(0, 2 * ((there - kept) // 2)))


def outlook(plaiting: Plaiting, ahead: Sequence[int]) -> tuple[int, int]:
    """Return by how many pairs plaits will at least and at most change an area at some holes."""
    flow = np.cumsum([plaiting.flow(hole) for hole in ahead])
    return int(flow.min(initial=0)), int(flow.max(initial=0))


def bunches(traffic: Traffic, links: Sequence[int]) -> list[Bunch]:
    """Bunch links, given from left to right, that one plait or leaf takes."""
    found: list[Bunch] = []
    number = 0
    while number < len(links):
        size = 2 if links[number] in traffic.headings else 1
        found.append((size, traffic.bearing(links[number]) < 0))
        number += size
    return found


def lanes_for(legs: int, bunched: Sequence[Bunch]) -> dict[int, int]:
    """Give links to pairs; return the link by position of the pair.

    Plaits and leaves take those on their own side, and so does all else where every way leads to
    one side; otherwise both outsides are served in turn.
    """
    plaited = any(size == 2 for size, _ in bunched)
    left_over = list(bunched)
    first, last = 0, sum(size for size, _ in bunched)
    left, right = 0, legs
    lanes: dict[int, int] = {}
    turn = True
    while left_over:
        both_ways = left_over[0][1] and not left_over[-1][1]
        at_left = turn if both_ways and not plaited else left_over[0][1]
        size, _ = left_over.pop(0 if at_left else -1)
        if size > right - left:
            break
        for k in range(size):
            if at_left:
                lanes[left + k] = first + k
            else:
                lanes[right - 1 - k] = last - 1 - k
        if at_left:
            first, left = first + size, left + size
        else:
            last, right = last - size, right - size
        turn = not turn
    return lanes
