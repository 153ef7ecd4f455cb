"""Every stitch and ground, spelt in crosses and twists.

Four threads of two pairs, numbered 1 2 3 4 from the left and renumbered after each movement:
``C`` crosses 2 over 3 (left over right), ``T`` twists 2 over 1 and 4 over 3 (right over left in
both pairs), ``p`` is the pin. Lines take further movements, all in MOVES: a pair that passes
another as one, and the weaver of a leaf.

References
----------
.. Th. de Dillmont, *Encyclopedia of Needlework*, English edition (1886), pillow lace, pp. 481-495.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from render.errors import PlanError, Remark

# What each movement does, one crossing after another: between which two of the four threads,
# counted from the left, and whether the left one of them lies on top.
MOVES: Mapping[str, tuple[tuple[int, bool], ...]] = {
    # Cross and twist.
    "C": ((1, True),),
    "T": ((0, False), (2, False)),
    # One pair over the other, as a thread is laid over another: the left pair on top, the right.
    "L": ((1, True), (0, True), (2, True), (1, True)),
    "R": ((1, False), (0, False), (2, False), (1, False)),
    # The weaver of a leaf goes through the other three threads: from the far left, and back.
    "W": ((0, True), (1, False), (2, True)),
    "B": ((2, True), (1, False), (0, True)),
}
PAIR_MOVES, WEAVER_MOVES = "LR", "WB"


@dataclass(frozen=True)
class Stitch:
    """The movements of two pairs.

    Attributes
    ----------
    moves
        Letters of MOVES.
    pin_after
        How many movements come before the pin, None for a stitch without one.
    """

    moves: str
    pin_after: int | None = None

    def __str__(self) -> str:
        if self.pin_after is None:
            return self.moves
        return f"{self.moves[: self.pin_after]} p {self.moves[self.pin_after :]}".strip()


# Schools use "whole stitch" for CTC or for CTCT; here whole is CTC and double is CTCT.
STITCHES = {"whole": "CTC", "half": "CT", "double": "CTCT"}

# How many extra twists a worker gets round its pin (common practice, no source). In half stitch the
# twist keeps one and the same thread running across.
PIN_TWISTS = {"whole": 1, "half": 1, "double": 0}

GROUNDS = {
    "torchon": "CTpCT",
    "twisted": "CTpCTT",
    "doubled": "CTCTpCTCT",
    "point": "CTTTp",
    "honeycomb": "CTTpCTT",
    "rose": "CTpCT",
    "brussels": "CTCTpCTCTT",
    # What joins the plaits, see `render.plan.valenciennes`.
    "valenciennes": "CTpCT",
    # What is worked round the spiders, see `render.plan.spider`.
    "spider": "CTpCT",
}

TURNING = "CTTC"

# What is worked along lines. A plait is half stitch; where two only touch, their inner pairs work a
# whole stitch, pin, whole stitch, and each goes back to its own side.
PLAIT = Stitch("CT")
TOUCH = Stitch("CTCCTC", 3)
# In a picot a pair is twisted about three times before its pin and after it: J. Edkins, *Bobbin
# lace*, web handbook (2002-22), has three to five.
PICOT_TWISTS = 3
LINE_WORDS = ("plait", "leaf", "square-leaf")


def ground_stitch(word: str) -> Stitch:
    """Return the stitch worked at each hole of a ground.

    Parameters
    ----------
    word
        A name of GROUNDS, or letters C, T and at most one p; without a p the pin comes last.

    Raises
    ------
    PlanError
        For anything else.
    """
    spelt = GROUNDS.get(word, word)
    before, pin, after = spelt.partition("p")
    moves = before + after
    if not moves or set(moves) - set("CT") or not before:
        raise PlanError(Remark(f"ground {word!r} is no word of the letters C, T and p"))
    return Stitch(moves, len(before) if pin else len(moves))


def trailing_twists(moves: str) -> int:
    """Return how many twists a stitch leaves on the pairs it lets go."""
    return len(moves) - len(moves.rstrip("T"))


def order_after(moves: str) -> tuple[int, int, int, int]:
    """Return which of the threads 0 1 2 3 stands where after the movements."""
    order = [0, 1, 2, 3]
    for move in moves:
        for place, _ in MOVES[move]:
            order[place], order[place + 1] = order[place + 1], order[place]
    a, b, c, d = order
    return a, b, c, d
