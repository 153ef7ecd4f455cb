"""Follow threads from one repeat into the next."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.plan.numbering import Block
from render.threads.network import Kind, LaidThreads

Indices = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Lengths:
    """The threads of a longer piece, as lengths of those of a few repeats.

    G counts lengths, T threads of the longer piece, V visits, X crossings.

    Attributes
    ----------
    thread
        (G,) the thread of the longer piece each length belongs to; rising, and in its order.
    first, end
        (G,) the first visit of each length among those of the few repeats, and the one after its
        last.
    moves
        (G,) how many blocks it is moved on.
    source, source_moves
        (T,) the thread of the few repeats each thread begins as, and how many blocks moved on.
    over, under
        (X,) the threads of each crossing of the longer piece.
    node, node_moves
        (X,) the node of the few repeats that it is, and how many blocks moved on.
    exits, entries
        Pairs of visits, the first ones after the end and after the beginning of the block, of
        threads that come to lie in each other's places.
    """

    thread: Indices
    first: Indices
    end: Indices
    moves: Indices
    source: Indices
    source_moves: Indices
    over: Indices
    under: Indices
    node: Indices
    node_moves: Indices
    exits: Indices
    entries: Indices


def follow_threads(laid: LaidThreads, block: Block, copies: int) -> Lengths:
    """Follow every thread through a piece in which a block comes again so many times.

    Parameters
    ----------
    laid
        The threads of a few repeats.
    block
        What comes again.
    copies
        How many times more than in `laid`.
    """
    time = _time_of_nodes(laid)
    begin, last = laid.starts[:-1], laid.starts[1:]
    enter, leave = (_cut(laid, time, moment) for moment in (block.first, block.end))
    exits, entries = _joined(laid, time, block, enter, leave)
    owner = laid.thread
    successor = np.full(len(begin), -1)
    successor[owner[exits]] = owner[entries]
    before_end = np.flatnonzero(leave > begin)
    within = np.flatnonzero((enter == begin) & (leave > begin))
    after = np.flatnonzero(leave == begin)
    count = len(before_end)
    here = np.full(len(begin), -1)
    here[before_end] = np.arange(count)
    rows = [(here[before_end], begin[before_end], leave[before_end], np.zeros(count, np.int64))]
    source, source_moves = [before_end], [np.zeros(count, np.int64)]
    owners = [here]
    crossing = np.flatnonzero((leave > begin) & (leave < last))
    for k in range(1, copies + 1):
        now = np.full(len(begin), -1)
        now[successor[crossing]] = here[crossing]
        now[within] = count + np.arange(len(within))
        count += len(within)
        source.append(within)
        source_moves.append(np.full(len(within), k))
        there = np.flatnonzero(now >= 0)
        rows.append((now[there], enter[there], leave[there], np.full(len(there), k)))
        owners.append(now)
        here = now
    tail = np.full(len(begin), -1)
    tail[crossing] = here[crossing]
    tail[after] = count + np.arange(len(after))
    source.append(after)
    source_moves.append(np.full(len(after), copies))
    there = np.flatnonzero(tail >= 0)
    rows.append((tail[there], leave[there], last[there], np.full(len(there), copies)))
    thread, first, end, moves = (np.concatenate(column) for column in zip(*rows, strict=True))
    order = np.argsort(thread, kind="stable")
    over, under, node, node_moves = _crossings(laid, time, block, [*owners, tail])
    return Lengths(
        thread[order],
        first[order],
        end[order],
        moves[order],
        np.concatenate(source),
        np.concatenate(source_moves),
        over,
        under,
        node,
        node_moves,
        exits,
        entries,
    )


def _time_of_nodes(laid: LaidThreads) -> Indices:
    """Return for each node how many stitches are done before it is worked."""
    plan = laid.plan
    leg = np.full(len(plan.twists), len(plan.moves))
    stitch = np.arange(len(plan.moves))
    source = np.full(len(leg), -1)
    source[plan.given.ravel()] = np.repeat(stitch, 2)
    begun = np.zeros(len(leg), np.int64)
    begun[[h.leg for h in plan.hangings]] = [h.before for h in plan.hangings]
    leg[plan.taken.ravel()] = np.repeat(stitch, 2)
    for throwing in plan.throwings:
        # What hangs on to the end of the piece has its end where it was let go.
        on = throwing.end and throwing.after == len(plan.moves)
        given = source[throwing.leg] if source[throwing.leg] >= 0 else begun[throwing.leg]
        leg[throwing.leg] = given if on else throwing.after
    on_leg = np.where(laid.kind == Kind.START, begun[laid.leg], leg[laid.leg])
    return np.asarray(np.where(laid.stitch >= 0, laid.stitch, on_leg), np.int64)


def _cut(laid: LaidThreads, time: Indices, moment: int) -> Indices:
    """Return for each thread its first visit from a moment on."""
    before = np.add.reduceat(time[laid.visits] < moment, laid.starts[:-1], dtype=np.int64)
    return np.asarray(laid.starts[:-1] + before)


def _joined(
    laid: LaidThreads, time: Indices, block: Block, enter: Indices, leave: Indices
) -> tuple[Indices, Indices]:
    """Pair the visits just after the block with those just after its beginning."""
    order = np.lexsort((np.arange(len(time)), time))
    rank = np.empty(len(time), np.int64)
    first = np.searchsorted(time[order], time)
    rank[order] = np.arange(len(time))
    rank -= first
    begin, last = laid.starts[:-1], laid.starts[1:]

    def keys(cut: Indices, moved: int) -> dict[tuple[int, int, bool], int]:
        visits = cut[(cut > begin) & (cut < last)]
        node = laid.visits[visits]
        left = laid.left[node] == laid.thread[visits]
        names = zip((time[node] - moved).tolist(), rank[node].tolist(), left.tolist(), strict=True)
        return dict(zip(names, visits.tolist(), strict=True))

    out, into = keys(leave, block.stitches), keys(enter, 0)
    if out.keys() != into.keys():
        raise ValueError("threads do not run on from one block into the next")
    names = list(out)
    return (
        np.array([out[name] for name in names], np.int64),
        np.array([into[name] for name in names], np.int64),
    )


def _crossings(
    laid: LaidThreads, time: Indices, block: Block, owners: list[Indices]
) -> tuple[Indices, Indices, Indices, Indices]:
    """Name the threads of every crossing: in the head, in each copy, in the tail."""
    crossing = np.flatnonzero(laid.kind == Kind.CROSSING)
    moment = time[crossing]
    within = crossing[(moment >= block.first) & (moment < block.end)]
    parts = [
        crossing[moment < block.end],
        *(within for _ in owners[1:-1]),
        crossing[moment >= block.end],
    ]
    moves = [*range(len(owners) - 1), len(owners) - 2]
    over, under = (
        np.concatenate([owner[who[part]] for owner, part in zip(owners, parts, strict=True)])
        for who in (laid.over, laid.under)
    )
    return (
        over,
        under,
        np.concatenate(parts),
        np.repeat(moves, [len(part) for part in parts]),
    )
