"""The plan of a longer piece, from that of a few repeats."""

import re
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.errors import Remark
from render.pattern.repeat import Laid
from render.plan.model import Throwing, WorkingPlan
from render.plan.numbering import OF_HOLES, OF_LEGS, OF_STITCHES, SAME_MM, Block, Numbering
from render.plan.side_by_side import ended_in_order, hangs_on
from render.pricking.model import Pricking

Indices = NDArray[np.int64]


def lay_blocks(
    plan: WorkingPlan, laid: Laid, block: Block, longer: Pricking, longer_laid: Laid
) -> WorkingPlan:
    """Return the plan of a longer piece, with the block worked as often as it takes.

    Parameters
    ----------
    plan, laid
        Of a few repeats.
    block
        Found in it.
    longer, longer_laid
        The pricking of more repeats, by a multiple of those the block takes.
    """
    copies = (longer_laid.times - laid.times) // block.repeats
    numbering = Numbering(plan.pricking, laid, longer, longer_laid, block)
    stitch, on = _again(len(plan.moves), block.first, block.end, copies)
    leg, leg_on = _again(len(plan.twists), block.leg, block.leg_end, copies)
    values: dict[str, Any] = {
        **{name: _moved(plan, name, stitch, on, block, numbering) for name in OF_STITCHES},
        **{name: _moved(plan, name, leg, leg_on, block, numbering) for name in OF_LEGS},
        "moves": tuple(plan.moves[k] for k in stitch.tolist()),
        "technique": tuple(plan.technique[k] for k in stitch.tolist()),
    }
    for name in OF_HOLES:
        values[name] = _at_holes(getattr(plan, name), plan, values, (stitch, leg), longer)
    hung = [h.before for h in plan.hangings]
    number, moves = _again(len(hung), *_bounds(hung, block.first, block.end), copies)
    return ended_in_order(
        replace(
            plan,
            pricking=longer,
            hangings=numbering.hung([plan.hangings[k] for k in number.tolist()], moves),
            throwings=_thrown_again(plan, block, copies, numbering),
            remarks=_said_again(plan, block, copies, longer, numbering),
            **values,
        )
    )


def same_work(one: WorkingPlan, other: WorkingPlan, until: int) -> bool:
    """Tell whether two plans of one piece do the same, stitch by stitch and pair by pair.

    Parameters
    ----------
    one, other
        The plans.
    until
        The stitch before which they are compared. What comes last may be cut off by the end of the
        piece, and is then worked in one of several ways.
    """
    stitches, used = slice(until), one.taken[:until].ravel()
    if min(len(one.moves), len(other.moves)) < until:
        return False
    if one.moves[stitches] != other.moves[stitches]:
        return False
    if one.technique[stitches] != other.technique[stitches]:
        return False
    met = np.concatenate([one.hole[:until], one.turn[used]])
    rows = {
        **dict.fromkeys(OF_STITCHES, stitches),
        **dict.fromkeys(OF_LEGS, used),
        **dict.fromkeys(OF_HOLES, met[met >= 0]),
    }
    arrays = all(
        np.allclose(getattr(one, name)[row], getattr(other, name)[row], rtol=0, atol=SAME_MM)
        for name, row in rows.items()
    )
    hung, thrown = (
        ([replace(h, at=(0.0, 0.0)) for h in p.hangings if h.before < until] for p in (one, other)),
        ([(t.leg, t.area) for t in p.throwings if t.after < until] for p in (one, other)),
    )
    return arrays and all(first == second for first, second in (hung, thrown))


def _again(count: int, first: int, end: int, copies: int) -> tuple[Indices, Indices]:
    """Return what a row becomes when some of it comes again, and by how many steps each is on."""
    middle = np.arange(first, end)
    source = np.concatenate([np.arange(end), np.tile(middle, copies), np.arange(end, count)])
    copy = np.repeat(np.arange(1, copies + 1), len(middle))
    on = np.concatenate([np.zeros(end, np.int64), copy, np.full(count - end, copies)])
    return source, on


def _bounds(moments: list[int], first: int, end: int) -> tuple[int, int]:
    """Return how many of a rising row come before two moments."""
    return sum(moment < first for moment in moments), sum(moment < end for moment in moments)


def _moved(
    plan: WorkingPlan, name: str, source: Indices, on: Indices, block: Block, numbering: Numbering
) -> NDArray[Any]:
    """Return a column of the longer plan."""
    column = getattr(plan, name)[source]
    if name == "at":
        return np.asarray(column + numbering.shift(on))
    if name in ("taken", "given"):
        return np.asarray(column + on[:, None] * block.legs)
    return numbering.renumber(name, column, on)


def _at_holes(
    column: NDArray[Any],
    plan: WorkingPlan,
    values: dict[str, Any],
    sources: tuple[Indices, Indices],
    longer: Pricking,
) -> NDArray[Any]:
    """Return a column of the holes: of each what the hole has that is worked like it."""
    old = np.concatenate([plan.hole[sources[0]], plan.turn[sources[1]]])
    new = np.concatenate([values["hole"], values["turn"]])
    used = old >= 0
    numbers, first = np.unique(new[used], return_index=True)
    nearest = np.asarray(cKDTree(longer.holes[numbers]).query(longer.holes)[1])
    return np.asarray(column[old[used][first[nearest]]])


def _thrown_again(
    plan: WorkingPlan, block: Block, copies: int, numbering: Numbering
) -> tuple[Throwing, ...]:
    def again(those: list[Throwing], first: int, end: int) -> tuple[Throwing, ...]:
        number, on = _again(len(those), first, end, copies)
        return numbering.thrown([those[k] for k in number.tolist()], on)

    on_the_way = [t for t in plan.throwings if not hangs_on(plan, t)]
    at_last = sorted((t for t in plan.throwings if hangs_on(plan, t)), key=lambda t: t.leg)
    thrown = again(on_the_way, *_bounds([t.after for t in on_the_way], block.first, block.end))
    ended = again(at_last, *_bounds([t.leg for t in at_last], block.leg, block.leg_end))
    last = len(plan.moves) + copies * block.stitches
    return (*thrown, *(replace(t, after=last) for t in ended))


def _said_again(
    plan: WorkingPlan, block: Block, copies: int, longer: Pricking, numbering: Numbering
) -> tuple[Remark, ...]:
    """Say of each repeat what was said of the one that comes again, and the rest once."""
    said = plan.remarks[len(plan.pricking.remarks) :]
    placed = [(r, r.place.x_mm, r.place.y_mm) for r in said if r.place and r.place.x_mm is not None]
    general = [r for r in said if not r.place or r.place.x_mm is None]
    if not placed:
        return (*longer.remarks, *general)
    spots = np.array([spot for _, *spot in placed], float)
    moment = np.asarray(cKDTree(plan.at).query(spots)[1])
    order = np.argsort(moment, kind="stable")
    bounds = _bounds(moment[order].tolist(), block.first, block.end)
    number, on = _again(len(placed), *bounds, copies)
    number = order[number]
    hole = np.asarray(cKDTree(longer.holes).query(spots[number] + numbering.shift(on))[1])
    again = [
        replace(
            placed[k][0],
            message=_renamed(placed[k][0].message, n, numbering),
            place=longer.place(h),
        )
        for k, n, h in zip(number.tolist(), on.tolist(), hole.tolist(), strict=True)
    ]
    return (*longer.remarks, *general, *again)


def _renamed(message: str, moves: int, numbering: Numbering) -> str:
    """Name the holes a message speaks of by their numbers in the longer piece."""

    def names(match: re.Match[str]) -> str:
        old = np.array([int(n) - 1 for n in match[1].split(", ")])
        new = numbering.renumber("hole", old, np.full(len(old), moves))
        return "hole " + ", ".join(str(n + 1) for n in new.tolist())

    return re.sub(r"hole (\d+(?:, \d+)*)", names, message)
