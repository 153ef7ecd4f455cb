"""The style an element ends up with, and the paint that follows from it."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import parse_rgba
from render.errors import SettingError
from render.pattern.css import INHERITED, StyleSheet
from render.pattern.document import Element

UNSET = {"initial", "unset", "revert"}


@dataclass(frozen=True)
class Style:
    """The inherited properties, as computed.

    Attributes
    ----------
    values
        In the order of INHERITED.
    """

    values: tuple[str, ...] = tuple(INHERITED.values())

    def __getitem__(self, name: str) -> str:
        return self.values[list(INHERITED).index(name)]

    def under(self, declared: Mapping[str, str]) -> "Style":
        """Return the style of a child with these declarations."""
        if not any(name in declared for name in INHERITED):
            return self
        pairs = zip(INHERITED.items(), self.values, strict=True)
        return Style(
            tuple(_computed(declared.get(name), above, first) for (name, first), above in pairs)
        )


@dataclass(frozen=True, eq=False)
class Paint:
    """What fills or strokes an element.

    Attributes
    ----------
    text
        As it was written.
    srgb
        (3,) colour, None where it has none of its own (a gradient, a picture, or not a colour).
    shown
        False for ``none`` and what is wholly transparent.
    opacity
        0 to 1.
    """

    text: str
    srgb: NDArray[np.float64] | None = None
    shown: bool = True
    opacity: float = 1.0

    @property
    def shade(self) -> tuple[float, float, float, float] | None:
        """The colour and its opacity, None where there is no plain colour to be seen."""
        if not self.shown or self.srgb is None:
            return None
        red, green, blue = (float(part) for part in self.srgb)
        return red, green, blue, self.opacity


NOTHING = Paint("none", shown=False)


def paint_of(style: Style, what: str, ids: Mapping[str, Element]) -> Paint:
    """Return the paint of an element.

    Parameters
    ----------
    style
        Its style.
    what
        ``fill`` or ``stroke``.
    ids
        The elements of the drawing by id, for gradients that hold a single colour, as drawing
        programs write a swatch.
    """
    text = style[what]
    if text.lower() == "currentcolor":
        text = style["color"]
    if text.startswith("url("):
        text = _swatch(text, ids)
    # SVG 1.1 lets a profiled colour follow the sRGB one.
    plain = text.partition(" icc-color(")[0]
    if plain.lower() == "none" or style[f"{what}-opacity"] in {"0", "0%", "0.0"}:
        return NOTHING
    try:
        rgba = parse_rgba(plain)
    except SettingError:
        return Paint(text)
    if rgba[3] <= 0:
        return NOTHING
    return Paint(plain, rgba[:3], opacity=float(rgba[3]) * _opacity(style[f"{what}-opacity"]))


def _opacity(text: str) -> float:
    """Return an opacity as CSS has it; what is none counts for nothing, as in any viewer."""
    try:
        value = float(text.rstrip("% ")) / (100 if text.rstrip().endswith("%") else 1)
    except ValueError:
        return 1.0
    return min(max(value, 0.0), 1.0) if value == value else 1.0


def _swatch(text: str, ids: Mapping[str, Element]) -> str:
    """Return the colour of a gradient whose stops are all alike, else the text itself."""
    name, seen = text[4:].partition(")")[0].strip("\"' #"), set[str]()
    while name in ids and name not in seen:
        seen.add(name)
        stops = [child for child in ids[name].children if child.tag == "stop"]
        colours = {_stop_colour(stop) for stop in stops}
        if len(colours) == 1:
            return colours.pop()
        if stops:
            break
        name = ids[name].attributes.get("href", "").removeprefix("#")
    return text


def _stop_colour(stop: Element) -> str:
    """Return the colour of a gradient's stop."""
    return StyleSheet().declared([stop]).get("stop-color", "black")


def _computed(declared: str | None, above: str, first: str) -> str:
    """Return the value of an inherited property."""
    if declared is None or declared == "inherit":
        return above
    return first if declared in UNSET else declared
