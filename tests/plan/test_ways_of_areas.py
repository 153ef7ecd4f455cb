"""Direction lines: in which area they are drawn, and that it is worked that way.

That an arrow on the pricking says where the work begins and which way it goes is common practice,
no source.
"""

import numpy as np
import pytest
import shapely

from render import understand
from render.geometry.polygon import parts_within, share_within
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.pieces import (
    PITCH,
    diamond_centre,
    diamond_ground,
    lattice,
    line,
    pricked,
    region,
    within_diamond,
)
from tests.pieces import spots as placed
from tests.plan.verifier import comings_and_goings, holes_left_out, replay
from tests.trails import around, lone_ring, tape, tapes

APART = np.array([32.0, 0.0])


def pins_in_order(plan):
    """Return (n, 2) the pins round which the worker turns, in the order of the work."""
    return plan.pricking.holes[[h for h in plan.turn.tolist() if h >= 0]]


def said(plan):
    """Return what was said of direction lines, with the place of each."""
    return [(str(r.place), r.message) for r in plan.remarks if "direction" in r.message]


def square(arrow, side=24.0, step=4.0, stitch="whole", more=()):
    """Return a square of cloth that stands alone, with a direction drawn in it."""
    along = np.arange(0, side + 0.1, step)
    corners = np.array([(0, 0), (side, 0), (side, side), (0, side)])
    edge = [(x, y) for x in along for y in along if {x, y} & {0.0, side}]
    lines = [line(arrow, "direction"), *more]
    return pricked(edge, [region(corners, stitch, "square")], lines)


def advance(plan, toward):
    """Return how far along a direction the pins stand, in the order of the work."""
    return pins_in_order(plan) @ (np.array(toward) / np.hypot(*toward))


# How an area is worked ----------------------------------------------------------------------------


@pytest.mark.parametrize("toward", [(0, 1), (1, 0), (0, -1), (-1, 0), (5, 2), (-3, -4)])
def test_a_square_is_worked_from_where_the_line_comes_to_where_it_leads(toward):
    middle, way = np.array([12.0, 12.0]), 8 * np.array(toward) / np.hypot(*toward)
    plan = plan_work(square([middle - way, middle + way]))
    replay(plan)
    far = advance(plan, toward)
    assert holes_left_out(plan) == set()
    assert said(plan) == []
    if 0 in toward:
        # The worker goes to and fro across, so no pin lies further back than one hole.
        assert np.diff(far).min() > -4.1
    assert np.corrcoef(np.arange(len(far)), far)[0, 1] > 0.8
    assert far[0] < far.min() + 8.1
    assert far[-1] > far.max() - 8.1


def test_an_s_counts_by_where_it_leads():
    turn = np.linspace(0, 2 * np.pi, 40)
    plan = plan_work(square(np.column_stack([3 + 18 * turn / turn[-1], 12 + 5 * np.sin(turn)])))
    assert advance(plan, (1, 0))[0] < 4.1
    assert np.diff(advance(plan, (1, 0))).min() > -4.1


@pytest.mark.parametrize("back", [False, True])
def test_a_bent_line_leads_through_a_fan_from_tip_to_tip(back):
    """A quarter of a disc, worked round its corner: from one straight side to the other."""
    turn = np.linspace(0, np.pi / 2, 9)
    rim = 24 * np.column_stack([np.sin(turn), np.cos(turn)])
    sides = [(0.0, 6.0 * k) for k in range(4)] + [(6.0 * k, 0.0) for k in range(1, 4)]
    arc = 14 * np.column_stack([np.sin(turn), np.cos(turn)])
    outline = np.vstack([[(0, 0)], rim])
    arrow = line(arc[::-1] if back else arc, "direction")
    plan = plan_work(pricked(np.vstack([sides, rim]), [region(outline)], [arrow]))
    replay(plan)
    on_rim = [p for p in pins_in_order(plan).tolist() if np.hypot(*p) > 23.9]
    angle = np.arctan2(*np.transpose(on_rim))
    assert len(on_rim) >= 5
    assert (np.diff(angle) * (-1 if back else 1) > 0).all()


@pytest.mark.parametrize("toward", [(1, 0), (-1, 0)])
def test_a_trail_across_the_card_is_worked_the_way_a_short_line_says(toward):
    made = tape([(0, 0), (60, 0)])
    arrow = np.array([30.0, 0.0]) + 4 * np.outer((-1, 1), toward)
    plan = plan_work(sort_holes(tapes(made, lines=[line(arrow, "direction")])))
    assert np.diff(advance(plan, toward)).min() > 0
    assert said(plan) == []


@pytest.mark.parametrize("back", [False, True])
@pytest.mark.parametrize("part", [slice(None), slice(20, 30)])
def test_a_trail_in_s_is_worked_along_the_line(back, part):
    turn = np.linspace(0, 2 * np.pi, 60)
    middle = np.column_stack([18 * np.sin(turn), 9 * turn])
    arrow = middle[part][::-1] if back else middle[part]
    plan = plan_work(sort_holes(tapes(tape(middle), lines=[line(arrow, "direction")])))
    down = pins_in_order(plan)[:, 1]
    assert (down[0] > down[-1]) == back
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize("begin", [0.25, 0.6])
def test_a_ring_runs_round_the_way_of_the_line_from_where_it_begins(clockwise, begin):
    share = begin + np.linspace(0, 0.4, 20) * (1 if clockwise else -1)
    angle = 2 * np.pi * share
    arc = 13 * np.column_stack([np.sin(angle), -np.cos(angle)])
    ring = lone_ring(pairs="4")
    plan = plan_work(pricked(ring.holes, ring.regions, [line(arc, "direction")]))
    replay(plan)
    pins = pins_in_order(plan)
    outer = pins[np.hypot(*pins.T) > 15]
    turned = np.diff(np.unwrap(np.arctan2(outer[:, 0], -outer[:, 1])))
    assert (turned * (1 if clockwise else -1) > 0).all()
    (told,) = [r for r in plan.remarks if "runs round" in r.message]
    assert np.hypot(told.place.x_mm - arc[0, 0], told.place.y_mm - arc[0, 1]) < 4.5
    assert holes_left_out(plan) == set()


def test_a_line_across_a_ring_says_only_at_which_end_it_begins():
    ring = lone_ring(pairs="4")
    across = line([(0, 16), (0, 10.5)], "direction")
    plan = plan_work(pricked(ring.holes, ring.regions, [across]))
    (told,) = [r for r in plan.remarks if "runs round" in r.message]
    assert (told.place.x_mm, told.place.y_mm) == pytest.approx((0, 16))


# In which area a line lies ------------------------------------------------------------------------


def two_squares(arrow):
    """Return two squares of cloth side by side, 8 mm apart."""
    left = square(arrow)
    edge = left.holes
    corners = np.array([(0, 0), (24, 0), (24, 24), (0, 24)], float)
    areas = [region(corners, name="left"), region(corners + APART, name="right")]
    return pricked(np.vstack([edge, edge + APART]), areas, [line(arrow, "direction")])


def sideways(plan, low, high):
    """Tell whether the pins between two columns are worked from left to right."""
    x = np.array([p for p in pins_in_order(plan)[:, 0].tolist() if low <= p <= high])
    return bool(np.diff(x).min() > -4.1) and x[0] < x[-1] - 12


def test_a_line_over_two_areas_is_that_of_the_one_that_holds_more_of_it():
    plan = plan_work(two_squares([(4, 12), (36, 12)]))
    assert sideways(plan, 0, 24)
    assert not sideways(plan, 32, 56)
    assert said(plan) == []


def test_length_counts_and_not_the_number_of_points():
    """Most points of this line lie outside, crowded at its end, but most of its way inside."""
    crowd = np.column_stack([np.linspace(24.5, 27, 50), np.full(50, 12.0)])
    plan = plan_work(square(np.vstack([[(4, 12)], crowd])))
    assert sideways(plan, 0, 24)
    assert said(plan) == []


def test_a_line_half_in_one_area_and_half_in_another_is_told_of():
    plan = plan_work(two_squares([(20, 12), (36, 12)]))
    assert said(plan) == [
        (
            "direction",
            "no area holds more than half of this direction: it says nothing",
        )
    ]


def test_a_line_outside_every_area_is_told_of_with_its_place(tmp_path):
    dots = "".join(
        f'<circle cx="{x:g}" cy="{y:g}" r="0.3"/>' for x, y in (lattice(5, 7, 2, 2) + 6).tolist()
    )
    path = tmp_path / "stray.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'
        f'{dots}<path id="s" d="M32 12 32 16" data-line="direction"/></svg>'
    )
    told = [str(remark) for remark in understand(path).doubtful]
    assert 'line "s" at 32.0, 12.0 mm: this direction lies in no area: it says nothing' in told


def test_a_line_in_an_open_area_is_told_of():
    plan = plan_work(
        pricked(
            lattice(9, 9),
            [region([(14, 14), (26, 14), (26, 26), (14, 26)], "open")],
            [line([(16, 20), (24, 20)], "direction")],
        )
    )
    assert [m for _, m in said(plan)] == [
        "nothing is worked in the area of this direction: it says nothing"
    ]


def figure_in_ground(toward, *areas):
    """Return a diamond in ground with a direction drawn through its middle."""
    n = 5
    column, row = diamond_centre(n)
    spots = placed([p for p in diamond_ground(n) if within_diamond(n, p) >= 0])
    reach = n - 1
    tips = [(column, row - reach), (column + reach, row), (column, row + reach),
            (column - reach, row)]  # fmt: skip
    middle = np.array([column, row]) * PITCH
    way = 1.5 * PITCH * np.array(toward) / max(np.hypot(*toward), 1)
    drawn = [line([middle - way, middle + way], "direction")] if any(toward) else []
    return pricked(spots, [*areas, region(placed(tips), name="diamond")], drawn)


def test_of_two_areas_that_lie_over_each_other_the_smaller_has_the_line():
    """The ground round a diamond is marked, over it as well: the line is the diamond's."""
    everything = region([(-2, -2), (200, -2), (200, 200), (-2, 200)], "ground", "net")
    plan = plan_work(figure_in_ground((0, -1), everything))
    plain = plan_work(figure_in_ground((0, 0), everything))
    assert plan.taken.tolist() == plain.taken.tolist()
    assert len(said(plan)) == 1


def test_what_of_a_line_lies_over_an_opening_does_not_count():
    outer, inner = (shapely.Point(0, 0).buffer(r).exterior.coords[:-1] for r in (16, 10))
    contours = [np.array(outer), np.array(inner)]
    assert share_within(contours, np.array([(-16.0, 0), (16, 0)])) == pytest.approx(12 / 32, 1e-3)


def test_parts_inside_are_those_geos_finds():
    lot = np.random.default_rng(3)
    for _ in range(60):
        turn = np.sort(lot.uniform(0, 2 * np.pi, 12))
        outline = lot.uniform(4, 12, 12)[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
        path = lot.uniform(-12, 12, (int(lot.integers(2, 7)), 2))
        shape = shapely.Polygon(outline, [around(1.5, 9)])
        if not shape.is_valid:
            continue
        contours = [outline, around(1.5, 9)]
        met = shapely.LineString(path).intersection(shape).length
        assert sum(shapely.LineString(p).length for p in parts_within(contours, path)) == (
            pytest.approx(met, abs=1e-9)
        )


# What contradicts ---------------------------------------------------------------------------------


def test_of_two_lines_that_contradict_each_other_the_longer_is_followed():
    plan = plan_work(
        square([(4, 8), (20, 8)], more=[line([(12, 14), (12, 20)], "direction", name="other")])
    )
    assert sideways(plan, 0, 24)
    assert [m for _, m in said(plan)] == [
        "this direction and direction contradict each other in one area: the longer one is followed"
    ]


def test_lines_along_a_bent_trail_agree_though_they_lead_apart():
    turn = np.linspace(0, 1.7 * np.pi, 80)
    middle = 18 * np.column_stack([np.sin(turn), -np.cos(turn)])
    lines = [line(middle[k : k + 6], "direction") for k in (5, 60)]
    assert said(plan_work(sort_holes(tapes(tape(middle), lines=lines)))) == []
    lines = [line(middle[5:12], "direction"), line(middle[60:66][::-1], "direction")]
    assert len(said(plan_work(sort_holes(tapes(tape(middle), lines=lines))))) == 1


def test_ground_cannot_feed_an_area_from_below():
    plan, plain = (plan_work(figure_in_ground(way)) for way in ((0, -1), (0, 0)))
    assert plan.taken.tolist() == plain.taken.tolist()
    assert [m for _, m in said(plan)] == [
        "the ground brings its pairs from above, not from where this direction comes: the area is "
        "worked in the working direction of the piece"
    ]


def test_a_slight_slant_in_ground_is_followed():
    plan = plan_work(figure_in_ground((1, 2)))
    assert said(plan) == []
    assert comings_and_goings(plan) == (0, 0)
    assert plan.technique.count("whole") == 9 * 9


def test_a_line_that_comes_back_to_its_beginning_says_nothing_in_a_square():
    loop = shapely.Point(12, 12).buffer(6).exterior.coords
    plan = plan_work(square(np.array(loop)))
    assert [m for _, m in said(plan)] == [
        "this direction ends where it began: the area is worked in the working direction of the "
        "piece"
    ]
    assert np.diff(advance(plan, (0, 1))).min() > -4.1
