"""The same pattern with other stitches, or worked several times over."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from scipy.spatial import cKDTree

from render.errors import SettingError, did_you_mean
from render.pattern.model import Line, Pattern, Region
from render.pattern.words import CLOSEST, LOOSEST, STITCHES, check_ground

# Holes of neighbouring repeats that fall on each other are one hole.
_SAME_MM = 0.3
# A line goes on in the next repeat where its ends come this near to each other.
_JOINED = 1.5


def swap_stitches(pattern: Pattern, swaps: Mapping[str, str], ground: str | None = None) -> Pattern:
    """Return a pattern with other stitches in its areas and, if asked, another ground.

    Parameters
    ----------
    swaps
        The stitch to work instead, by the stitch that is marked.
    ground
        The ground to work; None for the pattern's own.

    Raises
    ------
    SettingError
        Where a word is unknown, or the pattern has no area of a stitch to be swapped.
    """
    for word in (*swaps, *swaps.values()):
        if word not in STITCHES:
            raise SettingError(f'unknown stitch "{word}"; {did_you_mean(word, STITCHES)}')
    marked = {region.stitch for region in pattern.regions}
    for word in swaps:
        if word not in marked:
            known = ", ".join(sorted(marked)) or "none"
            raise SettingError(f"{pattern.name} has no area in {word}; its areas are in: {known}")
    if ground is not None:
        check_ground(ground)
    regions = tuple(replace(r, stitch=swaps.get(r.stitch, r.stitch)) for r in pattern.regions)
    holes = tuple(swaps.get(word, word) if word else word for word in pattern.hole_stitch)
    return replace(pattern, regions=regions, hole_stitch=holes, ground=ground or pattern.ground)


def worked_closer(pattern: Pattern, density_of: Mapping[str, float]) -> Pattern:
    """Return a pattern with other densities for some of its areas.

    Parameters
    ----------
    density_of
        More is closer, by the name of the area; it takes the place of what the pattern says.

    Raises
    ------
    SettingError
        Where there is no such area, or a density is out of bounds.
    """
    names = [region.place.item.partition(" ")[2].strip('"') for region in pattern.regions]
    for name, density in density_of.items():
        if name not in names:
            known = ", ".join(names) or "none"
            raise SettingError(f'there is no area "{name}"; the areas are: {known}')
        check_density(density)
    regions = tuple(
        _closer(region, density_of[name]) if name in density_of else region
        for name, region in zip(names, pattern.regions, strict=True)
    )
    return replace(pattern, regions=regions)


def _closer(region: Region, density: float) -> Region:
    """Give a region a density; where the pattern counts its pairs, so many times those."""
    options = {**region.options, "density": str(density)}
    if "pairs" in options:
        options["pairs"] = str(max(1, round(int(options["pairs"]) * density)))
    return replace(region, options=options)


def check_density(density: float) -> None:
    """Refuse a density that no cloth has."""
    if not LOOSEST <= density <= CLOSEST:
        raise SettingError(f"a density of {density:g} is not between {LOOSEST:g} and {CLOSEST:g}")


def repeats_in(pattern: Pattern, length_mm: float) -> int:
    """Return how many repeats a length takes, the last one whole.

    Raises
    ------
    SettingError
        Where the pattern does not repeat.
    """
    step = float(np.hypot(*_step(pattern)))
    return max(1, int(np.ceil(length_mm / step - 1e-9)))


def work_again(pattern: Pattern, times: int) -> Pattern:
    """Return a pattern laid several times over, one repeat after another.

    Raises
    ------
    SettingError
        Where the pattern does not say by how much it repeats.
    """
    if times == 1:
        return pattern
    shifts = [np.multiply(k, _step(pattern)) for k in range(times)]
    holes = np.concatenate([pattern.holes + shift for shift in shifts])
    kept = _without_doubles(holes)
    count = len(pattern.holes)
    return replace(
        pattern,
        holes=holes[kept],
        hole_stitch=tuple(pattern.hole_stitch[k % count] for k in kept),
        hole_area=tuple(pattern.hole_area[k % count] for k in kept),
        regions=tuple(_moved(region, shift) for shift in shifts for region in pattern.regions),
        lines=tuple(line for one in pattern.lines for line in _continued(one, shifts, pattern)),
    )


def _step(pattern: Pattern) -> tuple[float, float]:
    if pattern.repeat is None:
        raise SettingError(
            f"{pattern.name} does not say by how much it repeats: give it data-repeat, such as "
            '"0 40" for 40 mm down the page'
        )
    return pattern.repeat


def _without_doubles(holes: np.ndarray) -> list[int]:
    """Return the numbers of holes that are not met by an earlier one."""
    doubled = {int(b) for _, b in cKDTree(holes).query_pairs(_SAME_MM)}
    return [k for k in range(len(holes)) if k not in doubled]


def _to_neighbour(holes: np.ndarray) -> np.ndarray:
    """Return the (N,) distances of holes to their nearest neighbours."""
    return np.asarray(cKDTree(holes).query(holes, 2)[0])[:, 1]


def _moved(region: Region, shift: np.ndarray) -> Region:
    return replace(region, contours=tuple(contour + shift for contour in region.contours))


def _continued(line: Line, shifts: list[np.ndarray], pattern: Pattern) -> list[Line]:
    """Lay a line again: as one where its end meets its next beginning."""
    step = np.array(_step(pattern))
    near = _JOINED * float(np.median(_to_neighbour(pattern.holes)))
    points = line.points
    if np.hypot(*(points[0] + step - points[-1])) <= near:
        return [replace(line, points=np.concatenate([points + shift for shift in shifts]))]
    if np.hypot(*(points[-1] + step - points[0])) <= near:
        return [replace(line, points=np.concatenate([points + s for s in reversed(shifts)]))]
    return [replace(line, points=points + shift) for shift in shifts]
