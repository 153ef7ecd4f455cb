"""Working the areas: how they begin, take pairs in, let pairs out and end."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from render.plan.balance import OUTLOOK, bunches, lanes_for, outlook, pairs_going_out
from render.plan.bearings import along_course
from render.plan.cloth import Cloth
from render.plan.flat_ends import begin_flat, end_flat
from render.plan.openings import divide, join
from render.plan.pillow import Spot
from render.plan.plaiting import Plaiting
from render.plan.rails import LEFT, RIGHT, Course, Visit
from render.plan.stitches import STITCHES, ground_stitch, trailing_twists
from render.plan.stretch import Stretch
from render.plan.traffic import Traffic
from render.pricking.model import Pricking

Points = NDArray[np.float64]

# Passives of an area that stands alone are hung so far above their first row, as a share of the
# way from hole to hole.
HUNG_ABOVE = 0.5
# What an area does at a stop of its course.
STARTS, PASSES, ENDS = range(3)
# A trail of so many pins a side runs on in its own direction where it ends, if that is further from
# the working direction than 25 degrees; others hang down.
LONG_ENOUGH, HANGS_DOWN = 4, 0.9


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
            self._start(area, stop)
        elif kind == PASSES:
            self._pass(area, stop)
        else:
            self._end(area, stop)

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

    # Beginning -------------------------------------------------------------------------------

    def _start(self, area: int, stop: int) -> None:
        course = self.courses[area]
        if len(course.start) == 1:
            next_side = course.visits[0].side if course.visits else RIGHT
            self._begin(area, course.start[stop], next_side)
            return
        begin_flat(self, area, stop)

    def _begin(self, area: int, hole: int, next_side: int) -> None:
        cloth = self.cloths[area]
        by_plait = hole in self.plaiting.coming and not self.fed[area]
        legs = self.traffic.gather(self.traffic.arriving_in_order(hole), hole)
        # A tip in ground has the pairs the ground sends; one at the top of the piece, or of an area
        # that stands alone, gets what its width asks for.
        sky = self.traffic.sky[hole]
        from_ground = len(legs) >= 2 or (self.fed[area] and not sky.all())
        from_ground &= not by_plait
        wanted = 2 if from_ground else cloth.wanted[0]
        missing = max(0, wanted - len(legs))
        at_pin = missing == 0 or missing + len(legs) <= 2
        legs = self.hang_start(area, hole, legs, missing, spread=not at_pin)
        self._hang_for_ground(hole, legs)
        if at_pin and len(legs) > 1:
            # The first row, at the tip itself, takes the worker to the other side.
            cloth.begin(legs, -next_side)
            cloth.first_row(hole)
        else:
            cloth.begin(legs, next_side)
            cloth.spot = self.traffic.spot(hole)

    def hang_start(
        self, area: int, hole: int, legs: list[int], missing: int, *, spread: bool
    ) -> list[int]:
        """Hang what an area lacks at its beginning, along its first row where that is wide."""
        if not missing:
            return legs
        course, earlier = self.courses[area], self.cloths[area].passives
        beside = legs[-1] if legs else (earlier[-1] if earlier else self._gap(area, hole))
        here = self.pricking.holes[hole]
        there = self.pricking.holes[course.visits[0].hole] if course.visits else here
        from_left = not course.visits or course.visits[0].side == RIGHT
        left, right = (here, there) if from_left else (there, here)
        above = self._above_first_row(area, hole)
        start = bool(self.traffic.sky[hole].any()) or not self.fed[area]
        # What comes to a right-hand corner hangs to the right of what is hung for the first row.
        at_right = spread and not from_left and bool(legs)
        if at_right:
            beside = self.traffic.pillow.left_of(legs[0])
        hung: list[int] = []
        for k in range(missing):
            at_tip = not spread or k == (0 if from_left else missing - 1)
            spot = here if at_tip else left + (k + 0.5) / missing * (right - left) + above
            beside = self.traffic.pillow.hang(
                (float(spot[0]), float(spot[1])),
                beside,
                start=start,
                hole=hole if at_tip else -1,
                area=self.cloths[area].number,
                role="passive",
            )
            hung.append(beside)
            if area in self.first_row:
                self.first_row[area].append((float(spot[0]), float(spot[1])))
        if not start:
            who = "one is" if missing == 1 else f"{missing} are"
            self.traffic.tell(hole, f"too few pairs reach this beginning: {who} hung in")
        return [*hung, *legs] if at_right else [*legs, *hung]

    def _above_first_row(self, area: int, hole: int) -> Points:
        """Return (2,) how far from its first row passives are hung, away from the work."""
        way = [hole, *(visit.hole for visit in self.courses[area].visits[:2])]
        if len(way) < 3:
            return np.asarray(-HUNG_ABOVE * self.pricking.spacing[hole] * self.pricking.down)
        first, second, third = self.pricking.holes[way]
        row = (second - first) / max(float(np.hypot(*(second - first))), 1e-9)
        onward = third - first - ((third - first) @ row) * row
        return np.asarray(-HUNG_ABOVE * onward)

    def _gap(self, area: int, hole: int) -> int:
        """Return the leg to the right of which an area is hung: next to what it will meet."""
        for other, side in self.partners.get(area, []):
            cloth = self.cloths[other]
            if cloth.pairs:
                outer = cloth.outermost(-side)
                return outer if side == LEFT else self.traffic.pillow.left_of(outer)
        return self.traffic.gap(hole)

    def _hang_for_ground(self, hole: int, legs: list[int]) -> None:
        """Hang, at a first hole, the pairs that it sends straight into ground, plaits or leaves."""
        traffic = self.traffic
        beside = [traffic.pillow.left_of(legs[0]), legs[-1]]
        for link in traffic.leaving_links(hole):
            side = 0 if traffic.bearing(link) < 0 else 1
            role = "plait" if link in traffic.headings else "ground"
            traffic.flying[link] = traffic.pillow.hang(
                traffic.spot(hole), beside[side], start=True, hole=hole, role=role,
                run=self.plaiting.run_of(link),
            )  # fmt: skip
            beside[side] = traffic.flying[link]

    # Going on --------------------------------------------------------------------------------

    def _pass(self, area: int, stop: int) -> None:
        cloth, visit = self.cloths[area], self.stops[area][stop]
        leaving, hung_in = self._balance(area, visit.hole, stop - _first_visit(self.courses[area]))
        gone = cloth.visit(visit, lambda: self._coming_in(cloth, visit, hung_in), leaving)
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
            self.traffic.tell(hole, "the area narrows: a pair is thrown out")
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

    def _coming_in(self, cloth: Cloth, visit: Visit, hung_in: int) -> list[int]:
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
        aslant = self._aslant(area) if last and alone else None
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
            elif last and not shared and (aslant or (alone and self.plaiting.spans)):
                # Out of the way of what is still to be worked.
                toward = aslant or traffic.ahead
                traffic.pillow.throw(leg, end=True, area=number, toward=toward)
            elif last or shared:
                traffic.loose[leg] = (hole, 0 if 2 * position < len(legs) else 1)
            else:
                traffic.pillow.throw(leg, end=False, area=number, toward=traffic.ahead)

    def _aslant(self, area: int) -> Spot | None:
        """Return the direction in which an area ends; None where its pairs simply hang down."""
        rails = [
            self.pricking.holes[[v.hole for v in self.courses[area].visits if v.side == side]]
            for side in (LEFT, RIGHT)
        ]
        if min(len(rail) for rail in rails) < LONG_ENOUGH:
            return None
        way = np.sum([rail[-1] - rail[-3] for rail in rails], axis=0)
        length = float(np.hypot(*way))
        if way @ self.pricking.down >= HANGS_DOWN * length:
            return None
        x, y = way / length
        return float(x), float(y)

    # Ending ----------------------------------------------------------------------------------

    def _end(self, area: int, stop: int) -> None:
        course, cloth = self.courses[area], self.cloths[area]
        hole = self.stops[area][stop].hole
        if len(course.end) > 1:
            end_flat(self, area, stop - (len(self.stops[area]) - len(course.end)))
            return
        if self.first_row.get(area):
            self._sew_to_beginning(area)
            return
        if not self.fed[area] and hole in self.traffic.pillow.turn:
            self._sew_on(area, hole)
            return
        side = -cloth.side if cloth.passives else cloth.side
        if course.ends_on and not self.fed[area]:
            side = course.ends_on
        incoming = self._coming_in(cloth, Visit(hole, side), 0)
        legs = cloth.close(hole, side, incoming, again=self.fed[area])
        self.send(area, hole, legs, last=True)

    def _sew_on(self, area: int, hole: int) -> None:
        """Sew the pairs of a trail to the pin of work that is finished there."""
        cloth = self.cloths[area]
        side = self.courses[area].ends_on or -cloth.side
        cloth.reach(side, self.traffic.spot(hole))
        for leg in cloth.in_order():
            self.traffic.pillow.throw(
                leg, end=True, area=cloth.number, toward=self.traffic.ahead,
                sewn=self.traffic.spot(hole),
            )  # fmt: skip
        cloth.worker, cloth.passives = -1, []
        self.traffic.note(hole, "the trail ends at work that is done: its pairs are sewn on here")

    def _sew_to_beginning(self, area: int) -> None:
        """Sew the pairs of a ring, in their order, to the row in which it began."""
        cloth, row = self.cloths[area], self.first_row[area]
        legs = cloth.in_order()
        places = np.linspace(0, len(row) - 1, len(legs)).round().astype(int).tolist()
        for leg, place in zip(legs, places, strict=True):
            self.traffic.pillow.throw(
                leg, end=True, area=cloth.number, toward=self.traffic.ahead, sewn=row[place]
            )
        cloth.worker, cloth.passives = -1, []

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
