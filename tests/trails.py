"""Prickings with rings, and with trails that begin, cross and touch, to be worked in tests."""

import numpy as np

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
