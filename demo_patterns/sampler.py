"""The sampler of the Saltmarsh shore set: every ground and every kind of line, side by side."""

from collections.abc import Callable
from functools import partial
from math import hypot, sqrt

from sheet import Place, Sheet, Spot, lattice, line, polygon


def _panels() -> list[tuple[str, list[Place], Spot]]:
    """Return for each ground of the sampler its places and the steps of its lattice."""
    # Lines at 45 degrees to the edge, and at 60.
    plain, step, slanting = lattice(7, 15, []), (2.0, 2.0), (1.2 * sqrt(3), 1.2)
    odd = [(c, r) for r in range(15) for c in range(7) if (c + r) % 2 == 1]
    honeycomb = [
        (c, r)
        for r in range(25)
        for c in range(7)
        if (c % 2 == 1 and r % 2 == 0) or (c % 2 == 0 and r % 4 == 1 + c % 4)
    ]
    # Two gaps of two by two places; the two bodies come last, halfway between the lattice's rows.
    gaps = {(3, r) for r in (3, 5, 9, 11)} | {(c, r) for c in (2, 4) for r in (4, 10)}
    spiders = [*(p for p in plain if p not in gaps), (3, 4), (3, 10)]
    words = ["torchon", "twisted", "doubled", "brussels", "CTTpCT"]
    return [
        *((word, plain, step) for word in words),
        ("point", lattice(7, 25, []), slanting),
        ("honeycomb", honeycomb, slanting),
        ("rose", odd, step),
        ("spider", spiders, step),
        ("valenciennes", plain, step),
    ]


# In the sampler's lower row: where it stands, from hole to hole down a trail, a trail's width and
# the gap between two, in mm; the last pin of a trail and its passives.
LINES_TOP, ADVANCE, TRAIL, GAP, LAST_PIN, PASSIVES = 39.5, 0.95, 3.0, 6.0, 30, 5


def _trail(sheet: Sheet, x: float, side: int, name: str) -> list[Spot]:
    """Draw a trail straight down; even pins stand on its outer edge, which is at this side."""
    edges = (x + side * TRAIL / 2, x - side * TRAIL / 2)
    holes = [(edges[k % 2], LINES_TOP + ADVANCE * k) for k in range(LAST_PIN + 1)]
    sheet.holes += holes
    outline = [*holes[0::2], *reversed(holes[1::2])]
    sheet.shapes.append(polygon(outline, "whole", name, f' data-pairs="{PASSIVES}"'))
    return holes


def _between_trails(sheet: Sheet, left: float, name: str, word: str, met: int) -> None:
    """Draw two trails with two plaits or leaves between, or with some that meet at one hole."""
    a, b = (
        _trail(sheet, left + x, side, f"{name.replace(' ', '-')}-trail-{end}")
        for x, side, end in ((TRAIL / 2, -1, "left"), (1.5 * TRAIL + GAP, 1, "right"))
    )
    extra = ' data-picots="both"' if "picot" in name else ""
    if met < 2:
        lines = [[t[k], u[k + 2]] for k in (3, 15) for t, u, k in ((a, b, k), (b, a, k + 6))]
    else:
        middle = (left + TRAIL + GAP / 2, LINES_TOP + 15 * ADVANCE)
        lines = [[a[11], middle, b[19]], [b[11], middle, a[19]]]
        sheet.holes.append(middle)
    if met == 3:
        ends = [(middle[0], middle[1] + reach) for reach in (-8.0, 8.0)]
        sheet.holes += ends
        lines.insert(1, [ends[0], middle, ends[1]])
    for number, points in enumerate(lines):
        sheet.shapes.append(line(points, word, f"{name.replace(' ', '-')}-{number + 1}", extra))
    if extra:
        for (x0, y0), (x1, y1) in lines:
            long = hypot(x1 - x0, y1 - y0)
            for share in (0.35, 0.65):
                for way in (-1.0, 1.0):
                    x = x0 + share * (x1 - x0) + way * (y1 - y0) / long
                    sheet.holes.append((x, y0 + share * (y1 - y0) + way * (x0 - x1) / long))


def _alone() -> float:
    """Return the way of a plait or leaf from trail to trail two pins on, in mm, free of its pins.

    It leaves a little below the one pin and comes in as far above the other, 0.42 mm; what stands
    round a pin takes 0.55 mm.
    """
    return hypot(GAP, 2 * ADVANCE - 2 * 0.42) - 2 * 0.55


def _halves_alone() -> int:
    """Return its half stitches: a firm plait of this thread has one in 0.44 mm."""
    return round(_alone() / 0.44)


def _rows_alone(spread: float = 0.0) -> int:
    """Return its rows, 0.23 mm apart, where threads take so much at each end to spread, in mm."""
    return round((_alone() - 2 * spread) / 0.23)


def _halves_crossing() -> int:
    """Return the half stitches where two and where three plaits meet.

    What crosses takes 0.74 mm before and behind the pin, of three plaits 1.37 mm. Two cross like
    the threads of a whole stitch; of three each pair passes every other once, 15 times in all, and
    the third ends with a stitch at its last pin.
    """
    arm = hypot(GAP / 2, 4 * ADVANCE) - 0.55
    two = 4 * round((arm - 0.74) / 0.44) + 4
    third = 2 * round((8.0 - 0.55 - 1.37) / 0.44) + 1
    return two + 4 * round((arm - 1.37) / 0.44) + 15 + third


def _edged_trail(sheet: Sheet, left: float) -> None:
    """Draw a trail alone whose turns at its left edge are picots."""
    holes = _trail(sheet, left + TRAIL / 2, -1, "picot-edge-trail")
    ends = [holes[0], holes[LAST_PIN]]
    sheet.shapes.append(line(ends, "headside", "picot-edge", ' data-picots="left"'))


def _edged_ground(sheet: Sheet, left: float, name: str, word: str, extra: str) -> None:
    """Draw a strip of torchon ground with a line down its left edge, or with gimps in it."""
    step, rows = 2.0, 15
    places = lattice(5, rows, [])
    spots = [(left + step * c, LINES_TOP + step * r) for c, r in places]
    bottom = LINES_TOP + step * (rows - 1)
    sheet.holes += spots
    corners = [(left, LINES_TOP), (left + 4 * step, LINES_TOP)]
    corners += [(x, bottom) for x, _ in reversed(corners)]
    name = name.replace(" ", "-")
    ground = ' data-ground="torchon"'
    sheet.shapes.append(polygon(corners, "ground", f"{name}-ground", ground))
    if word == "gimp":
        # One straight across, and one round four holes.
        across = [(-1.0, 4.2), (5.0, 4.2)]
        ring = [(2.0, 7.5), (3.5, 9.0), (2.0, 10.5), (0.5, 9.0), (2.0, 7.5)]
        for part, way in (("across", across), ("ring", ring)):
            points = [(left + step * c, LINES_TOP + step * r) for c, r in way]
            sheet.shapes.append(line(points, word, f"{name}-{part}", extra))
        return
    sheet.shapes.append(line([(left, LINES_TOP), (left, bottom)], word, name, extra))
    if word == "headside":
        # A picot between each two pins of the edge.
        sheet.holes += [(left - 1.5, LINES_TOP + step * r) for r in range(1, rows, 2)]


def _lines(sheet: Sheet) -> None:
    """Draw every kind of line in a panel of its own, side by side; see the counts below."""
    pair, strip = 2 * TRAIL + GAP, 8.0
    panels: list[tuple[str, float, Callable[[float], None]]] = [
        (name, pair, partial(_between_trails, sheet, name=name, word=word, met=met))
        for name, word, met in (
            ("plait", "plait", 1),
            ("plait with picots", "plait", 1),
            ("two plaits cross", "plait", 2),
            ("three plaits cross", "plait", 3),
            ("leaf", "leaf", 1),
            ("square leaf", "square-leaf", 1),
        )
    ]
    panels.append(("edge with picots", TRAIL, partial(_edged_trail, sheet)))
    for name, word, extra in (
        ("footside in cloth", "footside", ' data-stitch="whole" data-passives="2"'),
        ("twisted footside", "footside", ' data-stitch="double" data-passives="2"'),
        ("headside", "headside", ' data-picots="left"'),
        ("gimp", "gimp", ' data-gauge-mm="0.5" data-colour="#7d8fa6"'),
    ):
        draw = partial(_edged_ground, sheet, name=name, word=word, extra=extra)
        panels.append((name, strip, draw))
    left, apart = 0.0, 6.0
    for number, (name, width, draw) in enumerate(panels):
        draw(left)
        # In two rows, for long names.
        under = LINES_TOP + 33.6 + 3.0 * (number % 2)
        sheet.notes.append(((left + width / 2, under), name))
        left += width + apart


def tideline_sampler() -> None:
    """Draw every ground in a panel of its own, and below every kind of line."""
    sheet = Sheet("tideline sampler", {}, {"data-gauge-mm": "0.21"})
    left, apart = 0.0, 5.5
    for word, places, (across, down) in _panels():
        right = left + across * max(c for c, _ in places)
        bottom = down * max(r for _, r in places)
        sheet.holes += [(left + across * c, down * r) for c, r in places]
        corners = [(left, 0.0), (right, 0.0), (right, bottom), (left, bottom)]
        extra = f' data-ground="{word}"'
        sheet.shapes.append(polygon(corners, "ground", f"panel-{word.lower()}", extra))
        sheet.notes.append((((left + right) / 2, 33.0), word))
        left = right + apart
    _lines(sheet)
    # Six panels of 7 columns and 15 rows, one without the 8 places of its gaps and with 2 bodies;
    # rose begins on the other columns; point 7 by 25; honeycomb 3 full lines and 4 gapped ones.
    plain, spiders, rose, point, honeycomb = 53, 53 - 8 + 2, 52, 88, 3 * 13 + 4 * 6
    # Thirteen trails; where two and three plaits meet, the ends of the third; picots on plaits;
    # four strips of 5 columns and 15 rows, one with picots beside it.
    strip, edge_pins = 38, 8
    lines = 13 * (LAST_PIN + 1) + 2 + 2 + 4 * 4 + 4 * strip + 7
    sheet.facts["holes"] = str(6 * plain + spiders + rose + point + honeycomb + lines)
    # Each hole is one stitch; round the spiders it is torchon, and the two bodies have 4 + 4 each.
    # Rose has a crossing without a pin between its squares, two across and six down. A side of the
    # Valenciennes meshes has 4 half stitches, 8 down the edges: 6 * 14 sides and twice 7.
    # At a pin of a footside with two passives: the worker through both and the edge pair, the old
    # edge pair back through both.
    footside = 2 * 5 * edge_pins
    # Every row of a trail takes in each passive; see the samphire braid for the two crossings. A
    # plait alone takes its two pairs to the other trail two pins on, and the next one brings them
    # back four pins later: one trail is without them as long again as the other has them.
    whole = 13 * LAST_PIN * PASSIVES - 2 * 2 * (8 * 2 - 4)
    plaits = 8 * _halves_alone() + _halves_crossing()
    sheet.facts["stitches"] = (
        f"torchon {plain + spiders - 2 + 4 * strip - 2 * edge_pins}, twisted {plain}, "
        f"doubled {plain}, brussels {plain}, CTTpCT {plain}, point {point}, "
        f"honeycomb {honeycomb}, rose {rose + 12}, spider 16, "
        f"valenciennes {plain}, plait {4 * 6 * 14 + 8 * 2 * 7 + plaits}, footside {footside}, "
        f"whole {whole}, leaf {4 * _rows_alone()}, square-leaf {4 * _rows_alone(spread=0.6)}"
    )
    # W columns take W + 1 pairs, those of Valenciennes twice as many; the third of three plaits
    # has its own; a footside has its passives besides.
    pairs = 9 * 8 + 2 * 8 + 13 * (PASSIVES + 1) + 2 + 4 * 6 + 2 * 2
    sheet.facts["pairs"] = str(pairs)
    # Across it passes every pair; round four holes the two that come to each side above and leave
    # each below, and two of them again where it closes.
    sheet.facts["gimps"] = f"gimp-across 6, gimp-ring {4 * 2 + 2}"
    sheet.write("tideline_sampler.svg")
