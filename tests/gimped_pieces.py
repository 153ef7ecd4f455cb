"""Prickings with gimps, to be worked in tests."""

from dataclasses import replace

import numpy as np

from tests.pieces import lattice, line, pricked, random_pattern

ROUND = np.linspace(0, 2 * np.pi, 13)


def gimp_in_ground(points, columns=9, rows=15, options=None, **heading):
    """Return plain ground with one gimp."""
    return pricked(
        lattice(columns, rows), lines=[line(points, "gimp", **(options or {}))], **heading
    )


def gimps_by_lot(seed):
    """Return a random piece with one to three gimps: somewhere, round something, there and back."""
    pattern = random_pattern(seed, columns=(4, 9), rows=(5, 12))
    lot = np.random.default_rng([seed, 1])
    low, high = pattern.holes.min(axis=0) - 2, pattern.holes.max(axis=0) + 2
    drawn = [_drawn(lot, low, high) for _ in range(lot.integers(1, 4))]
    return replace(pattern, lines=(*pattern.lines, *(line(points, "gimp") for points in drawn)))


def _drawn(lot, low, high):
    kind = lot.integers(3)
    if kind == 0:
        return lot.uniform(low, high, (lot.integers(2, 5), 2))
    if kind == 1:
        ring = np.column_stack([np.cos(ROUND), np.sin(ROUND)])
        ring[-1] = ring[0]
        return lot.uniform(low, high) + lot.uniform(2, 12) * ring
    there = lot.uniform(low, high, (2, 2))
    aside = (there[1] - there[0])[::-1] * (1, -1)
    aside *= lot.uniform(0.5, 3) / np.hypot(*aside)
    return np.vstack([there, there[::-1] + aside])
