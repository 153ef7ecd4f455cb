"""Between which pairs that hang on the pillow a hole lies."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from render.plan.traffic import Traffic

# The port of a pair that goes by a plait or leaf.
PLAITED = 2


def find_gap(traffic: "Traffic", hole: int) -> int:
    """Return the leg to the right of which a hole lies, -1 for the far left.

    On one lattice columns decide, else the nearest pair and the side of it; a gap inside an
    area, a footside or a plait is moved out of it, since its pairs must stay together.
    """
    legs = [leg for leg in traffic.pillow if not traffic.ended_before(leg, hole)]
    if not legs:
        return next(reversed(list(traffic.pillow)), -1)
    beside = _gap_by_column(traffic, hole)
    if beside is not None:
        return beside
    lines = _lines(traffic, legs)
    offset = traffic.pricking.holes[hole] - lines[:, 0]
    run = lines[:, 1] - lines[:, 0]
    share = (offset * run).sum(axis=1) / np.maximum((run**2).sum(axis=1), 1e-12)
    apart = offset - np.clip(share, 0, 1)[:, None] * run
    best = int(np.hypot(*apart.T).argmin())
    # With y down the page a positive turn is towards the left of a pair that hangs down.
    leftward = run[best, 0] * offset[best, 1] - run[best, 1] * offset[best, 0] > 0
    beside = traffic.pillow.left_of(legs[best]) if leftward else legs[best]
    return _out_of_what_stays_together(traffic, beside, leftward=bool(leftward))


def _gap_by_column(traffic: "Traffic", hole: int) -> int | None:
    """Return the leg on the left of a hole by its column, None where that is not sure."""
    links, column = traffic.links, int(traffic.links.column[hole])
    sent = [
        (leg, int(links.source[k]), traffic.port_of.get(k, int(links.port[k])))
        for k, leg in traffic.flying.items()
    ]
    sent += [(leg, at, port) for leg, (at, port) in traffic.loose.items()]
    aside = [
        (int(links.column[at]) + port - column, leg)
        for leg, at, port in sent
        if port != PLAITED and links.piece[at] == links.piece[hole] >= 0
    ]
    # A pair hangs half a column beside the hole it left.
    before = max((place for place in aside if place[0] <= 0), default=(0, -1))[1]
    after = min((place for place in aside if place[0] > 0), default=(0, -1))[1]
    if before >= 0 and traffic.pillow.right_of(before) == after:
        return before
    return traffic.pillow.left_of(after) if before < 0 <= after else None


def _out_of_what_stays_together(traffic: "Traffic", beside: int, *, leftward: bool) -> int:
    """Move a gap out of an area, a footside or a plait."""
    bound: dict[int, tuple[str, int]] = {leg: ("held", n) for leg, n in traffic.held().items()}
    for link, leg in traffic.flying.items():
        if link in traffic.plait_of:
            bound[leg] = "plait", traffic.plait_of[link]
    while beside >= 0:
        right = traffic.pillow.right_of(beside)
        if right < 0 or beside not in bound or bound[beside] != bound.get(right):
            break
        beside = traffic.pillow.left_of(beside) if leftward else right
    return beside


def _lines(traffic: "Traffic", legs: list[int]) -> NDArray[np.float64]:
    """Return (n, 2, 2) where each leg comes from and where it is going."""
    holes = traffic.pricking.holes
    going = {leg: k for k, leg in traffic.flying.items()}
    held = traffic.held()
    lines = np.zeros((len(legs), 2, 2))
    for row, leg in enumerate(legs):
        if leg in going:
            k = going[leg]
            lines[row] = holes[traffic.links.source[k]], holes[traffic.links.target[k]]
        elif leg in traffic.loose:
            lines[row] = holes[traffic.loose[leg][0]], traffic.aim(leg)
        else:
            lines[row] = _line_of_area(traffic, held.get(leg, -1))
    return lines


def _line_of_area(traffic: "Traffic", owner: int) -> NDArray[np.float64]:
    """Return where the pairs of an area hang: across it, half way down."""
    if owner < 0:  # a footside hangs outside everything
        away = traffic.pricking.holes.mean(axis=0) + 1e4 * traffic.pricking.across
        return np.array([away, away + traffic.pricking.down])
    middle = traffic.pricking.areas[traffic.area_of[owner]].contours[0].mean(axis=0)
    return np.array([middle, middle + 1e-3 * traffic.pricking.down])
