"""All that a maker wants to know before winding a bobbin."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from render.errors import Remark
from render.estimate.counts import Counts, PairCount, count_work
from render.estimate.gauge import Gauge
from render.estimate.hanging import ComingAndGoing, comings_and_goings
from render.estimate.pace import Pace
from render.estimate.shares import Share, share_out
from render.estimate.suitability import Suitability, judge_thread
from render.estimate.winding import Bobbin, wind
from render.pattern.model import Pattern
from render.plan.model import ROLES, WorkingPlan
from render.threads.model import ThreadPaths

# So many repeats are laid at most: what more of them take is reckoned. A multiple of four.
MOST_LAID = 40


@dataclass(frozen=True)
class Wound:
    """The bobbins of one role.

    Attributes
    ----------
    bobbins
        How many, singly.
    settled_mm, wind_mm
        Thread in the lace, and on the bobbins, all together.
    shortest_mm, longest_mm
        The least and the most that is wound on one bobbin.
    grams
        What the thread on the bobbins weighs.
    """

    bobbins: int
    settled_mm: float
    wind_mm: float
    shortest_mm: float
    longest_mm: float
    grams: float


@dataclass(frozen=True)
class Figures:
    """A piece in figures.

    Attributes
    ----------
    name
        Its title, or its file's name.
    repeats
        How many times the pattern is worked.
    counts
        Holes, pairs, stitches, size.
    techniques
        By word, and ``winding``; the longest first.
    places
        Where pairs come and go; of long pieces, in the first forty repeats.
    winding
        By role.
    bobbins
        One by one; empty where repeats are reckoned and not laid.
    gauge, suitability
        The thread, and whether it suits.
    pace
        What the hours are reckoned with.
    remarks
        What is to be known of the work they were taken from.
    """

    name: str
    repeats: int
    counts: Counts
    techniques: dict[str, Share]
    places: ComingAndGoing
    winding: dict[str, Wound]
    bobbins: tuple[Bobbin, ...]
    gauge: Gauge
    suitability: Suitability
    pace: Pace
    remarks: tuple[Remark, ...] = ()

    @property
    def pins(self) -> int:
        """How many pins are set."""
        return sum(share.pins for share in self.techniques.values())

    @property
    def minutes(self) -> float:
        """What the piece takes, winding included."""
        return sum(share.minutes for share in self.techniques.values())

    @property
    def hours(self) -> tuple[float, float]:
        """The least and the most hours it is likely to take."""
        low, high = self.pace.spread
        return self.minutes * low / 60, self.minutes * high / 60

    @property
    def pins_per_hour(self) -> float:
        """Pins in an hour at the pillow, winding left out."""
        working = self.minutes - self.techniques["winding"].minutes
        return 60 * self.pins / working


def figure_work(
    pattern: Pattern, plan: WorkingPlan, paths: ThreadPaths, gauge: Gauge, pace: Pace
) -> Figures:
    """Take the figures of a piece that is worked already."""
    bobbins = wind(plan, paths)
    return Figures(
        name=pattern.title or pattern.name,
        repeats=1,
        counts=count_work(plan),
        techniques=share_out(plan, pace),
        places=comings_and_goings(plan),
        winding=_by_role(bobbins),
        bobbins=bobbins,
        gauge=gauge,
        suitability=judge_thread(plan, gauge.diameter_mm),
        pace=pace,
    )


def that_tell(repeats: int) -> tuple[int, int]:
    """Return how many repeats tell what many more take: two numbers as even or odd as it is.

    Work may come again with every second repeat. Threads that wander from side to side are told by
    many repeats better than by a few.
    """
    longer = MOST_LAID - (MOST_LAID - repeats) % 2
    return longer - MOST_LAID // 2, longer


def carry_on(shorter: Figures, longer: Figures, repeats: int) -> Figures:
    """Reckon many repeats from two pieces, whose difference is some repeats without ends."""
    times = (repeats - longer.repeats) / (longer.repeats - shorter.repeats)

    def more(a: float, b: float) -> float:
        return b + times * (b - a)

    return replace(
        longer,
        repeats=repeats,
        counts=_counts(shorter.counts, longer.counts, more),
        techniques=_techniques(shorter, longer, more),
        winding={
            role: _wound(shorter.winding.get(role, wound), wound, more)
            for role, wound in longer.winding.items()
        },
        bobbins=(),
    )


More = Callable[[float, float], float]


def _by_role(bobbins: tuple[Bobbin, ...]) -> dict[str, Wound]:
    wound = {}
    for role in ROLES:
        those = [bobbin for bobbin in bobbins if bobbin.role == role]
        if those:
            wound[role] = Wound(
                len(those),
                sum(bobbin.settled_mm for bobbin in those),
                sum(bobbin.wind_mm for bobbin in those),
                min(bobbin.wind_mm for bobbin in those),
                max(bobbin.wind_mm for bobbin in those),
                sum(bobbin.grams for bobbin in those),
            )
    return wound


def _counts(a: Counts, b: Counts, more: More) -> Counts:
    hung_in = round(more(a.pairs.hung_in, b.pairs.hung_in))
    thrown_out = round(more(a.pairs.thrown_out, b.pairs.thrown_out))
    width, height = (round(more(x, y), 6) for x, y in zip(a.size_mm, b.size_mm, strict=True))
    return Counts(
        round(more(a.holes, b.holes)),
        PairCount(b.pairs.start, hung_in, thrown_out, b.pairs.most),
        {word: round(more(a.stitches.get(word, 0), n)) for word, n in b.stitches.items()},
        (width, height),
    )


def _techniques(shorter: Figures, longer: Figures, more: More) -> dict[str, Share]:
    none = Share(0, 0, 0.0, 0.0, 0.0)
    pairs = [(word, shorter.techniques.get(word, none), b) for word, b in longer.techniques.items()]
    whole = more(shorter.minutes, longer.minutes)
    return {
        word: Share(
            round(more(a.stitches, b.stitches)),
            round(more(a.pins, b.pins)),
            more(a.area_mm2, b.area_mm2),
            more(a.minutes, b.minutes),
            more(a.minutes, b.minutes) / whole,
        )
        for word, a, b in pairs
    }


def _wound(a: Wound, b: Wound, more: More) -> Wound:
    bobbins, wind_mm = round(more(a.bobbins, b.bobbins)), more(a.wind_mm, b.wind_mm)
    mean = wind_mm / bobbins
    return Wound(
        bobbins,
        more(a.settled_mm, b.settled_mm),
        wind_mm,
        # Threads change places: which is the shortest in a longer piece is not known.
        min(more(a.shortest_mm, b.shortest_mm), mean),
        max(more(a.longest_mm, b.longest_mm), mean),
        more(a.grams, b.grams),
    )
