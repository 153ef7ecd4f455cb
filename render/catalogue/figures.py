"""The figures a pattern is chosen by."""

from collections import Counter

from render.catalogue.model import Facts
from render.estimate.counts import count_work
from render.estimate.pace import Pace, job_of, minutes_of
from render.pipeline import Worked
from render.plan.model import WorkingPlan
from render.plan.stitches import LINE_WORDS, STITCHES

# Counted, but no technique one would call a piece by.
EDGES = ("footside", "headside")


def take_figures(worked: Worked) -> Facts:
    """Return what a maker chooses a worked pattern by."""
    counts = count_work(worked.plan)
    width, height = (round(side, 2) for side in counts.size_mm)
    minutes = minutes_of(job_of(worked.plan), Pace())
    return Facts(
        size_mm=(width, height),
        holes=counts.holes,
        pairs=counts.pairs.total,
        most_pairs=counts.pairs.most,
        stitches=counts.stitches,
        hours=round(sum(minutes.values()) / 60, 1),
        mostly=_mostly(worked.plan),
        ground=_ground(worked),
        gauge_mm=round(worked.gauge.diameter_mm, 3),
        thread=worked.gauge.reason,
        doubts=tuple(str(r) for r in worked.plan.remarks if r.kind == "doubt"),
    )


def kind_of(technique: str) -> str:
    """Return the technique a stitch is looked for under: all grounds are one."""
    return technique if technique in (*STITCHES, *LINE_WORDS, *EDGES) else "ground"


def _mostly(plan: WorkingPlan) -> str:
    kinds = Counter(kind_of(word) for word in plan.technique)
    for edge in EDGES:
        if len(kinds) > 1:
            kinds.pop(edge, None)
    return kinds.most_common(1)[0][0] if kinds else "ground"


def _ground(worked: Worked) -> str:
    grounds = Counter(word for word in worked.plan.technique if kind_of(word) == "ground")
    return grounds.most_common(1)[0][0] if grounds else "none"
