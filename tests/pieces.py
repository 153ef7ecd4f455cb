"""Prickings to be worked in tests: lattices, strips, diamonds, scallops and random pieces.

Positions are built here, by counting columns and rows; nothing is taken from the planner.
"""

import numpy as np

from render.errors import Place
from render.pattern.model import Line, Pattern, Region
from render.pricking.sort import sort_holes

PITCH = 5.0


def marked(holes, regions=(), lines=(), **heading):
    """Return a Pattern of (N, 2) holes in mm."""
    none = (None,) * len(holes)
    spots = np.array(holes, float).reshape(-1, 2)
    return Pattern("piece", spots, none, none, tuple(regions), tuple(lines), **heading)


def pricked(holes, regions=(), lines=(), **heading):
    """Return the sorted Pricking of (N, 2) holes in mm."""
    return sort_holes(marked(holes, regions, lines, **heading))


def region(points, stitch="whole", name="area", **options):
    return Region((np.array(points, float),), stitch, Place(name), options)


def line(points, word, **options):
    return Line(np.array(points, float), word, Place(word), options)


def spots(places, across=PITCH, down=PITCH):
    """Turn (column, row) into mm."""
    return np.array(places, float) * (across, down)


def lattice_places(columns, rows, left_out=lambda c, r: False):
    """Return (column, row) of every second place of a grid, row by row."""
    return [
        (c, r)
        for r in range(rows)
        for c in range(columns)
        if (c + r) % 2 == 0 and not left_out(c, r)
    ]


def lattice(columns, rows, across=PITCH, down=PITCH):
    """Return the holes of plain ground that stand on so many columns and rows."""
    return spots(lattice_places(columns, rows), across, down)


def lattice_with_footside(columns, rows, side=0, **options):
    """Return plain ground with a footside along its left (0) or right (1) column."""
    x = side * (columns - 1) * PITCH
    foot = line([(x, 0), (x, (rows - 1) * PITCH)], "footside", **options)
    return pricked(lattice(columns, rows), lines=[foot])


def net_text(extra=""):
    """Return an SVG drawing of a small plain ground, with more elements if wanted."""
    dots = "".join(
        f'<circle cx="{x:g}" cy="{y:g}" r="0.3"/>' for x, y in lattice(5, 7, 2.0, 2.0).tolist()
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" '
        f'viewBox="-5 -5 20 20">{dots}{extra}</svg>'
    )


def diamond_centre(n, margin=2):
    across = 2 * (n - 1) + 2 * margin
    column, row = across // 2, across // 2 + 2
    return column, row + (column + row - n + 1) % 2


def diamond_ground(n, margin=2):
    """Return (column, row) of ground wide enough for a diamond of n pins a side."""
    column, row = diamond_centre(n, margin)
    return lattice_places(2 * column + 1, 2 * row + 1)


def diamond_corners(n, margin=2, off=0.0):
    """Return the tips of a diamond, the first one again at the end; perhaps so much further out."""
    column, row = diamond_centre(n, margin)
    reach = n - 1 + off
    tips = [(column, row - reach), (column + reach, row), (column, row + reach)]
    return [*tips, (column - reach, row), tips[0]]


def within_diamond(n, place, margin=2):
    """Return how many steps a place lies within (< 0) or outside (> 0) the edge of a diamond."""
    column, row = diamond_centre(n, margin)
    return abs(place[0] - column) + abs(place[1] - row) - (n - 1)


def diamond(n, margin=2, stitch="whole", lines=(), **heading):
    """Return ground with a diamond that n pairs enter from each side."""
    places = [p for p in diamond_ground(n, margin) if within_diamond(n, p, margin) >= 0]
    tips = diamond_corners(n, margin)[:-1]
    return pricked(spots(places), [region(spots(tips), stitch, "diamond")], lines, **heading)


def strip(stitch, width=5.0, advance=0.632, rows=24, pitch=4.0, **options):
    """Return a band whose pins stand staggered; width and advance count pair pitches."""
    w, a = width * pitch, advance * pitch
    holes = [((k % 2) * w, k * a) for k in range(rows)]
    corners = [(0, 0), (w, a), (w, (rows - 1) * a), (0, (rows - 2) * a)]
    return pricked(holes, [region(corners, stitch, "band", **options)])


SCALLOP = {
    "footside": [(0, 1), (0, 3), (0, 5)],
    "ground": [(1, 2), (2, 3), (1, 4)],
    "inner": [(1, 0), (2, 1), (3, 2), (4, 3), (3, 4), (2, 5)],
    "outer": [(5.1, 0.5), (5.8, 1.5), (6.5, 2.5), (6.5, 3.6), (5.8, 4.6), (5.0, 5.5)],
}


def scallop(repeats, stitch="half", mirrored=False):
    """Return Dillmont's fig. 799: footside, a triangle of ground and a scalloped trail."""
    laid = {
        part: [(c, r + 6 * k) for k in range(repeats) for c, r in places]
        for part, places in SCALLOP.items()
    }
    laid["inner"].append((1, 6 * repeats))
    grid = np.array([-1.0 if mirrored else 1.0, 79 / 82]) * PITCH
    trail = np.array(laid["inner"] + laid["outer"][::-1]) * grid
    foot = line(np.array([(0, 0), (0, 6 * repeats)]) * grid, "footside")
    holes = np.array([p for places in laid.values() for p in places]) * grid
    return pricked(holes, [region(trail, stitch, "trail")], [foot])


def random_pattern(seed, columns=(4, 15), rows=(5, 24)):
    """Return a Pattern drawn by lot: a lattice, up to four areas, perhaps footsides.

    Lattices are stretched, shaken, turned and have holes missing; areas lie anywhere, over each
    other and over the border.
    """
    lot = np.random.default_rng(seed)
    width, length = lot.integers(*columns), lot.integers(*rows)
    pitch, stretch = lot.uniform(2, 5), lot.choice([1, 1, 1.732, 0.8, 1.2])
    holes = lattice(width, length, pitch, pitch * stretch)
    holes += lot.normal(0, lot.choice([0, 0, 0.03, 0.08, 0.15]) * pitch, holes.shape)
    if lot.random() < 0.4:
        holes = holes[lot.random(len(holes)) > lot.uniform(0, 0.15)]
    low, high = holes.min(axis=0), holes.max(axis=0)
    areas = [_random_area(lot, low, high, pitch, k) for k in range(lot.integers(1, 5))]
    lines = []
    for x in (low[0], high[0]):
        if lot.random() < 0.3:
            ends = [(x, low[1] - 1), (x, high[1] + 1)]
            lines.append((ends, {"passives": str(lot.integers(0, 4))}))
    angle = float(lot.choice([0, 0, 0, 30, 90, 200, 317]))
    c, s = np.cos(np.deg2rad(angle)), np.sin(np.deg2rad(angle))
    turn = np.array([[c, s], [-s, c]])
    return marked(
        holes @ turn,
        [region(points @ turn, stitch, name) for points, stitch, name in areas],
        [line(ends @ turn, "footside", **options) for ends, options in lines],
        down_degrees=90 + angle,
        ground=str(lot.choice(["torchon", "point", "doubled", "twisted", "honeycomb"])),
    )


def _random_area(lot, low, high, pitch, number):
    corners = lot.integers(3, 14)
    angle = np.sort(lot.uniform(0, 2 * np.pi, corners))
    if lot.random() < 0.5:
        angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    size = lot.uniform(0.6, 4) * pitch * lot.uniform(0.6, 2, 2)
    points = lot.uniform(low, high) + size * np.column_stack([np.cos(angle), np.sin(angle)])
    stitch = str(lot.choice(["whole", "half", "double", "open", "ground"]))
    return points, stitch, f"area {number}"
