"""The same band in half stitch and in whole stitch.

Source: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886, figs. 783-785,
pp. 482-483: six pairs make a row of five half stitches; whole stitch on the same pricking takes
one pair more, seven. Measured on the engraving: pins stand staggered, a row gets on by 0.632 of
the pitch of the pairs, and the band is five such pitches wide.
"""

from collections import Counter

import pytest

from render.plan.work import plan_work
from tests.pieces import strip
from tests.plan.verifier import comings_and_goings, holes_left_out, replay

ROWS = 24


def rows_between_turns(plan):
    """Return how many stitches each row has: a row ends where a pair turns round a pin."""
    turns = {int(leg) for leg in (plan.turn >= 0).nonzero()[0]}
    rows, count = [], 0
    for taken in plan.taken.tolist():
        if turns & set(taken) and count:
            rows.append(count)
            count = 0
        count += 1
    return [*rows, count]


@pytest.mark.parametrize(("stitch", "pairs"), [("half", 6), ("whole", 7)])
def test_a_band_takes_the_pairs_that_are_printed(stitch, pairs):
    plan = plan_work(strip(stitch, rows=ROWS))
    assert max(replay(plan).hanging) == pairs
    assert len(plan.hangings) == pairs
    assert comings_and_goings(plan) == (0, 0)


@pytest.mark.parametrize(("stitch", "across"), [("half", 5), ("whole", 6)])
def test_a_row_works_the_worker_through_all_others(stitch, across):
    plan = plan_work(strip(stitch, rows=ROWS))
    rows = rows_between_turns(plan)
    assert Counter(rows).most_common(1)[0][0] == across
    assert set(rows[1:-1]) == {across}


@pytest.mark.parametrize("stitch", ["half", "whole"])
def test_every_pin_of_the_band_is_used(stitch):
    assert holes_left_out(plan_work(strip(stitch, rows=ROWS))) == set()


@pytest.mark.parametrize("pitch", [1.0, 2.5, 8.0])
def test_the_count_does_not_depend_on_the_size_of_the_pricking(pitch):
    assert len(plan_work(strip("half", pitch=pitch)).hangings) == 6
    assert len(plan_work(strip("whole", pitch=pitch)).hangings) == 7
