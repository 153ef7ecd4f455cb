"""From a coloured copy on paper to the file of a marked pricking."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from render.errors import OutputError, PatternError, Remark
from render.files import refuse_to_replace, whole_file
from render.pattern.key import ColourKey
from render.pattern.read import read_pattern
from render.pattern.write import write_pattern
from render.scan.marking import to_pattern
from render.scan.model import Reading, Settings
from render.scan.naming import name_pens, parse_pen, pen_list
from render.scan.reading import read_scan
from render.scan.review import write_review


@dataclass(frozen=True)
class Copied:
    """What came of reading a copy."""

    holes: int
    doubtful: int
    areas: int
    pens: str
    remarks: tuple[Remark, ...]


def copy_scan(
    scan: Path,
    target: Path,
    *,
    settings: Settings | None = None,
    pens: Sequence[str] = (),
    review: Path | None = None,
    key: ColourKey | None = None,
) -> Copied:
    """Read a scan and write its marked pricking.

    Parameters
    ----------
    scan
        A picture of a pricking, coloured or not.
    target
        The pattern, an SVG. An older pattern is replaced, nothing else is.
    settings
        Scale and straightening.
    pens
        What pens mean, each ``COLOUR=half``, ``1=whole`` or ``2=line:plait``.
    review
        A PNG that shows what was understood.
    key
        The colour key by which pens without a name are known.

    Raises
    ------
    PatternError
        Where the picture cannot be read, or a pen has no meaning: then only the review is written.
    OutputError
        Where a file cannot be written or is not ours to replace.
    """
    names = [parse_pen(text) for text in pens]
    _check_target(scan, target)
    if review is not None:
        refuse_to_replace(review, scan)
    reading = read_scan(scan, settings)
    meanings = name_pens(reading, names, key or ColourKey())
    if review is not None:
        write_review(reading, meanings, review)
    listed = pen_list(reading.pens, meanings)
    if None in meanings.values():
        message = f"a pen has no meaning yet; name each with --pen:\n{listed}"
        raise PatternError(scan.name, (Remark(message),))
    pattern = to_pattern(reading, target.stem, meanings)
    with whole_file(target) as file:
        write_pattern(pattern, file, key=key)
    return Copied(
        holes=len(reading.holes.centres),
        doubtful=_doubtful(reading),
        areas=len(reading.areas),
        pens=listed,
        remarks=reading.remarks,
    )


def _doubtful(reading: Reading) -> int:
    return int((~reading.holes.sure).sum())


def _check_target(scan: Path, target: Path) -> None:
    """Let a pattern replace nothing but a pattern."""
    if target.suffix.lower() != ".svg":
        raise OutputError(f"{target} cannot be written: its name must end in .svg")
    if not target.exists():
        return
    if scan.exists() and target.samefile(scan):
        raise OutputError(f"{target} is the scan itself: choose another name with -o")
    try:
        read_pattern(target)
    except PatternError:
        message = f"{target} is there already and is no pattern: choose another name with -o"
        raise OutputError(message) from None
