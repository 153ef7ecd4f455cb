"""Turn a Pattern into a drawing that any drawing program opens."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import BinaryIO
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from render.errors import OutputError
from render.pattern.heading import FORMAT
from render.pattern.key import ColourKey
from render.pattern.model import Label, Line, Pattern, Region

Points = NDArray[np.float64]

MARGIN_MM = 10.0
HOLE_RADIUS_MM = 0.4
DIGITS = 6
GROUPS = ("regions", "lines", "holes", "notes")
UNSOUND = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_pattern(
    pattern: Pattern, target: Path | str | BinaryIO, *, key: ColourKey | None = None
) -> None:
    """Write a pattern as SVG.

    Read back, it gives the same pattern, to a millionth of a millimetre. Where something lies left
    of or above the page's corner, everything is moved onto the page.

    Parameters
    ----------
    pattern
        What to write.
    target
        A file, or a stream of bytes.
    key
        The colours to draw with; the project's own by default.

    Raises
    ------
    OutputError
        Where the file cannot be written.
    """
    data = "".join(f"{line}\n" for line in _lines(pattern, key or ColourKey())).encode()
    if not isinstance(target, Path | str):
        target.write(data)
        return
    try:
        Path(target).write_bytes(data)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise OutputError(f"{target}: the pattern cannot be written: {reason}") from None


def _lines(pattern: Pattern, key: ColourKey) -> Iterator[str]:
    """Yield the drawing line by line."""
    shift, width, height = _fit(pattern)
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}"{_data(_root_words(pattern))}>'
    )
    names = set(GROUPS)
    yield (
        '<g id="regions" fill-opacity="0.5" fill-rule="evenodd" stroke="#808080" '
        'stroke-width="0.1">'
    )
    for number, region in enumerate(pattern.regions, 1):
        yield _region(region, f"region {number}", shift, key, names)
    yield '</g>\n<g id="lines" fill="none" stroke-width="0.4" stroke-linejoin="round">'
    for number, line in enumerate(pattern.lines, 1):
        yield _line(line, f"line {number}", shift, key, names)
    yield '</g>\n<g id="holes" fill="none" stroke="#404040" stroke-width="0.15">'
    yield from _holes(pattern, shift, key)
    yield '</g>\n<g id="notes" data-role="notes" font-size="4">'
    for label in pattern.labels:
        yield _label(label, shift)
    if pattern.title:
        yield f'<text x="4" y="{_number(float(height) - 4)}">{escape(_sound(pattern.title))}</text>'
    yield "</g>\n</svg>"


def _label(label: Label, shift: Points) -> str:
    x, y = (_number(value) for value in (label.at + shift).tolist())
    return (
        f'<text x="{x}" y="{y}" font-size="{_number(label.size_mm)}" '
        f'text-anchor="{label.anchor}">{escape(_sound(label.text))}</text>'
    )


def _fit(pattern: Pattern) -> tuple[Points, str, str]:
    """Return by how much to move the pattern onto the page, and the page's width and height."""
    parts = [pattern.holes, *(line.points for line in pattern.lines)]
    parts += [contour for region in pattern.regions for contour in region.contours]
    everything = np.concatenate(parts)
    low, high = everything.min(axis=0), everything.max(axis=0)
    shift = np.where(low < 0, MARGIN_MM - low, 0.0)
    # Rounded as they are written, so that what is read back gives the same page.
    width, height = np.ceil(np.round(high + shift, 6) + MARGIN_MM).tolist()
    return shift, _number(width), _number(height)


def _holes(pattern: Pattern, shift: Points, key: ColourKey) -> Iterator[str]:
    """Yield a circle for each hole."""
    tags = zip(pattern.hole_stitch, pattern.hole_area, strict=True)
    for (x, y), (stitch, area) in zip((pattern.holes + shift).tolist(), tags, strict=True):
        shade = key.stitches.get(stitch or "")
        fill = f' fill="{shade}"' if shade else ""
        words = _data({"stitch": stitch, "area": area})
        yield f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{HOLE_RADIUS_MM}"{fill}{words}/>'


def _root_words(pattern: Pattern) -> dict[str, str | None]:
    """Return what the root says of the whole; what is as by default goes unsaid."""
    repeat = pattern.repeat
    gauge = pattern.gauge_mm
    return {
        "format": FORMAT,
        "title": pattern.title or None,
        "maker": pattern.maker or None,
        "notes": pattern.notes or None,
        "down": None if pattern.down_degrees == 90 else repr(float(pattern.down_degrees)),
        "ground": None if pattern.ground == "torchon" else pattern.ground,
        "thread": pattern.thread,
        "gauge-mm": None if gauge is None else repr(float(gauge)),
        "leg-twists": str(pattern.leg_twists) if pattern.leg_twists else None,
        "repeat": None if repeat is None else ",".join(repr(float(part)) for part in repeat),
    }


def _region(region: Region, number: str, shift: Points, key: ColourKey, names: set[str]) -> str:
    """Return a region as a path."""
    data = " ".join(_path(contour + shift) + " Z" for contour in region.contours)
    fill = key.stitches.get(region.stitch, "none")
    words = _data({"stitch": region.stitch, **region.options})
    name = _name(region.place.item, number, names)
    return f'<path{name} fill="{fill}" d="{data}"{words}/>'


def _line(line: Line, number: str, shift: Points, key: ColourKey, names: set[str]) -> str:
    """Return a line as a path."""
    stroke = key.lines.get(line.word, "#404040")
    words = _data({"line": line.word, **line.options})
    name = _name(line.place.item, number, names)
    return f'<path{name} stroke="{stroke}" d="{_path(line.points + shift)}"{words}/>'


def _name(item: str, number: str, names: set[str]) -> str:
    """Return the id of an element that was called by one, nothing for one that was numbered.

    A name that another element has already, as copies have, is left out.
    """
    kind = number.split()[0]
    name = item[len(kind) + 2 : -1]
    if not item.startswith(f'{kind} "') or name in names:
        return ""
    names.add(name)
    return f" id={_quoted(name)}"


def _path(points: Points) -> str:
    """Return points as path data."""
    return "M" + " ".join(f"{_number(x)},{_number(y)}" for x, y in points.tolist())


def _data(words: Mapping[str, str | None]) -> str:
    """Return words as data- attributes."""
    return "".join(
        f" data-{name}={_quoted(text)}" for name, text in words.items() if text is not None
    )


def _quoted(text: str) -> str:
    """Return text as the value of an attribute."""
    return quoteattr(_sound(text), {"\n": "&#10;", "\t": "&#9;", "\r": "&#13;"})


def _sound(text: str) -> str:
    """Put a blank for each character that XML 1.0 does not allow (its section 2.2)."""
    return UNSOUND.sub(" ", text)


def _number(value: float) -> str:
    """Return a number without digits to spare."""
    text = f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
