"""The pages to read: signs and stitches, order of the areas, pairs, cautions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from render.pattern.key import LINE_SHADES, STITCH_SHADES
from render.pattern.words import GROUNDS, LINES, STITCHES
from render.plan.stitches import STITCHES as MOVES
from render.sheets.ink import BLACK, GREY, WHITE, Ink
from render.sheets.model import Arrow, Drawing, Mark, Sheet
from render.sheets.pricking import HOLE_MM, draw_arrow, draw_mark

_MARGIN, _TOP = 15.0, 26.0
_SIZE, _LINE_MM = 3.0, 4.6
_INDENT = 9.0

CAUTIONS = (
    "Lace pins are sharp and small: keep the pillow, and dropped pins above all, away from "
    "children and animals; cover the pillow when you leave it, and count the pins when you take "
    "a piece off.",
    "Work in good light from the side, with a magnifier if the holes are fine.",
    "Take breaks: rest your eyes on something far away, and stretch neck, shoulders and hands "
    "before they complain.",
)


@dataclass(frozen=True)
class Entry:
    """A line to read, with a heading's weight or a sign before it.

    Attributes
    ----------
    words
        What it says.
    sign
        ``heading``, ``hole``, ``arrow``, ``number N``, ``mark KIND``, ``area COLOUR``,
        ``line COLOUR``, or nothing.
    """

    words: str
    sign: str = ""


@dataclass(frozen=True, eq=False)
class ReadingPage:
    """A page of entries."""

    title: str
    entries: tuple[Entry, ...]
    size: tuple[float, float]
    place: str = "how it is worked"

    def draw(self, ink: Ink) -> None:
        """Draw the page."""
        ink.text(_MARGIN, 16, self.title, size=4.6, bold=True)
        y = _TOP
        for entry in self.entries:
            if entry.sign == "heading":
                y += 2.5
                ink.text(_MARGIN, y, entry.words, size=3.4, bold=True)
                y += _LINE_MM + 0.6
                continue
            _draw_sign(ink, entry.sign, _MARGIN + 3, y - 1)
            for line in _lines(ink, entry):
                ink.text(_MARGIN + _INDENT, y, line, size=_SIZE)
                y += _LINE_MM


def spelt_out(sheet: Sheet) -> dict[str, str]:
    """Return the letters of every stitch and ground of a sheet, by its word."""
    grounds = {word: GROUNDS.get(word, word) for word in sheet.grounds}
    return {**MOVES, **grounds, "open": "open", "ground": "ground"}


def reading_pages(
    sheet: Sheet, size: tuple[float, float], ink: Ink, *, mono: bool
) -> list[ReadingPage]:
    """Spread what there is to read over as many pages as it takes.

    Parameters
    ----------
    ink
        Any page of this size, to measure words by.
    """
    pages: list[list[Entry]] = [[]]
    left = room = size[1] - _TOP - 16
    for entry in entries_of(sheet, mono=mono):
        heading = entry.sign == "heading"
        needs = _LINE_MM + 3.1 if heading else _LINE_MM * len(_lines(ink, entry))
        # A heading does not stay alone at the foot of a page.
        if needs + (2 * _LINE_MM if heading else 0) > left:
            pages.append([])
            left = room
        pages[-1].append(entry)
        left -= needs
    return [ReadingPage(f"{sheet.title}: how it is worked", tuple(page), size) for page in pages]


def entries_of(sheet: Sheet, *, mono: bool) -> list[Entry]:
    """Return all there is to read, in its order."""
    drawing = sheet.drawing
    return [
        Entry("Signs and stitches", "heading"),
        Entry("C cross: of the middle two threads the left goes over the right", ""),
        Entry("T twist: in each pair the right thread goes over the left", ""),
        Entry("p pin", ""),
        Entry("a hole, for one pin", "hole"),
        *_areas(sheet, mono=mono),
        *_grounds(sheet),
        *_lines_drawn(drawing, mono=mono),
        Entry("pairs hung where the piece begins, with their number", "mark start"),
        *([Entry("pairs hung in on the way", "mark in")] if _has(drawing, "in") else []),
        *([Entry("pairs thrown out on the way", "mark out")] if _has(drawing, "out") else []),
        Entry("pairs left at the end", "mark end"),
        *([Entry("a pair enters an area, or leaves it", "arrow")] if drawing.arrows else []),
        Entry("Order of the areas", "heading"),
        *_order(drawing),
        Entry("Pairs to hang, from the left", "heading"),
        *_to_hang([mark for mark in drawing.marks if mark.kind == "start"]),
        *_on_the_way(drawing),
        *([Entry("Gimps", "heading")] if sheet.gimps else []),
        *(Entry(gimp) for gimp in sheet.gimps),
        Entry("Take care", "heading"),
        *(Entry(caution) for caution in CAUTIONS),
    ]


def _areas(sheet: Sheet, *, mono: bool) -> list[Entry]:
    used = dict.fromkeys(patch.stitch for patch in sheet.drawing.patches)
    words = spelt_out(sheet)
    return [
        Entry(
            f"{stitch} {words[stitch]}: {STITCHES[stitch]}" if stitch in MOVES
            else f"{stitch}: {STITCHES[stitch]}",
            f"area {WHITE if mono else STITCH_SHADES[stitch]}",
        )
        for stitch in used
    ]  # fmt: skip


def _grounds(sheet: Sheet) -> list[Entry]:
    words: Mapping[str, str] = spelt_out(sheet)
    return [
        Entry(f"everywhere else: ground {word}" + (f" {words[word]}" * (words[word] != word)))
        for word in sheet.grounds
    ]


def _lines_drawn(drawing: Drawing, *, mono: bool) -> list[Entry]:
    used = dict.fromkeys(word for word, _ in drawing.lines)
    return [
        Entry(f"{word}: {LINES[word]}", f"line {GREY if mono else LINE_SHADES[word]}")
        for word in used
    ]


def _order(drawing: Drawing) -> list[Entry]:
    numbered = sorted((p for p in drawing.patches if p.number), key=lambda patch: patch.number)
    if not numbered:
        return [Entry("Ground only, from the top down.")]
    return [
        Entry("The ground above an area comes first; what hangs beside and below it follows."),
        *(
            Entry(f"{p.name}: {p.stitch} {MOVES.get(p.stitch, '')}".rstrip(), f"number {p.number}")
            for p in numbered
        ),
    ]


def _to_hang(marks: Sequence[Mark]) -> list[Entry]:
    """Join neighbours that take the same number of pairs."""
    entries = []
    for number, those in groupby(marks, key=lambda mark: mark.pairs):
        holes = [str(mark.hole) for mark in those]
        each = " each" if len(holes) > 1 else ""
        pairs = "1 pair" if number == 1 else f"{number} pairs"
        entries.append(Entry(f"{pairs}{each} at hole{'s' * bool(each)} {', '.join(holes)}"))
    return entries


def _on_the_way(drawing: Drawing) -> list[Entry]:
    entries = []
    for kind, heading in (("in", "Pairs hung in"), ("out", "Pairs thrown out")):
        if _has(drawing, kind):
            entries.append(Entry(f"{heading}, in working order", "heading"))
            entries += [
                Entry(f"{_spot(mark).words}, after {mark.after} stitches")
                for mark in drawing.marks
                if mark.kind == kind
            ]
    return entries


def _has(drawing: Drawing, kind: str) -> bool:
    return any(mark.kind == kind for mark in drawing.marks)


def _spot(mark: Mark) -> Entry:
    pairs = "1 pair" if mark.pairs == 1 else f"{mark.pairs} pairs"
    return Entry(f"{pairs} at hole {mark.hole}")


def _lines(ink: Ink, entry: Entry) -> Sequence[str]:
    return ink.wrapped(entry.words, ink.width - 2 * _MARGIN - _INDENT, size=_SIZE)


def _draw_sign(ink: Ink, sign: str, x: float, y: float) -> None:
    kind, _, what = sign.partition(" ")
    if kind == "hole":
        ink.dot(x, y, HOLE_MM)
    elif kind == "number":
        ink.dot(x, y, 2.0, fill=WHITE, edge=BLACK)
        ink.text(x, y + 0.95, what, size=2.6, bold=True, align=0.5)
    elif kind == "mark":
        at = {"start": (x, y + 2.6), "end": (x, y - 2.2)}.get(what, (x - 2.2, y))
        draw_mark(ink, Mark(what, 2, at, 0, 0))
    elif kind == "arrow":
        draw_arrow(ink, Arrow((x - 1.5, y - 1), (x + 1, y + 0.6)))
    elif kind == "area":
        box = np.array([(x - 3, y - 1.5), (x + 3, y - 1.5), (x + 3, y + 1.5), (x - 3, y + 1.5)])
        ink.shape([box], fill=what, edge=GREY, width=0.15)
    elif kind == "line":
        ink.line([(x - 3, y), (x + 3, y)], width=0.5, colour=what)
