"""What is done at which hole, and what comes before what."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

import numpy as np

from render.plan.areas import ENDS, PASSES, STARTS, Areas
from render.plan.contacts import Contacts
from render.plan.footing import Footing
from render.plan.ground import Links
from render.plan.order import Event, can_be_kept
from render.pricking.model import Pricking


class Visits:
    """The visits to all holes of a piece.

    Attributes
    ----------
    events
        All that is done, one visit each.
    firm
        Pairs of events that follow each other along the areas.
    at_hole
        The events at each hole, in working order.
    at_stop
        The event of each area and stop of its course.
    """

    def __init__(
        self, pricking: Pricking, areas: Areas, contacts: Contacts, worked_past: frozenset[int]
    ) -> None:
        """Find the order of all events that can be kept.

        Parameters
        ----------
        worked_past
            Holes at which nothing begins: something is led round them on the way.
        """
        self.pricking = pricking
        self.areas = areas
        self.contacts = contacts
        self.worked_past = worked_past
        self._arrange()

    def _arrange(self) -> None:
        for meeting in (True, False):
            # Areas that meet twice, in opposite order, are worked past each other.
            self.events = self._events(meeting=meeting)
            self.firm = self._along_areas()
            if can_be_kept(len(self.events), self.firm):
                return
        while self.contacts.give_way():
            self.events = self._events(meeting=False)
            self.firm = self._along_areas()
            if can_be_kept(len(self.events), self.firm):
                return

    def _events(self, *, meeting: bool) -> list[Event]:
        stops_at: dict[int, list[tuple[int, int]]] = {}
        for area, visits in self.areas.stops.items():
            for k, visit in enumerate(visits):
                stops_at.setdefault(visit.hole, []).append((area, k))
        self.areas.guests = stops_at
        self.at_stop: dict[tuple[int, int], int] = {}
        self.at_hole: dict[int, list[int]] = {}
        events: list[Event] = []
        along = np.round(self.pricking.holes @ self.pricking.down, 6)
        across = np.round(self.pricking.holes @ self.pricking.across, 6)
        for hole in range(len(self.pricking.holes)):
            stops = stops_at.get(hole, [])
            elsewhere = hole in self.worked_past or hole in self.contacts.holes
            if not stops and (self.pricking.interior[hole] >= 0 or elsewhere):
                continue
            for group in self._groups(stops, meeting=meeting) if stops else [()]:
                for stop in group:
                    self.at_stop[stop] = len(events)
                self.at_hole.setdefault(hole, []).append(len(events))
                events.append(Event(hole, group, (float(along[hole]), float(across[hole]))))
        self.crossed: list[int] = []
        for k, crossing in enumerate(self.contacts.crossings):
            key = (
                float(crossing.middle @ self.pricking.down),
                float(crossing.middle @ self.pricking.across),
            )
            self.crossed.append(len(events))
            if crossing.through:
                for hole in crossing.holes:
                    self.at_hole.setdefault(hole, []).append(len(events))
            events.append(Event(self.contacts.place(crossing), (), key, k))
        return events

    def _groups(
        self, stops: list[tuple[int, int]], *, meeting: bool
    ) -> list[tuple[tuple[int, int], ...]]:
        """Group the areas at one hole; what comes to it again comes after all that is new there."""
        groups: list[tuple[tuple[int, int], ...]] = []
        left = list(stops)
        while left:
            first = {area: (area, k) for area, k in reversed(left)}
            groups += self._meetings(list(first.values()), meeting=meeting)
            left = [stop for stop in left if first[stop[0]] != stop]
        return groups

    def _meetings(
        self, stops: list[tuple[int, int]], *, meeting: bool
    ) -> list[tuple[tuple[int, int], ...]]:
        """Group the areas at one hole: two workers that face each other meet, others take turns.

        What ends at a hole comes before what passes it, and that before what begins there.
        """
        by_kind: dict[int, list[tuple[int, int]]] = {STARTS: [], PASSES: [], ENDS: []}
        for stop in stops:
            by_kind[self.areas.kind(*stop)].append(stop)
        side = {s: self.areas.stops[s[0]][s[1]].side for s in by_kind[PASSES]}
        on_right = [s for s in by_kind[PASSES] if side[s] > 0]
        on_left = [s for s in by_kind[PASSES] if side[s] < 0]
        groups: list[tuple[tuple[int, int], ...]] = [(s,) for s in by_kind[ENDS]]
        while meeting and on_right and on_left:
            groups.append((on_right.pop(0), on_left.pop(0)))
        groups += [(s,) for s in (*on_right, *on_left, *by_kind[STARTS])]
        return groups

    def _along_areas(self) -> list[tuple[int, int]]:
        """Return which event comes before which along the areas."""
        chains_of = {
            area: [self.at_stop[area, k] for k in range(len(stops))]
            for area, stops in self.areas.stops.items()
        }
        chains = list(chains_of.values())
        for area, parts in self.areas.into.items():
            chains += [[chains_of[area][-1], *chains_of[n][:1]] for n in parts]
        above = {n: area for area, parts in self.areas.into.items() for n in parts}
        for area, parts in self.areas.out_of.items():
            # A stretch without a stop of its own goes straight from the top to the bottom.
            whole = [chains_of[n] or chains_of[above[n]] for n in parts]
            chains += [[chain[-1], chains_of[area][0]] for chain in whole]
        for event, crossing in zip(self.crossed, self.contacts.crossings, strict=True):
            for area, k in self.contacts.stops(crossing):
                chains.append([self.at_stop[area, k - 1], event, self.at_stop[area, k]])
        return [pair for chain in chains for pair in pairwise(chain)]

    def before(
        self,
        links: Links,
        footing: Mapping[int, Footing],
        openings: Iterable[tuple[int, int, Sequence[int]]],
        lines: Iterable[tuple[int, int]],
    ) -> list[tuple[int, int]]:
        """Return which event comes before which along links, footsides and at shared holes.

        Parameters
        ----------
        links
            Which hole of ground leads to which.
        footing
            What is worked at the holes of footsides, in working order.
        openings
            The stretches above and below each opening of an area, and the holes on and in it.
        lines
            More pairs of holes of which the first comes before the second.
        """
        chains = list(self.at_hole.values())
        feet: dict[int, list[int]] = {}
        for hole, footed in footing.items():
            feet.setdefault(footed.run, []).extend(self.at_hole.get(hole, []))
        chains += list(feet.values())
        pairs = [pair for chain in chains for pair in pairwise(chain)]
        for a, b in zip(links.source.tolist(), links.target.tolist(), strict=True):
            pairs.append((self.at_hole[a][-1], self.at_hole[b][0]))
        for a, b in lines:
            pairs.append((self.at_hole[a][-1], self.at_hole[b][0]))
        for above, below, holes in openings:
            top = self.at_stop[above, len(self.areas.stops[above]) - 1]
            bottom = self.at_stop[below, 0]
            for event in (e for h in holes for e in self.at_hole.get(h, ())):
                if event not in (top, bottom):
                    pairs += [(top, event), (event, bottom)]
        return pairs
