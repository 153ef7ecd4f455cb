"""The thread that suits, and how far another one is off."""

import re

import numpy as np
import pytest

from render.estimate.suitability import GOOD_CLOTH, judge_thread, propose_mm
from render.estimate.suiting import AUTO, gauge_for
from render.estimate.understanding import understand
from render.plan.work import plan_work
from tests.pieces import diamond, lattice, marked, pricked, region, strip


def plan_of_cloth():
    return plan_work(strip("whole"))


def test_the_proposed_thread_covers_cloth_as_it_should():
    """Worked out anew: two threads by two to a stitch; Peirce's jammed cloth has p / D = 0.866.

    How well cloth is to be covered on a pillow is common practice, no source.
    """
    plan = plan_of_cloth()
    x, y = plan.pricking.areas[0].contours[0].T
    size = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
    jammed = np.sqrt(size / len(plan.moves)) / 2 * 0.5 / 0.866
    assert propose_mm(plan)[0] == pytest.approx(min(GOOD_CLOTH * jammed, 0.6), rel=2e-3)


def test_ground_bounds_what_cloth_asks_for():
    plan = plan_work(diamond(4))
    proposed, reason = propose_mm(plan)
    assert judge_thread(plan, proposed).verdict == "suits"
    assert "whole stitch" in reason


def test_without_cloth_the_holes_decide():
    """14 threads from hole to hole, common practice, no source."""
    plan = plan_work(pricked(lattice(9, 9)))
    assert propose_mm(plan)[0] == pytest.approx(5 * np.sqrt(2) / 14, rel=0.01)


@pytest.mark.parametrize("word", ["thick", "thin"])
@pytest.mark.parametrize("work", [plan_of_cloth, lambda: plan_work(diamond(4))])
def test_taking_off_what_is_said_makes_the_thread_suit(work, word):
    """What is said is rounded to 5 %, so the thread may still be off by half of that."""
    plan = work()
    thin, thick = judge_thread(plan, 0.3).best_mm
    asked = 1.3 * thick if word == "thick" else 0.6 * thin
    said = judge_thread(plan, asked).in_short
    part, found = re.fullmatch(r"about (\d+) % too (\w+): the \w+ will .+", said).groups()
    assert found == word
    mended = asked / (1 + int(part) / 100 if word == "thick" else 1 - int(part) / 100)
    assert thin / 1.05 <= mended <= thick * 1.05


def test_auto_goes_before_the_pattern_s_own_thread(tmp_path):
    path = tmp_path / "net.svg"
    dots = "".join(f'<circle cx="{x}" cy="{y}" r="0.3"/>' for x, y in lattice(7, 9, 2, 2))
    head = 'width="30mm" height="30mm" viewBox="-5 -5 30 30" data-gauge-mm="0.5"'
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{dots}</svg>', "utf-8")
    own, auto = (understand(path, gauge_mm=asked).understood[-2:] for asked in (None, AUTO))
    assert own[0] == "thread 0.50 mm (the pattern's own)"
    assert "too thick: the ground will crowd" in own[1]
    assert "proposed" in auto[0]
    assert "suits (" in auto[1]


def test_closer_cloth_is_given_a_finer_thread():
    holes = [((k % 2) * 20, k * 2.5) for k in range(24)]
    area = region([(0, 0), (20, 2.5), (20, 57.5), (0, 55)], "whole")
    usual, close = (
        gauge_for(marked(holes, [area]), pricked(holes, [area]), AUTO, density=density)
        for density in (1.0, 1.5)
    )
    assert close.diameter_mm < usual.diameter_mm
