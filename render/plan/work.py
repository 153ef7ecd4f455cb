"""Work a pricking on the pillow, hole by hole."""

from dataclasses import dataclass

import numpy as np

from render.errors import PlanError, Remark
from render.plan.cloth import Cloth
from render.plan.density import wanted_pairs
from render.plan.footside import Footside
from render.plan.ground import LEFT, Links, find_links
from render.plan.model import WorkingPlan
from render.plan.order import Event, in_order
from render.plan.pillow import Pillow, Spot
from render.plan.rails import Course, Visit, lay_course
from render.plan.sky import open_ports
from render.plan.stitches import STITCHES, ground_stitch, trailing_twists
from render.pricking.model import Area, Pricking

# A pair left over at one hole may wait for another that is at most this many steps further on.
WAITING_REACH = 3.6
# An area of which fewer than this share of edge holes have ground beyond them stands alone: its
# pairs are hung in and thrown out as its width asks.
FED_SHARE = 0.25


def plan_work(pricking: Pricking, *, density: float = 1.0) -> WorkingPlan:
    """Turn a pricking into a working plan.

    Parameters
    ----------
    pricking
        Any holes with any areas.
    density
        Factor on the pairs of areas that stand alone; more is closer.

    Raises
    ------
    PlanError
        Where nothing is left to be worked.
    """
    worker = _Planner(pricking, density)
    if not worker.events:
        raise PlanError(Remark("no hole of this pricking is to be worked"))
    for number, unmet in in_order(worker.events, worker.before):
        worker.work_event(number, unmet)
    worker.finish()
    return worker.pillow.plan(pricking)


@dataclass(frozen=True)
class _Footing:
    """A footside line and what is to be worked along it."""

    outside: int
    moves: str
    passives: int


class _Planner:
    """The state of planning one piece."""

    def __init__(self, pricking: Pricking, density: float) -> None:
        self.pricking = pricking
        self.pillow = Pillow()
        self.pillow.remarks += pricking.remarks
        self.owners = [
            tuple(a for a in owners if len(pricking.areas[a].edges[0]) >= 3)
            for owners in pricking.owners
        ]
        self.footing = _footings(pricking)
        outer = {h: f.outside for hole, f in self.footing.items() for h in (hole,)}
        self.links = find_links(pricking, outer_side=outer)
        self.up: list[list[int]] = [[] for _ in pricking.holes]
        self.low: list[list[int]] = [[] for _ in pricking.holes]
        for k, (a, b) in enumerate(zip(self.links.source, self.links.target, strict=True)):
            self.low[a].append(k)
            self.up[b].append(k)
        self.sky, self.floor = open_ports(pricking, self.links)
        self.courses = self._courses()
        self.cloths = self._cloths(density)
        self.steps = {a: _steps(course) for a, course in self.courses.items()}
        self.footsides: dict[int, Footside] = {}
        self.events = self._events()
        self.before = self._before()
        # Legs on their way, by link; legs that nobody waits for, with the hole they come from.
        self.flying: dict[int, int] = {}
        self.loose: dict[int, tuple[int, int]] = {}
        self.promised: dict[int, int] = {}

    # What there is to do ---------------------------------------------------------------------

    def _courses(self) -> dict[int, Course]:
        linked = {int(h) for h in (*self.links.source, *self.links.target)}
        capped = frozenset(h for h, k in enumerate(self.up) if len(k) >= 2)
        floored = frozenset(h for h, k in enumerate(self.low) if len(k) >= 2)
        self.fed: dict[int, bool] = {}
        courses: dict[int, Course] = {}
        for number, area in enumerate(self.pricking.areas):
            if not area.worked:
                continue
            if len(area.edges[0]) < 3:
                self.pillow.remarks.append(
                    Remark("too few holes on its edge for a worker: worked as ground", area.place)
                )
                continue
            share = np.mean([h in linked for h in area.edges[0].tolist()])
            self.fed[number] = bool(share >= FED_SHARE)
            courses[number] = lay_course(
                self.pricking, area, fed=self.fed[number], capped=capped, floored=floored
            )
        return courses

    def _cloths(self, density: float) -> dict[int, Cloth]:
        cloths = {}
        for number, course in self.courses.items():
            area = self.pricking.areas[number]
            tie = area.options.get("tie")
            wanted = wanted_pairs(self.pricking.holes, area, course, density)
            cloths[number] = Cloth(
                self.pillow,
                self.pricking.holes,
                number,
                area.stitch,
                course,
                None if tie is None else int(tie),
                wanted,
            )
        return cloths

    def _events(self) -> list[Event]:
        at_hole: dict[int, list[tuple[int, int]]] = {}
        for area, steps in self.steps.items():
            for k, visit in enumerate(steps):
                at_hole.setdefault(visit.hole, []).append((area, k))
        events: list[Event] = []
        self.event_of: dict[tuple[int, int], int] = {}
        self.events_at: dict[int, list[int]] = {}
        for hole in range(len(self.pricking.holes)):
            spot = self.pricking.holes[hole]
            key = (
                round(float(spot @ self.pricking.down), 6),
                round(float(spot @ self.pricking.across), 6),
            )
            stops = at_hole.get(hole, [])
            if not stops and (self.pricking.interior[hole] >= 0 or self.owners[hole]):
                continue
            for group in self._meetings(stops) if stops else [()]:
                for stop in group:
                    self.event_of[stop] = len(events)
                self.events_at.setdefault(hole, []).append(len(events))
                events.append(Event(hole, tuple(group), key))
        return events

    def _meetings(self, stops: list[tuple[int, int]]) -> list[tuple[tuple[int, int], ...]]:
        """Group the areas at one hole: two workers that face each other meet, others take turns.

        What ends at a hole comes before what passes it, and that before what begins there.
        """
        passing = {s: self.steps[s[0]][s[1]].side for s in stops if self._kind(s) == 1}
        left = [s for s, side in passing.items() if side == 1]
        right = [s for s, side in passing.items() if side == -1]
        groups: list[tuple[tuple[int, int], ...]] = []
        while left and right:
            groups.append((left.pop(0), right.pop(0)))
        groups += [(s,) for s in (*left, *right)]
        ending = [(s,) for s in stops if self._kind(s) == 2]
        starting = [(s,) for s in stops if self._kind(s) == 0]
        return [*ending, *groups, *starting]

    def _kind(self, stop: tuple[int, int]) -> int:
        """Tell whether an area starts (0), passes (1) or ends (2) at a stop."""
        area, k = stop
        course = self.courses[area]
        if k < len(course.start):
            return 0
        return 2 if k >= len(self.steps[area]) - len(course.end) else 1

    def _before(self) -> list[tuple[int, int]]:
        pairs: list[tuple[int, int]] = []
        for area, steps in self.steps.items():
            numbers = [self.event_of[area, k] for k in range(len(steps))]
            pairs += list(zip(numbers, numbers[1:], strict=False))
        for events in self.events_at.values():
            pairs += list(zip(events, events[1:], strict=False))
        for a, b in zip(self.links.source.tolist(), self.links.target.tolist(), strict=True):
            if a in self.events_at and b in self.events_at:
                pairs.append((self.events_at[a][-1], self.events_at[b][0]))
        previous: dict[int, int] = {}
        for hole, footing in self.footing.items():
            if hole in self.events_at:
                run = id(footing)
                if run in previous:
                    pairs.append((previous[run], self.events_at[hole][0]))
                previous[run] = self.events_at[hole][-1]
        return pairs

    # Doing it --------------------------------------------------------------------------------

    def work_event(self, number: int, unmet: frozenset[int]) -> None:
        """Work what is to be done at one hole."""
        event = self.events[number]
        if unmet:
            self._cut(event, unmet)
        if not event.areas:
            if event.hole in self.footing:
                self._work_footside(event.hole)
            else:
                self._work_ground(event.hole)
        elif len(event.areas) == 2:
            self._work_meeting(event)
        else:
            area, k = event.areas[0]
            self._work_area(area, k)

    def _cut(self, event: Event, unmet: frozenset[int]) -> None:
        """Say that a hole is worked before something that should have come first."""
        others = ", ".join(str(self.events[n].hole + 1) for n in sorted(unmet))
        self.pillow.remarks.append(
            Remark(
                f"it waits for hole {others}, which waits for it: worked here all the same, with "
                "pairs hung in and thrown out",
                self.pricking.place(event.hole),
                "change",
            )
        )

    def _work_ground(self, hole: int) -> None:
        stitch = ground_stitch(self.pricking.ground[hole])
        left, right = self._two_pairs(hole)
        word = self.pricking.ground[hole]
        legs = self.pillow.stitch(stitch, left, right, self._spot(hole), technique=word, hole=hole)
        self._send(hole, list(legs), [LEFT, 1 - LEFT])

    def _work_footside(self, hole: int) -> None:
        footing = self.footing[hole]
        inward = 1 - footing.outside
        arriving = self._arriving(hole)
        footside = self.footsides.get(id(footing))
        if footside is None:
            beside = next(iter(self.pillow), -1) if footing.outside == LEFT else self._last()
            worker = arriving[0] if arriving else self._hang_beside(hole, -1, inward)
            if beside == -1:
                beside = worker
            sign = -1.0 if footing.outside == LEFT else 1.0
            out = self.pricking.across * sign * float(self.pricking.spacing[hole])
            footside = Footside(
                self.pillow, footing.outside, footing.moves, footing.passives,
                (float(out[0]), float(out[1])),
            )  # fmt: skip
            footside.begin(self._above(hole, 0.0), worker, hole)
            self.footsides[id(footing)] = footside
            worker = self._bring(footside.innermost, worker, footing.outside, hole)
        else:
            worker = arriving[0] if arriving else self._adopt_or_hang_footside(footside, hole)
            worker = self._bring(footside.innermost, worker, footing.outside, hole)
        fresh = footside.work(worker, hole, self._spot(hole))
        self._send(hole, [fresh], [inward])

    def _adopt_or_hang_footside(self, footside: Footside, hole: int) -> int:
        inner = footside.innermost
        near = (
            self.pillow.right_of(inner) if footside.outside == LEFT else self.pillow.left_of(inner)
        )
        if self._may_adopt(near, hole):
            self.loose.pop(near)
            return near
        side = 1 - footside.outside
        return self._hang_beside(hole, inner, side)

    def _bring(self, fixed: int, leg: int, outside: int, hole: int) -> int:
        """Make sure nothing hangs between the footside and its worker."""
        pair = (fixed, leg) if outside == LEFT else (leg, fixed)
        blocking = self.pillow.between(*pair)
        if blocking is None or self._any_held(blocking):
            self._throw(leg, hole, "cannot reach the footside")
            side = 1 - outside
            return self._hang_beside(hole, fixed, side)
        for other in blocking:
            self._throw(other, hole, "hangs between the footside and its worker")
        return leg

    def _two_pairs(self, hole: int) -> tuple[int, int]:
        """Find, adopt or hang the two pairs for a hole of ground, and bring them side by side."""
        legs: dict[int, int] = {}
        for k in self.up[hole]:
            if k in self.flying:
                legs[1 - int(self.links.port[k])] = self.flying.pop(k)
        left, right = legs.get(0, -1), legs.get(1, -1)
        if left < 0 and right < 0:
            left, right = self._where_none_arrives(hole)
        elif left < 0:
            near = self.pillow.left_of(right)
            left = self._take(near) if self._may_adopt(near, hole) else -1
            if left < 0:
                left = self._hang_beside(hole, right, 0)
        elif right < 0:
            near = self.pillow.right_of(left)
            right = self._take(near) if self._may_adopt(near, hole) else -1
            if right < 0:
                right = self._hang_beside(hole, left, 1)
        return self._side_by_side(left, right, hole)

    def _side_by_side(self, left: int, right: int, hole: int) -> tuple[int, int]:
        blocking = self.pillow.between(left, right)
        if blocking is None or self._any_held(blocking):
            self._throw(right, hole, "cannot reach the pair it should meet")
            return left, self._hang_beside(hole, left, 1)
        for leg in blocking:
            self._throw(leg, hole, "hangs between two pairs that meet here")
        return left, right

    def _held(self) -> dict[int, int]:
        """Return the legs that belong to areas and footsides being worked, and to which."""
        held = {leg: n for n, c in self.cloths.items() for leg in (*c.passives, c.worker)}
        for n, footside in self.footsides.items():
            held |= dict.fromkeys((footside.edge, *footside.passives), -1 - n)
        held.pop(-1, None)
        return held

    def _any_held(self, legs: list[int]) -> bool:
        return bool(legs) and not self._held().keys().isdisjoint(legs)

    def _gather(self, legs: list[int], hole: int) -> list[int]:
        """Bring pairs that begin an area side by side; those out of reach are thrown out."""
        kept = legs[:1]
        for leg in legs[1:]:
            blocking = self.pillow.between(kept[-1], leg)
            if blocking is None or self._any_held(blocking):
                self._throw(leg, hole, "cannot reach the area it should enter here")
                continue
            for other in blocking:
                self._throw(other, hole, "hangs inside the beginning of an area")
            kept.append(leg)
        return kept

    def _where_none_arrives(self, hole: int) -> tuple[int, int]:
        """Find where on the pillow a hole lies to which nobody sends a pair."""
        beside = self._gap(hole)
        near_left = beside
        near_right = self.pillow.right_of(beside) if beside >= 0 else next(iter(self.pillow), -1)
        left = self._take(near_left) if self._may_adopt(near_left, hole) else -1
        right = self._take(near_right) if self._may_adopt(near_right, hole) else -1
        if left < 0:
            left = (
                self._hang_beside(hole, right, 0)
                if right >= 0
                else self._hang_after(hole, beside, 0)
            )
        if right < 0:
            right = self._hang_beside(hole, left, 1)
        return left, right

    def _work_meeting(self, event: Event) -> None:
        (a, i), (b, j) = event.areas
        left, right = self.cloths[a], self.cloths[b]
        self._ready(a, i)
        self._ready(b, j)
        spot = self._spot(event.hole)
        left.reach(1, spot)
        right.reach(-1, spot)
        blocking = self.pillow.between(left.worker, right.worker)
        if blocking is None or self._any_held(blocking):
            self._pass_by(left, event.hole, 1)
            self._pass_by(right, event.hole, -1)
            return
        for leg in blocking:
            self._throw(leg, event.hole, "hangs between two workers that meet here")
        left.meet(right, event.hole)

    def _pass_by(self, cloth: Cloth, hole: int, side: int) -> None:
        self._send(hole, cloth.visit(Visit(hole, side), lambda: [], 0), [])

    def _ready(self, area: int, k: int) -> None:
        """Begin an area late where its beginning could not be worked in order."""
        if self.cloths[area].worker < 0:
            self._begin(area, self.steps[area][k].hole, self.steps[area][k].side)

    def _work_area(self, area: int, k: int) -> None:
        course, cloth = self.courses[area], self.cloths[area]
        visit = self.steps[area][k]
        kind = self._kind((area, k))
        if kind == 0:
            self._start_area(area, k)
            return
        self._ready(area, k)
        if kind == 1:
            i = k - len(course.start)
            leaving, hung_in = self._balance(area, visit.hole, i)
            gone = cloth.visit(visit, lambda: self._coming_in(cloth, visit, hung_in, area), leaving)
            self._let_go(area, visit, gone)
            return
        self._end_area(area, k)

    def _balance(self, area: int, hole: int, i: int) -> tuple[int, int]:
        """Return how many pairs leave at a visit, and how many are hung in."""
        wanting = len([k for k in self.low[hole] if self._event_follows(hole, k)])
        wanting += self.promised.get(hole, 0)
        for number in self.events_at[hole]:
            other = self.events[number]
            if other.areas and other.areas[0][0] != area and self._kind(other.areas[0]) == 0:
                wanting += 2
        cloth = self.cloths[area]
        if self.fed[area] or cloth.wanted is None:
            return wanting, 0
        arriving = len([k for k in self.up[hole] if k in self.flying])
        change = cloth.wanted[i] - (cloth.pairs + arriving - wanting)
        # One pair at a pin, so that the edge stays even (common practice, no source).
        if change > 0:
            return wanting, 1
        return wanting + (1 if change < 0 else 0), 0

    def _event_follows(self, hole: int, link: int) -> bool:
        return int(self.links.target[link]) in self.events_at

    def _coming_in(self, cloth: Cloth, visit: Visit, hung_in: int, area: int) -> list[int]:
        """Collect the pairs that hang next to the area and come in at a hole, nearest first."""
        expected = set(self._arriving(visit.hole))
        expected |= {leg for leg, (h, _) in self.loose.items() if h == visit.hole}
        taken: list[int] = []
        beside = cloth.outermost(visit.side)
        step = self.pillow.left_of if visit.side < 0 else self.pillow.right_of
        skipped: list[int] = []
        held = self._held() if expected else {}
        leg = step(beside)
        while leg >= 0 and leg not in held and expected and len(skipped) <= 4:
            if leg in expected:
                for other in skipped:
                    self._throw(other, visit.hole, "hangs between this area and a pair for it")
                skipped = []
                taken.append(leg)
                expected.discard(leg)
                self.loose.pop(leg, None)
            else:
                skipped.append(leg)
            leg = step(leg)
        for leg in sorted(expected):
            self._throw(leg, visit.hole, "cannot reach the area it should enter here")
            self.loose.pop(leg, None)
        for _ in range(hung_in):
            outer = taken[-1] if taken else beside
            at_left = visit.side < 0
            place = self.pillow.left_of(outer) if at_left else outer
            taken.append(
                self.pillow.hang(
                    self._spot(visit.hole), place, start=False, hole=visit.hole, area=area,
                    role="passive",
                )
            )  # fmt: skip
        return taken

    def _let_go(self, area: int, visit: Visit, gone: list[int]) -> None:
        """Send pairs that leave an area on their way, outermost first."""
        legs = gone if visit.side < 0 else gone[::-1]
        self._send_from_area(area, visit.hole, legs)

    def _start_area(self, area: int, k: int) -> None:
        course, cloth = self.courses[area], self.cloths[area]
        hole = course.start[k]
        if cloth.worker >= 0:  # begun out of order: the worker comes back to this hole
            late = Visit(hole, -cloth.side)
            cloth.visit(late, lambda: self._coming_in(cloth, late, 0, area), 0)
            return
        following = self.steps[area][k + 1] if k + 1 < len(self.steps[area]) else None
        side = following.side if following and following.side else 1
        if len(course.start) == 1:
            self._begin(area, hole, side)
            return
        legs = self._gather(self._arriving_in_order(hole), hole)
        legs = self._hang_start(area, hole, legs, max(0, 2 - len(legs)), course, spread=False)
        for i in range(len(legs) - 1):
            legs[i], legs[i + 1] = cloth.work(
                legs[i], legs[i + 1], self._spot(hole), hole=hole if i == 0 else -1
            )
        cloth.passives += legs
        if k == len(course.start) - 1:
            legs, cloth.passives = cloth.passives, []
            first = course.visits[0].side if course.visits else 1
            cloth.begin(self._gather(legs, hole), first)
            cloth.spot = self._spot(course.start[0 if first > 0 else -1])

    def _begin(self, area: int, hole: int, next_side: int) -> None:
        cloth, course = self.cloths[area], self.courses[area]
        legs = self._gather(self._arriving_in_order(hole), hole)
        # A tip in ground has the pairs the ground sends; one at the top of the piece, or of an area
        # that stands alone, gets what its width asks for.
        from_ground = len(legs) >= 2 or (self.fed[area] and not self.sky[hole].all())
        wanted = 2 if from_ground or not cloth.wanted else cloth.wanted[0]
        missing = max(0, wanted - len(legs))
        at_pin = missing == 0 or missing + len(legs) <= 2
        legs = self._hang_start(area, hole, legs, missing, course, spread=not at_pin)
        self._hang_for_ground(area, hole, legs)
        cloth.begin(legs, next_side)
        if at_pin and len(legs) > 1:
            cloth.first_row(hole)
        else:
            cloth.spot = self._spot(hole)

    def _hang_start(
        self, area: int, hole: int, legs: list[int], missing: int, course: Course, *, spread: bool
    ) -> list[int]:
        """Hang what an area lacks at its beginning, along its first row where that is wide."""
        if not missing:
            return legs
        earlier = self.cloths[area].passives
        beside = legs[-1] if legs else (earlier[-1] if earlier else self._gap(hole))
        here = np.array(self._spot(hole))
        there = self.pricking.holes[course.visits[0].hole] if course.visits else here
        run = there - here
        across = float(run @ self.pricking.across)
        left, right = (here, there) if across >= 0 else (there, here)
        for k in range(missing):
            share = (k + 0.5) / missing
            at_tip = not spread or k == (0 if across >= 0 else missing - 1)
            spot = here if at_tip else left + share * (right - left)
            beside = self.pillow.hang(
                (float(spot[0]), float(spot[1])), beside, start=bool(self.sky[hole].any()) or not self.fed[area],
                hole=hole if at_tip else -1, area=area, role="passive",
            )  # fmt: skip
            legs.append(beside)
        return legs

    def _hang_for_ground(self, area: int, hole: int, legs: list[int]) -> None:
        """Hang, at a first hole, the pairs that it sends straight into ground."""
        for link in [k for k in self.low[hole] if self._event_follows(hole, k)]:
            at_left = self._bearing(link) < 0
            beside = self.pillow.left_of(legs[0]) if at_left else legs[-1]
            self.flying[link] = self.pillow.hang(
                self._spot(hole), beside, start=True, hole=hole, role="ground"
            )

    def _end_area(self, area: int, k: int) -> None:
        course, cloth = self.courses[area], self.cloths[area]
        first = len(self.steps[area]) - len(course.end)
        hole = self.steps[area][k].hole
        if len(course.end) > 1:
            self._end_flat(area, k - first)
            return
        side = -cloth.side if cloth.passives else cloth.side
        incoming = self._coming_in(cloth, Visit(hole, side), 0, area)
        legs = cloth.close(hole, side, incoming, again=self.fed[area])
        self._send_from_area(area, hole, legs, all_of_it=True)

    def _end_flat(self, area: int, k: int) -> None:
        """Let the pairs of an area go at the holes of a flat end, two at each."""
        course, cloth = self.courses[area], self.cloths[area]
        if k == 0:
            cloth.reach(-cloth.side, self._spot(course.end[-1 if cloth.side < 0 else 0]))
            legs = (
                [cloth.worker, *cloth.passives]
                if cloth.side < 0
                else [*cloth.passives, cloth.worker]
            )
            cloth.passives, cloth.worker = legs, -1
        remaining = len(course.end) - k
        count = len(cloth.passives) if remaining == 1 else min(2, len(cloth.passives))
        legs, cloth.passives = cloth.passives[:count], cloth.passives[count:]
        hole = course.end[k]
        if len(legs) >= 2:
            middle = (len(legs) - 2) // 2
            legs[middle], legs[middle + 1] = cloth.work(
                legs[middle], legs[middle + 1], self._spot(hole), hole=hole
            )
        self._send_from_area(area, hole, legs, all_of_it=True)

    # Pairs that come and go ------------------------------------------------------------------

    def _arriving(self, hole: int) -> list[int]:
        """Take the legs that were sent to a hole."""
        return [self.flying.pop(k) for k in self.up[hole] if k in self.flying]

    def _arriving_in_order(self, hole: int) -> list[int]:
        """Take the legs that were sent to a hole or left there by another area, left to right."""
        legs = set(self._arriving(hole))
        legs |= {leg for leg, (h, _) in self.loose.items() if h == hole}
        for leg in legs:
            self.loose.pop(leg, None)
        if len(legs) < 2:
            return list(legs)
        some = min(legs)
        return self._ordered(some, legs)

    def _ordered(self, some: int, legs: set[int]) -> list[int]:
        leftward, rightward = [], []
        a, b = self.pillow.left_of(some), self.pillow.right_of(some)
        missing = len(legs) - 1
        while missing and (a >= 0 or b >= 0):
            if a >= 0:
                if a in legs:
                    leftward.append(a)
                    missing -= 1
                a = self.pillow.left_of(a)
            if b >= 0:
                if b in legs:
                    rightward.append(b)
                    missing -= 1
                b = self.pillow.right_of(b)
        return [*reversed(leftward), some, *rightward]

    def _send(self, hole: int, legs: list[int], ports: list[int]) -> None:
        """Send pairs from a hole of ground along its links; the rest hang loose."""
        wanted = {int(self.links.port[k]): k for k in self.low[hole]}
        for leg, port in zip(legs, ports, strict=True):
            link = wanted.get(port)
            if link is not None and int(self.links.target[link]) in self.events_at:
                self.flying[link] = leg
            else:
                self.loose[leg] = (hole, port)

    def _send_from_area(
        self, area: int, hole: int, legs: list[int], *, all_of_it: bool = False
    ) -> None:
        """Send pairs from left to right out of an area; outer ones first where there are more."""
        wanted = [k for k in self.low[hole] if self._event_follows(hole, k)]
        wanted.sort(key=lambda k: self._bearing(k))
        moves = STITCHES[self.cloths[area].word]
        lanes = _match(len(legs), len(wanted))
        for position, leg in enumerate(legs):
            if position in lanes:
                link = wanted[lanes[position]]
                self.flying[link] = leg
                ground = ground_stitch(self.pricking.ground[int(self.links.target[link])])
                extra = trailing_twists(ground.moves) - trailing_twists(moves)
                self.pillow.twists[leg] += max(0, extra)
            elif all_of_it or self._begins_here(hole, area):
                self.loose[leg] = (hole, 0 if 2 * position < len(legs) else 1)
            else:
                self.pillow.throw(leg, end=False, area=area, toward=self._toward(0))

    def _begins_here(self, hole: int, area: int) -> bool:
        return len(self.events_at[hole]) > 1

    def _bearing(self, link: int) -> float:
        """Return how far to the right a link leads."""
        run = (
            self.pricking.holes[self.links.target[link]]
            - self.pricking.holes[self.links.source[link]]
        )
        return float(np.arctan2(run @ self.pricking.across, run @ self.pricking.down))

    def _may_adopt(self, leg: int, hole: int) -> bool:
        """Tell whether a loose pair can be led to a hole."""
        if leg not in self.loose:
            return False
        source, port = self.loose[leg]
        run = self.pricking.holes[hole] - self.pricking.holes[source]
        step = float(np.hypot(*self.links.step[hole, port]))
        return bool(
            np.hypot(*run) <= WAITING_REACH * step and run @ self.pricking.down > 0.1 * step
        )

    def _take(self, leg: int) -> int:
        self.loose.pop(leg, None)
        return leg

    def _hang_beside(self, hole: int, leg: int, side: int) -> int:
        """Hang a pair to the left (0) or right (1) of a leg; -1 where there is none yet."""
        if leg < 0:
            return self._hang_after(hole, self._gap(hole), side)
        beside = leg if side == 1 else self.pillow.left_of(leg)
        return self._hang_after(hole, beside, side)

    def _hang_after(self, hole: int, beside: int, side: int) -> int:
        start = bool(self.sky[hole, side])
        if not start:
            self.pillow.remarks.append(
                Remark("no pair reaches it: one is hung in", self.pricking.place(hole), "change")
            )
        return self.pillow.hang(self._above(hole, -1.0 if side == 0 else 1.0), beside, start=start)

    def _throw(self, leg: int, hole: int, why: str) -> None:
        self.loose.pop(leg, None)
        for link in [k for k, flying in self.flying.items() if flying == leg]:
            del self.flying[link]
        self.pillow.throw(leg, end=False, toward=self._toward(0))
        self.pillow.remarks.append(
            Remark(f"a pair {why}: it is thrown out", self.pricking.place(hole), "change")
        )

    def _last(self) -> int:
        last = -1
        for leg in self.pillow:
            last = leg
        return last

    def _gap(self, hole: int) -> int:
        """Return the leg to the right of which a hole lies, -1 for the far left."""
        return self.pillow_gap(self._spot(hole))

    def pillow_gap(self, spot: Spot) -> int:
        """Find the gap between pairs at a spot by the nearest pair and the side of it."""
        legs = list(self.pillow)
        if not legs:
            return -1
        run = self._leg_lines(legs)
        offset = np.array(spot) - run[:, 0]
        line = run[:, 1] - run[:, 0]
        square = np.maximum((line**2).sum(axis=1), 1e-12)
        share = np.clip((offset * line).sum(axis=1) / square, 0, 1)
        gap = offset - share[:, None] * line
        distance = np.hypot(*gap.T)
        best = int(distance.argmin())
        side = line[best, 0] * offset[best, 1] - line[best, 1] * offset[best, 0]
        # With y down the page a positive turn is towards the maker's left of a line going down.
        beside = self.pillow.left_of(legs[best]) if side > 0 else legs[best]
        return self._out_of_areas(beside, side > 0)

    def _out_of_areas(self, beside: int, leftward: bool) -> int:
        """Move a gap out of an area or footside, whose pairs must stay together."""
        if beside < 0:
            return beside
        held = self._held()
        right = self.pillow.right_of(beside)
        while (
            beside >= 0
            and right >= 0
            and held.get(beside) is not None
            and held.get(beside) == held.get(right)
        ):
            beside, right = (
                (self.pillow.left_of(beside), beside)
                if leftward
                else (right, self.pillow.right_of(right))
            )
        return beside

    def _leg_lines(self, legs: list[int]) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        """Return (n, 2, 2) where each leg comes from and where it is going."""
        holes = self.pricking.holes
        going = {leg: k for k, leg in self.flying.items()}
        inside = {leg: c for c in self.cloths.values() for leg in (*c.passives, c.worker)}
        lines = np.zeros((len(legs), 2, 2))
        down = self.pricking.down * float(np.median(self.pricking.spacing))
        for row, leg in enumerate(legs):
            if leg in going:
                k = going[leg]
                lines[row] = holes[self.links.source[k]], holes[self.links.target[k]]
            elif leg in self.loose:
                hole, port = self.loose[leg]
                lines[row] = holes[hole], holes[hole] + self.links.step[hole, port]
            elif leg in inside:
                start = np.array(inside[leg].spot)
                lines[row] = start, start + 0.1 * down
            else:
                lines[row] = self._footside_line(leg)
        return lines

    def _footside_line(self, leg: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        for footside in self.footsides.values():
            if leg == footside.edge or leg in footside.passives:
                sign = -1.0 if footside.outside == LEFT else 1.0
                far = self.pricking.across * sign * 1e3
                spot = self.pricking.holes.mean(axis=0) + far
                return np.array([spot, spot + self.pricking.down])
        spot = self.pricking.holes.mean(axis=0)
        return np.array([spot, spot])

    def _spot(self, hole: int) -> Spot:
        x, y = self.pricking.holes[hole]
        return float(x), float(y)

    def _above(self, hole: int, aside: float) -> Spot:
        """Return a spot above a hole, a little to one side, where a pair is hung."""
        size = float(self.pricking.spacing[hole])
        up = -0.55 * size * self.pricking.down + 0.3 * size * aside * self.pricking.across
        x, y = self.pricking.holes[hole] + up
        return float(x), float(y)

    def _toward(self, port: int) -> Spot:
        x, y = self.pricking.down
        return float(x), float(y)

    def finish(self) -> None:
        """End what still hangs, and say which holes and pairs came off badly."""
        self._tell_unused()
        for footside in self.footsides.values():
            for leg in (footside.edge, *footside.passives):
                self.pillow.throw(leg, end=True, toward=self._toward(0))
        stranded: dict[int, int] = {}
        for leg in list(self.pillow):
            if leg in self.loose:
                hole, port = self.loose[leg]
                # a pair that ends where nothing lies below has simply come to the end
                end = bool(self.floor[hole, port]) or self._alone(hole)
                step = self.links.step[hole, port]
                toward = step / max(float(np.hypot(*step)), 1e-9)
                self.pillow.throw(leg, end=end, toward=(float(toward[0]), float(toward[1])))
                if not end:
                    stranded[hole] = stranded.get(hole, 0) + 1
            else:
                self.pillow.throw(leg, end=False, toward=self._toward(0))
        for hole, count in sorted(stranded.items()):
            pairs = (
                "the pair that leaves here has"
                if count == 1
                else f"{count} pairs that leave here have"
            )
            self.pillow.remarks.append(
                Remark(f"{pairs} nowhere to go: thrown out", self.pricking.place(hole), "change")
            )

    def _tell_unused(self) -> None:
        used = self.pillow.pinned_holes()
        for hole, area in enumerate(self.pricking.interior.tolist()):
            if area >= 0 and self.pricking.areas[area].worked and hole not in used:
                self.pillow.remarks.append(
                    Remark("no stitch passes it: its pin is left out", self.pricking.place(hole))
                )

    def _alone(self, hole: int) -> bool:
        owners = self.owners[hole]
        return bool(owners) and not any(self.fed[a] for a in owners)


def _steps(course: Course) -> list[Visit]:
    """Return all stops of a course: its start, its visits, its end."""
    return [
        *(Visit(h, 0) for h in course.start),
        *course.visits,
        *(Visit(h, 0) for h in course.end),
    ]


def _match(legs: int, links: int) -> dict[int, int]:
    """Give links to pairs from both outsides; return link by position of the pair."""
    lanes: dict[int, int] = {}
    left, right = 0, links - 1
    a, b = 0, legs - 1
    while left <= right and a <= b:
        lanes[a] = left
        a, left = a + 1, left + 1
        if left <= right and a <= b:
            lanes[b] = right
            b, right = b - 1, right - 1
    return lanes


def _footings(pricking: Pricking) -> dict[int, _Footing]:
    """Return for each footside hole, in working order, what is worked there."""
    found: dict[int, _Footing] = {}
    for run in pricking.runs:
        if run.word != "footside" or not len(run.holes):
            continue
        spots = pricking.holes[run.holes]
        others = np.delete(pricking.holes, run.holes, axis=0)
        middle = others.mean(axis=0) if len(others) else spots.mean(axis=0)
        outside = LEFT if (spots.mean(axis=0) - middle) @ pricking.across <= 0 else 1 - LEFT
        moves = STITCHES[run.options.get("stitch", "double")]
        footing = _Footing(outside, moves, int(run.options.get("passives", "1")))
        order = np.argsort(spots @ pricking.down, kind="stable")
        for hole in run.holes[order].tolist():
            found[hole] = footing
    return found


__all__ = ["Area", "Links", "plan_work"]
