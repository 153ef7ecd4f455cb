"""A sheet of the Saltmarsh shore set: holes, shapes, notes and what a maker can count on it."""

from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).parent
Spot = tuple[float, float]
HOLE_MM = 0.7
WHOLE, HALF, GROUND, OPEN_LINE = "#a9c7d6", "#d8c3a5", "#d3d9c0", "#8a9a5b"
Place = tuple[int, int]


@dataclass
class Sheet:
    """One pattern: its holes, its shapes and what a maker can count on it."""

    title: str
    facts: dict[str, str]
    attributes: dict[str, str]
    holes: list[Spot] = field(default_factory=list)
    shapes: list[str] = field(default_factory=list)
    notes: list[tuple[Spot, str]] = field(default_factory=list)

    def write(self, name: str) -> None:
        """Write the sheet as SVG with a margin round its holes."""
        margin = 6.0
        left, top = (min(h[k] for h in self.holes) - margin for k in (0, 1))
        right, bottom = (max(h[k] for h in self.holes) + margin for k in (0, 1))
        bottom = max([bottom, *(y + 1.5 for (_, y), _ in self.notes)])
        width, height = right - left, bottom - top
        head = "\n".join(f"{key}: {value}" for key, value in self.facts.items())
        extra = "".join(f'\n     {key}="{value}"' for key, value in self.attributes.items())
        dots = "\n".join(
            f'    <circle cx="{mm(x)}" cy="{mm(y)}" r="{HOLE_MM / 2}"/>' for x, y in self.holes
        )
        shapes = "\n".join(f"    {shape}" for shape in self.shapes)
        notes = "".join(_note(spot, text) for spot, text in self.notes)
        (HERE / name).write_text(
            f"""<?xml version="1.0" encoding="UTF-8"?>
<!--
Saltmarsh shore: {self.title}
{head}
-->
<svg xmlns="http://www.w3.org/2000/svg" width="{mm(width)}mm" height="{mm(height)}mm"
     viewBox="{mm(left)} {mm(top)} {mm(width)} {mm(height)}"
     data-title="{self.title}" data-maker="The Saltmarsh circle"{extra}>
  <g id="areas">
{shapes}
  </g>
  <g id="holes" fill="#222222">
{dots}
  </g>
{notes}</svg>
""",
            "utf-8",
        )


def _note(spot: Spot, text: str) -> str:
    return (
        f'  <text x="{mm(spot[0])}" y="{mm(spot[1])}" font-size="2.4" text-anchor="middle" '
        f'fill="#555555">{text}</text>\n'
    )


def mm(value: float) -> str:
    """Write a length as short as may be."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def polygon(corners: list[Spot], stitch: str, name: str, extra: str = "") -> str:
    """Return an area of this stitch."""
    colour = {"whole": WHOLE, "ground": GROUND}.get(stitch, HALF)
    points = " ".join(f"{mm(x)},{mm(y)}" for x, y in corners)
    return (
        f'<polygon id="{name}" points="{points}" fill="{colour}" fill-opacity="0.6" '
        f'data-stitch="{stitch}"{extra}/>'
    )


def line(points: list[Spot], word: str, name: str, extra: str = "") -> str:
    """Return a line of this word."""
    text = " ".join(f"{mm(x)},{mm(y)}" for x, y in points)
    return (
        f'<polyline id="{name}" points="{text}" fill="none" stroke="{OPEN_LINE}" '
        f'stroke-width="0.4" data-line="{word}"{extra}/>'
    )


@dataclass(frozen=True)
class Diamond:
    """A diamond of n by n lattice holes about a column and a row."""

    column: int
    row: int
    pairs: int
    stitch: str
    name: str

    def inside(self, column: int, row: int) -> bool:
        """Tell whether a lattice hole lies within its edge, where nothing is pricked."""
        return abs(column - self.column) + abs(row - self.row) < self.pairs - 1

    @property
    def corners(self) -> list[tuple[int, int]]:
        """Its top, right, bottom and left hole."""
        reach = self.pairs - 1
        c, r = self.column, self.row
        return [(c, r - reach), (c + reach, r), (c, r + reach), (c - reach, r)]


def lattice(columns: int, rows: int, diamonds: list[Diamond]) -> list[tuple[int, int]]:
    """Return the pricked (column, row) of a diagonal lattice, row by row."""
    return [
        (c, r)
        for r in range(rows)
        for c in range(columns)
        if (c + r) % 2 == 0 and not any(d.inside(c, r) for d in diamonds)
    ]


def honeycomb_gap(column: int, row: int) -> bool:
    """Tell whether honeycomb lacks a hole: every second one of every second line."""
    return column % 2 == 1 and row % 2 == 1 and (column + row) % 4 == 0
