"""Prickings with plaits and leaves: trails joined by them, and lines drawn by lot over anything."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from tests.pieces import line, marked, random_pattern, region

WORDS = ["plait", "plait", "plait", "leaf", "square-leaf"]


def trail(x, pins, width=4.0, advance=1.35, top=0.0):
    """Return the holes of a straight trail, in working order from its left edge."""
    return [(x + (0.5 if k % 2 else -0.5) * width, top + advance * k) for k in range(pins)]


def around(holes):
    """Return the outline of a trail of holes in working order."""
    return [*holes[1::2], *holes[0::2][::-1]]


def two_trails(lines, *, pins=31, gap=12.0, between=(), pairs=6, gauge_mm=0.3):
    """Return a Pattern of two trails side by side with lines between them.

    Parameters
    ----------
    lines
        Given the holes of both trails, returns what is drawn.
    between
        More holes.
    """
    left, right = trail(0.0, pins), trail(gap, pins)
    areas = [
        region(around(holes), "whole", name, pairs=str(pairs))
        for holes, name in ((left, "left"), (right, "right"))
    ]
    holes = [*left, *right, *between]
    return marked(holes, areas, lines(left, right), gauge_mm=gauge_mm)


def three_plaits(word="plait"):
    """Return two trails with three plaits, or leaves, that meet at a hole between them."""
    middle, above, below = (8.0, 16.0), (8.0, 8.0), (8.0, 24.0)

    def lines(left, right):
        ends = [(left[7], right[14]), (right[8], left[15]), (above, below)]
        return [line([a, middle, b], word) for a, b in ends]

    return two_trails(lines, gap=16.0, between=[middle, above, below])


def touching_plaits():
    """Return two trails, each with a plait of its own; these touch at a hole between them."""
    middle = (6.0, 13.0)

    def lines(left, right):
        return [line([t[k], middle, t[k + 8]], "plait") for t, k in ((left, 5), (right, 6))]

    return two_trails(lines, between=[middle])


def crossing_plaits(word="plait"):
    """Return two trails with two plaits, or leaves, that cross at a hole between them."""

    def lines(left, right):
        return [line([left[3], middle, right[10]], word), line([right[4], middle, left[11]], word)]

    middle = (6.0, 10.1)
    return two_trails(lines, between=[middle])


def net_of_plaits(columns=4, rows=6, pitch=5.0):
    """Return a net of plaits between two trails; they begin and end in it at holes side by side."""
    net = [(c, r) for r in range(rows + 1) for c in range(columns + 1) if (c + r) % 2]
    within = [place for place in net if 0 < place[0] < columns]

    def lines(left, right):
        def spot(place):
            column, row = place
            if 0 < column < columns:
                return column * pitch, row * pitch
            # Even pins of the right trail stand on its inner edge, odd ones of the left.
            return right[4 * row] if column else left[4 * row + 1]

        ends = [((c, r), (c + side, r + 1)) for c, r in net for side in (-1, 1)]
        return [line([spot(a), spot(b)], "plait") for a, b in ends if b in net]

    left = trail(-2.0, 4 * rows + 3, advance=pitch / 4, top=-pitch / 4)
    right = trail(columns * pitch + 2.0, 4 * rows + 2, advance=pitch / 4)
    areas = [
        region(around(holes), "whole", name, pairs="5")
        for holes, name in ((left, "left"), (right, "right"))
    ]
    spots = [(c * pitch, r * pitch) for c, r in within]
    return marked([*left, *right, *spots], areas, lines(left, right), gauge_mm=0.28)


def with_lines_by_lot(seed, **size):
    """Return a random piece over which plaits and leaves were drawn by lot."""
    piece = random_pattern(seed, **size)
    lot = np.random.default_rng(10_000 + seed)
    return replace(piece, lines=(*piece.lines, *_lines_by_lot(lot, piece.holes)))


def guipure_by_lot(seed):
    """Return trails, bent and turned anyhow, joined by lines at holes strewn between them."""
    lot = np.random.default_rng(20_000 + seed)
    holes, areas = [], []
    for number in range(lot.integers(1, 4)):
        pins = int(lot.integers(5, 26))
        laid = np.array(trail(0.0, pins, width=lot.uniform(2, 5), advance=lot.uniform(1, 2)))
        laid[:, 0] += lot.uniform(-3, 3) * np.sin(laid[:, 1] / lot.uniform(4, 12))
        angle = lot.choice([0.0, 0.0, 0.4, -0.6, 1.5, 3.0])
        turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
        laid = laid @ turn + lot.uniform(-4, 4, 2) + (14 * number, 0)
        stitch = str(lot.choice(["whole", "whole", "half", "double"]))
        areas.append(region(around(laid.tolist()), stitch, f"trail {number}"))
        holes += laid.tolist()
    strewn = lot.uniform(np.min(holes, axis=0) - 3, np.max(holes, axis=0) + 3, (12, 2))
    apart = np.min(np.hypot(*(strewn[:, None] - np.array(holes)).transpose(2, 0, 1)), axis=1)
    holes += strewn[apart > 1.2][: lot.integers(0, 6)].tolist()
    lines = _lines_by_lot(lot, np.array(holes))
    return marked(holes, areas, lines, gauge_mm=float(lot.choice([0.2, 0.3])))


def joined_trails_by_lot(seed):
    """Return two or three swaying trails joined by plaits and leaves, none lying across another."""
    lot = np.random.default_rng(seed)
    pins, count = int(lot.integers(24, 40)), int(lot.integers(2, 4))
    sway, wave, gap = lot.uniform(0, 2.5), lot.uniform(5, 12), lot.uniform(11, 16)
    trails = []
    for number in range(count):
        laid = np.array(trail(gap * number, pins, width=lot.uniform(3, 4.5)))
        laid[:, 0] += sway * np.sin(laid[:, 1] / wave + number * lot.choice([0, 1.5]))
        trails.append(laid)
    stitches = [str(lot.choice(["whole", "whole", "half", "double"])) for _ in trails]
    areas = [
        region(around(laid.tolist()), stitch, f"trail {k}")
        for k, (laid, stitch) in enumerate(zip(trails, stitches, strict=True))
    ]
    holes = [hole for laid in trails for hole in laid.tolist()]
    lines = []
    for left, right in pairwise(trails):
        more, drawn = _between(lot, left, right)
        holes += more
        lines += drawn
    return marked(holes, areas, lines, gauge_mm=float(lot.choice([0.2, 0.25, 0.3])))


def _between(lot, left, right):
    """Return holes and lines between two trails, one below the other."""
    holes, lines = [], []
    i, j = 2 * int(lot.integers(1, 3)) + 1, 2 * int(lot.integers(1, 3))
    while max(i, j) + 9 < len(left):
        word = str(lot.choice(["plait", "plait", "leaf", "square-leaf"]))
        if lot.random() < 0.5:
            middle = ((left[i] + right[j] + left[i + 8] + right[j + 8]) / 4).tolist()
            holes.append(middle)
            lines += [line([left[i], middle, right[j + 8]], word)]
            lines += [line([right[j], middle, left[i + 8]], word)]
            i, j = i + 12, j + 12
            continue
        a, b = left[i], right[j + 2 * int(lot.integers(0, 3))]
        lines.append(line([a, b], word, **({"picots": "both"} if word == "plait" else {})))
        across = np.array([(b - a)[1], (a - b)[0]]) / np.hypot(*(b - a))
        if word == "plait":
            holes += [((a + b) / 2 + side * 1.5 * across).tolist() for side in (-1, 1)]
        i, j = i + 4, j + 8
    return holes, lines


def _lines_by_lot(lot, holes):
    lines = []
    for _ in range(lot.integers(1, 7)):
        count = lot.integers(2, 4)
        points = holes[lot.integers(0, len(holes), count)] + lot.normal(0, 0.1, (count, 2))
        options = {}
        if lot.random() < 0.4:
            options["picots"] = str(lot.choice(["left", "right", "both"]))
        if lot.random() < 0.3:
            options["twists"] = str(lot.integers(0, 4))
        lines.append(line(points, str(lot.choice(WORDS)), **options))
    return lines
