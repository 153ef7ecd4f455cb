"""Every demo pattern states what a maker can count on it; the work must come to the same."""

import re
import subprocess
import sys
from collections import Counter
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from render import STATES, Wishes, plan_file, preview, work
from tests.whole.verifier import meetings

DEMO = Path(__file__).parents[2] / "demo_patterns"
PATTERNS = sorted(path.name for path in DEMO.glob("*.svg"))
COARSE = Wishes(dpi=60)


def facts(name: str) -> dict[str, str]:
    """Return the facts at the head of a demo pattern."""
    head = re.search(r"<!--\n(.*?)-->", (DEMO / name).read_text("utf-8"), re.DOTALL)
    assert head is not None, f"{name} states no facts"
    pairs = [line.split(": ", 1) for line in head[1].strip().splitlines()]
    return {key: value for key, value in pairs}


def stitches(text: str) -> dict[str, int]:
    return {
        word: int(number) for word, number in (part.split() for part in text.split(", ") if part)
    }


def passed_by_gimps(plan):
    """Return how many pairs each gimp passes, by the name of its line."""
    passed = Counter()
    for gimp in plan.gimps:
        item = plan.pricking.runs[gimp.run].place.item
        passed[item.removeprefix('line "').removesuffix('"')] += len(gimp.passings)
    return passed


@lru_cache
def planned(name):
    return plan_file(DEMO / name)


@lru_cache
def settled(name, state):
    return work(DEMO / name, Wishes(state=state))


def partners_by_replay(plan):
    """Replay a plan on a plain list of legs; return the pair that each leg belongs to.

    Judges the plan without the planner: whatever meets must hang side by side.
    """
    row: list[int] = []
    hangings, throwings = list(plan.hangings), list(plan.throwings)
    for number in range(len(plan.moves) + 1):
        row = _pairs_come_and_go(row, number, hangings, throwings)
        if number < len(plan.moves):
            left, right = plan.taken[number].tolist()
            place = row.index(left)
            assert row[place + 1] == right, f"stitch {number} takes pairs that hang apart"
            row[place : place + 2] = plan.given[number].tolist()
    return row


def _pairs_come_and_go(row, number, hangings, throwings):
    while throwings and throwings[0].after == number:
        row.remove(throwings.pop(0).leg)
    while hangings and hangings[0].before == number:
        hung = hangings.pop(0)
        row.insert(row.index(hung.beside) + 1 if hung.beside >= 0 else 0, hung.leg)
    return row


@pytest.mark.parametrize("name", PATTERNS)
def test_the_facts_at_its_head_hold(name):
    told, plan = facts(name), planned(name)
    assert len(plan.pricking.holes) == int(told["holes"])
    assert len(plan.hangings) == int(told["pairs"])
    assert Counter(plan.technique) == stitches(told["stitches"])
    assert passed_by_gimps(plan) == stitches(told.get("gimps", ""))


@pytest.mark.parametrize("name", [name for name in PATTERNS if "each repeat" in facts(name)])
@pytest.mark.parametrize("times", [2, 9])
def test_every_repeat_takes_what_its_head_says(name, times):
    told = facts(name)
    plan = work(DEMO / name, Wishes(repeats=times)).plan
    assert len(plan.pricking.holes) == times * int(told["holes"])
    assert len(plan.hangings) == int(told["pairs"])
    more = {stitch: (times - 1) * n for stitch, n in stitches(told["each repeat"]).items()}
    assert Counter(plan.technique) == Counter(stitches(told["stitches"])) + Counter(more)


@pytest.mark.parametrize("name", PATTERNS)
def test_only_neighbours_meet_and_no_pair_is_lost(name):
    plan = planned(name)
    left_over = partners_by_replay(plan)
    assert left_over == []
    assert len(plan.throwings) == len(plan.hangings)


@pytest.mark.parametrize("name", PATTERNS)
def test_every_hole_holds_a_pin(name):
    plan = planned(name)
    used = {int(h) for h in (*plan.hole, *plan.turn, *(h.hole for h in plan.hangings)) if h >= 0}
    assert used == set(range(len(plan.pricking.holes)))


@pytest.mark.parametrize("name", PATTERNS)
def test_every_pair_has_two_threads_that_cross_as_often_as_its_stitches_say(name):
    """A cross crosses two threads; a twist crosses those of both pairs, two crossings.

    A pair that passes another crosses four times, the weaver of a leaf three times a row. A gimp
    crosses both threads of each pair it passes.
    """
    worked = settled(name, STATES[0])
    plan, paths = worked.plan, worked.paths
    assert (np.bincount(paths.pair[paths.pair >= 0]) == 2).all()
    letters = Counter("".join(plan.moves))
    times = {"C": 1, "T": 2, "L": 4, "R": 4, "W": 3, "B": 3}
    least = sum(times[letter] * n for letter, n in letters.items()) + int(plan.twists.sum())
    assert len(paths.crossings.at) == least + 2 * passed_by_gimps(plan).total()


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("name", PATTERNS)
def test_threads_cross_where_the_plan_says_and_nowhere_else(name, state):
    """As seen from above, by GEOS and not by render."""
    paths = settled(name, state).paths
    listed = np.sort(np.column_stack([paths.crossings.over, paths.crossings.under]), axis=1)
    assert meetings(paths).threads == Counter(map(tuple, listed.tolist()))


@pytest.mark.parametrize("name", PATTERNS)
def test_settled_threads_stay_within_the_piece(name):
    worked = settled(name, STATES[0])
    holes, reach = worked.plan.pricking.holes, 8.0
    points = worked.paths.points
    assert np.isfinite(points).all()
    assert (points[:, :2] > holes.min(axis=0) - reach).all()
    assert (points[:, :2] < holes.max(axis=0) + reach).all()


@pytest.mark.parametrize("name", PATTERNS)
def test_its_picture_shows_lace(name, tmp_path):
    made = preview(DEMO / name, tmp_path / "lace.png", COARSE)
    with Image.open(made.path) as image:
        pixels = np.asarray(image.convert("L"), float)
        assert image.info["dpi"] == pytest.approx((60, 60), abs=0.1)
    assert pixels.shape == (made.height, made.width)
    assert pixels.std() > 10, "nothing is to be seen"


def test_the_drawings_are_those_of_the_script(tmp_path):
    for script in DEMO.glob("*.py"):
        (tmp_path / script.name).write_bytes(script.read_bytes())
    subprocess.run([sys.executable, str(tmp_path / "draw.py")], check=True)
    for path in sorted(tmp_path.glob("*.svg")):
        assert path.read_bytes() == (DEMO / path.name).read_bytes()
