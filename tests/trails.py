"""Prickings with rings, and with trails that begin, cross and touch, to be worked in tests."""

import numpy as np
import shapely

from render.errors import Place
from render.pattern.model import Region
from tests.pieces import diamond_centre, diamond_ground, lattice, marked, spots


def ring_region(outer, *inner, stitch="whole", name="ring", **options):
    contours = tuple(np.array(c, float) for c in (outer, *inner))
    return Region(contours, stitch, Place(name), options)


def _corners(column, row, reach):
    return [(column, row - reach), (column + reach, row), (column, row + reach),
            (column - reach, row)]  # fmt: skip


def diamond_ring(n, m, stitch="whole", filled=True):
    """Return ground with a diamond of n pins a side that has an opening of m pins a side."""
    column, row = diamond_centre(n)

    def steps(place):
        return abs(place[0] - column) + abs(place[1] - row)

    places = [
        p
        for p in diamond_ground(n)
        if steps(p) >= n - 1 or steps(p) == m - 1 or (filled and steps(p) < m - 1)
    ]
    outer, inner = (spots(_corners(column, row, k - 1)) for k in (n, m))
    return marked(spots(places), [ring_region(outer, inner, stitch=stitch)])


def around(radius, count, centre=(0.0, 0.0), turn=0.0, flat=1.0):
    """Return (count, 2) spots of an ellipse, clockwise as seen from its top."""
    angle = 2 * np.pi * (np.arange(count) + turn) / count
    return np.column_stack([np.sin(angle), -flat * np.cos(angle)]) * radius + centre


def lone_ring(outer=16.0, inner=10.0, count=24, stitch="whole", flat=1.0, **options):
    """Return a ring of tape: as many pins inside as outside, in the gaps of those."""
    out, within = around(outer, count, flat=flat), around(inner, count, turn=0.5, flat=flat)
    area = ring_region(out, within, stitch=stitch, **options)
    return marked(np.vstack([out, within]), [area])


def random_trails(seed):
    """Return a Pattern drawn by lot: one to three trails or rings that lie anywhere.

    They begin, end, cross and touch where chance has it, with or without ground about them.
    """
    lot = np.random.default_rng(seed)
    regions, holes = [], []
    for number in range(lot.integers(1, 4)):
        make = _random_ring if lot.random() < 0.4 else _random_trail
        outline, inner, pins = make(lot)
        stitch = str(lot.choice(["whole", "whole", "half", "double"]))
        regions.append(ring_region(outline, *inner, stitch=stitch, name=f"trail {number}"))
        holes.append(pins)
    spots_ = np.vstack(holes)
    if lot.random() < 0.4:
        low, high = spots_.min(axis=0), spots_.max(axis=0)
        size = np.ceil((high - low) / 3).astype(int) + 2
        ground = lattice(*size, 3.0, 3.0) + low - 1.5
        away = np.hypot(*(ground[:, None] - spots_[None]).transpose(2, 0, 1)).min(axis=1)
        spots_ = np.vstack([spots_, ground[away > 1.6]])
    distinct = [k for k, p in enumerate(spots_) if (np.hypot(*(spots_[:k] - p).T) > 0.3).all()]
    return marked(spots_[distinct], regions)


def _random_ring(lot):
    size, count = lot.uniform(8, 18), int(lot.integers(10, 26))
    flat, share = lot.uniform(0.5, 1.2), lot.uniform(0.3, 0.75)
    centre = lot.uniform(-15, 15, 2)
    turn = lot.uniform(0, 1)
    outer = around(size, count, centre, turn, flat)
    inner = around(size * share, max(1, int(count * lot.uniform(0.4, 1.1))), centre, 0.5, flat)
    fine = around(size * share, 24, centre, 0, flat)
    inside = lattice(7, 7, 2.5, 2.5) - 7.5 + centre if lot.random() < 0.4 else np.zeros((0, 2))
    return outer, [fine], np.vstack([outer, inner, inside])


def _random_trail(lot):
    stops, width = int(lot.integers(10, 40)), lot.uniform(2, 7)
    bend = np.cumsum(lot.normal(0, 0.03, stops)) + lot.normal(0, 0.06)
    heading = lot.uniform(0, 2 * np.pi) + np.cumsum(bend)
    step = np.column_stack([np.cos(heading), np.sin(heading)]) * lot.uniform(1, 2)
    middle = np.cumsum(step, axis=0) - step.sum(axis=0) / 2 + lot.uniform(-12, 12, 2)
    normal = np.column_stack([np.sin(heading), -np.cos(heading)])
    side = np.where(np.arange(stops) % 2, 0.5, -0.5)[:, None] * width
    pins = middle + side * normal
    return np.vstack([pins[::2], pins[1::2][::-1]]), [], pins


def tape(points, width=5.0, advance=1.5, first=-1):
    """Return the pins of a tape along a line, in working order, and its outline.

    Pins stand staggered on both sides of the line through `points`, an advance apart along it;
    the first on its left (-1) or right (1) as the maker sees it.
    """
    points = np.array(points, float)
    run = np.diff(points, axis=0)
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*run.T))])
    stops = np.arange(0, way[-1] + 1e-9, advance)
    middle = np.column_stack([np.interp(stops, way, points[:, k]) for k in (0, 1)])
    ahead = np.gradient(middle, axis=0)
    ahead /= np.hypot(*ahead.T)[:, None]
    side = first * np.where(np.arange(len(stops)) % 2, -0.5, 0.5)[:, None] * width
    # With y down the page the maker's right of a direction (x, y) is (y, -x).
    pins = middle + side * np.column_stack([ahead[:, 1], -ahead[:, 0]])
    return pins, np.vstack([pins[::2], pins[1::2][::-1]])


def tapes(*made, stitch="whole", apart=False, lines=(), **options):
    """Return a Pattern of tapes, with holes that coincide pricked once.

    Where `apart`, no pins stand where two of them lie over each other.
    """
    pins = np.vstack(_outside_others(*made) if apart else [pins for pins, _ in made])
    kept = [k for k, p in enumerate(pins) if (np.hypot(*(pins[:k] - p).T) > 0.2).all()]
    areas = [
        ring_region(outline, stitch=stitch, name=f"tape {k}", **options)
        for k, (_, outline) in enumerate(made)
    ]
    return marked(pins[kept], areas, lines)


def branching(gap=0.0, ending=False):
    """Return a tape straight down, and one that begins or ends at its right side.

    The second one's first two pins are pins of the first, or stand a `gap` away from them.
    """
    trunk = tape([(0, 0), (0, 48)], width=6.0)
    run = [(3.0 + gap, 19.5), (8.0, 21.5), (14.0, 28.0), (20.0, 40.0)]
    if ending:
        run = [(x, 41.0 - y) for x, y in reversed(run)]
    branch = tape(run, width=3.0)
    pins, _ = branch
    ends = [-1, -2] if ending else [0, 1]
    near = [int(np.hypot(*(trunk[0][1::2] - pins[e]).T).argmin()) for e in ends]
    if not gap:
        near = [min(near), min(near) + 1] if near[0] == near[1] else near
        upper, lower = sorted(near)
        order = sorted(ends, key=lambda e: pins[e][1])
        pins[order[0]], pins[order[1]] = trunk[0][1::2][upper], trunk[0][1::2][lower]
    return tapes(trunk, (pins, np.vstack([pins[::2], pins[1::2][::-1]])))


def crossing(width=5.0, slope=1.0, length=40.0, **options):
    """Return two tapes that cross on the slant; no pins stand where both lie."""
    x, y = length / 2 * np.array([slope, 1.0]) / np.hypot(slope, 1.0)
    down_right = tape([(-x, -y), (x, y)], width)
    down_left = tape([(x, -y), (-x, y)], width)
    return tapes(down_right, down_left, apart=True, **options)


def _outside_others(*made):
    kept = []
    for k, (pins, _) in enumerate(made):
        others = [
            shapely.Polygon(outline).buffer(-0.4) for n, (_, outline) in enumerate(made) if n != k
        ]
        kept += [p for p in pins if not any(o.contains(shapely.Point(p)) for o in others)]
    return kept
