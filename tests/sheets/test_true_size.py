"""True size, measured on pages that an independent library rasterised."""

import numpy as np
import pypdfium2
import pytest
from scipy import ndimage

from render.sheets.paper import OVERLAP_MM, PAPERS, spread
from render.sheets.working_copy import LEVEL_FROM_BOTTOM, UPRIGHT_AT
from render.sheets.write import write_sheet

DPI = 600
PER_MM = DPI / 25.4


def page_pixels(path, number: int) -> np.ndarray:
    """Return a page in mono, ink above zero."""
    with pypdfium2.PdfDocument(path) as document:
        return 255 - np.asarray(document[number].render(scale=DPI / 72).to_pil().convert("L"))


def dots(ink: np.ndarray) -> np.ndarray:
    """Return the (n, 2) middles in mm of round blots as large as a hole."""
    labels, _ = ndimage.label(ink > 128)
    middles = []
    for n, (down, across) in enumerate(ndimage.find_objects(labels), 1):
        height, width = down.stop - down.start, across.stop - across.start
        if abs(height - width) > 2 or not 0.6 < height / PER_MM < 0.8:
            continue
        blot = labels[down, across] == n
        if 0.7 < blot.mean() < 0.85:
            middle = ndimage.center_of_mass(ink[down, across] * blot)
            middles.append((middle[0] + down.start, middle[1] + across.start))
    return np.array(middles)[:, ::-1] / PER_MM


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("mirror", [False, True])
def test_far_holes_are_as_far_apart_on_paper_as_in_the_pattern(tmp_path, sheet, paper, mirror):
    """To 0.1 mm over 200 mm."""
    path = tmp_path / "sheet.pdf"
    write_sheet(sheet, path, source=tmp_path / "far.svg", paper=paper, mono=True, mirror=mirror)
    spots = dots(page_pixels(path, 2))
    assert len(spots) == 3
    top, right, bottom = spots[spots[:, 1].argsort()]
    assert bottom - top == pytest.approx([0, 200], abs=0.1)
    assert right - top == pytest.approx([-150 if mirror else 150, 100], abs=0.1)


@pytest.mark.parametrize("paper", PAPERS)
def test_both_rulers_measure_100_mm(tmp_path, sheet, paper):
    path = tmp_path / "sheet.pdf"
    write_sheet(sheet, path, source=tmp_path / "far.svg", paper=paper)
    ink = page_pixels(path, 2)
    height = PAPERS[paper][1]
    upright = ink[:, round(UPRIGHT_AT[0] * PER_MM)] > 100
    level = ink[round((height - LEVEL_FROM_BOTTOM) * PER_MM)] > 100
    for ruler in (upright, level):
        labels, _ = ndimage.label(ruler)
        longest = max(np.bincount(labels)[1:])
        # The strokes at both ends are 0.15 mm wide, of which the line has half each.
        assert longest / PER_MM - 0.15 == pytest.approx(100, abs=0.1)


def test_crosses_of_neighbouring_pages_fall_on_each_other(large_sheet):
    """Where two pages meet, the drawn parts overlap by 15 mm and the joins lie in their middle."""
    laid = spread(large_sheet.drawing.bounds, "a4")
    assert len(laid.tiles) > 1
    width, height = laid.window
    for a in laid.tiles:
        for b in laid.tiles:
            step = np.subtract(b.origin, a.origin)
            if (b.column, b.row) == (a.column + 1, a.row):
                assert step == pytest.approx([width - OVERLAP_MM, 0])
            if (b.column, b.row) == (a.column, a.row + 1):
                assert step == pytest.approx([0, height - OVERLAP_MM])


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_together_show_the_whole_piece(large_sheet, paper):
    laid = spread(large_sheet.drawing.bounds, paper)
    holes = large_sheet.drawing.holes
    seen = np.zeros(len(holes), bool)
    for tile in laid.tiles:
        inside = (holes >= tile.origin) & (holes <= np.add(tile.origin, laid.window))
        seen |= inside.all(axis=1)
    assert seen.all()
