"""Judge a working plan without the planner: work it again on a plain list of pairs.

Shares no code with `render.plan`; it reads the plan's record and nothing else.
"""

import re
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Replay:
    """What a replay of a plan found.

    Attributes
    ----------
    standing
        For each stitch where its left pair stood, counted from 1 at the left.
    hanging
        For each stitch how many pairs hung on the pillow while it was worked.
    needed
        For each stitch the stitches that have to come before it, as the bits of an integer.
    """

    standing: tuple[int, ...]
    hanging: tuple[int, ...]
    needed: tuple[int, ...]


def replay(plan):
    """Work a plan stitch by stitch.

    Raises
    ------
    AssertionError
        Where two pairs meet that do not hang side by side, a pair is used that is not there, or
        one is left hanging.
    """
    row, made_by = [], {}
    hangings, throwings = list(plan.hangings), list(plan.throwings)
    standing, hanging, needed = [], [], []
    for number in range(len(plan.moves) + 1):
        _come_and_go(row, number, hangings, throwings)
        if number == len(plan.moves):
            break
        left, right = (int(leg) for leg in plan.taken[number])
        assert left in row, f"stitch {number} takes pair {left}, which does not hang"
        place = row.index(left)
        assert row[place + 1 : place + 2] == [right], f"stitch {number}: its pairs hang apart"
        standing.append(place + 1)
        hanging.append(len(row))
        before = [made_by[leg] for leg in (left, right) if leg in made_by]
        needed.append(_union(needed, before))
        given = [int(leg) for leg in plan.given[number]]
        assert len(set(given) | set(made_by) | set(row)) == len(set(made_by) | set(row)) + 2
        made_by |= dict.fromkeys(given, number)
        row[place : place + 2] = given
    assert row == [], f"{len(row)} pairs are left hanging"
    assert not hangings, "a pair is hung after the last stitch or out of order"
    assert not throwings, "a pair is thrown out after the last stitch or out of order"
    return Replay(tuple(standing), tuple(hanging), tuple(needed))


def _come_and_go(row, number, hangings, throwings):
    """Hang and throw out what is declared before a stitch.

    To hang first is right in whatever order it was done: what is thrown out later still stands
    for the place where it hung.
    """
    while hangings and hangings[0].before == number:
        hung = hangings.pop(0)
        assert hung.leg not in row, f"pair {hung.leg} is hung twice"
        assert hung.beside == -1 or hung.beside in row, f"nothing hangs at {hung.beside}"
        row.insert(0 if hung.beside == -1 else row.index(hung.beside) + 1, hung.leg)
    while throwings and throwings[0].after == number:
        thrown = throwings.pop(0).leg
        assert thrown in row, f"pair {thrown} is thrown out but does not hang"
        row.remove(thrown)


def _union(needed, before):
    found = 0
    for stitch in before:
        found |= needed[stitch] | 1 << stitch
    return found


def stitches_at(plan, hole):
    """Return the numbers of the stitches worked at the pin of a hole."""
    return [k for k, h in enumerate(plan.hole.tolist()) if h == hole]


def comes_before(found, first, second):
    """Tell whether a stitch has to be worked before another."""
    return bool(found.needed[second] >> first & 1)


def pairs_standing(plan, found, hole):
    """Return the pairs a hole is worked with, counted from 1 at the left."""
    (stitch,) = stitches_at(plan, hole)
    return found.standing[stitch], found.standing[stitch] + 1


def holes_with_a_pin(plan):
    """Return the holes that hold a pin: of a stitch, of a turn or of a pair's start."""
    used = {*plan.hole.tolist(), *plan.turn.tolist(), *(h.hole for h in plan.hangings)}
    return {int(hole) for hole in used if hole >= 0}


def holes_left_out(plan):
    """Return the holes without a pin."""
    return set(range(len(plan.pricking.holes))) - holes_with_a_pin(plan)


def holes_remarked_on(plan):
    """Return the holes that some remark names."""
    items = [r.place.item for r in plan.remarks if r.place is not None]
    return {int(item.removeprefix("hole ")) - 1 for item in items if item.startswith("hole ")}


def holes_unexplained(plan):
    """Return the holes without a pin or a remark; what lies inside an open area is not worked."""
    open_areas = [k for k, a in enumerate(plan.pricking.areas) if a.stitch == "open"]
    open_holes = set(np.flatnonzero(np.isin(plan.pricking.interior, open_areas)).tolist())
    return holes_left_out(plan) - open_holes - holes_remarked_on(plan)


def lines_worked(plan):
    """Return the numbers of the lines along which something is worked."""
    return {int(run) for run in plan.run if run >= 0}


def lines_left_out(plan):
    """Return the numbers of the lines that some remark says are left out, at least in part."""
    told = {r.place for r in plan.remarks if r.place is not None and "left out" in r.message}
    return {k for k, run in enumerate(plan.pricking.runs) if run.place in told}


def comings_and_goings(plan):
    """Count the pairs hung in on the way and those thrown out on the way."""
    hung = sum(not h.start for h in plan.hangings)
    return hung, sum(not t.end for t in plan.throwings)


NUMBERS = {"a": 1, "one": 1, "two": 2}


def told_to_come_and_go(plan):
    """Count the pairs that the messages of a plan say are hung in and thrown out."""
    told = [r.message for r in plan.remarks if r.kind == "change"]
    return tuple(sum(_number_told(message, what) for message in told)
                 for what in ("hung in", "thrown out"))  # fmt: skip


def _number_told(message, what):
    if what not in message:
        return 0
    found = re.search(rf"(\d+|\ba|\bone|\btwo)(?: pairs?)?(?: is| are)? {what}", message)
    found = found or re.search(r"(\d+) pairs", message)
    return NUMBERS.get(found[1]) or int(found[1]) if found else 1


def legs_across(plan, level):
    """Count the pairs that run over a level of the pillow, in mm along the working direction.

    Those that run back over it count against those that run down: a worker that goes to and fro
    over the level is still one pair.
    """
    down = plan.pricking.down
    begin, end = {}, {}
    for hung in plan.hangings:
        begin[hung.leg] = hung.at @ down
    for stitch, depth in enumerate((plan.at @ down).tolist()):
        begin |= dict.fromkeys(plan.given[stitch].tolist(), depth)
        end |= dict.fromkeys(plan.taken[stitch].tolist(), depth)
    last = float("inf")
    above = {leg: (begin[leg] < level, end.get(leg, last) < level) for leg in begin}
    return sum(a and not b for a, b in above.values()) - sum(b and not a for a, b in above.values())
