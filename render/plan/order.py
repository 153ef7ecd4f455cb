"""The order in which holes can be worked."""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter


@dataclass(frozen=True)
class Event:
    """Something done at one hole.

    Attributes
    ----------
    hole
        Where.
    areas
        The areas whose worker comes there, each with the number of its step (0 the start); none
        for a hole of ground.
    key
        Position along and across the working direction, by which ties are broken.
    crossing
        The crossing of two trails that is worked, -1 for none.
    """

    hole: int
    areas: tuple[tuple[int, int], ...]
    key: tuple[float, float]
    crossing: int = -1


def in_order(
    events: Sequence[Event], firm: Sequence[tuple[int, int]], soft: Sequence[tuple[int, int]]
) -> Iterator[tuple[int, frozenset[int]]]:
    """Yield event numbers in an order that a maker can follow.

    Parameters
    ----------
    events
        All events.
    firm
        Pairs (a, b): event a comes before event b, always. They make no cycle.
    soft
        Pairs (a, b) that hold as long as they make no cycle.

    Yields
    ------
    The number of an event, and the events that should have come before it but cannot, because
    they wait for it themselves: empty where the piece can be worked in its direction.
    """
    waiting: list[set[int]] = [set() for _ in events]
    following: list[list[int]] = [[] for _ in events]
    for a, b in (*firm, *soft):
        if a != b and a not in waiting[b]:
            waiting[b].add(a)
            following[a].append(b)
    strict: list[set[int]] = [set() for _ in events]
    for a, b in firm:
        strict[b].add(a)
    ready = [(event.key, n) for n, event in enumerate(events) if not waiting[n]]
    heapq.heapify(ready)
    left = {n for n in range(len(events)) if waiting[n]}
    while ready or left:
        unmet: frozenset[int] = frozenset()
        if ready:
            _, number = heapq.heappop(ready)
        else:
            free = (n for n in left if strict[n].isdisjoint(waiting[n]))
            number = min(free, key=lambda n: (len(waiting[n]), events[n].key))
            unmet = frozenset(waiting[number])
            waiting[number].clear()
            left.discard(number)
        yield number, unmet
        for after in following[number]:
            if number in waiting[after]:
                waiting[after].discard(number)
                if not waiting[after]:
                    left.discard(after)
                    heapq.heappush(ready, (events[after].key, after))


def can_be_kept(count: int, firm: Sequence[tuple[int, int]]) -> bool:
    """Tell whether pairs of events that must follow each other make no cycle."""
    sorter: TopologicalSorter[int] = TopologicalSorter({n: set() for n in range(count)})
    for a, b in firm:
        sorter.add(b, a)
    try:
        sorter.prepare()
    except CycleError:
        return False
    return True


def reaches(following: Sequence[Sequence[int]], first: int, last: int) -> bool:
    """Tell whether one event must come before another, or is the same.

    Parameters
    ----------
    following
        For each event the events that follow it.
    """
    seen, open_ends = {first}, [first]
    while open_ends:
        event = open_ends.pop()
        if event == last:
            return True
        fresh = set(following[event]) - seen
        seen |= fresh
        open_ends += fresh
    return False
