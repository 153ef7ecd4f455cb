"""Thread length and weight against closed forms.

Sources: F. T. Peirce, "The geometry of cloth structure", J. Text. Inst. 28 (1937) T45, as restated
by N. Balasubramanian, *Fabric geometry* (jammed square cloth); Th. de Dillmont, *Encyclopedia of
Needlework*, English edition (1886), figs 785 and 787, pp. 482-484 (the strip, measured on the
engraving: row advance 0.632 of the pitch of pairs, five pitches wide; torchon ground, its legs at
45°); ISO 1144 (tex is grams in a kilometre). The printed take-up examples of weaving handbooks are
not checked here.
"""

import numpy as np
import pytest

from render.errors import Place
from render.estimate.winding import grams, tex_of, thread_lengths_mm, wind
from render.pattern.model import Pattern, Region
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.settle import settle
from render.threads.model import Crossings, ThreadPaths
from render.threads.replay import lay_threads
from render.units import diameter_mm, parse_thread

PEIRCE_LENGTH_PER_SPACING = 1.2092
DILLMONT_ADVANCE, DILLMONT_WIDTH = 0.632, 5.0


def lone_thread(points: np.ndarray) -> ThreadPaths:
    one, none = np.zeros(1, np.int64), np.zeros(0, np.int64)
    crossings = Crossings(none, none, np.zeros((0, 2)))
    starts = np.array([0, len(points)], np.int64)
    return ThreadPaths(points, starts, np.full(1, 0.1), one, one, one - 1, crossings)


def worked(pattern: Pattern, gauge_mm: float):
    plan = plan_work(sort_holes(pattern))
    return plan, settle(lay_threads(plan), gauge_mm=gauge_mm, state="pillow")


def test_a_thread_of_jammed_square_cloth_is_longer_than_its_spacing_as_peirce_says():
    """Arcs round the crossing threads, 60° to either side of their tops."""
    angle = np.linspace(-np.pi / 3, np.pi / 3, 401)
    arc = np.column_stack([np.sin(angle), np.zeros(401), np.cos(angle)])
    spacing = 2 * np.sin(np.pi / 3)
    length = thread_lengths_mm(lone_thread(arc))[0]
    assert length / spacing == pytest.approx(PEIRCE_LENGTH_PER_SPACING, abs=5e-5)


@pytest.mark.parametrize("gauge_mm", [0.05, 0.1])
def test_legs_of_torchon_ground_at_45_degrees_take_root_two_of_its_length(gauge_mm):
    """Of ten pairs two hang straight at the edges. The stitches themselves take up 2.5 % at most.

    Forty rows less twenty, so that the ends do not count.
    """
    lengths = []
    for rows in (21, 41):
        spots = [(c, r) for r in range(rows) for c in range(9) if (c + r) % 2 == 0]
        nothing = (None,) * len(spots)
        pattern = Pattern("ground", np.array(spots, float) * 2.5, nothing, nothing)
        lengths.append(thread_lengths_mm(worked(pattern, gauge_mm)[1]).mean())
    expected = (8 * np.sqrt(2) + 2) / 10
    assert 1 < (lengths[1] - lengths[0]) / (20 * 2.5) / expected < 1.025


@pytest.mark.parametrize(("stitch", "pairs"), [("whole", 7), ("half", 6)])
def test_the_worker_of_dillmonts_strip_takes_eight_to_nine_times_its_length(stitch, pairs):
    """Width / row advance + 1 = 8.9, within 3 %: the plus one is the way along the edge."""
    pitch, rows = 2.0, 61
    across, advance = DILLMONT_WIDTH * pitch, DILLMONT_ADVANCE * pitch
    holes = np.array([(across * (k % 2), k * advance) for k in range(rows)])
    outline = np.concatenate([holes[::2], holes[1::2][::-1]])
    nothing = (None,) * rows
    region = Region((outline,), stitch, Place("strip"), {"pairs": str(pairs - 1)})
    plan, paths = worked(Pattern("strip", holes, nothing, nothing, regions=(region,)), 0.02)
    bobbins = wind(plan, paths)
    strip = (rows - 1) * advance
    workers = [bobbin.settled_mm / strip for bobbin in bobbins if bobbin.role == "worker"]
    assert len(bobbins) == 2 * pairs
    assert len(workers) == (2 if stitch == "whole" else 1)
    for times in workers:
        assert 8 < times < 9
        assert times == pytest.approx(DILLMONT_WIDTH / DILLMONT_ADVANCE + 1, rel=0.03)


@pytest.mark.parametrize("count", ["20 tex", "60/2 NeL", "50/2 Ne", "120/2 Nm"])
def test_tex_comes_back_from_the_thickness_it_gave(count):
    tex = parse_thread(count).tex
    assert tex_of(diameter_mm(tex)) == pytest.approx(tex, rel=1e-12)


def test_a_kilometre_of_thirty_tex_weighs_thirty_grams():
    """ISO 1144, the definition."""
    assert grams(1e6, 30) == pytest.approx(30, rel=1e-12)
