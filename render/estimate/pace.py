"""How fast a maker works: the usual pace, and what finished pieces teach."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from render.errors import SettingError
from render.plan.model import WorkingPlan
from render.plan.stitches import GROUNDS, PLAIT, STITCHES, WEAVER_MOVES, ground_stitch

# A cautious hobby pace (common practice, no source): seconds for a cross or a twist with both
# hands, for a pin with its hole found and the pairs drawn up; minutes for two bobbins wound.
SECONDS_PER_MOVE = 4.5
SECONDS_PER_PIN = 15.0
MINUTES_PER_PAIR = 4.0
# Makers new to the program are this much quicker or slower (common practice, no source).
USUAL_SPREAD = (0.75, 1.5)
# With pieces on record the range never closes further than this.
LEAST_SPREAD = 0.1
# How strongly single techniques are kept at the common factor while few pieces are on record.
_STEADINESS = 0.3
# A technique is never taken for quicker or slower than the common factor by more than this.
_FURTHEST = 4.0
# More than this from the pace known so far is a slip of the pen.
_BEYOND_BELIEF = 20.0

TIME = re.compile(
    r"(?:(?P<h>\d+(?:\.\d+)?)\s*h(?:ours?)?)?\s*(?:(?P<m>\d+(?:\.\d+)?)\s*(?:min(?:utes?)?|m)?)?"
)


@dataclass(frozen=True)
class Pace:
    """How fast a maker works.

    Attributes
    ----------
    stitches_per_hour
        By technique; what it does not name takes its usual time, times `others`.
    minutes_per_pair
        To wind two bobbins and hang them.
    others
        Factor on the usual time of techniques without a figure.
    spread
        Factors on the hours, least and most.
    pieces
        How many finished pieces it was learned from.
    """

    stitches_per_hour: Mapping[str, float] = field(default_factory=dict)
    minutes_per_pair: float = MINUTES_PER_PAIR
    others: float = 1.0
    spread: tuple[float, float] = USUAL_SPREAD
    pieces: int = 0


@dataclass(frozen=True)
class Job:
    """What there is to do in a piece.

    Attributes
    ----------
    stitches
        By technique.
    usual_minutes
        What the stitches of each technique take at the usual pace.
    pairs
        To be wound.
    """

    stitches: Mapping[str, float]
    usual_minutes: Mapping[str, float]
    pairs: float


@dataclass(frozen=True)
class Record:
    """A finished piece and the minutes it took, winding included."""

    piece: str
    job: Job
    minutes: float


def usual_seconds(moves: str, *, pinned: bool) -> float:
    """Return what a stitch takes at the usual hobby pace.

    The weaver of a leaf is led through three threads in each row and drawn to its breadth.
    """
    rows = sum(moves.count(letter) for letter in WEAVER_MOVES)
    return SECONDS_PER_MOVE * (len(moves) + rows) + SECONDS_PER_PIN * pinned


def usual_rates() -> dict[str, float]:
    """Return stitches an hour at the usual pace: area stitches without, grounds with their pin.

    Of plaits each half stitch is one, of leaves each row.
    """
    areas = {word: 3600 / usual_seconds(moves, pinned=False) for word, moves in STITCHES.items()}
    grounds = {
        word: 3600 / usual_seconds(ground_stitch(word).moves, pinned=True) for word in GROUNDS
    }
    lines = {"plait": PLAIT.moves, **dict.fromkeys(("leaf", "square-leaf"), WEAVER_MOVES[0])}
    joins = {word: 3600 / usual_seconds(moves, pinned=False) for word, moves in lines.items()}
    return {**areas, **grounds, **joins}


def job_of(plan: WorkingPlan) -> Job:
    """Return what there is to do in a plan."""
    stitches: dict[str, float] = {}
    minutes: dict[str, float] = {}
    for word, moves, hole in zip(plan.technique, plan.moves, plan.hole.tolist(), strict=True):
        # The pins of an area belong to its rows, whose stitches are many to a pin.
        pinned = hole >= 0 and word not in STITCHES
        seconds = usual_seconds(moves, pinned=pinned)
        stitches[word] = stitches.get(word, 0.0) + 1
        minutes[word] = minutes.get(word, 0.0) + seconds / 60
    return Job(stitches, minutes, float(len(plan.hangings)))


def more_of(shorter: Job, longer: Job, times: float) -> Job:
    """Return a longer job, to which the difference of two is added so many times."""

    def more(a: float, b: float) -> float:
        return b + times * (b - a)

    return Job(
        {word: more(shorter.stitches.get(word, 0.0), n) for word, n in longer.stitches.items()},
        {
            word: more(shorter.usual_minutes.get(word, 0.0), n)
            for word, n in longer.usual_minutes.items()
        },
        more(shorter.pairs, longer.pairs),
    )


def minutes_of(job: Job, pace: Pace) -> dict[str, float]:
    """Return minutes by technique, and of ``winding``; the sum is the whole piece."""
    minutes = {}
    for word, number in job.stitches.items():
        rate = pace.stitches_per_hour.get(word)
        minutes[word] = 60 * number / rate if rate else pace.others * job.usual_minutes[word]
    return {**minutes, "winding": job.pairs * pace.minutes_per_pair}


def learn(records: Sequence[Record], began: Pace) -> Pace:
    """Return the pace that fits finished pieces.

    Parameters
    ----------
    records
        Finished pieces.
    began
        The pace before the first of them, which is kept where there are none.

    Notes
    -----
    Least squares of the relative error, twice: a common factor on all times; then factors of
    single techniques, drawn towards the common one, which is where the search begins. So the
    error over the records never grows from step to step, and one record is met exactly.
    """
    from scipy.optimize import lsq_linear  # slow to import

    if not records:
        return began
    words = sorted({word for record in records for word in record.job.stitches})
    rows = np.array([_row(record, words, began) for record in records])
    sums = rows.sum(axis=1)
    common = float(sums.sum() / (sums @ sums))
    pull = _STEADINESS * np.eye(rows.shape[1])
    fit = lsq_linear(
        np.vstack([rows, pull]) * common,
        np.concatenate([np.ones(len(rows)), np.full(rows.shape[1], _STEADINESS * common)]),
        bounds=(1 / _FURTHEST, _FURTHEST),
    ).x
    factors = common * fit
    return Pace(
        {**began.stitches_per_hour, **_rates(records, words, began, factors)},
        began.minutes_per_pair * float(factors[-1]),
        began.others * common,
        _spread(rows @ factors),
        len(records),
    )


def check_record(record: Record, pace: Pace) -> None:
    """Refuse a time that cannot be meant.

    Raises
    ------
    SettingError
        Where it is twenty times more or less than the pace known so far makes likely.
    """
    expected = sum(minutes_of(record.job, pace).values())
    if not expected / _BEYOND_BELIEF <= record.minutes <= expected * _BEYOND_BELIEF:
        raise SettingError(
            f"{record.minutes / 60:.1f} hours for {record.piece} cannot be right: about "
            f"{expected / 60:.1f} were expected; write the time as 6h30 or 45min"
        )


def parse_minutes(text: str) -> float:
    """Read a time such as ``6h30``, ``6h``, ``6.5h``, ``45min`` or ``6:30`` in minutes.

    Raises
    ------
    SettingError
        Where the text is not a time above zero.

    Examples
    --------
    >>> parse_minutes("6h30")
    390.0
    """
    written = text.strip().lower()
    written = re.sub(r"^(\d+):(\d\d)$", r"\1h\2", written)
    match = TIME.fullmatch(written)
    bare = re.fullmatch(r"[\d.]*", written) is not None
    minutes = 0.0 if match is None or bare else _minutes(match)
    if minutes <= 0:
        raise SettingError(f'"{text}" is not a time; write it as 6h30, 6.5h or 45min')
    return minutes


def _minutes(match: re.Match[str]) -> float:
    return 60 * float(match["h"] or 0) + float(match["m"] or 0)


def _row(record: Record, words: Sequence[str], began: Pace) -> list[float]:
    """Return the minutes of each technique and of winding, as parts of what the piece took."""
    minutes = minutes_of(record.job, began)
    return [minutes.get(word, 0.0) / record.minutes for word in (*words, "winding")]


def _rates(
    records: Sequence[Record], words: Sequence[str], began: Pace, factors: np.ndarray
) -> dict[str, float]:
    """Return the stitches an hour of techniques whose time has changed by a factor."""
    rates = {}
    for word, factor in zip(words, factors, strict=False):
        those = [record.job for record in records if word in record.job.stitches]
        number = sum(job.stitches[word] for job in those)
        minutes = sum(minutes_of(job, began)[word] for job in those)
        rates[word] = 60 * number / (minutes * float(factor))
    return rates


def _spread(fitted: np.ndarray) -> tuple[float, float]:
    """Return how far hours may be off: twice the error seen, and more while pieces are few."""
    seen = 2 * float(np.sqrt(np.mean((fitted - 1) ** 2)))
    width = max(LEAST_SPREAD, seen, 0.3 / len(fitted) ** 0.5)
    return max(0.2, 1 - width), 1 + width
