"""A piece that repeats: a few repeats are worked and settled, the rest is laid from them."""

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.pattern.model import Pattern
from render.pattern.repeat import Laid, lay_again, step_of
from render.plan.block import find_block, lie_beside
from render.plan.longer import lay_blocks, same_work
from render.plan.model import WorkingPlan
from render.plan.numbering import Block, Numbering
from render.plan.seams import look_at_seams
from render.pricking.model import Pricking
from render.pricking.sort import sort_holes
from render.settle.repeat import lay_settled, seam_gaps
from render.threads.model import ThreadPaths
from render.threads.network import LaidThreads
from render.threads.repeat import follow_threads
from render.threads.replay import lay_threads

Planner = Callable[[Pricking], WorkingPlan]
Settler = Callable[[LaidThreads], tuple[ThreadPaths, NDArray[np.int64]]]

# So many repeats are worked through; more where the middle ones are not alike yet.
WORKED_THROUGH = (6, 8, 10, 13)
# Work may come again with every repeat or with every second one.
PERIODS = (1, 2)
# Settled repeats fit each other when their threads meet this closely: a fortieth of the dots of a
# picture at 600 dpi.
FITS_MM = 1e-3


def work_repeats(
    part: Pattern, laid: Laid, pricking: Pricking, plan: Planner, settle: Settler
) -> tuple[WorkingPlan, ThreadPaths]:
    """Work a piece of many repeats at the cost of a few, and look at its seams.

    Parameters
    ----------
    part
        The pattern of one repeat.
    laid, pricking
        All of the piece.
    plan, settle
        How a pricking is planned, and how threads settle: with the visit of each of their points.

    Returns
    -------
    The plan and the settled threads of the whole piece. Where its repeats are not alike all of it
    is worked through. The last remarks of the plan, of the kind ``repeat``, say why, and where
    repeats do not fit each other.
    """
    planned, paths = _work_repeats(part, laid, pricking, plan, settle)
    seams = look_at_seams(part, laid, planned)
    return replace(planned, remarks=(*planned.remarks, *seams)), paths


def _work_repeats(
    part: Pattern, laid: Laid, pricking: Pricking, plan: Planner, settle: Settler
) -> tuple[WorkingPlan, ThreadPaths]:
    if laid.times <= WORKED_THROUGH[0]:
        return _all_through(pricking, plan, settle)
    why = None
    if lie_beside(pricking, step_of(part)):
        why = Remark("repeats lie side by side, so that each takes pairs of its own", kind="repeat")
        return _all_through(pricking, plan, settle, why)
    for times, period in _attempts(laid.times):
        few = lay_again(part, times)
        planned = plan(sort_holes(few.pattern))
        if planned.gimps:
            why = Remark("a gimp runs through them", kind="repeat")
            break
        block = find_block(planned, few, period)
        if isinstance(block, Remark):
            why = why or block
            continue
        if not _goes_on(part, planned, few, block, plan):
            why = why or Remark("one more is worked otherwise than those before", kind="repeat")
            continue
        worked = _lay_from(planned, few, block, laid, pricking, settle)
        if worked is not None:
            return worked
        why = why or Remark("threads do not settle alike in all repeats", kind="repeat")
    return _all_through(pricking, plan, settle, why)


def _attempts(times: int) -> Iterator[tuple[int, int]]:
    """Yield how many repeats to work through, and how many of them may come again together."""
    for fewest in WORKED_THROUGH:
        for period in PERIODS:
            few = fewest + (times - fewest) % period
            if few < times:
                yield few, period


def _all_through(
    pricking: Pricking, plan: Planner, settle: Settler, why: Remark | None = None
) -> tuple[WorkingPlan, ThreadPaths]:
    planned = plan(pricking)
    if why is not None:
        told = replace(why, message=f"every repeat is worked by itself, as {why.message}")
        planned = replace(planned, remarks=(*planned.remarks, told))
    return planned, settle(lay_threads(planned))[0]


def _goes_on(part: Pattern, planned: WorkingPlan, few: Laid, block: Block, plan: Planner) -> bool:
    """Tell whether a piece longer by one block is worked as the block says."""
    more = lay_again(part, few.times + block.repeats)
    pricking = sort_holes(more.pattern)
    until = block.end + block.stitches
    return same_work(lay_blocks(planned, few, block, pricking, more), plan(pricking), until)


def _lay_from(
    planned: WorkingPlan,
    few: Laid,
    block: Block,
    laid: Laid,
    pricking: Pricking,
    settle: Settler,
) -> tuple[WorkingPlan, ThreadPaths] | None:
    """Settle a few repeats and lay the block again; None where its ends do not fit each other."""
    threads = lay_threads(planned)
    paths, visit = settle(threads)
    lengths = follow_threads(threads, block, (laid.times - few.times) // block.repeats)
    if np.abs(seam_gaps(paths, visit, lengths, block)).max(initial=0) > FITS_MM:
        return None
    longer = lay_blocks(planned, few, block, pricking, laid)
    base = Numbering(planned.pricking, few, pricking, laid, block).base
    return longer, lay_settled(threads, paths, visit, lengths, block, base, longer)
