"""Working plaits and leaves: which end comes first, and how they leave a hole."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from render.plan.order import reaches
from render.plan.pillow import Along, Spot
from render.plan.rows import CROSSING_ROW, crossing_rows, picots_after
from render.plan.spans import Drawn, Span
from render.plan.stitches import PICOT_TWISTS, PLAIT, Stitch
from render.plan.traffic import Traffic

Points = NDArray[np.float64]

# Lengths in gauges. A half stitch of a firm plait: its threads run at about 40 degrees to it, so
# that each lies against the one before (common practice, no source; a maker tries a sample).
PLAIT_PITCH = 2.1
# Sides of meshes have an even number of half stitches, and no fewer than this (see
# `render.plan.valenciennes`).
FEWEST_IN_MESH = 4
# The rows of a leaf lie close, as in a beaten cloth.
LEAF_PITCH = 1.1
# A leaf is a good quarter as wide as long, and no wider than this (common practice, no source).
LEAF_SHARE, WIDEST_LEAF = 0.28, 9.0
NARROWEST_LEAF = 2.6
SPREADING = 0.35
# What plaits leave free round the pin they begin or end at.
ROUND_PIN = 2.6
# How far from its pin, along a trail, a plait comes in or leaves at right angles to it; one that
# leads this much (the cosine of its angle) along the trail needs no such way.
PAST_PIN, STEEP = 3.5, 0.7
# From twist to twist of a pair.
TWIST_PITCH = 1.5


class Plaiting:
    """The plaits and leaves of a piece while it is being worked.

    Attributes
    ----------
    spans
        Each from the end that is worked first.
    joints, picots
        See `lines.Drawn`.
    coming, leaving
        For each hole the spans that end and that begin there.
    """

    def __init__(self, traffic: Traffic, drawn: Drawn, gauge_mm: float) -> None:
        self.traffic = traffic
        self.pillow = traffic.pillow
        self.spans = list(drawn.spans)
        self.joints, self.picots = drawn.joints, drawn.picots
        self.gauge = gauge_mm
        self.links: list[tuple[int, int]] = []
        self.coming: dict[int, list[int]] = {}
        self.leaving: dict[int, list[int]] = {}

    def lay(
        self,
        count: int,
        events_at: dict[int, list[int]],
        firm: Sequence[tuple[int, int]],
        trend: Callable[[int], Points],
    ) -> list[tuple[int, int]]:
        """Choose which end of each span is worked first, and link them.

        Parameters
        ----------
        count
            How many events there are.
        events_at
            The events at each hole, in working order.
        firm
            Pairs of events that follow each other in any case.
        trend
            Gives the unit direction in which an area runs past a hole of its edge, else zero.

        Returns
        -------
        More pairs of events that must follow each other: with `firm` they make no cycle.
        """
        following: list[list[int]] = [[] for _ in range(count)]
        for a, b in firm:
            following[a].append(b)
        found: list[tuple[int, int]] = []
        down = self.traffic.pricking.down
        steep = [-abs(float((s.path[-1] - s.path[0]) @ down)) for s in self.spans]
        for k in sorted(range(len(self.spans)), key=lambda k: (steep[k], k)):
            if self.spans[k].mesh:
                continue
            for way in (self.spans[k], self.spans[k].turned()):
                before, after = events_at[way.ends[0]][-1], events_at[way.ends[1]][0]
                if not reaches(following, after, before):
                    self.spans[k] = way
                    following[before].append(after)
                    found.append((before, after))
                    break
        self.spans = [self._past_pins(span, trend) for span in self.spans]
        for k, span in enumerate(self.spans):
            self.links.append(self.traffic.join(*span.ends, heading=span.at(0.0)[1]))
            self.leaving.setdefault(span.ends[0], []).append(k)
            self.coming.setdefault(span.ends[1], []).append(k)
        for spans in self.leaving.values():
            spans.sort(key=lambda k: self.traffic.bearing(self.links[k][0]))
        return found

    def run_of(self, link: int) -> int:
        """Return the line a link belongs to, -1 for one of ground."""
        return next(
            (s.run for s, pair in zip(self.spans, self.links, strict=True) if link in pair), -1
        )

    def passes(self, hole: int) -> bool:
        """Tell whether a plait or leaf begins or ends at a hole."""
        return hole in self.coming or hole in self.leaving

    def flow(self, hole: int) -> int:
        """Return how many pairs come to a hole by plaits and leaves, less those that leave."""
        return 2 * (len(self.coming.get(hole, ())) - len(self.leaving.get(hole, ())))

    def _past_pins(self, span: Span, trend: Callable[[int], Points]) -> Span:
        """Lead a span to a trail above the pin, and away from one below it.

        The worker takes pairs in before it turns about its pin, and lets them out after that.
        """
        path = span.path.copy()
        for end, sign in ((0, 1.0), (-1, -1.0)):
            run = trend(span.ends[end])
            slant = float(span.at(-end * span.length)[1] @ run)
            if run.any():
                size = PAST_PIN * self.gauge * min(max(1 - slant / STEEP, 0.0), 1.3)
                path[end] += sign * min(size, 0.2 * span.length) * run
        return replace(span, path=path)

    # Leaving a hole --------------------------------------------------------------------------

    def leave(self, hole: int, beside: Callable[[], int]) -> None:
        """Work all plaits and leaves that begin at a hole, with pairs hung in where any lack.

        Parameters
        ----------
        hole
            Where everything else is done.
        beside
            Tells to the right of which leg pairs are to be hung where nothing else does.
        """
        spans = self.leaving.get(hole, [])
        for place, k in enumerate(spans):
            if self.links[k][0] not in self.traffic.flying:
                self._hang(hole, spans, place, beside)
        for k in spans:
            left, right = (self.traffic.flying.pop(link) for link in self.links[k])
            left, right = self.traffic.side_by_side(left, right, hole)
            self._work(k, left, right)

    def _hang(self, hole: int, spans: Sequence[int], place: int, beside: Callable[[], int]) -> None:
        """Take two pairs that hang loose at a hole, or hang them, for one of its spans."""
        flying = self.traffic.flying
        legs = [] if self.traffic.pricking.owners[hole] else self.traffic.take_loose(hole)
        earlier = [k for k in spans[:place] if self.links[k][0] in flying]
        later = [k for k in spans[place + 1 :] if self.links[k][0] in flying]
        in_ground = not self.traffic.pricking.owners[hole]
        aside = self.traffic.left_of_way(hole, self.links[spans[place]][0]) if in_ground else None
        if legs:
            before = legs[-1]
        elif aside is not None:
            before = aside
        elif earlier:
            before = flying[self.links[earlier[-1]][1]]
        elif later:
            before = self.pillow.left_of(flying[self.links[later[0]][0]])
        else:
            before = beside()
        missing = 2 - len(legs)
        if missing:
            who = "a pair is" if missing == 1 else "two pairs are"
            word = self.spans[spans[place]].word
            self.traffic.tell(hole, f"the {word} that leaves here lacks pairs: {who} hung in")
        legs += self.hung(hole, before, missing, spans[place], start=False)
        flying.update(zip(self.links[spans[place]], legs, strict=True))

    def hung(self, hole: int, beside: int, count: int, k: int, *, start: bool) -> list[int]:
        """Hang pairs for a span at a hole."""
        legs: list[int] = []
        spot, run = self.traffic.spot(hole), self.spans[k].run
        for _ in range(count):
            beside = self.pillow.hang(spot, beside, start=start, hole=hole, role="plait", run=run)
            legs.append(beside)
        return legs

    # Plaits and leaves themselves ------------------------------------------------------------

    def _work(self, k: int, left: int, right: int) -> None:
        span = self.spans[k]
        work = self._plait if span.word == "plait" else self._leaf
        left, right = work(span, left, right)
        for link, leg in zip(self.links[k], (left, right), strict=True):
            self.pillow.twists[leg] += self._twists(span)
            self.traffic.flying[link] = leg

    def _twists(self, span: Span) -> int:
        """Return how often both pairs are twisted at the end of a span."""
        if span.mesh:
            return 0
        return int(self.traffic.pricking.runs[span.run].options.get("twists", "0"))

    def _plait(self, span: Span, left: int, right: int) -> tuple[int, int]:
        """Work half stitches from hole to hole, with a picot where one stands."""
        sides = [picot.side for picot in span.picots]
        least = 1 + max(sides.count(-1), sides.count(1))
        first, pitch, count = self._rows(span, PLAIT_PITCH, least)
        if span.mesh:
            even = max(FEWEST_IN_MESH, 2 * round(count / 2))
            pitch, count = pitch * count / even, even
        picots = picots_after(span, first, pitch, count)
        for row in range(count):
            left, right = self._row(span, PLAIT, left, right, first + (row + 0.5) * pitch)
            for side, leg in ((-1, left), (1, right)):
                if (row, side) in picots:
                    self.pillow.twists[leg] += 2 * PICOT_TWISTS
                    self.pillow.lead_round(leg, picots[row, side], side)
        return left, right

    def _leaf(self, span: Span, left: int, right: int) -> tuple[int, int]:
        """Let the outermost thread on the left weave to and fro through the other three."""
        widest = self._broadest(span)
        # Before a square end its threads have to spread.
        spread = SPREADING * widest if span.word == "square-leaf" else 0.0
        first, pitch, count = self._rows(span, LEAF_PITCH, 2, spread)
        for row in range(count):
            share = (row + 0.5) / count
            profile = 1.0 if span.word == "square-leaf" else np.sin(np.pi * share) ** 0.75
            breadth = max(widest * float(profile), NARROWEST_LEAF * self.gauge)
            moves = Stitch("B" if row % 2 else "W")
            way = first + (row + 0.5) * pitch
            left, right = self._row(span, moves, left, right, way, breadth)
        return left, right

    def _broadest(self, span: Span) -> float:
        """Return how far apart the outer threads of a leaf lie where it is broadest, in mm."""
        asked = self.traffic.pricking.runs[span.run].options.get("width-mm")
        if asked is None:
            return min(LEAF_SHARE * span.length, WIDEST_LEAF * self.gauge)
        # The weaver goes round them, and they have a thickness.
        return float(asked) - 2 * self.gauge

    def _row(
        self, span: Span, stitch: Stitch, left: int, right: int, way: float, breadth: float = 0.0
    ) -> tuple[int, int]:
        spot, direction = span.at(way)
        return self.pillow.stitch(
            stitch,
            left,
            right,
            _spot(spot),
            technique=span.word,
            along=Along(span.run, _spot(direction), breadth),
        )

    def _rows(
        self, span: Span, pitch: float, least: int, spread: float = 0.0
    ) -> tuple[float, float, int]:
        """Return where the rows of a span begin in mm, their distance and their number."""
        first, last = (self._free(hole) + spread for hole in span.ends)
        last += TWIST_PITCH * self.gauge * self._twists(span)
        # Where there is too little room between two pins, what is free shrinks with it.
        shrink = min(1.0, 0.5 * span.length / (first + last))
        room = span.length - shrink * (first + last)
        count = max(least, round(room / (pitch * self.gauge)))
        return shrink * first, room / count, count

    def _free(self, hole: int) -> float:
        """Return what a span leaves free at the hole it begins or ends at."""
        met = max(len(self.coming.get(hole, ())), len(self.leaving.get(hole, ())))
        if hole not in self.joints or met < 2:
            return ROUND_PIN * self.gauge
        return (0.5 * CROSSING_ROW * (len(crossing_rows(2 * met)) - 1) + 1.5) * self.gauge


def _spot(point: Points) -> Spot:
    return float(point[0]), float(point[1])
