"""From a marked pricking to a picture: the stages in their order."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from importlib.metadata import version
from pathlib import Path
from time import perf_counter

import numpy as np

from render.colour.srgb import hex_colour
from render.dyeing import dye, line_colours
from render.errors import OutputError, Place, Remark, SettingError, did_you_mean
from render.estimate.changes import check_density, worked_closer
from render.estimate.counts import Counts, count_work
from render.estimate.gauge import Gauge
from render.estimate.suitability import Suitability, judge_thread
from render.estimate.suiting import Asked, gauge_for
from render.files import SOFTWARE, refuse_to_replace, write_text
from render.image.background import Background, Card, Colour
from render.image.draw import Progress, draw
from render.image.pins import Pins
from render.image.scene import LARGEST_MEGAPIXELS, Scene
from render.image.write import write_png
from render.listing import list_threads
from render.pattern.model import Pattern
from render.pattern.read import read_pattern
from render.pattern.repeat import Laid, lay_again, times_asked
from render.plan.model import WorkingPlan
from render.plan.work import plan_work
from render.pricking.model import Pricking
from render.pricking.sort import sort_holes
from render.repeating import work_repeats
from render.settle.reach import pins_out_of_reach
from render.settle.settle import USUAL, settle_visits
from render.shade.material import MATERIALS, Material
from render.threads.model import ThreadPaths

STATES = ("pillow", "finished")
MARGIN_MM = 2.0
# How much of a preview is done once the threads have settled, as seen on the demo patterns.
_SETTLED_PART = 0.5
# So many repeats tell which thread suits, however many there are.
_TELLING_REPEATS = 3
# Unbleached cotton.
THREAD = "#f2ecde"


@dataclass(frozen=True)
class Wishes:
    """How a piece is to be worked and shown.

    Attributes
    ----------
    gauge_mm
        Diameter of the thread; None for the pattern's own, AUTO for the one that suits best.
    density
        Factor on the pairs of areas that stand alone.
    density_of
        Density of some areas by their names, instead of what the pattern says.
    leg_twists
        Twists that the legs of ground get beyond those of their stitch; None for the pattern's own.
    tension
        ``firm``, ``usual`` or ``slack``: how hard stitches are pulled up.
    state
        ``pillow`` while the pins hold, ``finished`` when they are out.
    thread
        (3,) sRGB of the thread, 0 to 1.
    dyed
        sRGB of some threads by whom they are for, as `render.dyeing.dye` has it.
    material
        ``cotton``, ``linen``, ``silk`` or ``metal``.
    plies, twist
        Strands twisted together, and ``S`` or ``Z``; None for what is usual of the material.
    background
        What the lace lies on.
    pins
        Whether pins are shown.
    dpi
        Pixels per inch of lace.
    largest_megapixels
        Pictures larger than this are refused.
    repeats, length_mm
        How often the pattern is worked, or how long the piece shall be; None for once. Not both.
    """

    gauge_mm: Asked = None
    density: float = 1.0
    density_of: Mapping[str, float] = field(default_factory=dict)
    leg_twists: int | None = None
    tension: str = USUAL
    state: str = "pillow"
    thread: Colour = (0.949, 0.925, 0.871)
    dyed: Mapping[str, Colour] = field(default_factory=dict)
    material: str = "cotton"
    plies: int | None = None
    twist: str | None = None
    background: Background = field(default_factory=Card)
    pins: bool = False
    dpi: float = 300.0
    largest_megapixels: float = LARGEST_MEGAPIXELS
    repeats: int | None = None
    length_mm: float | None = None

    def __post_init__(self) -> None:
        times_asked(self.repeats, self.length_mm)
        if self.pins and self.state == "finished":
            raise SettingError("a finished piece has no pins in it: ask for one or the other")
        check_density(self.density)
        if self.material not in MATERIALS:
            hint = did_you_mean(self.material, MATERIALS)
            raise SettingError(f'unknown material "{self.material}"; {hint}')
        if self.twist not in (None, "S", "Z"):
            raise SettingError(f'unknown twist "{self.twist}"; expected one of S, Z')
        if self.plies is not None and not 1 <= self.plies <= 12:
            raise SettingError(f"a thread of {self.plies} plies is not between 1 and 12")


@dataclass(frozen=True, eq=False)
class Worked:
    """A piece whose threads have settled."""

    pattern: Pattern
    plan: WorkingPlan
    gauge: Gauge
    paths: ThreadPaths


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
    return Worked(laid.pattern, plan, gauge, paths)


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
    low = np.minimum(points.min(axis=0), holes.min(axis=0)) - MARGIN_MM
    high = np.maximum(points.max(axis=0), holes.max(axis=0)) + MARGIN_MM
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
        remarks=(*worked.plan.remarks, *_tangles(worked.paths), *_out_of_reach(worked, wishes)),
        seconds=perf_counter() - began,
    )


def _tangles(paths: ThreadPaths) -> tuple[Remark, ...]:
    """Say where threads did not settle as they were worked."""
    if not len(paths.tangles):
        return ()
    x, y = paths.tangles[0].tolist()
    more = f", and in {len(paths.tangles) - 1} more places" if len(paths.tangles) > 1 else ""
    message = f"threads lie across each other here{more}, as they were not worked: do not trust it"
    return (Remark(message, Place("the picture", x, y), "tangle"),)


def _out_of_reach(worked: Worked, wishes: Wishes) -> tuple[Remark, ...]:
    """Say which pins the threads could not be laid at."""
    if wishes.state != "pillow":
        return ()
    holes = pins_out_of_reach(worked.plan, worked.paths).tolist()
    if not holes:
        return ()
    more = f", nor at {len(holes) - 1} more" if len(holes) > 1 else ""
    message = (
        f"the threads worked at this pin cannot lie there{more}: is one area marked over another?"
    )
    return (Remark(message, worked.plan.pricking.place(holes[0]), "tangle"),)


def write_threads(path: Path, target: Path, wishes: Wishes) -> int:
    """Work a pattern, write its threads as JSON and return how many there are.

    Raises
    ------
    LaceError
        Where the pattern, a wish or the target is at fault; nothing is written then.
    """
    pattern = read_pattern(path)
    _check_target(path, target, ".json")
    paths = work_out(pattern, wishes).paths
    write_text(target, list_threads(paths))
    return len(paths.radius)


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
