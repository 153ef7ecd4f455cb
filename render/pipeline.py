"""From a marked pricking to a picture: the stages in their order."""

from dataclasses import dataclass, replace
from functools import partial
from importlib.metadata import version
from pathlib import Path
from time import perf_counter

import numpy as np

from render.cautions import cautions
from render.colour.srgb import hex_colour
from render.dyeing import dye, line_colours
from render.errors import OutputError, Remark
from render.estimate.changes import worked_closer
from render.estimate.counts import Counts, count_work
from render.estimate.gauge import Gauge
from render.estimate.suitability import Suitability, judge_thread
from render.estimate.suiting import gauge_for
from render.files import SOFTWARE, refuse_to_replace, write_text
from render.image.background import Card
from render.image.draw import Progress, draw
from render.image.pins import Pins
from render.image.scene import MM_PER_INCH, Scene
from render.image.write import write_png
from render.lettering import ink_on, room_for, write_labels
from render.listing import list_threads
from render.pattern.model import Label, Pattern
from render.pattern.read import read_pattern
from render.pattern.repeat import Laid, lay_again, times_asked
from render.plan.model import WorkingPlan
from render.plan.work import plan_work
from render.pricking.model import Pricking
from render.pricking.sort import sort_holes
from render.repeating import work_repeats
from render.settle.settle import settle_visits
from render.shade.material import MATERIALS, Material
from render.threads.model import ThreadPaths
from render.wishes import Wishes

MARGIN_MM = 2.0
# How much of a preview is done once the threads have settled, as seen on the demo patterns.
_SETTLED_PART = 0.5
# So many repeats tell which thread suits, however many there are.
_TELLING_REPEATS = 3


@dataclass(frozen=True, eq=False)
class Worked:
    """A piece whose threads have settled.

    Attributes
    ----------
    pattern, plan, gauge, paths
        What each stage made of it.
    remarks
        What was said on the way, and where the threads are not to be trusted.
    """

    pattern: Pattern
    plan: WorkingPlan
    gauge: Gauge
    paths: ThreadPaths
    remarks: tuple[Remark, ...]


@dataclass(frozen=True)
class Preview:
    """What a preview was made of.

    Attributes
    ----------
    path
        The picture.
    width, height
        In pixels.
    size_mm
        Width and height of what it shows.
    counts, gauge, suitability, remarks
        What was worked, and whether the thread suits it.
    seconds
        How long it took.
    """

    path: Path
    width: int
    height: int
    size_mm: tuple[float, float]
    counts: Counts
    gauge: Gauge
    suitability: Suitability
    remarks: tuple[Remark, ...]
    seconds: float


def plan_file(path: Path, *, density: float = 1.0) -> WorkingPlan:
    """Read a pattern and plan its work."""
    return plan_work(sort_holes(read_pattern(path)), density=density)


def work(path: Path, wishes: Wishes) -> Worked:
    """Read a pattern, work it and let its threads settle."""
    return work_out(read_pattern(path), wishes)


def work_out(pattern: Pattern, wishes: Wishes) -> Worked:
    """Work a pattern and let its threads settle."""
    pattern = worked_closer(pattern, wishes.density_of)
    if wishes.leg_twists is not None:
        pattern = replace(pattern, leg_twists=wishes.leg_twists)
    laid = lay_again(pattern, times_asked(wishes.repeats, wishes.length_mm, pattern))
    pricking = sort_holes(laid.pattern)
    gauge = _gauge(pattern, laid, pricking, wishes)
    plan, paths = work_repeats(
        pattern,
        laid,
        pricking,
        partial(plan_work, density=wishes.density, gauge_mm=gauge.diameter_mm),
        partial(
            settle_visits,
            gauge_mm=gauge.diameter_mm,
            state=wishes.state,
            tension=wishes.tension,
        ),
    )
    remarks = (*plan.remarks, *cautions(plan, paths, wishes.state))
    return Worked(laid.pattern, plan, gauge, paths, remarks)


def _gauge(pattern: Pattern, laid: Laid, pricking: Pricking, wishes: Wishes) -> Gauge:
    """Return the thread of a piece, by a few of its repeats."""
    marked = laid.pattern
    if laid.times > _TELLING_REPEATS:
        marked = lay_again(pattern, _TELLING_REPEATS).pattern
        pricking = sort_holes(marked)
    return gauge_for(marked, pricking, wishes.gauge_mm, density=wishes.density)


def stage_scene(worked: Worked, wishes: Wishes) -> Scene:
    """Set a worked piece before the light."""
    points = worked.paths.points[:, :2]
    holes = worked.plan.pricking.holes
    rooms = [room_for(label, wishes.dpi / MM_PER_INCH) for label in _shown(worked, wishes)]
    low = np.min([points.min(axis=0), holes.min(axis=0), *(r[0] for r in rooms)], axis=0)
    high = np.max([points.max(axis=0), holes.max(axis=0), *(r[1] for r in rooms)], axis=0)
    low, high = low - MARGIN_MM, high + MARGIN_MM
    on_its_card = wishes.state == "pillow" and isinstance(wishes.background, Card)
    return Scene(
        paths=worked.paths,
        colours=dye(
            worked.paths,
            worked.plan.pricking.areas,
            wishes.thread,
            wishes.dyed,
            line_colours(worked.plan),
        ),
        materials=(_material(wishes),),
        window_mm=(float(low[0]), float(low[1]), float(high[0]), float(high[1])),
        dpi=wishes.dpi,
        background=wishes.background,
        card_holes=holes if on_its_card else None,
        pins=Pins(holes) if wishes.pins else None,
        largest_megapixels=wishes.largest_megapixels,
    )


def preview(
    path: Path, target: Path, wishes: Wishes, *, progress: Progress | None = None
) -> Preview:
    """Work a pattern and write its picture.

    Parameters
    ----------
    path
        A marked pricking.
    target
        The picture, a PNG. An older picture of our own is replaced, nothing else is.
    wishes
        How the piece is worked and shown.
    progress
        Called with the part done, 0 to 1.

    Raises
    ------
    LaceError
        Where the pattern, a wish or the target is at fault; nothing is written then.
    """
    began = perf_counter()
    pattern = read_pattern(path)
    _check_target(path, target, ".png")
    worked = work_out(pattern, wishes)
    scene = stage_scene(worked, wishes)
    tell = progress or _silent
    tell(_SETTLED_PART)
    bands = draw(scene, progress=lambda part: tell(_SETTLED_PART + (1 - _SETTLED_PART) * part))
    view = scene.view
    if wishes.notes:
        bands = write_labels(bands, worked.pattern.labels, view, ink_on(wishes.background))
    notes = _notes(worked, wishes)
    write_png(target, bands, width=view.width, height=view.height, dpi=wishes.dpi, text=notes)
    left, top, right, bottom = scene.window_mm
    return Preview(
        path=target,
        width=view.width,
        height=view.height,
        size_mm=(right - left, bottom - top),
        counts=count_work(worked.plan),
        gauge=worked.gauge,
        suitability=judge_thread(worked.plan, worked.gauge.diameter_mm),
        remarks=worked.remarks,
        seconds=perf_counter() - began,
    )


def _shown(worked: Worked, wishes: Wishes) -> tuple[Label, ...]:
    return worked.pattern.labels if wishes.notes else ()


def write_threads(path: Path, target: Path, wishes: Wishes) -> Worked:
    """Work a pattern, write its threads as JSON and return what was worked.

    Raises
    ------
    LaceError
        Where the pattern, a wish or the target is at fault; nothing is written then.
    """
    pattern = read_pattern(path)
    _check_target(path, target, ".json")
    worked = work_out(pattern, wishes)
    write_text(target, list_threads(worked.paths))
    return worked


def _check_target(source: Path, target: Path, ending: str) -> None:
    if target.suffix.lower() != ending:
        raise OutputError(f"{target} cannot be written: its name must end in {ending}")
    refuse_to_replace(target, source)


def _material(wishes: Wishes) -> Material:
    """Return what the thread is made of."""
    usual = MATERIALS[wishes.material]
    return replace(usual, plies=wishes.plies or usual.plies, twist=wishes.twist or usual.twist)


def _notes(worked: Worked, wishes: Wishes) -> dict[str, str]:
    """Return what the picture says about how it was made."""
    dyed = "".join(f", {who} {hex_colour(colour)}" for who, colour in wishes.dyed.items())
    closer = "".join(f", {name} {density:g}" for name, density in wishes.density_of.items())
    legs = "" if wishes.leg_twists is None else f"{wishes.leg_twists} more twists of the legs; "
    return {
        "Software": f"{SOFTWARE} {version(SOFTWARE)}",
        "Title": worked.pattern.title or worked.pattern.name,
        "Description": (
            f"{wishes.material} thread {worked.gauge}, {hex_colour(wishes.thread)}{dyed}; "
            f"density {wishes.density:g}{closer}; {legs}{wishes.tension} tension; "
            f"{wishes.state}; {wishes.dpi:g} dpi"
        ),
    }


def _silent(part: float) -> None:
    """Take no notice of how much is done."""
