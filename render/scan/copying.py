"""From a coloured copy on paper to the file of a marked pricking."""

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from render.errors import OutputError, PatternError, Remark, SettingError
from render.files import refuse_to_replace, whole_file
from render.pattern.key import ColourKey
from render.pattern.model import Pattern
from render.pattern.read import read_pattern
from render.pattern.write import write_pattern
from render.scan.as_read import find_as_read, find_own_notes, with_notes
from render.scan.keep import (
    Corrections,
    find_corrections,
    keep_corrections,
    lay_over,
    moved,
    off_page,
    standing_on,
)
from render.scan.marking import to_pattern, unnamed_pens
from render.scan.model import Points, Settings
from render.scan.naming import PenName, name_pens, pen_rows
from render.scan.reading import read_scan
from render.scan.review import write_review


@dataclass(frozen=True)
class Copied:
    """What came of reading a copy.

    Attributes
    ----------
    path
        The pattern that was written, None where pens are still to be named.
    holes, doubtful, areas, lines
        How many were read; after corrections were kept, how many the pattern has.
    pens
        Of each pen its colour ``#rrggbb`` and a line of text.
    asks
        Which pens are to be named, empty where all are.
    kept
        What a hand had corrected and was kept, empty where nothing.
    """

    path: Path | None
    holes: int
    doubtful: int
    areas: int
    lines: int
    pens: tuple[tuple[str, str], ...]
    asks: str
    kept: str
    remarks: tuple[Remark, ...]


def copy_scan(
    scan: Path,
    target: Path,
    *,
    settings: Settings | None = None,
    pens: Sequence[PenName] = (),
    review: Path | None = None,
    key: ColourKey | None = None,
    keep: bool = False,
) -> Copied:
    """Read a scan and write its marked pricking.

    Parameters
    ----------
    scan
        A picture of a pricking, coloured or not; it is never written to.
    target
        The pattern, an SVG. A pattern that was read from a copy and not changed since is replaced;
        one that was changed only with `keep`; nothing else is.
    settings
        Scale and straightening.
    pens
        What pens mean; those that are not named are known by the key.
    review
        A PNG that shows what was understood; replaced if this program made it.
    key
        The colour key, the project's own by default.
    keep
        Whether what a hand has changed in the target since is left as it is.

    Returns
    -------
    What was read. While a pen has no meaning, only the review is written.

    Raises
    ------
    PatternError
        Where the picture cannot be read, or a name fits no pen, or it is not the same copy.
    SettingError
        Where the settings make no sense.
    OutputError
        Where a file cannot be written or is not ours to replace.
    """
    settings, key = settings or Settings(), key or ColourKey()
    before = _check_target(scan, target, keep)
    if review is not None:
        _check_review(scan, target, review)
    reading = read_scan(scan, settings)
    meanings = name_pens(reading, pens, key)
    doubtful = reading.to_mm(reading.holes.centres[~reading.holes.sure])
    asks, kept = unnamed_pens(meanings), ""
    found = None if asks else to_pattern(reading, target.stem, meanings)
    if found is not None:
        read, notes = found, ""
        if before is not None and keep:
            turn, shift = lay_over(found.holes, before.read.holes, scan.name)
            read, doubtful = moved(found, turn, shift), doubtful @ turn + shift
            kept, notes = before.said(), before.notes
            found = keep_corrections(read, before.now, before.read, before.corrections)
            doubtful = doubtful[standing_on(doubtful, found.holes)]
        _write(found, read, doubtful, notes, target, key)
    # Only now, as a copy that does not lie on the corrected pattern leaves nothing behind.
    if review is not None:
        write_review(reading, meanings, review)
    return Copied(
        path=None if found is None else target,
        holes=len(reading.holes) if found is None else len(found.holes),
        doubtful=len(doubtful),
        areas=len(reading.areas) if found is None else len(found.regions),
        lines=len(reading.strokes) if found is None else len(found.lines),
        pens=pen_rows(reading.pens, meanings),
        asks=asks,
        kept=kept,
        remarks=reading.remarks if found is None else found.remarks,
    )


@dataclass(frozen=True, eq=False)
class _Before:
    """A pattern that was read before: as it is now, as it was read, and what a hand changed."""

    now: Pattern
    read: Pattern
    corrections: Corrections
    notes: str

    def said(self) -> str:
        """Return what a hand changed, empty where nothing."""
        parts = [str(self.corrections)] if self.corrections.any else []
        return "; ".join([*parts, "notes"] if self.notes else parts)


def _write(
    pattern: Pattern, read: Pattern, doubtful: Points, notes: str, target: Path, key: ColourKey
) -> None:
    """Write a pattern with its notes, whole or not at all."""
    shift = off_page(pattern)
    drawing = io.BytesIO()
    # Texts of a hand are among the notes, which are kept as they are drawn.
    written = replace(moved(pattern, np.eye(2), shift), labels=())
    write_pattern(written, drawing, key=key)
    text = with_notes(
        drawing.getvalue().decode(), moved(read, np.eye(2), shift), doubtful + shift, notes
    )
    with whole_file(target) as file:
        file.write(text.encode())


def _check_target(scan: Path, target: Path, keep: bool) -> _Before | None:
    """Let a pattern replace nothing but a reading; return what is there and what was read."""
    if target.suffix.lower() != ".svg":
        raise SettingError(f"{target} cannot be written: the name of a pattern must end in .svg")
    if not target.exists():
        return None
    if target.samefile(scan):
        raise OutputError(f"{target} is the scan itself: choose another name with -o")
    read = find_as_read(target) if target.is_file() else None
    if read is None:
        raise OutputError(
            f"{target} is there already and was not read from a copy by this program: "
            "choose another name with -o, or move it away"
        )
    try:
        now = read_pattern(target)
    except PatternError as error:
        faults = "; ".join(map(str, error.faults))
        raise OutputError(
            f"{target} is there already and has faults since it was changed ({faults}): "
            "mend them, choose another name with -o, or move it away"
        ) from error
    before = _Before(now, read, find_corrections(now, read), find_own_notes(target, now.title))
    if before.said() and not keep:
        raise OutputError(
            f"{target} was corrected by hand since it was read ({before.said()}): "
            "give --keep to leave that as it is, or choose another name with -o"
        )
    return before


def _check_review(scan: Path, target: Path, review: Path) -> None:
    """Let a review replace nothing but a review."""
    if review.suffix.lower() != ".png":
        raise SettingError(f"{review} cannot be written: the name of a review must end in .png")
    if review.resolve() == target.resolve():
        raise OutputError(f"{review} cannot be both the pattern and its review")
    if review.exists() and review.samefile(scan):
        raise OutputError(f"{review} is the scan itself: choose another name with --review")
    refuse_to_replace(review, scan)
