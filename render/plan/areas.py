"""Working the areas: how they begin, take pairs in, let pairs out and end."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from render.plan.balance import OUTLOOK, bunches, lanes_for, outlook, pairs_going_out
from render.plan.cloth import Cloth
from render.plan.pillow import Spot
from render.plan.plaiting import Plaiting
from render.plan.rails import LEFT, RIGHT, Course, Visit
from render.plan.stitches import STITCHES, ground_stitch, trailing_twists
from render.plan.stretches import Stretch
from render.plan.traffic import Traffic
from render.pricking.model import Pricking

Points = NDArray[np.float64]

# Passives of an area that stands alone are hung so far above their first row, as a share of the
# way from hole to hole.
HUNG_ABOVE = 0.5
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
            self._join(area)
        elif kind == ENDS and area in self.into:
            self._divide(area)
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
        course, cloth = self.courses[area], self.cloths[area]
        hole = course.start[stop]
        next_side = self.courses[area].visits[0].side if course.visits else 1
        if len(course.start) == 1:
            self._begin(area, hole, next_side)
            return
        legs = self.traffic.gather(self.traffic.arriving_in_order(hole), hole)
        legs = self._hang_start(area, hole, legs, max(0, 2 - len(legs)), spread=False)
        for i in range(len(legs) - 1):
            legs[i], legs[i + 1] = cloth.work(
                legs[i], legs[i + 1], self.traffic.spot(hole), hole=hole if i == 0 else -1
            )
        cloth.passives += legs
        if stop == len(course.start) - 1:
            legs, cloth.passives = cloth.passives, []
            cloth.begin(self.traffic.gather(legs, hole), next_side)
            cloth.spot = self.traffic.spot(course.start[0 if next_side > 0 else -1])

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
        legs = self._hang_start(area, hole, legs, missing, spread=not at_pin)
        self._hang_for_ground(hole, legs)
        if at_pin and len(legs) > 1:
            # The first row, at the tip itself, takes the worker to the other side.
            cloth.begin(legs, -next_side)
            cloth.first_row(hole)
        else:
            cloth.begin(legs, next_side)
            cloth.spot = self.traffic.spot(hole)

    def _hang_start(
        self, area: int, hole: int, legs: list[int], missing: int, *, spread: bool
    ) -> list[int]:
        """Hang what an area lacks at its beginning, along its first row where that is wide."""
        if not missing:
            return legs
        course, earlier = self.courses[area], self.cloths[area].passives
        beside = legs[-1] if legs else (earlier[-1] if earlier else self.traffic.gap(hole))
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
        self._send(area, visit.hole, legs, last=False)

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

    def _send(self, area: int, hole: int, legs: list[int], *, last: bool) -> None:
        """Send pairs, from left to right, out of an area."""
        traffic = self.traffic
        wanted = traffic.leaving_links(hole)
        moves = STITCHES[self.cloths[area].word]
        shared = len(self.guests[hole]) > 1
        number = self.cloths[area].number
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
            elif last and not shared and self.plaiting.spans and not self.fed[area]:
                # Out of the way of what is still to be worked.
                traffic.pillow.throw(leg, end=True, area=number, toward=traffic.ahead)
            elif last or shared:
                traffic.loose[leg] = (hole, 0 if 2 * position < len(legs) else 1)
            else:
                traffic.pillow.throw(leg, end=False, area=number, toward=traffic.ahead)

    # Dividing and joining round an opening ---------------------------------------------------

    def _divide(self, area: int) -> None:
        """Let the pairs of an area go down both sides of an opening."""
        cloth, hole = self.cloths[area], self.courses[area].end[0]
        left, right = (self.cloths[n] for n in self.into[area])
        if not cloth.passives:
            leg = self.traffic.pillow.hang(
                self.traffic.spot(hole), cloth.outermost(RIGHT),
                start=False, hole=hole, area=cloth.number, role="passive",
            )  # fmt: skip
            cloth.begin([cloth.worker, leg], RIGHT)
            self.traffic.tell(hole, "one pair cannot divide here: another is hung in")
        share = self._share_on_left(area, hole)
        count = min(max(round(share * cloth.pairs), 1), cloth.pairs - 1)
        cloth.divide(count, hole, left, right)
        wanted = len(self.traffic.leaving_links(hole))
        spot = self.traffic.spot(hole)
        from_left = left.let_out(RIGHT, (wanted + 1) // 2, spot)[::-1]
        from_right = right.let_out(LEFT, wanted - len(from_left), spot)
        self._send(area, hole, [*from_left, *from_right], last=False)

    def _share_on_left(self, area: int, hole: int) -> float:
        """Return how much of the row through the top of an opening lies to the left of it."""
        wide = []
        for number, side in zip(self.into[area], (LEFT, RIGHT), strict=True):
            course = self.courses[number]
            outer = [v.hole for v in course.visits if v.side == side] or list(course.end)
            run = self.pricking.holes[outer[0]] - self.pricking.holes[hole]
            wide.append(float(np.hypot(*run)))
        return wide[0] / max(sum(wide), 1e-9)

    def _join(self, area: int) -> None:
        """Let the workers of two stretches meet below an opening and go on as one."""
        course, cloth = self.courses[area], self.cloths[area]
        hole, spot = course.start[0], self.traffic.spot(course.start[0])
        left, right = (self.cloths[n] for n in self.out_of[area])
        left.reach(RIGHT, spot)
        right.reach(LEFT, spot)
        arriving = self.traffic.entering(hole, RIGHT, left.outermost(RIGHT))
        half = (len(arriving) + 1) // 2
        self._bring_together(left, right, set(arriving), hole)
        for leg in arriving[:half]:
            left.take_in(leg, RIGHT, spot)
        if right.pairs:
            for leg in arriving[: half - 1 : -1]:
                right.take_in(leg, LEFT, spot)
            left.meet(right, hole)
            cloth.join(left, right, hole, course.visits[0].side if course.visits else RIGHT)
        else:
            for leg in arriving[half:]:
                left.take_in(leg, RIGHT, spot)
            self.traffic.pillow.lead_round(left.worker, hole, RIGHT)
            cloth.begin(left.in_order(), -left.side)
            left.worker, left.passives = -1, []

    def _bring_together(self, left: Cloth, right: Cloth, welcome: set[int], hole: int) -> None:
        """Throw out what hangs between two stretches that join, or one of them if it must be."""
        blocking = self.traffic.pillow.between(left.worker, right.worker)
        if blocking is not None and not self.traffic.any_held(blocking):
            for leg in blocking:
                if leg not in welcome:
                    self.traffic.throw(leg, hole, "hangs between two sides of an opening")
            return
        self.traffic.tell(
            hole, "other work hangs between the two sides of the opening: the right one ends here"
        )
        for leg in right.in_order():
            self.traffic.pillow.throw(leg, end=False, area=right.number, toward=self.traffic.ahead)
        right.worker, right.passives = -1, []

    # Ending ----------------------------------------------------------------------------------

    def _end(self, area: int, stop: int) -> None:
        course, cloth = self.courses[area], self.cloths[area]
        hole = self.stops[area][stop].hole
        if len(course.end) > 1:
            self._end_flat(area, stop - (len(self.stops[area]) - len(course.end)))
            return
        if self.first_row.get(area):
            self._sew_to_beginning(area)
            return
        side = -cloth.side if cloth.passives else cloth.side
        incoming = self._coming_in(cloth, Visit(hole, side), 0)
        legs = cloth.close(hole, side, incoming, again=self.fed[area])
        self._send(area, hole, legs, last=True)

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

    def _end_flat(self, area: int, k: int) -> None:
        """Let the pairs of an area go at the holes of a flat end, two at each."""
        course, cloth = self.courses[area], self.cloths[area]
        if k == 0:
            cloth.reach(-cloth.side, self.traffic.spot(course.end[-1 if cloth.side < 0 else 0]))
            cloth.passives, cloth.worker = cloth.in_order(), -1
        hole = course.end[k]
        for leg in self.traffic.arriving(hole):
            self.traffic.loose[leg] = (hole, 0 if k == 0 else 1)
        after = len(course.end) - 1 - k
        count = len(cloth.passives) if not after else 1 + (len(cloth.passives) - 2 >= after)
        legs, cloth.passives = cloth.passives[:count], cloth.passives[count:]
        if len(legs) >= 2:
            i = (len(legs) - 2) // 2
            spot = self.traffic.spot(hole)
            legs[i], legs[i + 1] = cloth.work(legs[i], legs[i + 1], spot, hole=hole)
        elif legs:
            self.traffic.pillow.lead_round(legs[0], hole, -1)
        else:
            self.traffic.tell(hole, "no pair is left for it: its pin is left out")
        self._send(area, hole, legs, last=True)

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
