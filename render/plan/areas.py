"""Working the areas: how they begin, take pairs in, let pairs out and end."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from render.plan.balance import OUTLOOK, bunches, lanes_for, outlook, pairs_going_out
from render.plan.bearings import along_course
from render.plan.beginnings import start
from render.plan.cloth import Cloth
from render.plan.endings import aslant, end
from render.plan.first_row import HUNG_ABOVE
from render.plan.openings import divide, join
from render.plan.pillow import Spot
from render.plan.plaiting import Plaiting
from render.plan.rails import Course, Visit
from render.plan.stitches import STITCHES, ground_stitch, trailing_twists
from render.plan.stretch import Stretch
from render.plan.traffic import Traffic
from render.pricking.model import Pricking

Points = NDArray[np.float64]

# What an area does at a stop of its course.
STARTS, PASSES, ENDS = range(3)


class Areas:
    """All areas of a piece while they are being worked.

    An area with openings is worked in several stretches; each counts as an area of its own here,
    and the first has the number of the area.

    Attributes
    ----------
    courses, cloths
        By the number of the area.
    into, out_of
        The two stretches into which one divides at its end, and the two that join at its start.
    first_row
        For each ring that is sewn to its beginning where its pairs were hung, from left to right.
    partners
        The areas that one meets or crosses on the way, in that order, each with the side on which
        it comes.
    stops
        For each area its holes in working order: its start, its visits, its end.
    fed
        Whether the ground around an area feeds it.
    plaiting
        What is worked between areas.
    guests
        For each hole the areas that stop there, in working order.
    """

    def __init__(self, pricking: Pricking, traffic: Traffic, plaiting: Plaiting) -> None:
        self.pricking = pricking
        self.traffic = traffic
        self.plaiting = plaiting
        self.courses: dict[int, Course] = {}
        self.cloths: dict[int, Cloth] = {}
        self.fed: dict[int, bool] = {}
        self.into: dict[int, tuple[int, ...]] = {}
        self.out_of: dict[int, tuple[int, ...]] = {}
        self.first_row: dict[int, list[Spot]] = {}
        self.partners: dict[int, list[tuple[int, int]]] = {}
        self.stops: dict[int, list[Visit]] = {}
        self.guests: dict[int, list[tuple[int, int]]] = {}

    def add(
        self, number: int, part: Stretch, numbers: list[int], cloth: Cloth, *, fed: bool
    ) -> None:
        """Add a stretch of an area whose stretches have these numbers."""
        self.courses[number], self.cloths[number] = part.course, cloth
        self.fed[number] = fed
        self.stops[number] = _stops(part.course)
        if part.ring:
            self.first_row[number] = []
        if part.into:
            self.into[number] = tuple(numbers[n] for n in part.into)
        if part.out_of:
            self.out_of[number] = tuple(numbers[n] for n in part.out_of)

    def replan(self, number: int, course: Course, wanted: tuple[int, ...]) -> None:
        """Give a stretch another course, before it is worked."""
        cloth = self.cloths[number]
        cloth.course = self.courses[number] = course
        cloth.wanted = wanted
        self.stops[number] = _stops(course)

    def kind(self, area: int, stop: int) -> int:
        """Tell whether an area starts, passes or ends at a stop."""
        course = self.courses[area]
        if course.begins and stop < len(course.start):
            return STARTS
        ending = course.ends and stop >= len(self.stops[area]) - len(course.end)
        return ENDS if ending else PASSES

    def work(self, area: int, stop: int) -> None:
        """Work what an area does at a stop."""
        kind = self.kind(area, stop)
        if kind == STARTS and area in self.out_of:
            join(self, area)
        elif kind == ENDS and area in self.into:
            divide(self, area)
        elif kind == STARTS:
            start(self, area, stop)
        elif kind == PASSES:
            self._pass(area, stop)
        else:
            end(self, area, stop)

    def meet(self, first: int, second: int, hole: int) -> None:
        """Let the workers of two areas meet at a shared pin; the first has it on its right."""
        left, right = self.cloths[first], self.cloths[second]
        spot = self.traffic.spot(hole)
        left.reach(1, spot)
        right.reach(-1, spot)
        blocking = self.traffic.pillow.between(left.worker, right.worker)
        if blocking is None or self.traffic.any_held(blocking):
            left.visit(Visit(hole, 1), list, 0)
            right.visit(Visit(hole, -1), list, 0)
            return
        for leg in blocking:
            self.traffic.throw(leg, hole, "hangs between two workers that meet here")
        left.meet(right, hole)

    # Going on --------------------------------------------------------------------------------

    def _pass(self, area: int, stop: int) -> None:
        cloth, visit = self.cloths[area], self.stops[area][stop]
        leaving, hung_in = self._balance(area, visit.hole, stop - _first_visit(self.courses[area]))
        gone = cloth.visit(visit, lambda: self.coming_in(cloth, visit, hung_in), leaving)
        legs = gone if visit.side < 0 else gone[::-1]
        self.send(area, visit.hole, legs, last=False)

    def _balance(self, area: int, hole: int, i: int) -> tuple[int, int]:
        """Return how many pairs leave at a visit, and how many are hung in."""
        cloth = self.cloths[area]
        wanting = pairs_going_out(self.traffic, cloth, hole, i, fed=self.fed[area])
        for other, stop in self.guests[hole]:
            if other != area and self.kind(other, stop) == STARTS:
                wanting += 2
        # A pin at which a plait comes or leaves has enough to hold.
        if self.fed[area] or self.plaiting.passes(hole):
            return wanting, 0
        stays = cloth.pairs + self.traffic.count_arriving(hole) - wanting
        first = _first_visit(self.courses[area]) + i + 1
        ahead = [v.hole for v in self.stops[area][first : first + OUTLOOK]]
        fewest, most = outlook(self.plaiting, [h for h in ahead if len(self.guests[h]) == 1])
        change = max(0, cloth.wanted[i] - stays - most) - max(0, stays + fewest - cloth.wanted[i])
        # One pair at a pin, so that the edge stays even (common practice, no source).
        if change > 0:
            self.traffic.tell(hole, "the area widens: a pair is hung in")
            return wanting, 1
        if change < 0 and cloth.pairs - wanting > 2:
            return wanting + 1, 0
        return wanting, 0

    def trend(self, hole: int) -> NDArray[np.float64]:
        """Return the unit direction in which an area runs past a hole of its edge, else zero."""
        for area, stop in self.guests.get(hole, []):
            if self.kind(area, stop) == PASSES:
                side = self.stops[area][stop].side
                along = [s.hole for s in self.stops[area] if s.side in (side, 0)]
                k = along.index(hole)
                before, after = along[max(k - 1, 0)], along[min(k + 1, len(along) - 1)]
                run = self.pricking.holes[after] - self.pricking.holes[before]
                return np.asarray(run / max(float(np.hypot(*run)), 1e-9))
        return np.zeros(2)

    def bearings(self) -> dict[int, NDArray[np.float64]]:
        """Return the unit direction of work at each hole of the areas that stand alone."""
        found: dict[int, NDArray[np.float64]] = {}
        for area, course in self.courses.items():
            if not self.fed[area]:
                found |= along_course(self.pricking.holes, course)
        return found

    def beside(self, hole: int) -> int:
        """Return the leg to the right of which pairs are to be hung for what leaves an area."""
        for area, stop in reversed(self.guests.get(hole, [])):
            cloth, side = self.cloths[area], self.stops[area][stop].side
            if cloth.pairs and side:
                outer = cloth.outermost(side)
                return self.traffic.pillow.left_of(outer) if side < 0 else outer
        return self.traffic.gap(hole)

    def coming_in(self, cloth: Cloth, visit: Visit, hung_in: int) -> list[int]:
        """Collect the pairs that come in at a hole, nearest first, and hang new ones outside."""
        beside = cloth.outermost(visit.side)
        taken = self.traffic.entering(visit.hole, visit.side, beside)
        if not (taken or hung_in or cloth.passives or cloth.aside):
            self.traffic.tell(visit.hole, "the worker is alone here: a pair is hung in for it")
            hung_in = 1
        for _ in range(hung_in):
            outer = taken[-1] if taken else beside
            place = self.traffic.pillow.left_of(outer) if visit.side < 0 else outer
            leg = self.traffic.pillow.hang(
                self._above_pin(cloth, visit),
                place,
                start=False,
                hole=visit.hole,
                area=cloth.number,
                role="passive",
            )
            taken.append(leg)
        return taken

    def _above_pin(self, cloth: Cloth, visit: Visit) -> Spot:
        """Return where a pair is hung that comes in at a pin: on the edge above it."""
        holes, stops = self.pricking.holes, self.courses[cloth.number].visits
        before = stops[: stops.index(visit)] if visit in stops else stops
        earlier = [v.hole for v in before if v.side == visit.side]
        here = holes[visit.hole]
        above = here - self.pricking.spacing[visit.hole] * self.pricking.down
        x, y = here + HUNG_ABOVE * ((holes[earlier[-1]] if earlier else above) - here)
        return float(x), float(y)

    def send(self, area: int, hole: int, legs: list[int], *, last: bool) -> None:
        """Send pairs, from left to right, out of an area."""
        traffic = self.traffic
        wanted = traffic.leaving_links(hole)
        moves = STITCHES[self.cloths[area].word]
        shared = len(self.guests[hole]) > 1
        number = self.cloths[area].number
        alone = not self.fed[area]
        way = aslant(self, area) if last and alone else None
        lanes = lanes_for(len(legs), bunches(traffic, wanted))
        for position, leg in enumerate(legs):
            if position in lanes:
                link = wanted[lanes[position]]
                traffic.flying[link] = leg
                if link in traffic.headings:
                    continue
                # Pairs that leave are twisted as often as those of the ground.
                word = self.pricking.ground[int(traffic.links.target[link])]
                extra = trailing_twists(ground_stitch(word).moves) - trailing_twists(moves)
                traffic.pillow.twists[leg] += max(0, extra)
            elif last and not shared and (way or (alone and self.plaiting.spans)):
                # Out of the way of what is still to be worked.
                toward = way or traffic.ahead
                traffic.pillow.throw(leg, end=True, area=number, toward=toward)
            elif last or shared:
                traffic.loose[leg] = (hole, 0 if 2 * position < len(legs) else 1)
            else:
                traffic.pillow.throw(leg, end=False, area=number, toward=traffic.ahead)
                why = "the area narrows" if alone else "no way leads on for all pairs let out here"
                traffic.tell(hole, f"{why}: a pair is thrown out")

    @property
    def alone(self) -> frozenset[int]:
        """The areas of the pricking that stand alone."""
        return frozenset(self.cloths[n].number for n, fed in self.fed.items() if not fed)

    def stands_alone(self, owners: Iterable[int]) -> bool:
        """Tell whether pairs that leave these areas have simply come to their end."""
        known = [self.fed[area] for area in owners if area in self.fed]
        return bool(known) and not any(known)


def _stops(course: Course) -> list[Visit]:
    """Return all stops of a course: its start, its visits, its end."""
    return [
        *(Visit(h, 0) for h in course.start if course.begins),
        *course.visits,
        *(Visit(h, 0) for h in course.end if course.ends),
    ]


def _first_visit(course: Course) -> int:
    """Return which of the stops of a course is its first visit."""
    return len(course.start) if course.begins else 0
