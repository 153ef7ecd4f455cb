"""A pattern laid several times over, one repeat after another."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from render.errors import SettingError
from render.geometry.polygon import signed_area
from render.geometry.union import unite
from render.pattern.model import Label, Line, Pattern, Points, Region

MOST_REPEATS = 10_000
# Holes and corners of neighbouring repeats that fall on each other are one.
SAME_MM = 0.3
# A line goes on in the next repeat where its ends come this near to each other, in spacings.
_JOINED = 1.5

# The number of a region or line in the pattern, and the repeat it lies in: RUNNING through all.
Origin = tuple[int, int]
RUNNING = -1


@dataclass(frozen=True, eq=False)
class Laid:
    """A pattern laid several times over.

    Attributes
    ----------
    pattern
        All of it. A region that overlaps its next one, or shares some of its outline, is one
        region with it; a line whose end meets its next beginning is one line.
    times
        How often it was laid.
    regions, lines
        What each region and line of `pattern` was laid from.
    """

    pattern: Pattern
    times: int
    regions: tuple[Origin, ...]
    lines: tuple[Origin, ...]


def repeats_in(pattern: Pattern, length_mm: float) -> int:
    """Return how many repeats a length takes, the last one whole.

    Raises
    ------
    SettingError
        Where the pattern does not repeat, or the length is less than one repeat or absurdly long.
    """
    step = float(np.hypot(*step_of(pattern)))
    if not length_mm >= step - 1e-6:
        raise SettingError(
            f"a length of {length_mm:g} mm is less than one repeat of {pattern.name}, which is "
            f"{step:g} mm"
        )
    times = int(min(np.ceil(length_mm / step - 1e-9), 10 * MOST_REPEATS))
    _check_times(times)
    return times


def times_asked(
    repeats: int | None, length_mm: float | None, pattern: Pattern | None = None
) -> int:
    """Return how often a pattern is to be worked.

    Parameters
    ----------
    repeats, length_mm
        How often, or how long; None for once.
    pattern
        None to look at the question only: then 1 for any length.

    Raises
    ------
    SettingError
        Where both are asked for, or what is asked for cannot be meant.
    """
    if repeats is not None and length_mm is not None:
        raise SettingError("say how many repeats or how long, not both")
    if length_mm is not None:
        return 1 if pattern is None else repeats_in(pattern, length_mm)
    _check_times(1 if repeats is None else repeats)
    return 1 if repeats is None else repeats


def _check_times(times: int) -> None:
    if not 1 <= times <= MOST_REPEATS:
        raise SettingError(f"{times} repeats are not between 1 and {MOST_REPEATS}")


def step_of(pattern: Pattern) -> tuple[float, float]:
    """Return the vector in mm by which a pattern repeats.

    Raises
    ------
    SettingError
        Where it does not say.
    """
    if pattern.repeat is None:
        raise SettingError(
            f"{pattern.name} does not say by how much it repeats: give it data-repeat, such as "
            '"0,40" for 40 mm down the page'
        )
    return pattern.repeat


def work_again(pattern: Pattern, times: int) -> Pattern:
    """Return a pattern laid several times over, one repeat after another.

    Raises
    ------
    SettingError
        Where the pattern does not say by how much it repeats.
    """
    return lay_again(pattern, times).pattern


def lay_again(pattern: Pattern, times: int) -> Laid:
    """Lay a pattern several times over, and say what came from what.

    Raises
    ------
    SettingError
        Where the pattern does not say by how much it repeats, or the number cannot be meant.
    """
    _check_times(times)
    if times == 1:
        once = tuple((number, 0) for number in range(len(pattern.regions)))
        line_once = tuple((number, 0) for number in range(len(pattern.lines)))
        return Laid(pattern, 1, once, line_once)
    shifts = [np.multiply(k, step_of(pattern)) for k in range(times)]
    holes = np.concatenate([pattern.holes + shift for shift in shifts])
    kept = _without_doubles(holes)
    count = len(pattern.holes)
    regions, region_origins = _regions(pattern, shifts)
    lines, line_origins = _lines(pattern, shifts)
    laid = replace(
        pattern,
        holes=holes[kept],
        hole_stitch=tuple(pattern.hole_stitch[k % count] for k in kept),
        hole_area=tuple(pattern.hole_area[k % count] for k in kept),
        regions=tuple(regions),
        lines=tuple(lines),
        labels=tuple(_label(label, shift) for shift in shifts for label in pattern.labels),
    )
    return Laid(laid, times, tuple(region_origins), tuple(line_origins))


def _label(label: Label, shift: Points) -> Label:
    x, y = (label.at + shift).tolist()
    return replace(label, at=(x, y))


def _without_doubles(holes: Points) -> list[int]:
    """Return the numbers of holes that are not met by an earlier one."""
    doubled = {int(b) for _, b in cKDTree(holes).query_pairs(SAME_MM)}
    return [k for k in range(len(holes)) if k not in doubled]


def _regions(pattern: Pattern, shifts: list[Points]) -> tuple[list[Region], list[Origin]]:
    """Lay all regions again: those that run on first, the others repeat by repeat."""
    running = [_run_on(region, shifts) for region in pattern.regions]
    regions, origins = [], []
    for k, shift in enumerate(shifts):
        for number, (region, whole) in enumerate(zip(pattern.regions, running, strict=True)):
            if whole is None:
                regions.append(_moved(region, shift))
                origins.append((number, k))
            elif k == 0:
                regions.append(whole)
                origins.append((number, RUNNING))
    return regions, origins


def _moved(region: Region, shift: Points) -> Region:
    return replace(region, contours=tuple(contour + shift for contour in region.contours))


def _run_on(region: Region, shifts: list[Points]) -> Region | None:
    """Return a region that goes on from repeat to repeat as one; None where it does not."""
    outline = region.contours[0]
    # Corners drawn where the next repeat has one are meant to be the same.
    distance, near = map(np.asarray, cKDTree(outline + shifts[1]).query(outline))
    fitted = outline.copy()
    fitted[distance <= SAME_MM] = (outline + shifts[1])[near[distance <= SAME_MM]]
    if _apart(fitted, shifts[1]):
        return None
    whole = unite([fitted + shift for shift in shifts])
    inner = [contour + shift for shift in shifts for contour in region.contours[1:]]
    return replace(region, contours=(*whole, *inner))


def _apart(outline: Points, shift: Points) -> bool:
    """Tell whether a shape and its next one stay two."""
    return sum(signed_area(contour) > 0 for contour in unite([outline, outline + shift])) > 1


def _lines(pattern: Pattern, shifts: list[Points]) -> tuple[list[Line], list[Origin]]:
    """Lay all lines again: as one where the end meets the next beginning."""
    apart = np.asarray(cKDTree(pattern.holes).query(pattern.holes, 2)[0])[:, 1]
    near = _JOINED * float(np.median(apart))
    lines, origins = [], []
    for number, line in enumerate(pattern.lines):
        first, last = line.points[0], line.points[-1]
        if np.hypot(*(first + shifts[1] - last)) <= near:
            order = shifts
        elif np.hypot(*(last + shifts[1] - first)) <= near:
            order = shifts[::-1]
        else:
            lines += [replace(line, points=line.points + shift) for shift in shifts]
            origins += [(number, k) for k in range(len(shifts))]
            continue
        lines.append(replace(line, points=np.concatenate([line.points + shift for shift in order])))
        origins.append((number, RUNNING))
    return lines, origins
