"""Whether to work a piece: its figures, the maker's pace, a sheet for the pillow."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark, SettingError
from render.estimate.changes import swap_stitches
from render.estimate.figures import MOST_LAID, Figures, carry_on, figure_work, that_tell
from render.estimate.hanging import Spot, order_of_areas, passages
from render.estimate.memory import Memory, note, recall
from render.estimate.pace import Job, Pace, Record, job_of, more_of
from render.estimate.wording import in_short
from render.image.draw import picture
from render.pattern.model import Pattern
from render.pattern.read import read_pattern
from render.pattern.repeat import times_asked
from render.pipeline import Worked, stage_scene, work, work_out
from render.pricking.model import Pricking
from render.settings import read_settings, write_settings
from render.sheets.gimps import gimps_in_words
from render.sheets.model import Mark, Sheet, arrow, draw_up
from render.sheets.write import check_target, write_sheet
from render.wishes import Wishes

# Sharp enough for paper, and not so large that the sheet grows heavy.
_PICTURE_PIXELS = 1100
_DPI = (40.0, 300.0)


def figure(
    path: Path,
    wishes: Wishes,
    *,
    settings: Path,
    swaps: Mapping[str, str] | None = None,
    ground: str | None = None,
) -> Figures:
    """Read a pattern, work it and take its figures at the maker's pace.

    Parameters
    ----------
    path
        A marked pricking.
    wishes
        How the piece is worked: as its picture would be.
    settings
        The maker's settings; the file need not exist.
    swaps
        The stitch to work instead, by the stitch that is marked.
    ground
        Another ground; None for the pattern's own.

    Raises
    ------
    LaceError
        Where the pattern, a wish or the settings are at fault.
    """
    memory = recall_pace(settings)
    pattern = swap_stitches(read_pattern(path), swaps or {}, ground)
    return figure_pattern(pattern, wishes, memory.pace)


def figure_pattern(pattern: Pattern, wishes: Wishes, pace: Pace) -> Figures:
    """Work a pattern as for its picture and take its figures.

    Beyond forty repeats they are reckoned from two shorter pieces.

    Raises
    ------
    LaceError
        Where the pattern cannot be worked, or does not repeat.
    """
    times = times_asked(wishes.repeats, wishes.length_mm, pattern)
    if times <= MOST_LAID:
        return _figure_repeats(pattern, wishes, pace, times)
    shorter, longer = (_figure_repeats(pattern, wishes, pace, n) for n in that_tell(times))
    return carry_on(shorter, longer, times)


def _figure_repeats(pattern: Pattern, wishes: Wishes, pace: Pace, repeats: int) -> Figures:
    worked = work_out(pattern, replace(wishes, repeats=repeats, length_mm=None))
    figures = _figures(worked, pace)
    return replace(figures, repeats=repeats)


def _figures(worked: Worked, pace: Pace) -> Figures:
    figures = figure_work(worked.pattern, worked.plan, worked.paths, worked.gauge, pace)
    return replace(figures, remarks=worked.remarks)


def recall_pace(settings: Path) -> Memory:
    """Return the maker's pace and what it was learned from."""
    try:
        return recall(read_settings(settings))
    except SettingError as error:
        named = str(settings) in str(error)
        raise SettingError(str(error) if named else f"{settings}: {error}") from error


def learn_pace(path: Path, minutes: float, *, settings: Path, repeats: int = 1) -> Memory:
    """Learn from a finished piece and keep what was learned.

    Parameters
    ----------
    path
        The pattern that was worked.
    minutes
        What it took, winding included.
    settings
        Where the pace is kept.
    repeats
        How often the pattern was worked, one after another.

    Raises
    ------
    LaceError
        Where the pattern or the settings are at fault, or the time cannot be meant.
    """
    memory = recall_pace(settings)
    pattern = read_pattern(path)
    job = _job(pattern, repeats)
    learned = memory.with_piece(Record(pattern.title or pattern.name, job, minutes))
    write_settings(settings, note(read_settings(settings), learned))
    return learned


def _job(pattern: Pattern, repeats: int) -> Job:
    if repeats > MOST_LAID:
        shorter, longer = that_tell(repeats)
        times = (repeats - longer) / (longer - shorter)
        return more_of(_job(pattern, shorter), _job(pattern, longer), times)
    return job_of(work_out(pattern, Wishes(repeats=repeats)).plan)


def unlearn_pace(settings: Path) -> Memory:
    """Forget the piece that was learned from last."""
    memory = recall_pace(settings).without_last()
    write_settings(settings, note(read_settings(settings), memory))
    return memory


@dataclass(frozen=True)
class Written:
    """A sheet that was written.

    Attributes
    ----------
    files
        In the order of their pages.
    remarks
        What is to be known of the piece on it.
    """

    files: tuple[Path, ...]
    remarks: tuple[Remark, ...]


def make_sheet(
    path: Path,
    target: Path,
    wishes: Wishes,
    *,
    settings: Path,
    paper: str = "a4",
    mono: bool = False,
    mirror: bool = False,
) -> Written:
    """Work a pattern and write a sheet to keep beside the pillow.

    Parameters
    ----------
    path
        A marked pricking.
    target
        A name that ends in ``.pdf``, ``.svg`` or ``.png``.
    wishes
        How the piece is worked and shown; the picture's sharpness is chosen to suit the paper.
    settings
        The maker's settings, for the pace.
    paper, mono, mirror
        As `render.sheets.write.write_sheet` takes them.

    Raises
    ------
    LaceError
        Where anything asked for is at fault; nothing is written then.
    """
    check_target(target)
    memory = recall_pace(settings)
    worked = work(path, wishes)
    figures = _figures(worked, memory.pace)
    times = times_asked(wishes.repeats, wishes.length_mm, worked.pattern)
    sheet = _sheet(worked, wishes, replace(figures, repeats=times))
    files = write_sheet(sheet, target, source=path, paper=paper, mono=mono, mirror=mirror)
    return Written(files, worked.remarks)


def _sheet(worked: Worked, wishes: Wishes, figures: Figures) -> Sheet:
    places = figures.places
    pricking = worked.plan.pricking
    marks = [
        *_marks("start", places.start),
        *_marks("in", _on_holes(places.hung_in, pricking)),
        *_marks("out", _on_holes(places.thrown_out, pricking)),
        *_marks("end", places.end),
    ]
    ways = (arrow(p.hole, p.other, enters=p.enters) for p in passages(worked.plan))
    arrows = list(dict.fromkeys(way for way in ways if way is not None))
    in_ground = [
        word
        for word, owners, inside in zip(
            pricking.ground, pricking.owners, pricking.interior.tolist(), strict=True
        )
        if not owners and inside < 0
    ]
    return Sheet(
        figures.name,
        worked.pattern.maker,
        draw_up(pricking, order_of_areas(worked.plan), marks, arrows),
        tuple(dict.fromkeys(in_ground)),
        _picture(worked, wishes),
        in_short(figures),
        gimps_in_words(worked.plan),
    )


def _picture(worked: Worked, wishes: Wishes) -> NDArray[np.uint8]:
    scene = stage_scene(worked, wishes)
    left, top, right, bottom = scene.window_mm
    dpi = _PICTURE_PIXELS / max(right - left, bottom - top) * 25.4
    dpi = min(max(dpi, _DPI[0]), _DPI[1])
    return picture(stage_scene(worked, replace(wishes, dpi=dpi)))[..., :3]


def _on_holes(spots: tuple[Spot, ...], pricking: Pricking) -> tuple[Spot, ...]:
    """Move spots to the holes they are nearest to."""
    holes = [tuple(hole) for hole in pricking.holes.tolist()]
    return tuple(replace(spot, at=holes[spot.hole - 1]) for spot in spots)


def _marks(kind: str, spots: tuple[Spot, ...]) -> list[Mark]:
    return [Mark(kind, spot.pairs, spot.at, spot.hole, spot.after) for spot in spots]
