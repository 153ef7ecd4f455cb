"""The pages of the working copy: the pricking at true size, with rulers and joining marks."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from render.sheets.ink import BLACK, GREY, WHITE, Ink
from render.sheets.model import Drawing
from render.sheets.paper import LEFT, OVERLAP_MM, TOP, Spread, Tile
from render.sheets.pricking import draw_pricking

RULER_MM = 100
# Where the rulers stand: their zero from the left and above, from the upper left of the page.
UPRIGHT_AT = (10.0, TOP + 4.0)
LEVEL_FROM_BOTTOM = 15.0


@dataclass(frozen=True, eq=False)
class TilePage:
    """One page of the working copy."""

    drawing: Drawing
    spread: Spread
    tile: Tile
    title: str
    mono: bool
    mirror: bool
    words: Mapping[str, str]

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the page in mm."""
        return self.spread.page

    @property
    def place(self) -> str:
        """Return where the page stands in the whole."""
        spread, tile = self.spread, self.tile
        where = f"column {tile.column + 1} of {spread.columns}, row {tile.row + 1} of {spread.rows}"
        return f"working copy, {where}"

    def draw(self, ink: Ink) -> None:
        """Draw the page."""
        side = ", mirrored: for the back" if self.mirror else ""
        ink.text(LEFT, 9, f"{self.title}: working copy at true size{side}", size=3.6, bold=True)
        ink.text(
            LEFT, 13.5, "Print at 100 %, not fitted to the page. Both rulers must measure 100 mm.",
            size=2.6,
        )  # fmt: skip
        width, height = self.spread.window
        with ink.kept():
            ink.clip(LEFT, TOP, width, height)
            ink.move(LEFT - self.tile.origin[0], TOP - self.tile.origin[1])
            draw_pricking(ink, self.drawing, mono=self.mono, words=self.words)
        _frame(ink, width, height)
        _joins(ink, self.spread, self.tile)
        _rulers(ink)
        _map(ink, self.spread, self.tile)


def _frame(ink: Ink, width: float, height: float) -> None:
    for x in (LEFT, LEFT + width):
        for y in (TOP, TOP + height):
            inwards = np.sign(LEFT + width / 2 - x), np.sign(TOP + height / 2 - y)
            corner = [(x + 4 * inwards[0], y), (x, y), (x, y + 4 * inwards[1])]
            ink.line(corner, width=0.15, colour=GREY)


def _joins(ink: Ink, spread: Spread, tile: Tile) -> None:
    """Mark the middle of each overlap by a line, and crosses that fall on each other."""
    width, height = spread.window
    right, below = LEFT + width - OVERLAP_MM / 2, TOP + height - OVERLAP_MM / 2
    across, down = LEFT + width / 2, TOP + height / 2
    half = OVERLAP_MM / 2
    sides = [
        (tile.column > 0, (LEFT + half, None), f"to column {tile.column}"),
        (tile.column < spread.columns - 1, (right, None), f"to column {tile.column + 2}"),
        (tile.row > 0, (None, TOP + half), f"to row {tile.row}"),
        (tile.row < spread.rows - 1, (None, below), f"to row {tile.row + 2}"),
    ]
    for joined, (x, y), words in sides:
        if not joined:
            continue
        if x is not None:
            ink.line([(x, TOP), (x, TOP + height)], colour=GREY, dashes=(2, 1.5), width=0.15)
            spots = [(x, down - height / 4), (x, down + height / 4)]
            ink.text(x + 0.8, TOP + 4, words, size=2.2, colour=GREY)
        else:
            assert y is not None
            ink.line([(LEFT, y), (LEFT + width, y)], colour=GREY, dashes=(2, 1.5), width=0.15)
            spots = [(across - width / 4, y), (across + width / 4, y)]
            ink.text(LEFT + 2, y - 0.8, words, size=2.2, colour=GREY)
        for spot in spots:
            _cross(ink, *spot)


def _cross(ink: Ink, x: float, y: float) -> None:
    ink.line([(x - 3, y), (x + 3, y)])
    ink.line([(x, y - 3), (x, y + 3)])
    ink.dot(x, y, 1.2, fill=None, edge=BLACK)


def _rulers(ink: Ink) -> None:
    """Draw 100 mm in both directions."""
    x, y = UPRIGHT_AT
    ink.line([(x, y), (x, y + RULER_MM)], width=0.15)
    for n in range(0, RULER_MM + 1, 5):
        ink.line([(x, y + n), (x + (3 if n % 10 == 0 else 1.8), y + n)], width=0.15)
    ink.text(x - 2.8, y + RULER_MM + 4, "100 mm", size=2.4)
    x, y = LEFT, ink.height - LEVEL_FROM_BOTTOM
    ink.line([(x, y), (x + RULER_MM, y)], width=0.15)
    for n in range(0, RULER_MM + 1, 5):
        ink.line([(x + n, y), (x + n, y - (3 if n % 10 == 0 else 1.8))], width=0.15)
    ink.text(x + RULER_MM + 1.5, y, "100 mm", size=2.4)


def _map(ink: Ink, spread: Spread, tile: Tile) -> None:
    """Show which part of the whole the page is."""
    if len(spread.tiles) == 1:
        return
    cell = min(4.0, 12.0 / spread.rows, 40.0 / spread.columns)
    left, top = ink.width - 10 - cell * spread.columns, ink.height - 19.0
    for other in spread.tiles:
        x, y = left + cell * other.column, top + cell * other.row
        box = np.array([(x, y), (x + cell, y), (x + cell, y + cell), (x, y + cell)])
        here = (other.column, other.row) == (tile.column, tile.row)
        ink.shape([box], fill=GREY if here else WHITE, edge=BLACK, width=0.15)
