"""Lattices of every shape a pricking may have, and what stands where on them.

A lattice is drawn in columns and half rows first and bent on the card afterwards, so that which
hole is whose neighbour is known from the numbers and never looked for.
"""

import numpy as np

from tests.pieces import lattice_places


class Bent:
    """A lattice on the card: (column, half row) of each hole, its place in mm, its links."""

    def __init__(self, places, holes, down_degrees=90.0):
        self.places = list(places)
        self.holes = np.array(holes, float)
        self.down_degrees = down_degrees
        self.number = {place: k for k, place in enumerate(self.places)}

    def links(self):
        """Return (upper, lower, port) of all neighbours: port 0 to the left, 1 to the right."""
        below = [(p, (p[0] + aside, p[1] + 1)) for p in self.places for aside in (-1, 1)]
        return {
            (self.number[a], self.number[b], int(b[0] > a[0])) for a, b in below if b in self.number
        }

    @property
    def columns(self):
        return len({column for column, _ in self.places})


def grid(columns, rows):
    places = lattice_places(columns, rows)
    return places, np.array(places, float)


def stretched(ratio, columns=9, rows=13):
    places, at = grid(columns, rows)
    return Bent(places, at * (4, 4 * ratio))


def sheared(slant, columns=9, rows=13):
    places, at = grid(columns, rows)
    return Bent(places, 4 * np.column_stack([at[:, 0] + slant * at[:, 1], at[:, 1]]))


def turned(degrees, ratio=1.0, columns=9, rows=13):
    """Turn the card and the working direction together."""
    places, at = grid(columns, rows)
    angle = np.deg2rad(degrees)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    return Bent(places, at * (4, 4 * ratio) @ turn, 90.0 + degrees)


def shaken(amount, seed, columns=9, rows=13):
    """Move each hole by so many column pitches, by the normal law."""
    places, at = grid(columns, rows)
    return Bent(places, 4 * (at + np.random.default_rng(seed).normal(0, amount, at.shape)))


def arc(degrees, columns=9, rows=25):
    """Bend an edging to an arc that is worked along, its middle to the right of the centre."""
    places, at = grid(columns, rows)
    step = np.deg2rad(degrees) / (rows - 1)
    radius = 4 / step + 4 * (at[:, 0] - (columns - 1) / 2)
    angle = np.pi / 2 + step * (at[:, 1] - (rows - 1) / 2)
    return Bent(places, np.column_stack([radius * np.sin(angle), -radius * np.cos(angle)]))


def fan(degrees, columns=17, rows=9, inward=False):
    """Spread a fan that is worked along its rays, outward below its centre or inward above it."""
    places, at = grid(columns, rows)
    step = np.deg2rad(degrees) / (columns - 1)
    along = rows - 1 - at[:, 1] if inward else at[:, 1]
    radius = 4 / step + 4 * (along - (rows - 1) / 2)
    angle = step * (at[:, 0] - (columns - 1) / 2)
    y = -radius * np.cos(angle) if inward else radius * np.cos(angle)
    return Bent(places, np.column_stack([radius * np.sin(angle), y]))


def mat(holes_a_ring=30, rings=9):
    """Rings about a centre; a ring's holes stand midway between those of the next."""
    places = [
        (column, ring)
        for ring in range(rings)
        for column in range(2 * holes_a_ring)
        if (column + ring) % 2 == 0
    ]
    at = np.array(places, float)
    step = np.pi / holes_a_ring
    radius = 4 / step + 4 * (at[:, 1] - rings / 2)
    angle = step * (at[:, 0] + 0.3)
    return Bent(places, np.column_stack([radius * np.sin(angle), radius * np.cos(angle)]))


def doubling_mat(inner=16, rings=12):
    """Return (N, 2) rings of which the outer half has twice as many holes as the inner half."""
    spots, radius = [], 12.0
    for ring in range(rings):
        count = inner if ring < rings // 2 else 2 * inner
        angle = 2 * np.pi * (np.arange(count) + ring % 2 / 2 + 0.013) / count
        spots.append(radius * np.column_stack([np.sin(angle), np.cos(angle)]))
        radius += np.pi * radius / count
    return np.concatenate(spots)


def with_spider(legs, margin=2, ratio=1.0):
    """Return a lattice with one spider: its places and holes, the body last.

    The body stands in the middle of a gap of `legs` by `legs` places, counted along the diagonals.
    """
    middle = legs + 2 * margin
    row = middle + (legs + 1) % 2
    gap = {(middle + u - v, row - legs + 1 + u + v) for u in range(legs) for v in range(legs)}
    places = [p for p in lattice_places(2 * middle + 1, 2 * row + 1) if p not in gap]
    places.append((middle, row))
    return Bent(places, 4 * np.array(places, float) * (1, ratio))
