"""The tape lace of the Saltmarsh shore set: a scroll wound up beside itself, and a ring."""

from math import cos, floor, pi, sin

from sheet import Sheet, Spot, mm, polygon

# An outline lies so far within its pins that it does not touch itself.
INSIDE_MM = 0.5
WIDTH, PASSIVES = 4.2, 6


def whelk_scroll() -> None:
    """Draw a scroll whose turns share pins, round a ring."""
    # Pins of one turn stand between those of the turn outside it: their number is odd by a half.
    pins_a_turn, turns, inner = 26.5, 1.75, 9.0
    step = 2 * pi / pins_a_turn
    first, last = 1, floor(2 * turns * pins_a_turn) - 1
    sheet = Sheet("whelk scroll", {}, {"data-gauge-mm": "0.25"})
    # Even stops are pins of the inner edge, odd ones of the outer edge. Those of the inner edge are
    # the outer pins of the turn before, a turn and half a pin earlier.
    stops = range(first, last + 1)
    places = {k: _on_scroll(k * step / 2, inner, k % 2 * WIDTH) for k in stops}
    shared = [k for k in stops if k % 2 == 0 and k - round(2 * pins_a_turn) >= first]
    sheet.holes = [places[k] for k in stops if k not in shared]
    fine = [(first + (last - first) * k / 240) * step / 2 for k in range(241)]
    edges = [
        [_on_scroll(angle, inner, reach) for angle in fine]
        for reach in (INSIDE_MM, WIDTH - INSIDE_MM)
    ]
    extra = f' data-pairs="{PASSIVES}"'
    sheet.shapes.append(polygon([*edges[0], *reversed(edges[1])], "whole", "scroll", extra))
    pins = _ring(sheet, extra)
    # The worker crosses every passive in each row; there is a row from each pin to the next, the
    # scroll from its end inwards. The ring is sewn to its beginning. Sewings are no stitches.
    rows = last - first + 2 * pins - 1
    sheet.facts |= {
        "holes": str(len(stops) - len(shared) + 2 * pins),
        "stitches": f"whole {rows * PASSIVES}",
        "pairs": str(2 * (PASSIVES + 1)),
    }
    sheet.write("whelk_scroll.svg")


def _on_scroll(angle: float, inner: float, reach: float) -> Spot:
    """Return the spot of a scroll so far round it, and so far out from its inner edge."""
    radius = inner + WIDTH * angle / (2 * pi) + reach
    return radius * cos(angle), radius * sin(angle)


def _ring(sheet: Sheet, extra: str) -> int:
    """Draw a ring in the middle of the scroll; return how many pins each edge has."""
    pins, radius, width = 18, 7.6, 3.4
    contours = []
    for reach, first in ((radius, 0.0), (radius - width, 0.5)):
        turn = [2 * pi * (k + first) / pins for k in range(pins)]
        contours.append([(reach * sin(t), -reach * cos(t)) for t in turn])
        sheet.holes += contours[-1]
    path = " ".join("M" + " ".join(f"{mm(a)},{mm(b)}" for a, b in c) + "Z" for c in contours)
    sheet.shapes.append(
        f'<path id="ring" d="{path}" fill="#a9c7d6" fill-opacity="0.6" fill-rule="evenodd" '
        f'data-stitch="whole"{extra}/>'
    )
    return pins
