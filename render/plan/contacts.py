"""Trails that come upon other trails: which cross, which meet, and who hangs beside whom."""

from dataclasses import replace

import numpy as np

from render.plan.areas import Areas
from render.plan.crossing import (
    Crossing,
    Lane,
    find_crossings,
    without_crossings,
)
from render.plan.ground import Links
from render.plan.rails import LEFT, RIGHT, Course
from render.plan.through import go_on, work_through
from render.pricking.model import Pricking


def without_leaps(pricking: Pricking, links: Links) -> Links:
    """Leave out the links that lead from trail to trail where there is no ground about either."""
    owned = np.array([bool(o) for o in pricking.owners], bool)
    with_ground = ~(owned[links.source] & owned[links.target])
    touched = {
        area
        for hole in {*links.source[with_ground].tolist(), *links.target[with_ground].tolist()}
        for area in pricking.owners[hole]
    }
    alone = np.array([bool(o) and touched.isdisjoint(o) for o in pricking.owners], bool)
    kept = ~(alone[links.source] & alone[links.target])
    return replace(
        links, source=links.source[kept], target=links.target[kept], port=links.port[kept]
    )


class Contacts:
    """Where the areas of a piece cross and meet.

    Attributes
    ----------
    crossings
        Where trails cross through each other.
    holes
        Holes that fall to crossings.
    """

    def __init__(self, pricking: Pricking, areas: Areas) -> None:
        self.pricking = pricking
        self.areas = areas
        self._laid = {n: (areas.courses[n], areas.cloths[n].wanted) for n in areas.courses}
        alone: dict[int, Course] = {n: c for n, c in areas.courses.items() if not areas.fed[n]}
        area_of = {n: cloth.number for n, cloth in areas.cloths.items()}
        self.crossings = find_crossings(pricking, alone, area_of)
        self.holes: set[int] = set()
        self.after: dict[tuple[int, int], int] = {}
        self.part()

    def part(self) -> None:
        """Take out of the courses of all trails what falls to crossings."""
        self.holes = {h for c in self.crossings if c.through for h in c.holes}
        self.after = {}
        for number, (course, wanted) in self._laid.items():
            lanes = [lane for c in self.crossings for lane in c.parted if lane.area == number]
            course, wanted, after = without_crossings(course, wanted, lanes, self.holes)
            self.areas.replan(number, course, wanted)
            offset = len(course.start) if course.begins else 0
            for lane in lanes:
                self.after[number, lane.first] = after[lane.first] + offset
        self._find_partners()

    def give_way(self) -> bool:
        """Let one more of the trails that cross end before the other; tell whether any was left."""
        for k in range(len(self.crossings) - 1, -1, -1):
            if self.crossings[k].through:
                self.crossings[k] = replace(self.crossings[k], through=False)
                self.part()
                return True
        return False

    def place(self, crossing: Crossing) -> int:
        """Return the hole nearest to a crossing, by which it is named."""
        apart = np.hypot(*(self.pricking.holes - crossing.middle).T)
        return int(apart.argmin())

    def stops(self, crossing: Crossing) -> list[tuple[int, int]]:
        """Return for each trail that waits for a crossing its first stop after it."""
        return [(lane.area, self.after[lane.area, lane.first]) for lane in crossing.parted]

    def work(self, crossing: Crossing, hole: int) -> None:
        """Work the pairs of two trails through each other, or let one end and begin anew."""
        one, two = crossing.lanes
        left, right = self.areas.cloths[one.area], self.areas.cloths[two.area]
        traffic = self.areas.traffic
        if not right.pairs:
            return
        blocking = (
            traffic.pillow.between(left.outermost(RIGHT), right.outermost(LEFT))
            if crossing.through and left.pairs
            else None
        )
        if blocking is None or traffic.any_held(blocking):
            self._begin_anew(crossing, hole)
            return
        for leg in blocking:
            traffic.throw(leg, hole, "hangs between two trails that cross here")
        for rest in work_through(crossing, left, right):
            traffic.tell(rest, "the crossing has too few stitches for all its holes: left out")

    def _begin_anew(self, crossing: Crossing, hole: int) -> None:
        """End the second trail before the first, and begin it anew beyond it."""
        pillow, lane = self.areas.traffic.pillow, crossing.lanes[1]
        left, right = (self.areas.cloths[n.area] for n in crossing.lanes)
        old = right.in_order()
        beside = pillow.left_of(old[0])
        x, y = lane.run.tolist()
        for leg in old:
            pillow.throw(leg, end=False, area=right.number, toward=(x, y))
        if left.pairs:
            beside = pillow.left_of(left.outermost(LEFT))
        legs = []
        for spot in lane.lines(len(old))[:, 1].tolist():
            beside = pillow.hang(
                (spot[0], spot[1]), beside, start=False, area=right.number, role="passive"
            )
            legs.append(beside)
        go_on(right, legs, lane)
        self.areas.traffic.tell(
            hole,
            "the two trails that cross here are not under way at the same time: one is sewn to the "
            "other, cut off and begun anew beyond it",
        )
        if crossing.through:
            for other in crossing.holes:
                self.areas.traffic.tell(other, "no stitch passes it: its pin is left out")

    # Who hangs beside whom -------------------------------------------------------------------

    def _find_partners(self) -> None:
        """Note for each trail which others it will meet, in that order, and on which side."""
        met: dict[int, list[tuple[int, int, int]]] = {}
        for crossing in self.crossings:
            if crossing.through:
                self._note(met, crossing.lanes)
        at: dict[int, list[tuple[int, int, int]]] = {}
        for number, stops in self.areas.stops.items():
            for k, visit in enumerate(stops):
                at.setdefault(visit.hole, []).append((number, k, visit.side))
        for guests in at.values():
            for a, k, side in guests:
                met.setdefault(a, []).extend(
                    (k, b, side) for b, _, other in guests if b != a and side and other != side
                )
        self.areas.partners = {
            number: [(other, side) for _, other, side in sorted(found)]
            for number, found in met.items()
        }

    def _note(self, met: dict[int, list[tuple[int, int, int]]], lanes: tuple[Lane, Lane]) -> None:
        for lane, other, side in ((lanes[0], lanes[1], RIGHT), (lanes[1], lanes[0], LEFT)):
            when = self.after[lane.area, lane.first]
            met.setdefault(lane.area, []).append((when, other.area, side))
