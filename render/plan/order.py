"""The order in which holes can be worked."""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass


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
    """

    hole: int
    areas: tuple[tuple[int, int], ...]
    key: tuple[float, float]


def in_order(
    events: Sequence[Event], before: Sequence[tuple[int, int]]
) -> Iterator[tuple[int, frozenset[int]]]:
    """Yield event numbers in an order that a maker can follow.

    Parameters
    ----------
    events
        All events.
    before
        Pairs (a, b): event a comes before event b.

    Yields
    ------
    The number of an event, and the events that should have come before it but cannot, because
    they wait for it themselves: empty where the piece can be worked in its direction.
    """
    waiting: list[set[int]] = [set() for _ in events]
    following: list[list[int]] = [[] for _ in events]
    for a, b in before:
        if a != b and a not in waiting[b]:
            waiting[b].add(a)
            following[a].append(b)
    ready = [(event.key, n) for n, event in enumerate(events) if not waiting[n]]
    heapq.heapify(ready)
    left = {n for n in range(len(events)) if waiting[n]}
    while ready or left:
        unmet: frozenset[int] = frozenset()
        if ready:
            _, number = heapq.heappop(ready)
        else:
            number = min(left, key=lambda n: (len(waiting[n]), events[n].key))
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
