"""Turn what was seen in a picture, and what its pens mean, into a pattern."""

from collections.abc import Mapping
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from render.errors import PatternError, Place, Remark
from render.pattern.model import Line, Pattern, Region
from render.scan.model import Points, Reading
from render.scan.naming import Meaning, pen_list

# What is worked from one pin to the next; a gimp or an edge runs on.
FROM_HOLE_TO_HOLE = ("plait", "leaf", "square-leaf")
ON_HOLE = 0.01  # mm
TURNS_DEGREES = 30.0


def to_pattern(reading: Reading, name: str, meanings: Mapping[int, Meaning | None]) -> Pattern:
    """Turn a reading into a pattern.

    Parameters
    ----------
    name
        Of the pattern.
    meanings
        Of every pen, by its number.

    Raises
    ------
    PatternError
        Listing the pens, where one of them has no meaning yet.
    """
    if any(meanings.get(pen.number) is None for pen in reading.pens):
        message = f"{unnamed_pens(meanings)}\n{pen_list(reading.pens, meanings)}"
        raise PatternError(reading.picture.source, (Remark(message),))
    regions, lines, left_out = _shapes(reading, meanings)
    count = len(reading.holes)
    return Pattern(
        name,
        _rounded(reading, reading.holes.centres),
        (None,) * count,
        (None,) * count,
        regions,
        lines,
        remarks=(*reading.remarks, *left_out),
    )


def unnamed_pens(meanings: Mapping[int, Meaning | None]) -> str:
    """Return a sentence that asks for the meanings that are missing, empty where none is."""
    unnamed = [number for number, meaning in meanings.items() if meaning is None]
    if not unnamed:
        return ""
    numbers = ", ".join(map(str, unnamed))
    which = f"pen {numbers} stands" if len(unnamed) == 1 else f"pens {numbers} stand"
    return f'say what {which} for, as in --pen "{unnamed[0]}=half" or "{unnamed[0]}=line:plait"'


def _shapes(
    reading: Reading, meanings: Mapping[int, Meaning | None]
) -> tuple[tuple[Region, ...], tuple[Line, ...], list[Remark]]:
    """Return the regions and lines, and remarks on shapes that their pen's meaning leaves out."""
    regions: list[Region] = []
    lines: list[Line] = []
    left_out = {pen.number: [0, 0] for pen in reading.pens}
    for area in reading.areas:
        meaning = meanings[area.pen]
        if meaning is None or meaning.line:
            left_out[area.pen][0] += 1
        elif meaning.word != "ignore":
            contours = tuple(_rounded(reading, contour) for contour in area.contours)
            place = _place(f"region {len(regions) + 1}", contours[0].mean(axis=0))
            options = {} if meaning.ground is None else {"ground": meaning.ground}
            regions.append(Region(contours, meaning.word, place, options))
    for stroke in reading.strokes:
        meaning = meanings[stroke.pen]
        if meaning is not None and meaning.line:
            worked_apart = meaning.word in FROM_HOLE_TO_HOLE
            for piece in _parted(stroke.points, reading) if worked_apart else [stroke.points]:
                points = _rounded(reading, piece)
                place = _place(f"line {len(lines) + 1}", points[0])
                lines.append(Line(points, meaning.word, place))
        elif meaning is None or meaning.word != "ignore":
            left_out[stroke.pen][1] += 1
    remarks = []
    for pen, (areas, strokes) in left_out.items():
        if areas:
            message = f"{areas} areas of pen {pen} are left out, as the pen stands for lines"
            remarks.append(Remark(message))
        if strokes:
            message = f"{strokes} thin lines of pen {pen} are left out, as the pen colours areas"
            remarks.append(Remark(message))
    return tuple(regions), tuple(lines), remarks


def _parted(line: Points, reading: Reading) -> list[Points]:
    """Part a line at the holes where it turns, a closed one from its first such hole on."""
    at_hole = np.asarray(cKDTree(reading.holes.centres).query(line)[0]) < ON_HOLE * reading.per_mm
    closed = bool((line[0] == line[-1]).all())
    before, after = np.roll(line, 1, axis=0), np.roll(line, -1, axis=0)
    if closed:
        before[0], after[-1] = line[-2], line[1]
    come, go = line - before, after - line
    turn = np.arctan2(come[:, 0] * go[:, 1] - come[:, 1] * go[:, 0], (come * go).sum(axis=1))
    cut = at_hole & (np.abs(turn) > np.radians(TURNS_DEGREES))
    if closed and cut.any():
        first = int(cut.argmax())
        line = np.vstack([line[first:-1], line[: first + 1]])
        cut = np.concatenate([cut[first:-1], cut[: first + 1]])
    inner = np.flatnonzero(cut[1:-1]) + 1
    ends = [0, *inner.tolist(), len(line) - 1]
    return [line[a : b + 1] for a, b in pairwise(ends)]


def _rounded(reading: Reading, points: Points) -> Points:
    """Return millimetres to a tenth of a micrometre, as nobody can see more."""
    return np.asarray(np.round(reading.to_mm(points), 4), np.float64)


def _place(item: str, point: Points) -> Place:
    """Return where something stands."""
    return Place(item, float(point[0]), float(point[1]))
