"""Paper, and how a piece is spread over it."""

from dataclasses import dataclass
from math import ceil

# ISO 216 A4; ANSI/ASME Y14.1 size A.
PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
OVERLAP_MM = 15.0
LEFT, TOP, RIGHT, BOTTOM = 18.0, 17.0, 8.0, 22.0


@dataclass(frozen=True)
class Tile:
    """What one page shows of a piece at true size.

    Attributes
    ----------
    column, row
        Counted from 0.
    origin
        The point of the piece, in mm, at the upper left of the page's drawn part.
    """

    column: int
    row: int
    origin: tuple[float, float]


@dataclass(frozen=True)
class Spread:
    """How a piece is spread over pages.

    Attributes
    ----------
    page
        Width and height of the paper as it lies.
    columns, rows
        How many pages beside and below each other.
    tiles
        Row by row.
    """

    page: tuple[float, float]
    columns: int
    rows: int
    tiles: tuple[Tile, ...]

    @property
    def window(self) -> tuple[float, float]:
        """Width and height of the drawn part of a page."""
        return window_of(self.page)


def window_of(page: tuple[float, float]) -> tuple[float, float]:
    """Return width and height of the part of a page that is drawn on."""
    return page[0] - LEFT - RIGHT, page[1] - TOP - BOTTOM


def spread(bounds: tuple[float, float, float, float], paper: str) -> Spread:
    """Spread a piece over as few pages as it takes, upright unless that takes more.

    Parameters
    ----------
    bounds
        Left, top, right and bottom in mm.
    paper
        A word of PAPERS.
    """
    upright = PAPERS[paper]
    choices = [_lay(bounds, page) for page in (upright, upright[::-1])]
    return min(choices, key=lambda choice: len(choice.tiles))


def _lay(bounds: tuple[float, float, float, float], page: tuple[float, float]) -> Spread:
    left, top, right, bottom = bounds
    size = right - left, bottom - top
    window = window_of(page)
    counts = [
        max(1, ceil((whole - OVERLAP_MM) / (part - OVERLAP_MM) - 1e-9))
        for whole, part in zip(size, window, strict=True)
    ]
    # What is drawn lies in the middle of all pages together.
    shown = [n * (part - OVERLAP_MM) + OVERLAP_MM for n, part in zip(counts, window, strict=True)]
    first = left - (shown[0] - size[0]) / 2, top - (shown[1] - size[1]) / 2
    step = window[0] - OVERLAP_MM, window[1] - OVERLAP_MM
    tiles = tuple(
        Tile(column, row, (first[0] + column * step[0], first[1] + row * step[1]))
        for row in range(counts[1])
        for column in range(counts[0])
    )
    return Spread(page, counts[0], counts[1], tiles)
