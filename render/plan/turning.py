"""Where an outline turns: its tops and bottoms, the clefts between tops and between feet."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

# Holes are level that differ by less than this share of what makes a turn.
LEVEL = 0.15


@dataclass(frozen=True)
class Turn:
    """A place where an outline turns from going down to going up, or the other way.

    Attributes
    ----------
    position
        Which of its holes, clockwise.
    low
        Whether it lies lower than the outline on both sides of it; otherwise higher.
    within
        Whether the area lies beyond it: below a low one, above a high one. It is then a cleft
        between two tops, or between two feet; otherwise a bottom or a top.
    """

    position: int
    low: bool
    within: bool


def find_turns(spots: Points, along: Points, least: float) -> tuple[Turn, ...]:
    """Find where an outline turns, clockwise from its highest hole.

    Parameters
    ----------
    spots
        (n, 2) holes of the outline in mm, clockwise as the maker sees them.
    along
        (2,) unit vector in which the area is worked.
    least
        How far in mm along that vector it has to go back before it has turned.

    Returns
    -------
    Low and high ones in turn, the first high; two of them where it only goes down and up again.
    """
    depth = spots @ along
    first = int(depth.argmin())
    order = np.roll(np.arange(len(spots)), -first)
    found = [(first, False)]
    farthest, low = first, True
    for position in order[1:].tolist():
        gone_on = depth[position] - depth[farthest]
        if gone_on > 0 if low else gone_on < 0:
            farthest = position
        elif abs(gone_on) >= least:
            found.append((farthest, low))
            farthest, low = position, not low
    if low:
        found.append((farthest, True))
    if len(found) <= 2:
        return tuple(Turn(position, low, within=False) for position, low in found)
    across = spots @ np.array([along[1], -along[0]])
    turns = []
    for position, low in found:
        level = _level_with(depth, position, LEVEL * least)
        middle = middle_of(level, across, -depth if low else depth)
        turns.append(Turn(middle, low, _within(depth, across, level, low=low)))
    return tuple(turns)


def middle_of(positions: list[int], across: Points, first: Points) -> int:
    """Return the middle one of some holes from left to right.

    Of two, the one that comes first, and the left one where neither does.

    Parameters
    ----------
    across, first
        (n,) places of all holes in mm, from left to right and from first to last.
    """
    ordered = sorted(positions, key=lambda position: float(across[position]))
    middle = ordered[(len(ordered) - 1) // 2 : len(ordered) // 2 + 1]
    return min(middle, key=lambda position: round(float(first[position]), 6))


def _level_with(depth: Points, position: int, reach: float) -> list[int]:
    """Return a hole and those beside it along the outline that lie level with it."""
    count = len(depth)
    level = [position]
    for step in (1, -1):
        other = (position + step) % count
        while abs(depth[other] - depth[position]) < reach and other not in level:
            level.append(other)
            other = (other + step) % count
    return level


def _within(depth: Points, across: Points, level: list[int], *, low: bool) -> bool:
    """Tell whether the area lies beyond a turn.

    Clockwise, an outline goes down on the right of an area and up on its left: it comes to a
    bottom from the right, and to a cleft between two tops from the left.
    """
    count = len(depth)
    sides = []
    for step in (-1, 1):
        others = ((level[0] + step * k) % count for k in range(1, count))
        sides.append(float(across[next(other for other in others if other not in level)]))
    before, after = sides
    return before < after if low else before > after
