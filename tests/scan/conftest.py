"""Paper copies, coloured by hand and scanned, made without any code of the project.

Cairo draws the print and the pen strokes at 600 dpi; Pillow and numpy then do what paper,
lamp, lens and file format do to it. What was drawn is kept beside the picture, in mm.
"""

import io
from dataclasses import dataclass, field
from itertools import pairwise

import cairocffi as cairo
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

DRAWN_DPI = 600
DRAWN = DRAWN_DPI / 25.4
PENS = {
    "yellow": (0.97, 0.87, 0.35),
    "blue": (0.55, 0.75, 0.95),
    "pink": (0.98, 0.66, 0.72),
    "green": (0.62, 0.86, 0.58),
    "pale": (0.90, 0.93, 0.99),
    "red": (0.86, 0.25, 0.22),
}
PAPERS = {"white": (0.96, 0.96, 0.95), "buff": (0.86, 0.74, 0.55)}


@dataclass(eq=False)
class Sheet:
    """A sheet of paper while it is drawn on, and the truth about it."""

    width_mm: float
    height_mm: float
    holes: NDArray[np.float64]
    areas: list[tuple[str, list[NDArray[np.float64]]]] = field(default_factory=list)
    strokes: list[tuple[str, NDArray[np.float64]]] = field(default_factory=list)

    def __post_init__(self):
        # Whole pixels at 150 dpi too.
        size = [4 * round(length * DRAWN / 4) for length in (self.width_mm, self.height_mm)]
        self.width_mm, self.height_mm = (pixels / DRAWN for pixels in size)
        self.surface = cairo.ImageSurface(cairo.FORMAT_RGB24, *size)
        self.pen = cairo.Context(self.surface)
        self.pen.set_source_rgb(1, 1, 1)
        self.pen.paint()
        self.pen.scale(DRAWN, DRAWN)
        self.pen.set_source_rgb(0.08, 0.08, 0.09)

    def dots(self, diameter_mm):
        for x, y in self.holes:
            self.pen.arc(x, y, diameter_mm / 2, 0, 2 * np.pi)
            self.pen.fill()

    def circles(self, diameter_mm, line_mm=0.12):
        self.pen.set_line_width(line_mm)
        for x, y in self.holes:
            self.pen.arc(x, y, (diameter_mm - line_mm) / 2, 0, 2 * np.pi)
            self.pen.stroke()

    def line(self, points, line_mm=0.15):
        self.pen.set_line_width(line_mm)
        for x, y in points:
            self.pen.line_to(x, y)
        self.pen.stroke()

    def text(self, x, y, words, size_mm=2.5):
        self.pen.select_font_face("DejaVu Sans")
        self.pen.set_font_size(size_mm)
        self.pen.move_to(x, y)
        self.pen.show_text(words)

    def colour(self, pen_name, contours, rng, inset_mm=0.3, width_mm=1.1, slope=0.9):
        """Fill a shape as a hand does: overlapping translucent strokes, ragged at the ends."""
        contours = [np.asarray(contour, float) for contour in contours]
        self.areas.append((pen_name, contours))
        pen = self.pen
        pen.save()
        pen.set_fill_rule(cairo.FILL_RULE_EVEN_ODD)
        for contour in contours:
            pen.move_to(*contour[0])
            for x, y in contour[1:]:
                pen.line_to(x, y)
            pen.close_path()
        pen.clip()
        pen.push_group_with_content(cairo.CONTENT_COLOR)
        pen.set_source_rgb(1, 1, 1)
        pen.paint()
        pen.set_operator(cairo.OPERATOR_MULTIPLY)
        low, high = contours[0].min(0) - 5, contours[0].max(0) + 5
        reach = float(np.hypot(*(high - low)))
        along = np.array([np.cos(slope), np.sin(slope)])
        across = np.array([-along[1], along[0]])
        pen.set_source_rgb(*PENS[pen_name])
        step = width_mm * 0.72
        for offset in np.arange(-reach / 2, reach / 2, step):
            middle = (low + high) / 2 + across * (offset + rng.normal(0, 0.08 * width_mm))
            bend = across * rng.normal(0, 0.15)
            pen.set_line_width(width_mm * rng.uniform(0.9, 1.1))
            pen.move_to(*(middle - along * reach / 2))
            pen.curve_to(*(middle + bend), *(middle - bend), *(middle + along * reach / 2))
            pen.stroke()
        # The hand stops short of the edge, now more, now less.
        pen.set_operator(cairo.OPERATOR_OVER)
        pen.set_source_rgb(1, 1, 1)
        for contour in contours:
            ring = np.vstack([contour, contour[:1]])
            for a, b in pairwise(ring):
                pieces = max(2, int(np.hypot(*(b - a)) / 1.5))
                for t in np.linspace(0, 1, pieces):
                    radius = max(0.05, inset_mm + rng.normal(0, 0.08))
                    pen.arc(*(a + t * (b - a)), radius, 0, 2 * np.pi)
                    pen.fill()
                pen.set_line_width(2 * inset_mm)
                pen.move_to(*a)
                pen.line_to(*b)
                pen.stroke()
        pen.pop_group_to_source()
        pen.set_operator(cairo.OPERATOR_MULTIPLY)
        pen.paint()
        pen.restore()
        pen.new_path()

    def stroke(self, pen_name, points, width_mm=0.8):
        self.strokes.append((pen_name, np.asarray(points, float)))
        self.pen.save()
        self.pen.set_operator(cairo.OPERATOR_MULTIPLY)
        self.pen.set_source_rgb(*PENS[pen_name])
        self.pen.set_line_cap(cairo.LINE_CAP_ROUND)
        self.pen.set_line_join(cairo.LINE_JOIN_ROUND)
        self.line(points, width_mm)
        self.pen.restore()

    def dust(self, rng, count, largest_mm=0.3):
        for _ in range(count):
            x, y = rng.uniform(2, self.width_mm - 2), rng.uniform(2, self.height_mm - 2)
            self.pen.arc(x, y, rng.uniform(0.05, largest_mm / 2), 0, 2 * np.pi)
            self.pen.fill()

    def drawn(self):
        """Return the (H, W, 3) sheet as drawn, 0..1."""
        self.surface.flush()
        width, height = self.surface.get_width(), self.surface.get_height()
        raw = np.frombuffer(self.surface.get_data(), np.uint8).reshape(height, -1, 4)
        return raw[:, :width, 2::-1].astype(np.float32) / 255


@dataclass(eq=False)
class Scan:
    """A picture of a sheet and the way from the sheet's mm to the picture's pixels."""

    image: Image.Image
    dpi: float
    angle: float
    sheet: Sheet

    def to_scan_mm(self, points):
        """Turn sheet mm into the mm of the picture, which the sheet lies askew in."""
        centre = np.array([self.sheet.width_mm, self.sheet.height_mm]) / 2
        c, s = np.cos(np.radians(self.angle)), np.sin(np.radians(self.angle))
        return (np.asarray(points) - centre) @ np.array([[c, s], [-s, c]]) + centre


def scan(
    sheet, dpi, rng, paper="white", angle=0.0, shade=0.25, noise=0.015, blur_mm=0.03, quality=None
):
    """Put a sheet under a scanner that is not a good one."""
    paint = Image.fromarray((sheet.drawn() * 255).astype(np.uint8))
    if angle:
        # Pillow turns anticlockwise for positive angles, y being down.
        paint = paint.rotate(-angle, Image.Resampling.BICUBIC, fillcolor=(255, 255, 255))
    paint = paint.reduce(DRAWN_DPI // dpi)
    light = np.asarray(paint, np.float32) / 255 * np.array(PAPERS[paper], np.float32)
    light = ndimage.gaussian_filter(light, (blur_mm * dpi / 25.4,) * 2 + (0,))
    y, x = np.mgrid[0 : 1 : light.shape[0] * 1j, 0 : 1 : light.shape[1] * 1j]
    fall = 1 - shade * (0.6 * x + 0.4 * (y - 0.4) ** 2)
    light = light * fall[..., None] + rng.normal(0, noise, light.shape)
    image = Image.fromarray((np.clip(light, 0, 1) * 255).round().astype(np.uint8))
    if quality is not None:
        box = io.BytesIO()
        image.save(box, "JPEG", quality=quality)
        image = Image.open(box)
    return Scan(image, dpi, angle, sheet)


def torchon_sheet(rng, diameter_mm=0.7, pitch_mm=4.0, columns=15, rows=25, draw="dots"):
    """Draw a ground at 45 degrees with four areas, numbered and ruled."""
    grid = [(c, r) for r in range(rows) for c in range(columns) if (c + r) % 2 == 0]
    half, margin = pitch_mm / 2, 12.0

    def at(*cells):
        return np.array(cells, float) * half + margin

    def edge(*corners):
        """Every lattice point along the sides between corners that lie on diagonals or columns."""
        points = []
        for (c0, r0), (c1, r1) in zip(corners, corners[1:] + corners[:1], strict=True):
            if c0 == c1 or r0 == r1:
                steps = max(abs(c1 - c0), abs(r1 - r0)) // 2
            else:
                steps = max(abs(c1 - c0), abs(r1 - r0))
            points += [
                (c0 + (c1 - c0) * k / steps, r0 + (r1 - r0) * k / steps) for k in range(steps)
            ]
        return points

    diamond = edge((4, 2), (8, 6), (4, 10), (0, 6))
    outer = edge((9, 9), (14, 14), (9, 19), (4, 14))
    inner = edge((9, 11), (12, 14), (9, 17), (6, 14))
    block = edge((10, 0), (14, 0), (14, 6), (10, 6))
    trail = edge((0, 16), (4, 20), (4, 24), (0, 20))
    shapes = [diamond, outer, inner, block, trail]
    edges = {tuple(p) for shape in shapes for p in shape}

    def inside(cell, shape):
        from shapely.geometry import Point, Polygon

        return Polygon(shape).contains(Point(cell)) and cell not in edges

    ring_hole = [cell for cell in grid if inside(cell, inner)]
    holes = [
        cell for cell in grid if not any(inside(cell, s) for s in (diamond, outer, trail))
    ] + ring_hole
    sheet = Sheet(columns * half + 2 * margin, rows * half + 2 * margin, at(*holes))
    getattr(sheet, draw)(diameter_mm)
    sheet.text(8, 6, "Torchon sampler no. 28, 60/2 linen: i.o.")
    for number, (x, y) in enumerate(sheet.holes[::7]):
        sheet.text(x + pitch_mm / 6, y + pitch_mm / 3, str(number + 1), pitch_mm / 3)
    sheet.line([at((0, 0))[0], at((6, 6))[0], at((0, 12))[0]], 0.12)
    for k in range(12):
        y = sheet.height_mm - 8 + 0.4 * k
        sheet.line([(10, y), (30, y)], 0.1)
    sheet.colour("yellow", [at(*diamond)], rng)
    sheet.colour("blue", [at(*outer), at(*inner)], rng, slope=-0.8)
    sheet.colour("pink", [at(*block)], rng, slope=0.1)
    sheet.colour("green", [at(*trail)], rng, slope=1.3)
    sheet.dust(rng, 60)
    return sheet


@pytest.fixture
def rng():
    return np.random.default_rng(1886)


def fan_sheet(rng, diameter_mm=0.6):
    """Draw a scallop: holes on arcs that spread outwards, a fan coloured between two of them."""
    centre = np.array([45.0, 20.0])
    rings = [(10.0 + 3.2 * k, 9 + 2 * k) for k in range(7)]
    arcs = []
    for k, (radius, count) in enumerate(rings):
        angles = np.linspace(0.1, np.pi - 0.1, count) + (0.0 if k % 2 else 0.004)
        arcs.append(centre + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1))
    straight = [(12 + 2.75 * k, y) for k in range(25) for y in (8.0, 12.0)]
    sheet = Sheet(90, 65, np.vstack([*arcs, straight]))
    sheet.dots(diameter_mm)
    for number, (x, y) in enumerate(sheet.holes[:40:6]):
        sheet.text(x + 0.6, y - 0.6, str(number + 1), 1.5)
    sheet.colour("yellow", [np.vstack([arcs[1], arcs[3][::-1]])], rng)
    sheet.colour("green", [np.vstack([arcs[4], arcs[6][::-1]])], rng, slope=0.3)
    return sheet


def pricked(sheet, diameter_mm=0.5):
    """Prick the holes of a card that lies on a white ground: they are lighter than the card."""
    sheet.pen.set_source_rgb(0.72, 0.68, 0.6)
    sheet.pen.paint()
    sheet.pen.set_source_rgb(1, 1, 1)
    sheet.dots(diameter_mm)
    sheet.pen.set_source_rgb(0.08, 0.08, 0.09)
    sheet.text(10, 6, "card 12: light holes")
    return sheet


def guipure_sheet(rng):
    """Two trails joined by crossing plaits, and a gimp that winds beside them."""
    y = np.arange(10.0, 58.0, 3.0)
    rails = [np.column_stack([np.full_like(y, x), y]) for x in (12.0, 18.0, 36.0, 42.0)]
    crossings = np.column_stack([np.full(5, 27.0), y[1:14:3] + 3.0])
    wave = np.column_stack([50 + 2.5 * np.sin(y / 3.0), y])
    sheet = Sheet(62, 68, np.vstack([*rails, crossings, wave]))
    sheet.dots(0.7)
    sheet.colour("green", [np.vstack([rails[0], rails[1][::-1]])], rng)
    sheet.colour("blue", [np.vstack([rails[2], rails[3][::-1]])], rng)
    for _, middle in crossings:
        sheet.stroke("red", [(18, middle - 3), (27, middle), (36, middle + 3)])
        sheet.stroke("red", [(18, middle + 3), (27, middle), (36, middle - 3)])
    sheet.stroke("pink", wave, 1.0)
    return sheet


def neighbours_sheet(rng, pitch_mm=4.0):
    """Areas that meet: tip to tip in one pen, side by side in two pens and in one."""
    half = pitch_mm / 2
    cells = [(c, r) for r in range(25) for c in range(21) if (c + r) % 2 == 0]

    def at(*corners):
        return np.array(corners, float) * half + 10

    def side_points(*corners):
        points = []
        for (c0, r0), (c1, r1) in zip(corners, corners[1:] + corners[:1], strict=True):
            steps = max(abs(c1 - c0), abs(r1 - r0))
            points += [
                (c0 + (c1 - c0) * k / steps, r0 + (r1 - r0) * k / steps) for k in range(steps)
            ]
        return points

    shapes = {
        "tip above": ("yellow", side_points((4, 0), (8, 4), (4, 8), (0, 4))),
        "tip below": ("yellow", side_points((4, 8), (8, 12), (4, 16), (0, 12))),
        "left of two": ("blue", side_points((12, 0), (15, 3), (11, 7), (8, 4))),
        "right of two": ("pale", side_points((15, 3), (19, 7), (15, 11), (11, 7))),
        "one of one": ("pink", side_points((12, 12), (15, 15), (12, 18), (9, 15))),
        "other of one": ("pink", side_points((15, 15), (18, 18), (15, 21), (12, 18))),
        "small": ("green", side_points((3, 19), (5, 21), (3, 23), (1, 21))),
    }
    from shapely.geometry import Point, Polygon

    inner = {
        cell
        for _, edge in shapes.values()
        for cell in cells
        if Polygon(edge).buffer(-0.1).contains(Point(cell))
    }
    sheet = Sheet(60, 68, at(*[cell for cell in cells if cell not in inner]))
    sheet.dots(0.7)
    for pen, edge in shapes.values():
        sheet.colour(pen, [at(*edge)], rng, slope=rng.uniform(-1.5, 1.5))
    return sheet
