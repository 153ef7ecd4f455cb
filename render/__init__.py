"""Work a bobbin lace pricking and show the lace that comes out."""

from render.colour.srgb import parse_colour
from render.errors import (
    LaceError,
    OutputError,
    PatternError,
    Place,
    PlanError,
    Remark,
    SettingError,
)
from render.estimate.counts import Counts, PairCount, count_work
from render.estimate.gauge import Gauge
from render.estimate.understanding import Understanding, understand
from render.image.background import Background, Card, Clear, Flat
from render.listing import list_threads
from render.pattern.read import read_pattern
from render.pipeline import (
    CLOTH,
    STATES,
    THREAD,
    Preview,
    Wishes,
    Worked,
    estimate,
    plan_file,
    preview,
    work,
    work_out,
    write_threads,
)
from render.units import parse_gauge_mm

__all__ = [
    "CLOTH",
    "STATES",
    "THREAD",
    "Background",
    "Card",
    "Clear",
    "Counts",
    "Flat",
    "Gauge",
    "LaceError",
    "OutputError",
    "PairCount",
    "PatternError",
    "Place",
    "PlanError",
    "Preview",
    "Remark",
    "SettingError",
    "Understanding",
    "Wishes",
    "Worked",
    "count_work",
    "estimate",
    "list_threads",
    "parse_colour",
    "parse_gauge_mm",
    "plan_file",
    "preview",
    "read_pattern",
    "understand",
    "work",
    "work_out",
    "write_threads",
]
