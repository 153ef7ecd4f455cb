"""The same pattern with other stitches."""

from collections.abc import Mapping
from dataclasses import replace

from render.errors import SettingError, did_you_mean
from render.pattern.model import Pattern, Region
from render.pattern.words import CLOSEST, LOOSEST, STITCHES, check_ground


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
