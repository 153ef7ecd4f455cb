"""Work a bobbin lace pricking and show the lace that comes out.

A public name is imported when it is first asked for: programs load no more than they use.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from render.catalogue.model import CatalogueRun
    from render.catalogue.run import make_catalogue
    from render.catalogue.thumbnail import write_thumbnail
    from render.colour.srgb import parse_colour
    from render.comparison.make import Comparison, make_comparison
    from render.comparison.model import Choices, Variant
    from render.deciding import figure, learn_pace, make_sheet, recall_pace, unlearn_pace
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
    from render.pattern.repeat import MOST_REPEATS
    from render.pipeline import (
        Preview,
        Worked,
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
    from render.wishes import STATES, THREAD, Wishes

_HOMES = {
    "AUTO": "render.estimate.suiting.AUTO",
    "BACKGROUNDS": "render.image.background.BACKGROUNDS",
    "BUFF": "render.image.background.BUFF",
    "CLOTH": "render.image.background.CLOTH",
    "MATERIALS": "render.shade.material.MATERIALS",
    "MOST_REPEATS": "render.pattern.repeat.MOST_REPEATS",
    "PAPERS": "render.sheets.paper.PAPERS",
    "STATES": "render.wishes.STATES",
    "TENSIONS": "render.settle.settle.TENSIONS",
    "THREAD": "render.wishes.THREAD",
    "USUAL": "render.settle.settle.USUAL",
    "Asked": "render.estimate.suiting.Asked",
    "Background": "render.image.background.Background",
    "Card": "render.image.background.Card",
    "CatalogueRun": "render.catalogue.model.CatalogueRun",
    "Choices": "render.comparison.model.Choices",
    "Clear": "render.image.background.Clear",
    "ColourKey": "render.pattern.key.ColourKey",
    "Comparison": "render.comparison.make.Comparison",
    "Copied": "render.scan.copying.Copied",
    "Counts": "render.estimate.counts.Counts",
    "Figures": "render.estimate.figures.Figures",
    "Flat": "render.image.background.Flat",
    "Gauge": "render.estimate.gauge.Gauge",
    "LaceError": "render.errors.LaceError",
    "Legibility": "render.legibility.judge.Legibility",
    "Memory": "render.estimate.memory.Memory",
    "OutputError": "render.errors.OutputError",
    "PairCount": "render.estimate.counts.PairCount",
    "PatternError": "render.errors.PatternError",
    "Place": "render.errors.Place",
    "PlanError": "render.errors.PlanError",
    "Preview": "render.pipeline.Preview",
    "Remark": "render.errors.Remark",
    "ScanSettings": "render.scan.model.Settings",
    "SettingError": "render.errors.SettingError",
    "Understanding": "render.estimate.understanding.Understanding",
    "Variant": "render.comparison.model.Variant",
    "Wishes": "render.wishes.Wishes",
    "Worked": "render.pipeline.Worked",
    "copy_scan": "render.scan.copying.copy_scan",
    "count_work": "render.estimate.counts.count_work",
    "figure": "render.deciding.figure",
    "judge_colours": "render.legibility.judge.judge_colours",
    "learn_pace": "render.deciding.learn_pace",
    "legibility_as_table": "render.legibility.wording.legibility_as_table",
    "legibility_in_words": "render.legibility.wording.legibility_in_words",
    "list_threads": "render.listing.list_threads",
    "make_catalogue": "render.catalogue.run.make_catalogue",
    "make_comparison": "render.comparison.make.make_comparison",
    "make_sheet": "render.deciding.make_sheet",
    "parse_between": "render.scan.scale.parse_between",
    "parse_colour": "render.colour.srgb.parse_colour",
    "parse_corners": "render.scan.scale.parse_corners",
    "parse_gauge_mm": "render.units.parse_gauge_mm",
    "parse_length_mm": "render.units.parse_length_mm",
    "parse_minutes": "render.estimate.pace.parse_minutes",
    "parse_paper_mm": "render.scan.scale.parse_paper_mm",
    "parse_pen": "render.scan.naming.parse_pen",
    "plan_file": "render.pipeline.plan_file",
    "preview": "render.pipeline.preview",
    "read_colour_key": "render.pattern.key.read_colour_key",
    "read_pattern": "render.pattern.read.read_pattern",
    "recall_pace": "render.deciding.recall_pace",
    "understand": "render.estimate.understanding.understand",
    "unlearn_pace": "render.deciding.unlearn_pace",
    "usual_rates": "render.estimate.pace.usual_rates",
    "wording": "render.estimate.wording",
    "work": "render.pipeline.work",
    "work_out": "render.pipeline.work_out",
    "write_swatches": "render.legibility.swatches.write_swatches",
    "write_threads": "render.pipeline.write_threads",
    "write_thumbnail": "render.catalogue.thumbnail.write_thumbnail",
}

if not TYPE_CHECKING:
    __all__ = sorted(_HOMES)

    def __getattr__(name: str) -> Any:
        """Import a public name."""
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        module, _, own = _HOMES[name].rpartition(".")
        found = globals()[name] = getattr(__import__(module, fromlist=[own]), own)
        return found
