"""A footside follows the edge of ground that bends.

Its pairs come on top of those of the ground, one passive and the edge pair's exchange at each pin:
J. Edkins, *Bobbin lace*, web handbook, 2002-22.
"""

from collections import Counter

import numpy as np
import pytest

from render.plan.work import plan_work
from render.settle.settle import STATES, settle
from render.threads.replay import lay_threads
from tests.lattices import arc
from tests.pieces import line, pricked
from tests.plan.verifier import comings_and_goings, holes_left_out, replay
from tests.whole.verifier import meetings, worked_by_hand

COLUMNS, ROWS = 7, 25


def bent_edging(column, degrees=140, passives=1):
    """Return an arc of ground with a footside down one of its outer columns."""
    bent = arc(degrees, COLUMNS, ROWS)
    path = [
        bent.holes[bent.number[(column, row)]] for row in range(ROWS) if (column + row) % 2 == 0
    ]
    foot = line(path, "footside", passives=str(passives))
    return pricked(bent.holes, lines=[foot]), np.array(path)


@pytest.mark.parametrize("column", [0, COLUMNS - 1])
@pytest.mark.parametrize("passives", [1, 2])
def test_it_takes_its_passives_besides_one_pair_more_than_columns(column, passives):
    pricking, path = bent_edging(column, passives=passives)
    plan = plan_work(pricking)
    assert len(plan.hangings) == max(replay(plan).hanging) == COLUMNS + 1 + passives
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()
    assert Counter(plan.technique)["footside"] == (1 + 2 * passives) * len(path)


@pytest.mark.parametrize("column", [0, COLUMNS - 1])
def test_the_line_may_be_drawn_from_either_end(column):
    pricking, path = bent_edging(column)
    back = pricked(pricking.holes, lines=[line(path[::-1], "footside", passives="1")])
    assert plan_work(back).taken.tolist() == plan_work(pricking).taken.tolist()


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("column", [0, COLUMNS - 1])
def test_its_threads_cross_as_they_were_worked(column, state):
    plan = plan_work(bent_edging(column)[0])
    found = meetings(settle(lay_threads(plan), gauge_mm=0.3, state=state))
    expected = Counter()
    for pair, times in worked_by_hand(plan).items():
        expected[tuple(sorted(pair))] += times
    assert found.threads == expected


@pytest.mark.parametrize("column", [0, COLUMNS - 1])
def test_its_edge_pair_runs_outside_its_pins(column):
    """Outside the inner edge lies the centre, here 0, 0; outside the outer edge is away from it."""
    pricking, path = bent_edging(column)
    plan = plan_work(pricking)
    foot = np.array([word == "footside" for word in plan.technique])
    away = np.hypot(*plan.at[foot].T)
    radius = np.hypot(*path[0])
    farthest = away.min() if column == 0 else away.max()
    assert (farthest < radius - 0.5) if column == 0 else (farthest > radius + 0.5)
