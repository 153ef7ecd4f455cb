"""Whether to work a piece: its figures, the maker's pace, a sheet for the pillow."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from render.errors import SettingError
from render.estimate.changes import repeats_in, swap_stitches
from render.estimate.figures import Figures, figure_pattern
from render.estimate.memory import Memory, note, recall
from render.estimate.pace import Job, Record, job_of
from render.pattern.model import Pattern
from render.pattern.read import read_pattern
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settings import read_settings, write_settings


@dataclass(frozen=True)
class Changes:
    """What of a pattern is to be other than marked.

    Attributes
    ----------
    gauge_mm
        Diameter of the thread; None for the pattern's own.
    density
        Factor on the pairs of areas that stand alone.
    repeats, length_mm
        How often it is worked, or how long it shall be; None for once. Not both.
    swaps
        The stitch to work instead, by the stitch that is marked.
    ground
        Another ground; None for the pattern's own.
    """

    gauge_mm: float | None = None
    density: float = 1.0
    repeats: int | None = None
    length_mm: float | None = None
    swaps: Mapping[str, str] = field(default_factory=dict)
    ground: str | None = None

    def __post_init__(self) -> None:
        if self.repeats is not None and self.length_mm is not None:
            raise SettingError("say how many repeats or how long, not both")

    def times(self, pattern: Pattern) -> int:
        """Return how often a pattern is worked."""
        if self.length_mm is not None:
            return repeats_in(pattern, self.length_mm)
        return self.repeats or 1


def figure(path: Path, changes: Changes, *, settings: Path) -> Figures:
    """Read a pattern, work it and take its figures at the maker's pace.

    Parameters
    ----------
    path
        A marked pricking.
    changes
        What is to be other than marked.
    settings
        The maker's settings; the file need not exist.

    Raises
    ------
    LaceError
        Where the pattern, a change or the settings are at fault.
    """
    memory = recall_pace(settings)
    marked = read_pattern(path)
    pattern = swap_stitches(marked, changes.swaps, changes.ground)
    return figure_pattern(
        pattern,
        memory.pace,
        gauge_mm=changes.gauge_mm,
        density=changes.density,
        repeats=changes.times(pattern),
    )


def recall_pace(settings: Path) -> Memory:
    """Return the maker's pace and what it was learned from."""
    try:
        return recall(read_settings(settings))
    except SettingError as error:
        named = str(settings) in str(error)
        raise SettingError(str(error) if named else f"{settings}: {error}") from error


def learn_pace(path: Path, minutes: float, *, settings: Path) -> Memory:
    """Learn from a finished piece and keep what was learned.

    Parameters
    ----------
    path
        The pattern that was worked.
    minutes
        What it took, winding included.
    settings
        Where the pace is kept.

    Raises
    ------
    LaceError
        Where the pattern or the settings are at fault, or the time cannot be meant.
    """
    memory = recall_pace(settings)
    pattern = read_pattern(path)
    job: Job = job_of(plan_work(sort_holes(pattern)))
    learned = memory.with_piece(Record(pattern.title or pattern.name, job, minutes))
    write_settings(settings, note(read_settings(settings), learned))
    return learned


def unlearn_pace(settings: Path) -> Memory:
    """Forget the piece that was learned from last."""
    memory = recall_pace(settings).without_last()
    write_settings(settings, note(read_settings(settings), memory))
    return memory
