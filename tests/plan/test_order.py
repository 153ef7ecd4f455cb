"""The order of holes keeps to what must come first, and cuts a ring of waiting holes once."""

import numpy as np
import pytest

from render.plan.order import Event, in_order


def events(keys):
    return [Event(n, (), key) for n, key in enumerate(keys)]


def by_lot(seed, count=40):
    """Return events and pairs (a, b) that can be kept: a ranks before b."""
    lot = np.random.default_rng(seed)
    rank = lot.permutation(count)
    keys = [tuple(map(float, key)) for key in lot.integers(0, 6, (count, 2))]
    pairs = [tuple(sorted(pair, key=lambda n: rank[n])) for pair in lot.integers(0, count, (90, 2))]
    return events(keys), [(int(a), int(b)) for a, b in pairs if a != b]


@pytest.mark.parametrize("seed", range(20))
def test_everything_comes_once_and_after_what_it_waits_for(seed):
    made, before = by_lot(seed)
    order = list(in_order(made, before, ()))
    place = {number: k for k, (number, _) in enumerate(order)}
    assert len(place) == len(order) == len(made)
    assert all(place[a] < place[b] for a, b in before)
    assert not any(unmet for _, unmet in order)


@pytest.mark.parametrize("seed", range(20))
def test_of_what_is_ready_the_first_along_the_work_comes_first(seed):
    made, before = by_lot(seed)
    waiting = {n: {a for a, b in before if b == n} for n in range(len(made))}
    done = set()
    for number, _ in in_order(made, before, ()):
        ready = [n for n in waiting if n not in done and waiting[n] <= done]
        assert made[number].key == min(made[n].key for n in ready)
        done.add(number)


def test_a_ring_is_cut_at_one_place_that_is_told():
    made = events([(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)])
    order = list(in_order(made, [(0, 1), (1, 2), (2, 3)], [(3, 1)]))
    assert [n for n, _ in order] == [0, 1, 2, 3]
    assert [set(unmet) for _, unmet in order] == [set(), {3}, set(), set()]


def test_what_is_firm_is_never_cut():
    """Of two that wait for each other the one waits firmly: the other goes first."""
    made = events([(0.0, 0.0), (1.0, 0.0)])
    assert [n for n, _ in in_order(made, [(1, 0)], [(0, 1)])] == [1, 0]


def test_nothing_waits_for_itself():
    assert list(in_order(events([(0.0, 0.0)]), (), [(0, 0)])) == [(0, frozenset())]
