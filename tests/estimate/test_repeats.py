"""The figures of a piece worked again and again are those of the same piece drawn out by hand.

The judge is a second drawing: a loop pricks all repeats in one SVG that says nothing of repeating,
and everything that is printed about it must be the same, to the last digit printed.
"""

import re
from dataclasses import replace

import pytest

from render import Wishes
from render.deciding import figure, figure_pattern
from render.estimate.figures import MOST_LAID, carry_on, that_tell
from render.estimate.pace import Pace
from render.estimate.wording import in_words
from tests.whole.test_repeats import PIECES

STEP = 2.5
# Fifteen rows do not close a lattice: there are sixteen to a repeat.
ROWS = 16


def drawing(holes, shapes, height, words=""):
    dots = "".join(f'<circle cx="{x:g}" cy="{y:g}" r="0.3"/>' for x, y in holes)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="{height:g}mm" '
        f'viewBox="-20 -5 60 {height:g}" data-title="drawn" {words}>{dots}{"".join(shapes)}</svg>'
    )


def shape(tag, points, words):
    spots = " ".join(f"{x:g},{y:g}" for x, y in points)
    return f'<{tag} points="{spots}" fill="none" {words}/>'


def diamonds(repeats, words=""):
    """Draw torchon ground with a diamond a repeat and a footside at the left."""
    holes, shapes = [], []
    for r in range(ROWS * repeats):
        for c in range(r % 2, 9, 2):
            if abs(c - 5) + abs(r % ROWS - 8) >= 3:
                holes.append((c * STEP, r * STEP))
    for k in range(repeats):
        y = (ROWS * k + 8) * STEP
        tips = [(12.5, y - 7.5), (20, y), (12.5, y + 7.5), (5, y)]
        shapes.append(shape("polygon", tips, 'data-stitch="whole"'))
    foot = [(0, 0), (0, ROWS * repeats * STEP)]
    shapes.append(shape("polyline", foot, 'data-line="footside"'))
    return drawing(holes, shapes, ROWS * STEP * repeats + 10, words)


def tapes(repeats, words=""):
    """Draw two trails with a plait a repeat between them."""
    pins, advance, holes = 16, 1.35, []
    rails = {}
    for x in (0, 14):
        rows = range(pins * repeats)
        trail = [(x + (2 if r % 2 else -2), r * advance) for r in rows]
        beyond = [(x + (2 if r % 2 else -2), r * advance) for r in (len(rows), len(rows) + 1)]
        holes += trail
        rails[x] = [*trail[0::2], *beyond, *trail[1::2][::-1]]
    shapes = [
        shape("polygon", rail, 'data-stitch="whole" data-pairs="4"') for rail in rails.values()
    ]
    for k in range(repeats):
        ends = [(2, (pins * k + 3) * advance), (12, (pins * k + 10) * advance)]
        shapes.append(shape("polyline", ends, 'data-line="plait"'))
    return drawing(holes, shapes, pins * advance * repeats + 10, words)


DRAWN = {
    "diamonds": (diamonds, 8, f"0,{ROWS * STEP:g}"),
    "tapes": (tapes, 7, "0,21.6"),
}


@pytest.mark.parametrize("name", DRAWN)
def test_all_that_is_printed_is_that_of_the_piece_drawn_out(tmp_path, name):
    draw, times, step = DRAWN[name]
    short, long = tmp_path / "short.svg", tmp_path / "long.svg"
    short.write_text(draw(1, f'data-repeat="{step}"'), "utf-8")
    long.write_text(draw(times), "utf-8")
    wishes, settings = Wishes(gauge_mm=0.3), tmp_path / "settings.json"
    again = in_words(figure(short, replace(wishes, repeats=times), settings=settings))
    assert f", {times} repeats" in again
    assert without_numbers_of_holes(again.replace(f", {times} repeats", "")) == (
        without_numbers_of_holes(in_words(figure(long, wishes, settings=settings)))
    )


def without_numbers_of_holes(text):
    """Holes are numbered in the order in which they are drawn, which differs."""
    return re.sub(r"holes? \d+(, \d+)*", "hole", text)


@pytest.mark.parametrize("times", [MOST_LAID + 1, MOST_LAID + 2, 1000])
def test_many_repeats_are_reckoned_from_two_numbers_that_are_even_or_odd_like_theirs(times):
    shorter, longer = that_tell(times)
    assert shorter < longer <= MOST_LAID
    assert times % 2 == shorter % 2 == longer % 2


@pytest.mark.parametrize("name", ["net with a footside", "picots and a footside"])
def test_reckoned_repeats_are_those_laid(name):
    pattern = PIECES[name]()
    shorter, longer, laid = (
        figure_pattern(pattern, Wishes(gauge_mm=0.3, repeats=n), Pace()) for n in (9, 11, 15)
    )
    reckoned = carry_on(shorter, longer, 15)
    whole = [sum(w.settled_mm for w in f.winding.values()) for f in (reckoned, laid)]
    assert whole[0] == pytest.approx(whole[1], rel=1e-4)
    assert reckoned.counts.size_mm == pytest.approx(laid.counts.size_mm, abs=1e-6)
    assert replace(reckoned.counts, size_mm=laid.counts.size_mm) == laid.counts
    assert reckoned.minutes == pytest.approx(laid.minutes, rel=1e-9)
    for role, wound in laid.winding.items():
        found = reckoned.winding[role]
        assert found.bobbins == wound.bobbins
        assert found.shortest_mm <= found.wind_mm / found.bobbins <= found.longest_mm
