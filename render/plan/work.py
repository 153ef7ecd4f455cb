"""Work a pricking on the pillow, hole by hole."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from render.errors import PlanError, Remark
from render.geometry.polygon import contains
from render.plan.areas import ENDS, PASSES, STARTS, Areas
from render.plan.cloth import Cloth
from render.plan.contacts import Contacts, without_leaps
from render.plan.density import wanted_pairs
from render.plan.footing import Footing, find_footings
from render.plan.footside import Footside
from render.plan.ground import Links, find_links
from render.plan.headside import find_picots
from render.plan.legs import twist_legs
from render.plan.lines import find_spans
from render.plan.meetings import Meetings
from render.plan.model import WorkingPlan
from render.plan.order import Event, can_be_kept, in_order
from render.plan.pillow import Pillow, Spot
from render.plan.plaiting import Plaiting
from render.plan.rails import Course
from render.plan.rose import RoseCrossings
from render.plan.spider import Spiders
from render.plan.steps import LEFT
from render.plan.stitches import ground_stitch
from render.plan.stretches import Stretches, lay_stretches
from render.plan.traffic import PORTS, Traffic
from render.plan.valenciennes import Meshes, plaited_net
from render.pricking.model import Area, Pricking

# An area of which fewer than this share of edge holes have ground beyond them stands alone: its
# pairs are hung in and thrown out as its width asks.
FED_SHARE = 0.25


def plan_work(
    pricking: Pricking, *, density: float = 1.0, gauge_mm: float | None = None
) -> WorkingPlan:
    """Turn a pricking into a working plan.

    Parameters
    ----------
    pricking
        Any holes with any areas.
    density
        Factor on the pairs of areas that stand alone; more is closer.
    gauge_mm
        Diameter of the thread, which tells how many stitches a plait takes; None for the one the
        pricking is meant for.

    Raises
    ------
    PlanError
        Where nothing is left to be worked.
    """
    planner = _Planner(pricking, density, gauge_mm or pricking.gauge_mm)
    if not planner.events:
        raise PlanError(Remark("no hole of this pricking is to be worked"))
    for number, unmet in in_order(planner.events, planner.firm, planner.soft):
        planner.work(number, unmet)
    planner.finish()
    # Areas are worked in the direction of the piece, whatever the ground round them does.
    in_ground = np.array([not owners for owners in pricking.owners])[:, None]
    down = np.where(in_ground, planner.traffic.links.down, pricking.down)
    return twist_legs(planner.pillow.plan(pricking, down), pricking.leg_twists)


class _Planner:
    """The state of planning one piece."""

    def __init__(self, pricking: Pricking, density: float, gauge_mm: float) -> None:
        self.pricking = pricking
        self.pillow = Pillow()
        drawn = find_spans(pricking)
        self.edging = find_picots(pricking, drawn.ends | drawn.picots)
        self.pillow.remarks += (*pricking.remarks, *drawn.remarks, *self.edging.remarks)
        self.footing = find_footings(pricking)
        self.footsides: dict[int, Footside] = {}
        outer = {hole: footing.outside for hole, footing in self.footing.items()}
        links = find_links(
            pricking,
            outer_side=outer,
            left_out=drawn.joints | drawn.picots | self.edging.off_ground,
            tied=drawn.tied,
            barred=drawn.pieces,
        )
        links = without_leaps(pricking, links)
        elsewhere = drawn.joints | drawn.picots | self.edging.off_ground | set(self.footing)
        unplaited, net = plaited_net(pricking, links, elsewhere)
        drawn = replace(drawn, spans=(*drawn.spans, *net.spans))
        self.traffic = Traffic(self.pillow, pricking, unplaited, self._held)
        if len(links.seam):
            message = "the ground closes round: its work begins and ends here, to be joined"
            first = int(links.seam[0, 0])
            self.pillow.remarks.append(Remark(message, pricking.place(first), "note"))
        self.plaiting = Plaiting(self.traffic, drawn, gauge_mm)
        self.meshes = Meshes(self.traffic, self.plaiting, net)
        self.meetings = Meetings(self.plaiting)
        self.openings: list[tuple[int, int, list[int]]] = []
        self._lay_areas(links, density)
        self.rose = RoseCrossings(self.traffic)
        self.spiders = Spiders(self.traffic, links.bodies, gauge_mm)
        self.contacts = Contacts(pricking, self.areas)
        self._arrange()
        self.firm += self.plaiting.lay(
            len(self.events), self.events_at, self.firm, self.areas.trend
        )
        self.meshes.tell_ports()
        self.soft = self._before(unplaited)

    def _arrange(self) -> None:
        """Find the order of all events that can be kept."""
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

    # What there is to do ---------------------------------------------------------------------

    def _lay_areas(self, links: Links, density: float) -> None:
        """Give every stretch of every area a number, its course and its cloth."""
        linked = {int(h) for h in (*links.source, *links.target)}
        capped = frozenset(h for h, k in enumerate(self.traffic.up) if len(k) >= 2)
        floored = frozenset(h for h, k in enumerate(self.traffic.low) if len(k) >= 2)
        self.areas = Areas(self.pricking, self.traffic, self.plaiting)
        fresh = len(self.pricking.areas)
        for number, area in enumerate(self.pricking.areas):
            if not area.worked:
                continue
            edge = area.edge.tolist()
            fed = sum(h in linked for h in edge) >= FED_SHARE * len(edge)
            if fed and not {"density", "pairs"}.isdisjoint(area.options):
                message = "the ground gives it its pairs: data-density and data-pairs say nothing"
                self.pillow.remarks.append(Remark(message, area.place))
            laid = lay_stretches(self.pricking, area, fed=fed, capped=capped, floored=floored)
            numbers = [number, *range(fresh, fresh + len(laid.parts) - 1)]
            fresh += len(laid.parts) - 1
            for n, part in zip(numbers, laid.parts, strict=True):
                self.areas.add(n, part, numbers, self._cloth(number, part.course, density), fed=fed)
            self._note_openings(area, laid, numbers)
        self.traffic.area_of = {n: cloth.number for n, cloth in self.areas.cloths.items()}

    def _note_openings(self, area: Area, laid: Stretches, numbers: list[int]) -> None:
        """Let the work inside an opening come after its top and before its bottom."""
        self.pillow.remarks += laid.remarks
        for above, below, k in laid.openings:
            edge = area.edges[k]
            within = np.flatnonzero(contains([area.contours[k]], self.pricking.holes))
            holes = sorted({*edge.tolist(), *within.tolist()})
            self.openings.append((numbers[above], numbers[below], holes))

    def _cloth(self, number: int, course: Course, density: float) -> Cloth:
        area = self.pricking.areas[number]
        tie = area.options.get("tie")
        return Cloth(
            pillow=self.pillow,
            holes=self.pricking.holes,
            number=number,
            word=area.stitch,
            course=course,
            tie=None if tie is None else int(tie),
            wanted=wanted_pairs(self.pricking.holes, area, course, density),
            picots=self.edging.on_areas,
        )

    def _events(self, *, meeting: bool) -> list[Event]:
        stops_at: dict[int, list[tuple[int, int]]] = {}
        for area, visits in self.areas.stops.items():
            for k, visit in enumerate(visits):
                stops_at.setdefault(visit.hole, []).append((area, k))
        self.areas.guests = stops_at
        self.event_of: dict[tuple[int, int], int] = {}
        self.events_at: dict[int, list[int]] = {}
        events: list[Event] = []
        along = np.round(self.pricking.holes @ self.pricking.down, 6)
        across = np.round(self.pricking.holes @ self.pricking.across, 6)
        for hole in range(len(self.pricking.holes)):
            stops = stops_at.get(hole, [])
            inside = self.pricking.interior[hole] >= 0 or hole in self.plaiting.picots
            elsewhere = hole in self.edging.off_ground or hole in self.contacts.holes
            if not stops and (inside or elsewhere):
                continue
            for group in self._groups(stops, meeting=meeting) if stops else [()]:
                for stop in group:
                    self.event_of[stop] = len(events)
                self.events_at.setdefault(hole, []).append(len(events))
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
                    self.events_at.setdefault(hole, []).append(len(events))
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
            area: [self.event_of[area, k] for k in range(len(stops))]
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
                chains.append([self.event_of[area, k - 1], event, self.event_of[area, k]])
        return [pair for chain in chains for pair in pairwise(chain)]

    def _before(self, links: Links) -> list[tuple[int, int]]:
        """Return which event comes before which along links, footsides and at shared holes."""
        chains = list(self.events_at.values())
        feet: dict[int, list[int]] = {}
        for hole, footing in self.footing.items():
            feet.setdefault(footing.run, []).extend(self.events_at.get(hole, []))
        chains += list(feet.values())
        pairs = [pair for chain in chains for pair in pairwise(chain)]
        for a, b in zip(links.source.tolist(), links.target.tolist(), strict=True):
            pairs.append((self.events_at[a][-1], self.events_at[b][0]))
        for a, b in (*self.rose.order(), *self.meshes.order()):
            pairs.append((self.events_at[a][-1], self.events_at[b][0]))
        for above, below, holes in self.openings:
            top = self.event_of[above, len(self.areas.stops[above]) - 1]
            bottom = self.event_of[below, 0]
            for event in (e for h in holes for e in self.events_at.get(h, ())):
                if event not in (top, bottom):
                    pairs += [(top, event), (event, bottom)]
        return pairs

    # Doing it --------------------------------------------------------------------------------

    def work(self, number: int, unmet: frozenset[int]) -> None:
        """Work what is to be done at one hole."""
        event = self.events[number]
        if unmet:
            others = ", ".join(str(self.events[n].hole + 1) for n in sorted(unmet))
            self.traffic.tell(
                event.hole,
                f"it waits for hole {others}, which waits for it: worked here all the same, with "
                "pairs hung in and thrown out",
            )
        if event.crossing >= 0:
            crossing = self.contacts.crossings[event.crossing]
            self.contacts.work(crossing, event.hole)
            for hole in crossing.holes if crossing.through else ():
                self.plaiting.leave(hole, lambda: self.areas.beside(event.hole))
            return
        if len(event.areas) == 2:
            (first, _), (second, _) = event.areas
            self.areas.meet(first, second, event.hole)
        elif event.areas:
            self.areas.work(*event.areas[0])
        elif event.hole in self.plaiting.joints:
            self.meetings.work(event.hole)
        elif event.hole in self.meshes.joined:
            self.meshes.work(event.hole)
        elif event.hole in self.spiders.bodies:
            self.spiders.work(event.hole)
        elif event.hole in self.footing:
            self._work_footside(event.hole)
        else:
            self._work_ground(event.hole)
        if number == self.events_at[event.hole][-1]:
            self.plaiting.leave(event.hole, lambda: self.areas.beside(event.hole))

    def _work_ground(self, hole: int) -> None:
        word = self.pricking.ground[hole]
        left, right = self._two_pairs(hole)
        # Round spiders the ground is torchon.
        technique = "torchon" if word == "spider" else word
        spot = self.traffic.spot(hole)
        legs = self.pillow.stitch(
            ground_stitch(word), left, right, spot, technique=technique, hole=hole
        )
        self.traffic.send(hole, list(legs), PORTS)
        self.rose.cross(hole)
        self.edging.work(hole, traffic=self.traffic)

    def _two_pairs(self, hole: int) -> tuple[int, int]:
        """Find, adopt or hang the two pairs for a hole of ground, and bring them side by side."""
        traffic = self.traffic
        left, right = self.meetings.into_ground(hole, *traffic.arriving_at_ground(hole))
        if left < 0 and right < 0:
            beside, near = traffic.waiting_beside(hole)
            left, right = traffic.adopt(beside, hole), traffic.adopt(near, hole)
            if left < 0 and right < 0:
                left = traffic.hang_after(hole, beside, 0)
        elif left < 0:
            left = traffic.adopt(self.pillow.left_of(right), hole)
        elif right < 0:
            right = traffic.adopt(self.pillow.right_of(left), hole)
        if left < 0:
            left = traffic.hang_beside(hole, right, 0)
        if right < 0:
            right = traffic.hang_beside(hole, left, 1)
        return traffic.side_by_side(left, right, hole)

    def _work_footside(self, hole: int) -> None:
        traffic, footing = self.traffic, self.footing[hole]
        inward = 1 - footing.outside
        arriving = traffic.arriving(hole)
        worker = arriving[0] if arriving else -1
        for other in arriving[1:]:
            traffic.throw(other, hole, "finds no work at the footside")
        if footing.run not in self.footsides:
            if worker < 0:
                worker = traffic.hang_after(hole, traffic.gap(hole), inward)
            self._begin_footside(hole, footing, worker)
        footside = self.footsides[footing.run]
        worker = self._lead_to(footside, worker, hole, inward)
        footside.outward = self._outward(hole, footing)
        fresh = footside.work(worker, hole, traffic.spot(hole))
        traffic.send(hole, [fresh], [inward])

    def _begin_footside(self, hole: int, footing: Footing, worker: int) -> None:
        outward = self._outward(hole, footing)
        footside = Footside(self.pillow, footing.outside, footing.moves, footing.passives, outward)
        footside.begin(self.traffic.above(hole, 0.0), worker)
        self.footsides[footing.run] = footside

    def _outward(self, hole: int, footing: Footing) -> Spot:
        """Return the way out of the work at a hole of a footside, as long as holes lie apart."""
        x, y = self.traffic.links.down[hole] * float(self.pricking.spacing[hole])
        return (float(-y), float(x)) if footing.outside == LEFT else (float(y), float(-x))

    def _lead_to(self, footside: Footside, worker: int, hole: int, inward: int) -> int:
        """Return a pair of the ground that hangs next to the footside."""
        inner = footside.innermost
        if worker < 0:
            step = self.pillow.right_of if inward == 1 else self.pillow.left_of
            worker = self.traffic.adopt(step(inner), hole)
        if worker < 0:
            return self.traffic.hang_beside(hole, inner, inward)
        pair = (inner, worker) if inward == 1 else (worker, inner)
        blocking = self.pillow.between(*pair)
        if blocking is None or self.traffic.any_held(blocking):
            self.traffic.throw(worker, hole, "cannot reach the footside")
            return self.traffic.hang_beside(hole, inner, inward)
        for other in blocking:
            self.traffic.throw(other, hole, "hangs between the footside and its worker")
        return worker

    def _held(self) -> dict[int, int]:
        """Return the legs that belong to areas (0 on) and footsides (-1 down) being worked."""
        held = {leg: n for n, c in self.areas.cloths.items() for leg in c.legs}
        for n, footside in self.footsides.items():
            held |= dict.fromkeys((footside.edge, *footside.passives), -1 - n)
        held.pop(-1, None)
        return held

    def finish(self) -> None:
        """End what still hangs, and say which holes and pairs came off badly."""
        owners = self.pricking.owners
        self.traffic.end(lambda hole: self.areas.stands_alone(owners[hole]))
        used = self.pillow.pinned_holes()
        message = "nothing is worked past it: its picot is left out"
        for hole in sorted((self.plaiting.picots | self.edging.off_ground) - used):
            self.pillow.remarks.append(Remark(message, self.pricking.place(hole)))
        for hole, area in enumerate(self.pricking.interior.tolist()):
            if area >= 0 and self.pricking.areas[area].worked and hole not in used:
                self.pillow.remarks.append(
                    Remark("no stitch passes it: its pin is left out", self.pricking.place(hole))
                )
