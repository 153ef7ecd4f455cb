"""Notes in the drawing of a copy: what was read, and which holes are doubtful.

Both stand in the group of notes, which readers of patterns skip. From the first, a later reading
knows what a hand has changed since.
"""

import json
from pathlib import Path
from xml.etree import ElementTree
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from render.errors import PatternError, Place
from render.pattern.document import LARGEST_BYTES, SVG_NAMESPACE, parse_document
from render.pattern.model import Line, Pattern, Points, Region

NAME, RINGS = "as-read", "doubtful"
RING_MM = 0.9
DOUBTFUL_SHADE = "#d55e00"


def with_notes(drawing: str, read: Pattern, doubtful: Points, own: str = "") -> str:
    """Add the notes to a pattern's drawing.

    Parameters
    ----------
    drawing
        SVG with a group of notes at its end.
    read
        The holes, regions and lines as they were read, before any correction.
    doubtful
        (D, 2) in mm, holes to be looked at.
    own
        Notes that a hand wrote, as SVG.
    """
    before, end, after = drawing.rpartition("</g>")
    rings = "\n".join(
        f'<circle cx="{x:.4f}" cy="{y:.4f}" r="{RING_MM}"/>' for x, y in doubtful.tolist()
    )
    note = own + (
        f'<g id="{RINGS}" fill="none" stroke="{DOUBTFUL_SHADE}" stroke-width="0.3">\n'
        f"{rings}\n</g>\n"
        f'<g id="{NAME}" display="none"><desc>{json.dumps(_contents(read))}</desc></g>\n'
    )
    return before + note + end + after


def _contents(read: Pattern) -> dict[str, object]:
    """Return what a note holds."""
    return {
        "holes": np.round(read.holes, 4).tolist(),
        "regions": [
            {
                "stitch": region.stitch,
                "options": dict(region.options),
                "contours": [np.round(contour, 4).tolist() for contour in region.contours],
            }
            for region in read.regions
        ],
        "lines": [
            {"word": line.word, "points": np.round(line.points, 4).tolist()} for line in read.lines
        ],
    }


def find_as_read(path: Path) -> Pattern | None:
    """Return what a drawing's note says was read, None where it has no such note.

    Parameters
    ----------
    path
        An existing file of any kind.
    """
    if path.stat().st_size > LARGEST_BYTES:
        return None
    try:
        root = parse_document(path.read_bytes(), path.name)
    except PatternError:
        return None
    for element in root.descendants():
        if element.attributes.get("id") == NAME and element.children:
            try:
                return _pattern(json.loads(element.children[0].text), path.stem)
            except (ValueError, KeyError, TypeError, IndexError):
                return None
    return None


def find_own_notes(path: Path, title: str) -> str:
    """Return the notes that a hand added to a drawing, as SVG; empty where there are none.

    Parameters
    ----------
    path
        A drawing that was read from a copy.
    title
        Of the pattern; it stands among the notes and is written there anew.
    """
    content = path.read_bytes()
    parse_document(content, path.name)  # which refuses what would unfold without end
    notes = [
        note
        for group in ElementTree.fromstring(content).iter()
        if group.get("data-role") == "notes"
        for note in group
        if note.get("id") not in (NAME, RINGS)
        and not (title and "".join(note.itertext()).strip() == title)
    ]
    return "".join(f"{_as_svg(note).strip()}\n" for note in notes)


def _as_svg(element: ElementTree.Element) -> str:
    """Write an element as SVG, without what drawing programs keep for themselves."""
    after = escape(element.tail or "")
    name = str(element.tag).removeprefix(f"{{{SVG_NAMESPACE}}}")
    if name.startswith("{"):
        return after
    words = "".join(
        f" {word}={quoteattr(value)}" for word, value in element.items() if "{" not in word
    )
    inner = escape(element.text or "") + "".join(map(_as_svg, element))
    return f"<{name}{words}>{inner}</{name}>{after}"


def _pattern(contents: dict[str, list[dict[str, list[object]]]], name: str) -> Pattern:
    """Return the note of a drawing as a pattern."""
    holes = np.array(contents["holes"], float).reshape(-1, 2)
    regions = tuple(
        Region(
            tuple(np.array(contour, float).reshape(-1, 2) for contour in region["contours"]),
            str(region["stitch"]),
            Place(f"region {number}"),
            dict(region["options"]),  # type: ignore[arg-type]  # pairs of text, as written
        )
        for number, region in enumerate(contents["regions"], 1)
    )
    lines = tuple(
        Line(np.array(line["points"], float).reshape(-1, 2), str(line["word"]), Place(f"line {n}"))
        for n, line in enumerate(contents["lines"], 1)
    )
    none = (None,) * len(holes)
    return Pattern(name, holes, none, none, regions, lines)
