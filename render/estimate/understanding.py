"""Say what was understood of a pattern, what is doubtful and what is wrong."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from render.errors import LaceError, PatternError, PlanError, Remark
from render.estimate.suitability import judge_thread
from render.estimate.suiting import Asked, gauge_for
from render.pattern.model import Pattern
from render.pattern.read import read_pattern
from render.pattern.repeat import lay_again
from render.plan.seams import look_at_seams
from render.plan.stitches import GROUNDS, STITCHES
from render.plan.work import plan_work
from render.pricking.model import Pricking
from render.pricking.sort import sort_holes


@dataclass(frozen=True)
class Understanding:
    """What a reader of a pattern would tell its maker.

    Attributes
    ----------
    understood
        One sentence a thing.
    doubtful
        What had to be chosen or skipped.
    changes
        Where pairs are hung in or thrown out, and other things to know.
    wrong
        What keeps the piece from being worked.
    """

    understood: tuple[str, ...]
    doubtful: tuple[Remark, ...]
    changes: tuple[Remark, ...]
    wrong: tuple[Remark, ...]


def understand(path: Path, *, gauge_mm: Asked = None, density: float = 1.0) -> Understanding:
    """Read and plan a pattern and report on it; what is wrong is reported, not raised.

    Parameters
    ----------
    path
        A marked pricking.
    gauge_mm
        The thread it is judged for; None for the pattern's own, AUTO for the one that suits best.
    density
        Factor on the pairs of areas that stand alone.

    Raises
    ------
    LaceError
        Only where the file cannot be opened at all.
    """
    understood: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()
    try:
        pattern = read_pattern(path)
        remarks = pattern.remarks
        pricking = sort_holes(pattern)
        understood = _sentences(pattern, pricking)
        gauge = gauge_for(pattern, pricking, gauge_mm, density=density)
        plan = plan_work(pricking, density=density, gauge_mm=gauge.diameter_mm)
        remarks = (*plan.remarks, *_seams(pattern, density, gauge.diameter_mm))
        suits = judge_thread(plan, gauge.diameter_mm)
        understood = (*understood, f"thread {gauge}", f"{suits}")
    except PatternError as error:
        return _sorted_out(understood, remarks, error.faults)
    except PlanError as error:
        return _sorted_out(understood, remarks, (error.remark,))
    except LaceError as error:
        return _sorted_out(understood, remarks, (Remark(str(error)),))
    return _sorted_out(understood, remarks, ())


def _seams(pattern: Pattern, density: float, gauge_mm: float) -> tuple[Remark, ...]:
    """Say whether a repeat fits the next one."""
    if pattern.repeat is None:
        return ()
    laid = lay_again(pattern, 2)
    plan = plan_work(sort_holes(laid.pattern), density=density, gauge_mm=gauge_mm)
    return look_at_seams(pattern, laid, plan)


def _sorted_out(
    understood: tuple[str, ...], remarks: tuple[Remark, ...], wrong: tuple[Remark, ...]
) -> Understanding:
    doubtful = tuple(r for r in remarks if r.kind in ("doubt", "repeat"))
    others = tuple(r for r in remarks if r not in doubtful)
    return Understanding(understood, doubtful, others, wrong)


def _sentences(pattern: Pattern, pricking: Pricking) -> tuple[str, ...]:
    width, height = pricking.holes.max(axis=0) - pricking.holes.min(axis=0)
    word = pattern.ground
    return (
        f"{len(pricking.holes)} holes on {width:.1f} × {height:.1f} mm, "
        f"{_average(pricking):.2f} mm apart",
        f"worked towards {pattern.down_degrees:g}° (90 is down the page), "
        f"ground {word} ({GROUNDS.get(word, word)})",
        *(f"repeats every {np.hypot(*step):.1f} mm" for step in [pattern.repeat] if step),
        *(
            f"{area.place}: {area.stitch} ({STITCHES.get(area.stitch, 'see its ground')}), "
            f"{len(area.edge)} holes on its edge, {len(area.inside)} inside"
            if area.stitch != "open"
            else f"{area.place}: nothing is worked there"
            for area in pricking.areas
        ),
        *(f"{run.place}: {run.word} past {len(run.holes)} holes" for run in pricking.runs),
    )


def _average(pricking: Pricking) -> float:
    return float(pricking.spacing.mean())
