"""Work a bobbin lace pricking and show the lace that comes out."""

from render.catalogue.model import CatalogueRun
from render.catalogue.run import make_catalogue
from render.catalogue.thumbnail import write_thumbnail
from render.colour.srgb import parse_colour
from render.comparison.make import Comparison, make_comparison
from render.comparison.model import Choices, Variant
from render.deciding import Changes, figure, learn_pace, make_sheet, recall_pace, unlearn_pace
from render.errors import (
    LaceError,
    OutputError,
    PatternError,
    Place,
    PlanError,
    Remark,
    SettingError,
)
from render.estimate import wording
from render.estimate.counts import Counts, PairCount, count_work
from render.estimate.figures import Figures
from render.estimate.gauge import Gauge
from render.estimate.memory import Memory
from render.estimate.pace import parse_minutes, usual_rates
from render.estimate.suiting import AUTO, Asked
from render.estimate.understanding import Understanding, understand
from render.image.background import BACKGROUNDS, BUFF, CLOTH, Background, Card, Clear, Flat
from render.legibility.judge import Legibility, judge_colours
from render.legibility.swatches import write_swatches
from render.legibility.wording import legibility_as_table, legibility_in_words
from render.listing import list_threads
from render.pattern.key import ColourKey, read_colour_key
from render.pattern.read import read_pattern
from render.pipeline import (
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
from render.scan.copying import Copied, copy_scan
from render.scan.model import Settings as ScanSettings
from render.scan.naming import parse_pen
from render.scan.scale import parse_between, parse_corners, parse_paper_mm
from render.settle.settle import TENSIONS, USUAL
from render.shade.material import MATERIALS
from render.sheets.paper import PAPERS
from render.units import parse_gauge_mm, parse_length_mm

__all__ = [
    "AUTO",
    "BACKGROUNDS",
    "BUFF",
    "CLOTH",
    "MATERIALS",
    "PAPERS",
    "STATES",
    "TENSIONS",
    "THREAD",
    "USUAL",
    "Asked",
    "Background",
    "Card",
    "CatalogueRun",
    "Changes",
    "Choices",
    "Clear",
    "ColourKey",
    "Comparison",
    "Copied",
    "Counts",
    "Figures",
    "Flat",
    "Gauge",
    "LaceError",
    "Legibility",
    "Memory",
    "OutputError",
    "PairCount",
    "PatternError",
    "Place",
    "PlanError",
    "Preview",
    "Remark",
    "ScanSettings",
    "SettingError",
    "Understanding",
    "Variant",
    "Wishes",
    "Worked",
    "copy_scan",
    "count_work",
    "estimate",
    "figure",
    "judge_colours",
    "learn_pace",
    "legibility_as_table",
    "legibility_in_words",
    "list_threads",
    "make_catalogue",
    "make_comparison",
    "make_sheet",
    "parse_between",
    "parse_colour",
    "parse_corners",
    "parse_gauge_mm",
    "parse_length_mm",
    "parse_minutes",
    "parse_paper_mm",
    "parse_pen",
    "plan_file",
    "preview",
    "read_colour_key",
    "read_pattern",
    "recall_pace",
    "understand",
    "unlearn_pace",
    "usual_rates",
    "wording",
    "work",
    "work_out",
    "write_swatches",
    "write_threads",
    "write_thumbnail",
]
