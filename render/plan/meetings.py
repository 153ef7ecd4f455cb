"""Where plaits and leaves meet: crossing, touching, ending in ground."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from render.plan.pillow import Along, Spot
from render.plan.plaiting import Plaiting
from render.plan.rows import CROSSING_ROW, crossing_rows
from render.plan.stitches import TOUCH, Stitch

Points = NDArray[np.float64]

# From pair to pair where plaits cross, in gauges.
CROSSING_PAIR = 2.2


class Meetings:
    """The holes at which the plaits and leaves of a piece meet each other, or ground."""

    def __init__(self, plaiting: Plaiting) -> None:
        self.plaiting = plaiting
        self.traffic, self.pillow = plaiting.traffic, plaiting.pillow
        self.gauge = plaiting.gauge

    def work(self, hole: int) -> None:
        """Work a hole where only plaits and leaves come and go."""
        coming, leaving = self.plaiting.coming.get(hole, []), self.plaiting.leaving.get(hole, [])
        touching = self._only_touch(coming, leaving)
        legs = self.traffic.gather(self.traffic.arriving_in_order(hole), hole)
        began = not coming
        missing = max(2 * len(leaving), len(legs) + len(legs) % 2) - len(legs)
        if missing and not began:
            who = "a pair is" if missing == 1 else f"{missing} pairs are"
            self.traffic.tell(hole, f"too few pairs come to this meeting of lines: {who} hung in")
        beside = legs[-1] if legs else self.traffic.gap(hole)
        for n in range(missing):
            k = (leaving or coming)[min(n // 2, len(leaving or coming) - 1)]
            legs += self.plaiting.hung(hole, beside, 1, k, start=began)
            beside = legs[-1]
        if not legs:
            self.traffic.tell(hole, "no pair comes to it: its pin is left out")
        elif len(legs) == 2 and not began:
            legs = list(self._joint_stitch(hole, Stitch("CT", 2), legs[0], legs[1], (0, 0)))
        elif len(legs) > 2 and not began:
            self._cross(hole, legs, touching=touching and len(legs) == 4)
        self._part(hole, legs)

    def into_ground(self, hole: int, left: int, right: int) -> tuple[int, int]:
        """Give pairs of plaits that end at a hole of ground to the places that want one."""
        spare = self.traffic.arriving_plaited(hole)
        known = max(left, right)
        if spare and known < 0:
            left, right = (*spare[:2], -1)[:2]
            spare = spare[2:]
        elif spare and min(left, right) < 0:
            # Where a plait comes from beyond the pair sent here, that pair is on the other side.
            row = self.traffic.from_left({known, *spare})
            place = row.index(known)
            if place and (right >= 0 or place == len(row) - 1):
                left, right = row[place - 1], known
            else:
                left, right = known, row[place + 1]
            spare = [leg for leg in spare if leg not in (left, right)]
        for leg in spare:
            self.traffic.throw(leg, hole, "comes by a plait and finds the ground with pairs enough")
        return left, right

    def _only_touch(self, coming: Sequence[int], leaving: Sequence[int]) -> bool:
        """Tell whether two lines were drawn to a hole and back to their own sides."""
        flying = self.traffic.flying
        if len(coming) != 2 or len(leaving) != 2:
            return False
        a, b = coming
        if self.plaiting.links[a][1] not in flying or self.plaiting.links[b][0] not in flying:
            return False
        if (
            self.pillow.between(
                flying[self.plaiting.links[a][1]], flying[self.plaiting.links[b][0]]
            )
            is None
        ):
            a, b = b, a
        ins, outs = ([self.plaiting.spans[k].run for k in four] for four in ((a, b), leaving))
        return ins == outs and ins[0] != ins[1]

    def _cross(self, hole: int, legs: list[int], *, touching: bool) -> None:
        """Let the pairs of plaits cross, each pair as one; `legs` is changed."""
        middle = len(legs) // 2 - 1
        if touching:
            pair = self._joint_stitch(hole, TOUCH, legs[middle], legs[middle + 1], (0, 0))
            legs[middle : middle + 2] = pair
            return
        rows = crossing_rows(len(legs))
        pinned = 2 if len(legs) == 4 else len(legs) // 2
        for row, places in enumerate(rows):
            for place, letter in places:
                at_pin = row == pinned and place == middle
                offset = (row - (len(rows) - 1) / 2, place - middle)
                stitch = Stitch(letter, 0 if at_pin else None)
                left, right = legs[place : place + 2]
                pair = self._joint_stitch(hole, stitch, left, right, offset)
                legs[place : place + 2] = pair

    def _joint_stitch(
        self, hole: int, stitch: Stitch, left: int, right: int, offset: tuple[float, float]
    ) -> tuple[int, int]:
        """Work two pairs so many rows below and pairs beside a hole."""
        x, y = toward = self._course(hole)
        spot = self.traffic.pricking.holes[hole] + self.gauge * (
            CROSSING_ROW * offset[0] * toward + CROSSING_PAIR * offset[1] * np.array([y, -x])
        )
        run = self.plaiting.spans[
            (self.plaiting.coming.get(hole) or self.plaiting.leaving[hole])[0]
        ].run
        return self.pillow.stitch(
            stitch,
            left,
            right,
            _spot(spot),
            technique="plait",
            hole=-1 if stitch.pin_after is None else hole,
            along=Along(run, _spot(toward)),
        )

    def _course(self, hole: int) -> Points:
        """Return the unit direction in which lines pass a hole, on the whole."""
        ins = [
            s.at(s.length)[1]
            for s in (self.plaiting.spans[k] for k in self.plaiting.coming.get(hole, []))
        ]
        outs = [self.plaiting.spans[k].at(0.0)[1] for k in self.plaiting.leaving.get(hole, [])]
        total = np.sum([*ins, *outs], axis=0)
        size = float(np.hypot(*total))
        return np.asarray(total / size) if size > 0.1 else self.traffic.pricking.down

    def _part(self, hole: int, legs: list[int]) -> None:
        """Send the pairs that leave a meeting on their ways; what is left over is thrown out."""
        leaving = self.plaiting.leaving.get(hole, [])
        from_left = sum(self.traffic.bearing(self.plaiting.links[k][0]) < 0 for k in leaving)
        cut = 2 * from_left, len(legs) - 2 * (len(leaving) - from_left)
        gone = [*legs[: cut[0]], *legs[cut[1] :]]
        self.traffic.flying.update(
            zip((link for k in leaving for link in self.plaiting.links[k]), gone, strict=True)
        )
        spare = legs[cut[0] : cut[1]]
        end = not leaving and bool(self.traffic.floor[hole].all())
        toward = _spot(self._course(hole))
        for leg in spare:
            self.pillow.throw(leg, end=end, toward=toward)
        if spare and not end:
            self.traffic.tell(
                hole, f"{len(spare)} pairs that come to this meeting of lines end here: thrown out"
            )


def _spot(point: Points) -> Spot:
    return float(point[0]), float(point[1])
