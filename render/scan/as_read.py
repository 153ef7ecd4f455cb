"""Notes in the drawing of a copy: what was read, and which holes are doubtful.

Both stand in the group of notes, which readers of patterns skip. From the first, a later reading
knows what a hand has changed since.
"""

import json
from pathlib import Path

import numpy as np

from render.errors import PatternError, Place
from render.pattern.document import LARGEST_BYTES, parse_document
from render.pattern.model import Line, Pattern, Points, Region

NAME = "as-read"
RING_MM = 0.9
DOUBTFUL_SHADE = "#d55e00"


def with_notes(drawing: str, read: Pattern, doubtful: Points) -> str:
    """Add the notes to a pattern's drawing.

    Parameters
    ----------
    drawing
        SVG with a group of notes at its end.
    read
        The holes, regions and lines as they were read, before any correction.
    doubtful
        (D, 2) in mm, holes to be looked at.
    """
    before, end, after = drawing.rpartition("</g>")
    rings = "\n".join(
        f'<circle cx="{x:.4f}" cy="{y:.4f}" r="{RING_MM}"/>' for x, y in doubtful.tolist()
    )
    note = (
        f'<g id="doubtful" fill="none" stroke="{DOUBTFUL_SHADE}" stroke-width="0.3">\n'
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
