"""Replay a working plan, thread by thread."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.plan.gimp_map import crossings_on
from render.plan.model import ROLES, Passing, WorkingPlan
from render.plan.stitches import MOVES, trailing_twists
from render.plan.ways import leg_ends
from render.threads.network import Kind, LaidThreads
from render.threads.sewing import clasp, of_one_pair


def lay_threads(plan: WorkingPlan) -> LaidThreads:
    """Turn a working plan into threads that cross each other as it says.

    Twists at the end of a stitch lie on the legs it lets go, like those a leg gets besides. Where
    a leg turns back, the larger half of its twists comes before the pin. A gimp is laid under the
    left thread of each pair it passes and over the right one, whichever way it comes (common
    practice, no source).

    Raises
    ------
    ValueError
        For a plan without a single stitch: there is nothing that threads could do.
    """
    if not plan.moves:
        raise ValueError("a plan without a stitch has no threads to lay")
    replay = _Replay(plan)
    for number, hanging in enumerate(plan.hangings):
        replay.hang(number, hanging.leg)
    for number in range(len(plan.moves)):
        replay.stitch(number)
    for throwing in plan.throwings:
        replay.end(throwing.leg)
    carried = replay.carrying()
    for sewing in plan.sewings:
        if not of_one_pair(sewing, carried):
            clasp(plan, sewing, replay.rows, replay.passed, replay.arrived)
    replay.lead_gimps()
    return replay.laid()


@dataclass
class _Replay:
    """Which threads each leg holds at the moment, left and right."""

    plan: WorkingPlan
    held: dict[int, tuple[int, int]] = field(default_factory=dict)
    pending: dict[int, int] = field(default_factory=dict)
    carried: dict[int, tuple[int, int]] = field(default_factory=dict)
    rows: list[tuple[int, int, int, bool, int, int, int, int, int]] = field(default_factory=list)
    passed: list[list[int]] = field(default_factory=list)
    arrived: list[list[int]] = field(default_factory=list)
    gimps: dict[int, list[tuple[Passing, int, int]]] = field(default_factory=dict)
    met: dict[int, list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        number = 0
        for k, gimp in enumerate(self.plan.gimps, start=2 * len(self.plan.hangings)):
            for passing in gimp.passings:
                self.gimps.setdefault(passing.leg, []).append((passing, k, number))
                number += 1
        for row in self.gimps.values():
            row.sort(key=lambda stop: (stop[0].after, stop[0].along))

    def hang(self, number: int, leg: int) -> None:
        """Hang a pair: one thread laid round its start, both halves running down."""
        a, b = 2 * number, 2 * number + 1
        node = self._node(Kind.START, a, b, leg=leg)
        self.passed += [[node], [node]]
        self.arrived += [[leg], [leg]]
        self.held[leg] = self.carried[leg] = a, b

    def stitch(self, number: int) -> None:
        """Work the movements of a stitch."""
        plan = self.plan
        moves = plan.moves[number]
        taken = [int(k) for k in plan.taken[number]]
        given = [int(k) for k in plan.given[number]]
        for leg in taken:
            self._run(leg)
        threads = [*self.held.pop(taken[0]), *self.held.pop(taken[1])]
        coming = dict(zip(threads, (taken[0], taken[0], taken[1], taken[1]), strict=True))
        trailing = trailing_twists(moves)
        for k, move in enumerate(moves[: len(moves) - trailing]):
            for place, left_over in MOVES[move]:
                left, right = threads[place : place + 2]
                self._cross(left, right, left_over, number, k, coming)
                threads[place : place + 2] = right, left
        a, b, c, d = threads
        self.held[given[0]], self.held[given[1]] = (a, b), (c, d)
        for leg in given:
            self.pending[leg] = trailing
            self.carried[leg] = self.held[leg]

    def end(self, leg: int) -> None:
        """Let both threads of a leg run out."""
        self._run(leg)
        for thread in self.held.pop(leg):
            node = self._node(Kind.END, thread, -1, leg=leg)
            self._pass(thread, node, leg)

    def lead_gimps(self) -> None:
        """Lead every gimp from tip to tip through the crossings that were left for it."""
        number = 0
        for gimp in self.plan.gimps:
            thread = len(self.passed)
            self.passed.append([])
            self.arrived.append([])
            numbers = range(number, number + len(gimp.passings))
            number += len(gimp.passings)
            first, last = gimp.passings[0].leg, gimp.passings[-1].leg
            nodes = [node for k in numbers for node in self._nodes_from(thread, k - numbers[0], k)]
            begin = self._node(Kind.TIP, thread, -1, leg=first)
            for node in (begin, *nodes, self._node(Kind.TIP, thread, -1, leg=last)):
                self._pass(thread, node, -1)

    def _nodes_from(self, thread: int, passing: int, number: int) -> list[int]:
        """Return the nodes of a passing, and of what the gimp crosses before the next one."""
        plan, first = self.plan, 2 * len(self.plan.hangings)
        passings = sum(len(gimp.passings) for gimp in plan.gimps)
        nodes = list(self.met[number])
        for n, _ in crossings_on(plan.gimp_crossings, thread - first, passing):
            if passings + n not in self.met:
                crossing = plan.gimp_crossings[n]
                left, right = first + crossing.left[0], first + crossing.right[0]
                leg = plan.gimps[crossing.left[0]].passings[crossing.left[1]].leg
                # Gimps cross left over right, as threads do (common practice, no source).
                node = self._node(Kind.CROSSING, left, right, True, leg=leg, passing=passings + n)
                self.met[passings + n] = [node]
            nodes += self.met[passings + n]
        return nodes

    def carrying(self) -> NDArray[np.int64]:
        """(L, 2) the threads of each leg where it begins, left and right."""
        return np.array([self.carried[leg] for leg in range(len(self.plan.twists))], np.int64)

    def laid(self) -> LaidThreads:
        """Return all that was recorded."""
        plan = self.plan
        gimps, carried = len(plan.gimps), self.carrying()
        columns = [np.array(c) for c in zip(*self.rows, strict=True)] or [np.zeros(0)] * 9
        kind, left, right, left_over, stitch, move, leg, ring, passing = columns
        lengths = np.array([0, *(len(p) for p in self.passed)], np.int64)
        leg = leg.astype(np.int64)
        stitch = stitch.astype(np.int64)
        return LaidThreads(
            plan=plan,
            kind=kind.astype(np.int64),
            at=_first_positions(plan, kind, stitch, leg, passing, carried),
            left=left.astype(np.int64),
            right=right.astype(np.int64),
            left_over=left_over.astype(bool),
            stitch=stitch,
            move=move.astype(np.int64),
            leg=leg,
            ring=ring.astype(np.int64),
            passing=passing.astype(np.int64),
            visits=np.array([n for p in self.passed for n in p], np.int64),
            arriving=np.array([n for p in self.arrived for n in p], np.int64),
            starts=np.cumsum(lengths),
            pair=_of_threads(range(len(plan.hangings)), gimps, -1),
            role=_of_threads([h.role for h in plan.hangings], gimps, ROLES.index("gimp")),
            area=_of_threads([h.area for h in plan.hangings], gimps, -1),
            carried=carried,
        )

    def _run(self, leg: int) -> None:
        """Twist a leg and lead it round its pin."""
        count = self.pending.pop(leg, 0) + int(self.plan.twists[leg])
        turning = self.plan.turn[leg] >= 0
        before = count - count // 2 if turning else count
        for k in range(count):
            if k == before:
                self._bend(leg)
            self._lay_gimps(leg, k)
            a, b = self.held[leg]
            self._cross(a, b, False, -1, k, {a: leg, b: leg}, leg)
            self.held[leg] = b, a
        self._lay_gimps(leg, count)
        if turning and before == count:
            self._bend(leg)

    def _lay_gimps(self, leg: int, twists: int) -> None:
        """Lay gimps after so many twists of a leg: under its left thread, over the right one."""
        for passing, gimp, number in self.gimps.get(leg, ()):
            if passing.after != twists:
                continue
            a, b = self.held[leg]
            if passing.rightward:
                pairs = [(a, (gimp, a, False)), (b, (gimp, b, True))]
            else:
                pairs = [(b, (b, gimp, False)), (a, (a, gimp, True))]
            self.met[number] = []
            for thread, crossing in pairs:
                node = self._node(Kind.CROSSING, *crossing, leg=leg, passing=number)
                self._pass(thread, node, leg)
                self.met[number].append(node)

    def _bend(self, leg: int) -> None:
        """Lead both threads of a leg round its pin, one inside the other."""
        a, b = self.held[leg]
        inner, outer = (a, b) if self.plan.turn_side[leg] > 0 else (b, a)
        for ring, thread in enumerate((inner, outer)):
            self._pass(thread, self._node(Kind.BEND, thread, -1, leg=leg, ring=ring), leg)

    def _cross(
        self,
        left: int,
        right: int,
        left_over: bool,
        stitch: int,
        move: int,
        coming: dict[int, int],
        leg: int = -1,
    ) -> None:
        node = self._node(Kind.CROSSING, left, right, left_over, stitch, move, leg)
        for thread in (left, right):
            self._pass(thread, node, coming.get(thread, -1))
            if leg < 0:
                coming.pop(thread, None)

    def _node(
        self,
        kind: Kind,
        left: int,
        right: int,
        left_over: bool = False,
        stitch: int = -1,
        move: int = -1,
        leg: int = -1,
        ring: int = 0,
        passing: int = -1,
    ) -> int:
        self.rows.append((int(kind), left, right, left_over, stitch, move, leg, ring, passing))
        return len(self.rows) - 1

    def _pass(self, thread: int, node: int, leg: int) -> None:
        self.passed[thread].append(node)
        self.arrived[thread].append(leg)


def _first_positions(
    plan: WorkingPlan,
    kind: NDArray[np.int64],
    stitch: NDArray[np.int64],
    leg: NDArray[np.int64],
    passing: NDArray[np.int64],
    carried: NDArray[np.int64],
) -> NDArray[np.float64]:
    """Put stitches where the plan has them and the nodes of a leg evenly between its ends.

    Gimps lie where they are drawn.
    """
    at = np.zeros((len(kind), 2))
    inside = stitch >= 0
    at[inside] = plan.at[stitch[inside]]
    ends = leg_ends(plan)
    plain = (passing < 0) & (leg >= 0)
    twist = np.flatnonzero((kind == Kind.CROSSING) & ~inside & plain)
    count = np.bincount(leg[twist], minlength=len(ends))
    # Twists of a leg were recorded one after another.
    order = np.argsort(leg[twist], kind="stable")
    rank = np.empty(len(twist), np.int64)
    rank[order] = np.arange(len(twist)) - np.repeat(np.cumsum(count) - count, count)
    share = ((rank + 1) / (count[leg[twist]] + 1))[:, None]
    at[twist] = (1 - share) * ends[leg[twist], 0] + share * ends[leg[twist], 1]
    # A sewing is about its pin.
    clasped = [s.hole for s in plan.sewings if not of_one_pair(s, carried)]
    sewn = (kind == Kind.CROSSING) & ~inside & (leg < 0)
    at[sewn] = np.repeat(plan.pricking.holes[clasped], 8, axis=0)
    bend = kind == Kind.BEND
    at[bend] = plan.pricking.holes[plan.turn[leg[bend]]]
    for k, end in ((Kind.START, 0), (Kind.END, 1)):
        here = kind == k
        at[here] = ends[leg[here], end]
    laid = np.flatnonzero(passing >= 0)
    drawn = [p.at for gimp in plan.gimps for p in gimp.passings]
    drawn += [crossing.at for crossing in plan.gimp_crossings]
    at[laid] = np.array(drawn).reshape(-1, 2)[passing[laid]]
    at[kind == Kind.TIP] = np.array([gimp.tips for gimp in plan.gimps]).reshape(-1, 2)
    return at


def _of_threads(of_pairs: Iterable[int], gimps: int, of_gimps: int) -> NDArray[np.int64]:
    """Return (T,) numbers of threads from those of pairs and of gimps."""
    pairs = np.repeat(np.array(list(of_pairs), np.int64), 2)
    return np.concatenate([pairs, np.full(gimps, of_gimps)])
