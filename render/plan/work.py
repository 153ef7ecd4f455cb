"""Work a pricking on the pillow, hole by hole."""

from dataclasses import replace

import numpy as np

from render.errors import PlanError, Remark
from render.geometry.polygon import contains
from render.plan.areas import Areas
from render.plan.cloth import Cloth
from render.plan.contacts import Contacts, without_leaps
from render.plan.density import wanted_pairs
from render.plan.direction import drawn_directions
from render.plan.footing import find_footings
from render.plan.footside import Footsides
from render.plan.gimps import lay_gimps
from render.plan.ground import Links, find_links
from render.plan.headside import find_picots
from render.plan.legs import twist_legs
from render.plan.lines import find_spans
from render.plan.meetings import Meetings
from render.plan.model import WorkingPlan
from render.plan.order import in_order
from render.plan.pillow import Pillow
from render.plan.plaiting import Plaiting
from render.plan.rails import Course
from render.plan.rose import RoseCrossings
from render.plan.sewing import sew
from render.plan.side_by_side import ended_in_order
from render.plan.spider import Spiders
from render.plan.stitches import ground_stitch
from render.plan.stretch import Stretches
from render.plan.stretches import lay_stretches
from render.plan.traffic import PORTS, Traffic
from render.plan.valenciennes import Meshes, plaited_net
from render.plan.visits import Visits
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
    visits = planner.visits
    if not visits.events:
        raise PlanError(Remark("no hole of this pricking is to be worked"))
    for number, unmet in in_order(visits.events, planner.firm, planner.soft):
        planner.work(number, unmet)
    planner.finish()
    # Areas that ground feeds are worked in the direction of the piece, whatever the ground does.
    in_ground = np.array([not owners for owners in pricking.owners])[:, None]
    down = np.where(in_ground, planner.traffic.links.down, pricking.down)
    for hole, way in planner.areas.bearings().items():
        down[hole] = way
    plan = ended_in_order(planner.pillow.plan(pricking, down))
    plan = sew(twist_legs(plan, pricking.leg_twists), planner.areas.alone)
    return lay_gimps(plan, gauge_mm or pricking.gauge_mm)


class _Planner:
    """The state of planning one piece."""

    def __init__(self, pricking: Pricking, density: float, gauge_mm: float) -> None:
        self.pricking = pricking
        self.pillow = Pillow()
        drawn = find_spans(pricking)
        self.edging = find_picots(pricking, drawn.ends | drawn.picots)
        self.pillow.remarks += (*pricking.remarks, *drawn.remarks, *self.edging.remarks)
        footing = find_footings(pricking)
        links = find_links(
            pricking,
            outer_side={hole: footed.outside for hole, footed in footing.items()},
            left_out=drawn.joints | drawn.picots | self.edging.off_ground,
            tied=drawn.tied,
            barred=drawn.pieces,
            joined=drawn.joined,
        )
        links = without_leaps(pricking, links)
        elsewhere = drawn.joints | drawn.picots | self.edging.off_ground | set(footing)
        unplaited, net = plaited_net(pricking, links, elsewhere)
        barred = drawn.pieces
        drawn = replace(drawn, spans=(*drawn.spans, *net.spans))
        self.traffic = Traffic(
            self.pillow, pricking, unplaited, self._held, self._all_done_at, barred
        )
        self.footsides = Footsides(self.traffic, footing)
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
        self.visits = Visits(
            pricking, self.areas, self.contacts, self.plaiting.picots | self.edging.off_ground
        )
        along = self.visits.firm
        self.firm = along + self.plaiting.lay(
            len(self.visits.events), self.visits.at_hole, along, self.areas.trend
        )
        self.meshes.tell_ports()
        lines = (*self.rose.order(), *self.meshes.order())
        self.soft = self.visits.before(unplaited, footing, self.openings, lines)

    # What there is to do ---------------------------------------------------------------------

    def _lay_areas(self, links: Links, density: float) -> None:
        """Give every stretch of every area a number, its course and its cloth."""
        linked = {int(h) for h in (*links.source, *links.target)}
        ways = list(enumerate(zip(self.traffic.up, self.traffic.low, strict=True)))
        capped = frozenset(h for h, (up, low) in ways if len(up) >= 2 and not low)
        floored = frozenset(h for h, (up, low) in ways if len(low) >= 2 and not up)
        self.areas = Areas(self.pricking, self.traffic, self.plaiting)
        fresh = len(self.pricking.areas)
        directions = drawn_directions(self.pricking)
        self.pillow.remarks += directions.remarks
        for number, area in enumerate(self.pricking.areas):
            if not area.worked:
                continue
            edge = area.edge.tolist()
            fed = sum(h in linked for h in edge) >= FED_SHARE * len(edge)
            if fed and not {"density", "pairs"}.isdisjoint(area.options):
                message = "the ground gives it its pairs: data-density and data-pairs say nothing"
                self.pillow.remarks.append(Remark(message, area.place))
            lines = directions.of.get(number, ())
            laid = lay_stretches(
                self.pricking, area, lines, fed=fed, capped=capped, floored=floored
            )
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

    # Doing it --------------------------------------------------------------------------------

    def work(self, number: int, unmet: frozenset[int]) -> None:
        """Work what is to be done at one hole."""
        events = self.visits.events
        event = events[number]
        if unmet:
            others = ", ".join(str(events[n].hole + 1) for n in sorted(unmet))
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
        elif event.hole in self.footsides.footing:
            self.footsides.work(event.hole)
        else:
            self._work_ground(event.hole)
        if number == self.visits.at_hole[event.hole][-1]:
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

    def _held(self) -> dict[int, int]:
        """Return the legs that belong to areas (0 on) and footsides (-1 down) being worked."""
        held = {leg: n for n, c in self.areas.cloths.items() for leg in c.legs}
        held |= self.footsides.legs()
        held.pop(-1, None)
        return held

    def _all_done_at(self, hole: int) -> bool:
        """Tell whether pairs that hang loose at a hole have come to their end."""
        return self.areas.stands_alone(self.pricking.owners[hole])

    def finish(self) -> None:
        """End what still hangs, and say which holes and pairs came off badly."""
        self.traffic.end()
        used = self.pillow.pinned_holes()
        message = "nothing is worked past it: its picot is left out"
        for hole in sorted((self.plaiting.picots | self.edging.off_ground) - used):
            self.pillow.remarks.append(Remark(message, self.pricking.place(hole)))
        for hole, area in enumerate(self.pricking.interior.tolist()):
            if area >= 0 and self.pricking.areas[area].worked and hole not in used:
                self.pillow.remarks.append(
                    Remark("no stitch passes it: its pin is left out", self.pricking.place(hole))
                )
