"""The colour key: which shade stands for which word."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from render.colour.difference import ciede2000
from render.colour.lab import lab_from_srgb
from render.colour.srgb import hex_colour, parse_colour
from render.errors import SettingError, did_you_mean
from render.pattern.words import LINES, STITCHES

FARTHEST = 12.0

# Chosen so that any two of a table lie at least 2 × FARTHEST apart, and all farther than FARTHEST
# from every grey and from the blues that office programs give to any new shape; dichromats tell
# them apart too; neither vivid nor dark.
STITCH_SHADES = {
    "whole": "#a59652",
    "half": "#53adc0",
    "double": "#e0cefd",
    "ground": "#a0ecc8",
    "open": "#df918c",
}
LINE_SHADES = {
    "plait": "#0e847a",
    "leaf": "#91bf7a",
    "square-leaf": "#565a10",
    "gimp": "#a74358",
    "footside": "#b37641",
    "headside": "#e89eb2",
    "direction": "#6cbcdc",
    "join": "#8370b8",
}


@dataclass(frozen=True)
class Match:
    """The word of the key that a colour comes nearest to.

    Attributes
    ----------
    word
        A stitch or a line.
    away
        How far off the colour is (CIEDE2000).
    """

    word: str
    away: float

    @property
    def close(self) -> bool:
        """Whether the colour may be taken for the word."""
        return self.away <= FARTHEST


@dataclass(frozen=True)
class ColourKey:
    """Shades for the stitches and the lines.

    Attributes
    ----------
    stitches, lines
        CSS colours by word; a word without a shade is only known by its attribute.

    Raises
    ------
    SettingError
        Where a word or colour is unknown, or one table uses a shade for two words.
    """

    stitches: Mapping[str, str] = field(default_factory=lambda: MappingProxyType(STITCH_SHADES))
    lines: Mapping[str, str] = field(default_factory=lambda: MappingProxyType(LINE_SHADES))

    def __post_init__(self) -> None:
        for what, shades, known in (
            ("stitch", self.stitches, STITCHES),
            ("line", self.lines, LINES),
        ):
            _check_shades(what, shades, known)

    def stitch_of(self, srgb: NDArray[np.float64]) -> Match | None:
        """Return the stitch nearest to a (3,) sRGB colour, None where the key has no stitches."""
        return _nearest(self.stitches, srgb)

    def line_of(self, srgb: NDArray[np.float64]) -> Match | None:
        """Return the line nearest to a (3,) sRGB colour, None where the key has no lines."""
        return _nearest(self.lines, srgb)


def read_colour_key(path: Path) -> ColourKey:
    """Read a person's own shades.

    Parameters
    ----------
    path
        A TOML file with the tables ``[stitch]`` and ``[line]``, in each ``word = "colour"``.
        Words it leaves out keep their shade; ``word = ""`` takes it away.

    Raises
    ------
    SettingError
        Where the file cannot be read or says something the key does not know.

    Examples
    --------
    ::

        [stitch]
        whole = "#d9b38c"
        half = "lightsteelblue"
    """
    try:
        text = path.read_text("utf-8-sig")
        content = tomllib.loads(text)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise SettingError(f"{path}: the colour key cannot be read: {error}") from None
    for name in content:
        if name not in ("stitch", "line"):
            raise SettingError(
                f'{path}: unknown table "{name}"; {did_you_mean(name, ("stitch", "line"))}'
            )
    try:
        return ColourKey(
            _merged(STITCH_SHADES, content.get("stitch", {}), "stitch"),
            _merged(LINE_SHADES, content.get("line", {}), "line"),
        )
    except SettingError as error:
        raise SettingError(f"{path}: {error}") from None


def _merged(shades: Mapping[str, str], own: object, what: str) -> dict[str, str]:
    """Return the default shades with a person's own in their place."""
    if not isinstance(own, dict) or not all(isinstance(value, str) for value in own.values()):
        raise SettingError(f'the table "{what}" must hold lines of the form word = "colour"')
    return {word: shade for word, shade in {**shades, **own}.items() if shade}


def _check_shades(what: str, shades: Mapping[str, str], known: Mapping[str, str]) -> None:
    """Refuse words, colours and shades that cannot serve."""
    seen: dict[str, str] = {}
    for word, shade in shades.items():
        if word not in known:
            raise SettingError(f'unknown {what} "{word}"; {did_you_mean(word, known)}')
        colour = hex_colour(parse_colour(shade))
        if colour in seen:
            raise SettingError(
                f'"{seen[colour]}" and "{word}" both have the shade {colour}; give them different '
                "ones"
            )
        seen[colour] = word


def _nearest(shades: Mapping[str, str], srgb: NDArray[np.float64]) -> Match | None:
    """Return the word whose shade is nearest."""
    if not shades:
        return None
    table = lab_from_srgb(np.array([parse_colour(shade) for shade in shades.values()]))
    away = ciede2000(table, lab_from_srgb(srgb))
    best = int(away.argmin())
    return Match(list(shades)[best], float(away[best]))
