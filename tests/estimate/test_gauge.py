"""Which thread a piece gets."""

from dataclasses import replace

import numpy as np
import pytest

from render.estimate.gauge import choose_gauge
from render.pattern.model import Pattern
from render.pricking.sort import sort_holes


def lattice(step: float) -> Pattern:
    spots = np.array([(c, r) for r in range(8) for c in range(8)], float) * step
    nothing = (None,) * len(spots)
    return Pattern("lattice", spots, nothing, nothing)


def chosen(pattern: Pattern, asked: float | None = None):
    return choose_gauge(pattern, sort_holes(pattern), asked)


def test_what_is_asked_for_goes_first():
    assert chosen(replace(lattice(3), gauge_mm=0.2), 0.4).diameter_mm == 0.4


def test_the_pattern_s_own_thread_goes_before_a_guess():
    assert chosen(replace(lattice(3), gauge_mm=0.2)).diameter_mm == 0.2
    linen = chosen(replace(lattice(3), thread="60/2 NeL"))
    assert 0.2 < linen.diameter_mm < 0.35
    assert "60/2 NeL" in linen.reason


def test_a_finer_pricking_gets_a_finer_thread_and_is_told_why():
    fine, coarse = chosen(lattice(2.8)), chosen(lattice(5.6))
    assert coarse.diameter_mm == pytest.approx(2 * fine.diameter_mm)
    assert "2.8 mm apart" in fine.reason


@pytest.mark.parametrize(("step", "bound"), [(0.5, 0.1), (50, 0.6)])
def test_no_thread_is_chosen_beyond_what_is_sold(step, bound):
    assert chosen(lattice(step)).diameter_mm == bound
