"""Draw the Saltmarsh shore set: the prickings of an invented lace circle.

Run it from anywhere with ``python demo_patterns/draw.py``; it writes its patterns beside itself.
The facts at the head of each file are counted here from the drawing, by the rules of the trade, and
never by the program whose patterns they test.
"""

from collections.abc import Callable
from itertools import pairwise
from math import hypot, pi, sin, sqrt

from sampler import tideline_sampler
from sheet import (
    Diamond,
    Place,
    Sheet,
    Spot,
    honeycomb_gap,
    lattice,
    line,
    mm,
    polygon,
)
from tape import whelk_scroll


def _ground_and_diamonds(
    sheet: Sheet,
    size: tuple[int, int],
    step: Spot,
    diamonds: list[Diamond],
    *,
    ground: str,
    footside_pins: int = 0,
) -> None:
    """Prick a lattice with diamonds left out, and count it.

    A diamond fed by n pairs from each side has 4n - 4 pins and (2n - 1)^2 whole stitches
    (J. Edkins, *Bobbin lace*, web handbook, prints 49 for n = 4).
    Every other hole is one ground stitch.
    """
    spots = lattice(*size, diamonds)
    sheet.holes = [(c * step[0], r * step[1]) for c, r in spots]
    for d in diamonds:
        corners = [(c * step[0], r * step[1]) for c, r in d.corners]
        sheet.shapes.append(polygon(corners, d.stitch, d.name))
    pins = sum(4 * d.pairs - 4 for d in diamonds)
    counts: dict[str, int] = {}
    for d in diamonds:
        counts[d.stitch] = counts.get(d.stitch, 0) + (2 * d.pairs - 1) ** 2
    counts[ground] = len(spots) - pins - footside_pins
    if footside_pins:
        # At each pin: worker and passive, worker and edge pair, old edge pair and passive.
        counts["footside"] = 3 * footside_pins
    sheet.facts["holes"] = str(len(spots))
    sheet.facts["stitches"] = ", ".join(f"{word} {n}" for word, n in counts.items())


def tide_edging() -> None:
    """Draw a torchon edging: two diamonds in ground and a footside at the right."""
    columns, rows, step = 17, 37, 2.5
    diamonds = [
        Diamond(8, 10, 5, "whole", "cockle"),
        Diamond(8, 26, 5, "half", "periwinkle"),
    ]
    sheet = Sheet("tide edging", {}, {"data-ground": "torchon", "data-gauge-mm": "0.3"})
    _ground_and_diamonds(
        sheet,
        (columns, rows),
        (step, step),
        diamonds,
        ground="torchon",
        footside_pins=rows // 2 + 1,
    )
    edge = (columns - 1) * step
    sheet.shapes.append(line([(edge, 0), (edge, (rows - 1) * step)], "footside", "sewing-edge"))
    # W columns take W + 1 pairs, and the footside one passive on top.
    sheet.facts["pairs"] = str(columns + 1 + 1)
    sheet.write("tide_edging.svg")


def shell_net() -> None:
    """Draw guipure: a net of plaits and leaves between a straight trail and a scalloped one."""
    pitch, rows, columns, passives, width, gauge = 5.0, 12, 4, 5, 4.2, 0.28
    advance = pitch / 4
    pins = [advance * (k - 1) for k in range(4 * rows + 3)]
    sheet = Sheet("shell net", {}, {"data-gauge-mm": str(gauge)})
    trails: dict[int, list[Spot]] = {}
    for side in (-1, 1):
        # Odd pins stand on the inner edge; that of the shells sways by 3 mm.
        inner = [0.0 if side < 0 else columns * pitch + 3 * sin(pi * y / 30) ** 2 for y in pins]
        odd = [k % 2 for k in range(len(pins))]
        trail = [(inner[k] + side * width * (1 - odd[k]), y) for k, y in enumerate(pins)]
        trails[side] = trail
        sheet.holes += trail
        name = {-1: "foot-trail", 1: "shell-trail"}[side]
        outline = [*trail[0::2], *reversed(trail[1::2])]
        sheet.shapes.append(polygon(outline, "whole", name, f' data-pairs="{passives}"'))
    outer = trails[1][0::2]
    sheet.shapes.append(line(outer, "headside", "shell-edge", ' data-picots="right"'))
    hearts = [(2, 3), (2, 9)]

    def spot(place: Place) -> Spot:
        column, row = place
        if 0 < column < columns:
            return column * pitch, row * pitch
        return trails[1 if column else -1][4 * row + 1]

    net = [(c, r) for r in range(rows + 1) for c in range(columns + 1) if (c + r) % 2 == 1]
    sheet.holes += [spot(place) for place in net if 0 < place[0] < columns]
    worked = {"plait": 0, "leaf": 0}
    for c, r in net:
        for side in (-1, 1):
            end = (c + side, r + 1)
            if end not in net:
                continue
            word = "leaf" if (c, r) in hearts or end in hearts else "plait"
            name = f"{word}-{c}-{r}-{'left' if side < 0 else 'right'}"
            (x0, y0), (x1, y1) = ends = [spot((c, r)), spot(end)]
            sheet.shapes.append(line(ends, word, name))
            # Where plaits meet they leave 0.98 mm to cross in, round a pin of a trail 0.73 mm; a
            # firm plait of this thread has a half stitch in 0.59 mm, a leaf a row in 0.308 mm.
            at_trail = {c, end[0]} & {0, columns}
            free = hypot(x1 - x0, y1 - y0) - 0.98 - (0.73 if at_trail else 0.98)
            worked[word] += round(free / (0.59 if word == "plait" else 0.308))
    # Four pairs pass each other wherever two plaits meet that were begun before.
    worked["plait"] += 4 * sum(0 < c < columns and r > 0 for c, r in net)
    # Every row takes in each passive; where a plait comes to a trail and leaves it again, the
    # worker goes through its two pairs, round the pin and back through them.
    whole = 2 * (len(pins) - 1) * passives + 2 * 2 * sum(c in (0, columns) for c, _ in net)
    sheet.facts |= {
        "holes": str(len(sheet.holes)),
        "stitches": f"whole {whole}, plait {worked['plait']}, leaf {worked['leaf']}",
        # Four plaits are hung in where the net begins.
        "pairs": str(2 * (passives + 1) + 4 * 2),
    }
    sheet.write("shell_net.svg")


def kelp_trail() -> None:
    """Draw a free trail that sways like kelp: whole stitch, no ground."""
    passives, stops, advance, half_width = 7, 58, 1.35, 4.0
    centre = _sway(stops * advance)
    rails: dict[int, list[Spot]] = {-1: [], 1: []}
    holes: list[Spot] = []
    for k in range(stops + 1):
        (x, y), (nx, ny) = centre(k * advance)
        side = 1 if k % 2 else -1
        holes.append((x + side * half_width * nx, y + side * half_width * ny))
        rails[side].append(holes[-1])
    outline = [*rails[1], *reversed(rails[-1])]
    sheet = Sheet("kelp trail", {}, {"data-gauge-mm": "0.35"})
    sheet.holes = holes
    extra = f' data-pairs="{passives}"'
    sheet.shapes.append(polygon(outline, "whole", "kelp", extra))
    # The worker crosses every passive in each row; there is a row from each pin to the next.
    sheet.facts |= {
        "holes": str(len(holes)),
        "stitches": f"whole {stops * passives}",
        "pairs": str(passives + 1),
    }
    sheet.write("kelp_trail.svg")


def samphire_braid() -> None:
    """Draw guipure: two trails joined by plaits with picots and by leaves, four at a time."""
    passives, rows, advance, width, gap, gauge = 6, 45, 1.35, 4.0, 10.0, 0.3
    sheet = Sheet("samphire braid", {}, {"data-gauge-mm": str(gauge)})
    trails: dict[int, list[Spot]] = {}
    for side in (-1, 1):
        # Even pins stand on the outer edge, odd ones on the inner edge.
        edges = (side * (gap / 2 + width), side * gap / 2)
        trails[side] = [(edges[k % 2], k * advance) for k in range(rows + 1)]
        outline = [*trails[side][0::2], *reversed(trails[side][1::2])]
        name = {-1: "left-trail", 1: "right-trail"}[side]
        sheet.holes += trails[side]
        sheet.shapes.append(polygon(outline, "whole", name, f' data-pairs="{passives}"'))
        outer = [trails[side][k] for k in (0, rows - 1)]
        picots = f' data-picots="{"left" if side < 0 else "right"}"'
        sheet.shapes.append(line(outer, "headside", f"{name}-edge", picots))
    motifs = [(first, first // 10 % 2 == 0) for first in (3, 13, 23, 33)]
    for first, plaited in motifs:
        _join(sheet, trails, first, plaited=plaited)
    # An arm is as long as half the gap and four pins. What stands round a pin takes 0.78 mm of it,
    # the crossing 1.05 mm; a firm plait of this thread has a half stitch in 0.63 mm, the rows of a
    # leaf lie 0.33 mm apart.
    arm = hypot(gap / 2, 4 * advance) - 0.78 - 1.05
    halves, woven = round(arm / 0.63), round(arm / 0.33)
    # Every row takes in each passive. A motif takes a plait's two pairs out for the eight rows
    # until the other comes in; each of these four pairs is worked once more as it goes or comes.
    whole = 2 * (rows * passives - len(motifs) * (8 * 2 - 4))
    plaits = 4 * halves * sum(plaited for _, plaited in motifs)
    sheet.facts |= {
        "holes": str(len(sheet.holes)),
        # In a crossing four pairs pass each other: cross, two twists, cross.
        "stitches": f"whole {whole}, plait {plaits + 4 * len(motifs)}, "
        f"leaf {4 * woven * sum(not plaited for _, plaited in motifs)}",
        "pairs": str(2 * (passives + 1)),
    }
    sheet.write("samphire_braid.svg")


def _join(sheet: Sheet, trails: dict[int, list[Spot]], first: int, *, plaited: bool) -> None:
    """Join two trails between two pins of each by four arms that meet in the middle."""
    middle = (0.0, trails[-1][first + 4][1])
    sheet.holes.append(middle)
    for side in (-1, 1):
        ends = [trails[side][first], middle, trails[-side][first + 8]]
        word, extra = ("plait", ' data-picots="both"') if plaited else ("leaf", "")
        name = f"{word}-{first}-{'left' if side < 0 else 'right'}"
        sheet.shapes.append(line(ends, word, name, extra))
        if not plaited:
            continue
        for (a, b), (c, d) in pairwise(ends):
            long = hypot(c - a, d - b)
            x, y = 1.4 * (d - b) / long, 1.4 * (a - c) / long
            for way in (-1, 1):
                sheet.holes.append(((a + c) / 2 + way * x, (b + d) / 2 + way * y))


def eelgrass_edging() -> None:
    """Draw an edging of point ground with two fillings of honeycomb and a footside."""
    columns, rows, step, reach = 17, 35, (1.3 * sqrt(3), 1.3), 6
    middles = [(7, 9), (7, 25)]

    def within(place: Place) -> int:
        return min(abs(place[0] - c) + abs(place[1] - r) for c, r in middles)

    sheet = Sheet("eelgrass edging", {}, {"data-ground": "point", "data-gauge-mm": "0.18"})
    places = lattice(columns, rows, [])
    kept = [p for p in places if within(p) >= reach or not honeycomb_gap(*p)]
    sheet.holes = [(c * step[0], r * step[1]) for c, r in kept]
    for name, (c, r) in zip(("upper-filling", "lower-filling"), middles, strict=True):
        tips = [(c, r - reach), (c + reach, r), (c, r + reach), (c - reach, r)]
        corners = [(x * step[0], y * step[1]) for x, y in tips]
        sheet.shapes.append(polygon(corners, "ground", name, ' data-ground="honeycomb"'))
    edge = (columns - 1) * step[0]
    sheet.shapes.append(line([(edge, 0), (edge, (rows - 1) * step[1])], "footside", "sewing-edge"))
    # A filling of 49 places lacks 9; 18 pins stand at the footside, three stitches at each.
    filling, pins = 49 - 9, rows // 2 + 1
    sheet.facts["holes"] = str(len(places) - 2 * 9)
    sheet.facts["stitches"] = (
        f"point {len(places) - 2 * 49 - pins}, honeycomb {2 * filling}, footside {3 * pins}"
    )
    sheet.facts["pairs"] = str(columns + 1 + 1)
    sheet.write("eelgrass_edging.svg")


def lugworm_edging() -> None:
    """Draw point ground with a gimp round a cloth diamond, and one that comes and goes again."""
    columns, rows, step, gauge = 17, 35, (1.3 * sqrt(3), 1.3), 0.18
    cockle = Diamond(8, 10, 5, "whole", "cockle")
    sheet = Sheet("lugworm edging", {}, {"data-ground": "point", "data-gauge-mm": str(gauge)})
    pins = rows // 2 + 1
    _ground_and_diamonds(sheet, (columns, rows), step, [cockle], ground="point", footside_pins=pins)
    reach = cockle.pairs - 0.5
    ring = [(8, 10 - reach), (8 + reach, 10), (8, 10 + reach), (8 - reach, 10), (8, 10 - reach)]
    # Round nine holes, in by the side and out beside itself.
    column, row, about = 8, 24, 3
    tip = column - about
    worm = [
        (-1, row + 0.2), (tip, row + 0.2), (tip + 0.2, row - 0.2), (column, row - about),
        (column + about, row), (column, row + about), (tip + 0.2, row + 0.3),
        (tip, row + 0.8), (-1, row + 0.8),
    ]  # fmt: skip
    for name, places in (("round-cockle", ring), ("lugworm", worm)):
        spots = [(c * step[0], r * step[1]) for c, r in places]
        extra = ' data-gauge-mm="0.6" data-colour="#7d8fa6"'
        sheet.shapes.append(line(spots, "gimp", name, extra))
    edge = (columns - 1) * step[0]
    sheet.shapes.append(line([(edge, 0), (edge, (rows - 1) * step[1])], "footside", "sewing-edge"))
    sheet.facts["pairs"] = str(columns + 1 + 1)
    # Round a diamond it passes the pairs that enter and those that leave, and two of them again
    # where it closes; round three by three holes as many as at a diamond of three. On its way
    # there and back it passes the edge pair and one between each two columns.
    sheet.facts["gimps"] = (
        f"round-cockle {4 * cockle.pairs + 2}, lugworm {4 * 3 + 2 * (1 + column - about)}"
    )
    sheet.write("lugworm_edging.svg")


def limpet_edging() -> None:
    """Draw one repeat of a torchon edging: a fan in whole stitch, ground and a footside."""
    slope, valley, foot, step, passives = 5, 3, 12, 2.5, 3
    rows = 2 * slope
    inner = [(valley + min(r, rows - r), r) for r in range(rows)]
    ground = [(c, r) for r in range(rows) for c in range(inner[r][0] + 2, foot + 1, 2)]
    middles = [r + 0.5 for r in range(rows)]
    outer = [(valley - 0.5 - 3.5 * sin(pi * r / rows) ** 0.7, r) for r in middles]
    sheet = Sheet("limpet edging", {}, {"data-ground": "torchon", "data-gauge-mm": "0.3"})
    sheet.attributes["data-repeat"] = f"0,{mm(rows * step)}"
    sheet.holes = [(c * step, r * step) for c, r in (*inner, *ground, *outer)]
    # It ends where the next one begins: at the pin of the valley and the first one outside.
    seam = [(valley, rows), (outer[0][0], rows + 0.5)]
    corners = [(c * step, r * step) for c, r in (*inner, *seam, *reversed(outer))]
    sheet.shapes.append(polygon(corners, "whole", "limpets"))
    edge = foot * step
    sheet.shapes.append(line([(edge, 0), (edge, rows * step)], "footside", "sewing-edge"))
    # Between two valleys a row goes from each pin to the next, through three passives and the
    # pairs that the ground has lent so far: one comes in at each pin down the slope and the row
    # before it takes it in; one goes at each pin from the tip on, after the row.
    lent = [0, *(k for k in range(1, slope + 1) for _ in range(2))]
    lent += [*(k for k in range(slope - 1, 0, -1) for _ in range(2)), 0]
    each = sum(passives + k for k in lent)
    # The last row but one ends at a valley that is not pricked; a row more goes through all four
    # pairs that hang there instead.
    alone = each - passives + passives + 1
    pins = rows // 2
    sheet.facts |= {
        "holes": str(len(sheet.holes)),
        "stitches": f"whole {alone}, torchon {len(ground) - pins}, footside {3 * pins}",
        # Worker and passives, a pair for each step of the ground in the valley, and the passive
        # and edge pair of the footside.
        "pairs": str(1 + passives + foot - valley - 1 + 2),
        "each repeat": f"whole {each}, torchon {len(ground) - pins}, footside {3 * pins}",
    }
    sheet.write("limpet_edging.svg")


def _sway(length: float) -> Callable[[float], tuple[Spot, Spot]]:
    """Return a function from the way along the trail to its spot and its unit normal."""
    fine = 4000
    turns = [pi * t / fine for t in range(fine + 1)]
    path = [(10 * sin(turn) * sin(3 * turn), 70 * turn / pi) for turn in turns]
    far = [0.0]
    for (a, b), (c, d) in pairwise(path):
        far.append(far[-1] + hypot(c - a, d - b))
    scale = length / far[-1]

    def at(way: float) -> tuple[Spot, Spot]:
        k = min(range(fine), key=lambda n: abs(far[n] * scale - way))
        (a, b), (c, d) = path[max(k - 1, 0)], path[k + 1]
        long = hypot(c - a, d - b)
        x, y = path[k]
        return (x * scale, y * scale), ((d - b) / long, -(c - a) / long)

    return at


if __name__ == "__main__":
    tideline_sampler()
    eelgrass_edging()
    tide_edging()
    shell_net()
    kelp_trail()
    samphire_braid()
    limpet_edging()
    lugworm_edging()
    whelk_scroll()
