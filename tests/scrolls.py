"""Trails that come back beside themselves or beside another, to be worked in tests."""

import numpy as np

from tests.pieces import line, marked
from tests.trails import ring_region, tape, tapes

# The outline of a trail is drawn so far inside its pins.
INSIDE_MM = 0.45


def side_by_side(up=True, length=36.0):
    """Return two straight tapes that share a row of pins, the second worked up or down."""
    first = tape([(0, 0), (0, length)])
    pins, _ = tape([(5, length), (5, 0)] if up else [(5, 0), (5, length)])
    for k, pin in enumerate(pins):
        near = np.hypot(*(first[0] - pin).T)
        if near.min() < 1.6:
            pins[k] = first[0][near.argmin()]
    second = pins, np.vstack([pins[::2], pins[1::2][::-1]])
    ways = [line([(5, length - 6), (5, 6)], "direction")] if up else []
    return tapes(first, second, pairs="5", lines=ways)


def hairpin(arms=19.6, width=4.0, step=2.8, **options):
    """Return a trail that runs down, turns and runs up again beside itself, along common pins."""
    rows = np.arange(0, arms + 0.1, step)
    between = rows[:-1] + step / 2
    turn = np.linspace(0, np.pi, 9)[1:-1]
    bend = np.column_stack([-width * np.cos(turn), arms + 0.8 + width * np.sin(turn)])
    ends = [(-width, -step / 2), (width, -step / 2)]
    sides = [np.column_stack([np.full(len(between), x), between]) for x in (-width, width)]
    holes = np.vstack([np.column_stack([0 * rows, rows]), *sides, bend, ends])
    gap = [(-INSIDE_MM, y) for y in np.arange(-step / 2, arms + 0.1, step / 2)]
    outline = [
        (-width, -step / 2 - 0.3), *gap, *((-x, y) for x, y in gap[::-1]),
        (width, -step / 2 - 0.3), *sides[1].tolist(), *bend[::-1].tolist(),
        *sides[0][::-1].tolist(),
    ]  # fmt: skip
    return marked(holes, [ring_region(outline, **{"pairs": "4"} | options)])


def spiral(turns=1.6, inner=3.0, width=4.0, step=2.6, *, outwards=False, **options):
    """Return a trail wound up so that each turn shares the pins of the turn before it."""
    angle = np.linspace(0, 2 * np.pi * turns, 2000)
    radius = inner + width / 2 + width * angle / (2 * np.pi)
    way = np.column_stack([np.cos(angle), np.sin(angle)])

    def pins(path, first):
        far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
        at = np.arange(first, far[-1], step)
        return np.column_stack([np.interp(at, far, path[:, k]) for k in (0, 1)])

    rails = [(radius + side * width / 2)[:, None] * way for side in (-1, 1)]
    holes = np.vstack([pins(rails[0][angle < 2 * np.pi], 0.0), pins(rails[1], step / 2)])
    reach = width / 2 - INSIDE_MM
    low, high = ((radius + side * reach)[::10, None] * way[::10] for side in (-1, 1))
    tape = ring_region(np.vstack([low, high[::-1]]), **{"pairs": "4"} | options)
    drawn = [line(radius[::20, None] * way[::20], "direction")] if outwards else []
    return marked(holes, [tape], drawn)


def trail(middle, width, step=2.6, **options):
    """Return a trail along a line, its pins a step apart on either edge, fewer where it is short.

    Parameters
    ----------
    middle
        (n, 2) in mm.
    width
        One for all of it, or (n,) so that it may taper.
    """
    middle = np.asarray(middle, float)
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    fine = np.linspace(0, far[-1], 600)
    spots = np.column_stack([np.interp(fine, far, middle[:, k]) for k in (0, 1)])
    broad = np.interp(fine, far, np.broadcast_to(width, far.shape))
    ahead = np.gradient(spots, axis=0)
    ahead /= np.hypot(*ahead.T)[:, None]
    out = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    rails = [spots + side * broad[:, None] / 2 * out for side in (1, -1)]
    pins = [_a_step_apart(rail, step, first) for rail, first in zip(rails, (0, 0.5), strict=True)]
    outline = np.vstack([rails[0][::6], rails[1][::-6]])
    holes = np.vstack(pins)
    kept = [k for k, p in enumerate(holes) if (np.hypot(*(holes[:k] - p).T) > 0.7).all()]
    wishes = {k: v for k, v in ({"pairs": "5"} | options).items() if v is not None}
    return marked(holes[kept], [ring_region(outline, **wishes)])


def _a_step_apart(rail, step, first):
    """Return pins on a rail; where it doubles back on itself none are pricked."""
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rail, axis=0).T))])
    at = np.arange(first * step, far[-1] + 1e-9, step)
    return np.column_stack([np.interp(at, far, rail[:, k]) for k in (0, 1)])


def _arcs(*parts, start=(0.0, 0.0), heading=90.0):
    """Return a line of arcs: each a length, and a turn in degrees to the maker's left."""
    spots, angle = [np.array(start)], np.deg2rad(heading)
    for length, turn in parts:
        for _ in range(40):
            angle -= np.deg2rad(turn) / 40
            spots.append(spots[-1] + length / 40 * np.array([np.cos(angle), np.sin(angle)]))
    return np.array(spots)


SHAPES = {
    "horseshoe": lambda: trail(_arcs((12, 0), (14, 180), (12, 0)), 4.0),
    "tight hairpin": lambda: trail(_arcs((14, 0), (9, 180), (14, 0)), 4.0),
    "letter s": lambda: trail(_arcs((26, 240), (26, -240), heading=30), 4.0),
    "tight scallops": lambda: trail(
        _arcs(*[(11, 170), (11, -170)] * 3, heading=175), 3.5, step=2.2
    ),
    "zigzag": lambda: trail(_arcs((14, 0), (6, 120), (14, 0), (6, -120), (14, 0)), 4.0),
    "tapering leaf": lambda: trail(
        _arcs((30, 70)), 6.5 * np.sin(np.linspace(0.06, np.pi - 0.06, 41)), pairs=None
    ),
    "crescent": lambda: trail(
        _arcs((40, 200), heading=0), 6.0 * np.sin(np.linspace(0.08, np.pi - 0.08, 41)), pairs=None
    ),
    "comma": lambda: trail(_arcs((16, 220), (22, 60)), np.linspace(7, 1.2, 81), pairs=None),
    "spiral": lambda: spiral(1.5, inner=2.0),
    "half-stitch scroll": lambda: trail(_arcs((14, -20), (34, 260)), 4.0, stitch="half"),
}
