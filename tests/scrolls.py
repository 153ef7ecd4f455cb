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


def spiral(turns=1.6, inner=3.0, width=4.0, step=2.6, **options):
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
    return marked(holes, [ring_region(np.vstack([low, high[::-1]]), **{"pairs": "4"} | options)])
