"""What of a plan comes again with every repeat."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from render.errors import Place, Remark
from render.pattern.repeat import Laid
from render.plan.model import Hanging, Throwing, WorkingPlan
from render.plan.numbering import (
    OF_HOLES,
    OF_LEGS,
    OF_STITCHES,
    SAME_MM,
    Block,
    Numbering,
    check_columns,
    forward,
)
from render.plan.side_by_side import hanging_at, hangs_on
from render.pricking.model import Pricking

Numbers = NDArray[Any]
Points = NDArray[np.float64]
Chosen = NDArray[np.bool_]
Spot = tuple[float, float]

# Repeats that go less than this share of their step along the work lie beside each other.
ALONG = 0.1


def lie_beside(pricking: Pricking, step: tuple[float, float]) -> bool:
    """Tell whether repeats lie beside each other, so that each adds pairs."""
    return bool(abs(np.array(step) @ pricking.down) < ALONG * np.hypot(*step))


def find_block(plan: WorkingPlan, laid: Laid, repeats: int = 1) -> Block | Remark:
    """Find in a plan of several repeats what comes again and again.

    Parameters
    ----------
    plan
        Of `laid`.
    laid
        A few repeats.
    repeats
        How many of them the block is to take.

    Returns
    -------
    The block, far from both ends: it equals what follows it stitch by stitch and pair by pair. Or,
    where there is none, what keeps the repeats from being alike, and where.
    """
    check_columns(plan)
    if plan.sewings:
        return Remark(
            "trails are sewn together here: its repeats are worked one by one",
            plan.pricking.place(plan.sewings[0].hole),
            "repeat",
        )
    step = repeats * forward(plan.pricking, laid)[0]
    centre = len(plan.moves) // 2
    again = _same_place(plan, centre, step)
    if again < 0:
        return _unlike(plan, centre, "no stitch of the next repeat is like the one here")
    legs = int(plan.given[again, 0] - plan.given[centre, 0])
    block = Block(0, again - centre, 0, legs, repeats, step)
    following = Numbering(plan.pricking, laid, plan.pricking, laid, block)
    begin, end = _longest(_alike(plan, block, following))
    first = min((begin + end) // 2, end - block.stitches)
    if first < max(begin, 1):
        odd = min(end, len(plan.moves) - 1)
        return _unlike(plan, odd, "what is worked here is worked otherwise in the next repeat")
    block = replace(block, first=first, leg=int(plan.given[first - 1, 1]) + 1)
    if not _comes_again(plan, block, following):
        return _unlike(plan, first, "other pairs come and go from here on than in the next repeat")
    return block


def _unlike(plan: WorkingPlan, stitch: int, what: str) -> Remark:
    x, y = plan.at[stitch].tolist()
    return Remark(what, Place("the work", x, y), "repeat")


def _same_place(plan: WorkingPlan, stitch: int, step: Points) -> int:
    """Return the stitch that is worked one step further on, -1 for none."""
    here = np.flatnonzero(np.hypot(*(plan.at - plan.at[stitch]).T) <= SAME_MM)
    there = np.flatnonzero(np.hypot(*(plan.at - plan.at[stitch] - step).T) <= SAME_MM)
    # Of several at one place the one worked as late after the first.
    rank = here.tolist().index(stitch)
    return int(there[rank]) if rank < len(there) and there[rank] > stitch else -1


def _alike(plan: WorkingPlan, block: Block, following: Numbering) -> Chosen:
    """Tell for each stitch whether the one so many later is the same, a step further on."""
    count = max(len(plan.moves) - block.stitches, 0)
    here, there = slice(0, count), slice(block.stitches, block.stitches + count)
    words = np.array([f"{m} {t}" for m, t in zip(plan.moves, plan.technique, strict=True)])
    alike = words[here] == words[there]
    for name in OF_STITCHES:
        column = getattr(plan, name)
        alike &= _match(name, column[here], column[there], block, following)
    given = np.minimum(plan.given[here], len(plan.twists) - 1 - block.legs)
    for name in OF_LEGS:
        column = getattr(plan, name)
        for leg in given.T:
            alike &= _match(name, column[leg], column[leg + block.legs], block, following)
    for name in OF_HOLES:
        column = getattr(plan, name)[plan.hole]
        same = _match(name, column[here], column[there], block, following)
        alike &= same | (plan.hole[here] < 0)
    return np.asarray(alike)


def _match(name: str, old: Numbers, new: Numbers, block: Block, following: Numbering) -> Chosen:
    """Tell which entries of a column are the same, a step further on."""
    if name == "at":
        old = old + block.step
    elif name in ("taken", "given"):
        old = old + block.legs
    else:
        old = following.renumber(name, old, np.ones(len(old), np.int64))
    same = np.abs(new - old) <= SAME_MM
    return np.asarray(same.reshape(len(same), -1).all(axis=1))


def _longest(alike: Chosen) -> tuple[int, int]:
    """Return the longest row of true values, as its beginning and end."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], alike.astype(np.int64), [0]])))
    if not len(edges):
        return 0, 0
    begin, end = edges[::2], edges[1::2]
    best = int(np.argmax(end - begin))
    return int(begin[best]), int(end[best])


def _comes_again(plan: WorkingPlan, block: Block, following: Numbering) -> bool:
    """Tell whether pairs hang at the end of a block as at its beginning, and come and go alike."""
    if block.end + block.stitches > len(plan.moves):
        return False
    loose = {t.leg for t in plan.throwings if hangs_on(plan, t)}
    before, after = (
        [leg for leg in hanging_at(plan, moment) if leg not in loose]
        for moment in (block.first, block.end)
    )
    if [leg + block.legs for leg in before] != after:
        return False
    for name in OF_LEGS:
        column = getattr(plan, name)
        one, other = (column[k : k + block.legs] for k in (block.leg, block.leg + block.legs))
        if not _match(name, one, other, block, following).all():
            return False
    next_one = replace(block, first=block.end, leg=block.leg_end)
    hung, thrown = _hung_in(plan, block), _thrown_in(plan, block)
    moved_hung = following.hung(hung, np.ones(len(hung), np.int64))
    moved_thrown = following.thrown(thrown, np.ones(len(thrown), np.int64))
    return _same_hung(moved_hung, _hung_in(plan, next_one)) and _same_thrown(
        plan, moved_thrown, _thrown_in(plan, next_one)
    )


def _hung_in(plan: WorkingPlan, block: Block) -> list[Hanging]:
    return [h for h in plan.hangings if block.first <= h.before < block.end]


def _thrown_in(plan: WorkingPlan, block: Block) -> list[Throwing]:
    """Return what leaves in a block, and what is left to hang there to the end of the piece."""
    thrown = [
        t
        for t in plan.throwings
        if (
            block.leg <= t.leg < block.leg_end
            if hangs_on(plan, t)
            else block.first <= t.after < block.end
        )
    ]
    return sorted(thrown, key=lambda t: (hangs_on(plan, t), t.leg))


def _same_hung(one: Sequence[Hanging], other: Sequence[Hanging]) -> bool:
    bare = [[replace(h, at=(0.0, 0.0)) for h in those] for those in (one, other)]
    return bare[0] == bare[1] and _near([h.at for h in one], [h.at for h in other])


def _same_thrown(plan: WorkingPlan, one: Sequence[Throwing], other: Sequence[Throwing]) -> bool:
    last = len(plan.moves)
    bare = [
        [
            replace(t, after=min(t.after, last), toward=(0.0, 0.0), sewn=t.sewn and (0.0, 0.0))
            for t in those
        ]
        for those in (one, other)
    ]
    places, ways = (
        [[t.sewn or (0.0, 0.0) for t in those] for those in (one, other)],
        [[t.toward for t in those] for those in (one, other)],
    )
    return bare[0] == bare[1] and _near(*places) and _near(*ways)


def _near(one: Sequence[Spot], other: Sequence[Spot]) -> bool:
    return np.allclose(np.array(one), np.array(other), rtol=0, atol=SAME_MM)
