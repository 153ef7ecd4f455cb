"""More twists for the legs of a ground."""

import numpy as np
import pytest

from render.errors import SettingError
from render.estimate.changes import worked_closer
from render.pattern.read import read_pattern
from render.plan.work import plan_work
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.pieces import diamond, lattice, marked, pricked, region, strip


def crossings(plan):
    return np.bincount(lay_threads(plan).kind)[0]


def test_each_leg_of_ground_gets_the_twists_it_is_given():
    """One twist more is one crossing more for every pair between two stitches."""
    plain, twisted = (plan_work(pricked(lattice(7, 9), leg_twists=n)) for n in (0, 2))
    inner = np.intersect1d(plain.given.ravel(), plain.taken.ravel())
    assert plain.moves == twisted.moves
    assert (twisted.twists - plain.twists)[inner].tolist() == [2] * len(inner)
    assert crossings(twisted) - crossings(plain) == 2 * len(inner)


def test_cloth_keeps_the_twists_it_has():
    plain, twisted = (plan_work(diamond(4, leg_twists=n)) for n in (0, 3))
    in_cloth = np.flatnonzero(plain.area >= 0)
    inside = np.intersect1d(plain.given[in_cloth].ravel(), plain.taken[in_cloth].ravel())
    assert (twisted.twists == plain.twists)[inside].all()
    assert (twisted.twists != plain.twists).any()


def test_a_ground_that_is_twisted_more_shows_each_crossing_as_worked():
    plan = plan_work(pricked(lattice(5, 7), leg_twists=2))
    paths = settle(lay_threads(plan), gauge_mm=0.3)
    assert len(paths.tangles) == 0
    assert len(paths.crossings.at) == crossings(plan)


@pytest.mark.parametrize("text", ["1", "x"])
def test_a_pattern_says_how_often_its_legs_are_twisted(tmp_path, text):
    path = tmp_path / "net.svg"
    dots = "".join(f'<circle cx="{x}" cy="{y}" r="0.3"/>' for x, y in lattice(5, 7, 2, 2))
    head = f'width="30mm" height="30mm" viewBox="-5 -5 30 30" data-leg-twists="{text}"'
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{dots}</svg>', "utf-8")
    if text == "1":
        assert read_pattern(path).leg_twists == 1
    else:
        with pytest.raises(SettingError.__mro__[1], match="leg-twists: it is"):
            read_pattern(path)


def test_an_area_worked_closer_takes_more_pairs():
    """Half as close again, half as many passives again (arithmetic)."""
    corners = strip("whole").areas[0].contours[0]
    counted = marked([(0, 0)], [region(corners, "whole", 'region "band"', pairs="8")])
    (closer,) = worked_closer(counted, {"band": 1.5}).regions
    assert closer.options["pairs"] == "12"
    for density in (0.5, 1.0, 2.0):
        plan = plan_work(strip("whole", density=str(density)))
        width, usual = plan.most_pairs - 2, plan_work(strip("whole")).most_pairs - 2
        assert width == pytest.approx(density * usual, abs=1)


def test_a_density_for_nobody_is_refused():
    counted = marked([(0, 0)], [region([(0, 0), (1, 0), (0, 1)], "whole", 'region "band"')])
    with pytest.raises(SettingError, match="the areas are: band"):
        worked_closer(counted, {"bend": 1.5})
    with pytest.raises(SettingError, match=r"density of 99 is not between 0\.1 and 10"):
        worked_closer(counted, {"band": 99.0})


def test_density_where_the_ground_gives_the_pairs_is_said_to_do_nothing():
    pricking = diamond(4)
    options = pricking.areas[0].options
    assert not any("say nothing" in str(r) for r in plan_work(pricking).remarks)
    options["density"] = "2"
    assert any("say nothing" in str(r) for r in plan_work(pricking).remarks)
