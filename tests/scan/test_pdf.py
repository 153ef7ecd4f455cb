"""Pages of PDF files, drawn by cairo and by Pillow."""

import cairocffi as cairo
import numpy as np
import pytest

from render import PatternError, ScanSettings
from render.scan import pdf
from render.scan.picture import open_picture
from render.scan.reading import read_scan
from tests.scan.conftest import Sheet, scan

POINTS_PER_MM = 72 / 25.4
PLACES = np.array(
    [(15 + 2.5 * c + 1.25 * (r % 2), 15 + 2.5 * r) for r in range(10) for c in range(10)]
)


@pytest.fixture
def drawn(tmp_path):
    """Return a PDF of two pages of A6: words, and a pricking with a coloured square."""
    path = tmp_path / "copy.pdf"
    surface = cairo.PDFSurface(str(path), 105 * POINTS_PER_MM, 148 * POINTS_PER_MM)
    page = cairo.Context(surface)
    page.scale(POINTS_PER_MM, POINTS_PER_MM)
    page.set_font_size(5)
    page.move_to(10, 20)
    page.show_text("How to work it")
    surface.show_page()
    page.set_source_rgb(0.6, 0.8, 1)
    page.rectangle(20, 20, 10, 10)
    page.fill()
    page.set_source_rgb(0, 0, 0)
    for x, y in PLACES:
        page.arc(x, y, 0.35, 0, 2 * np.pi)
        page.fill()
    surface.finish()
    return path


def test_the_page_that_is_asked_for_is_read_at_its_own_scale(drawn):
    reading = read_scan(drawn, ScanSettings(page=2, turn_degrees=0.0))
    assert reading.to_mm(reading.holes.centres) == pytest.approx(PLACES, abs=0.02)
    assert [pen.areas for pen in reading.pens] == [1]


@pytest.mark.parametrize(
    ("page", "message"),
    [(None, "holds 2 pages; say which one with --page"), (3, "no page 3; it holds 2"),
     (0, "no page 0")],
)  # fmt: skip
def test_a_page_must_be_named_and_be_there(drawn, page, message):
    with pytest.raises(PatternError, match=message):
        open_picture(drawn, page)


def test_a_page_of_words_is_no_pricking(drawn):
    with pytest.raises(PatternError, match="no holes can be read"):
        read_scan(drawn, ScanSettings(page=1))


def test_a_sheet_that_was_scanned_into_a_pdf_is_read(tmp_path, rng):
    sheet = Sheet(45, 45, PLACES)
    sheet.dots(0.7)
    scan(sheet, 300, rng).image.save(tmp_path / "copy.pdf", resolution=300)
    reading = read_scan(tmp_path / "copy.pdf", ScanSettings(turn_degrees=0.0))
    assert reading.to_mm(reading.holes.centres) == pytest.approx(PLACES, abs=0.05)


def test_without_the_reader_of_pdf_it_is_said_what_to_install(drawn, monkeypatch):
    monkeypatch.setattr(pdf, "pypdfium2", None)
    with pytest.raises(PatternError, match=r'pip install "laceproof\[pdf\]"'):
        open_picture(drawn, 2)


def test_a_pdf_cut_short_is_refused(drawn):
    drawn.write_bytes(drawn.read_bytes()[:1500])
    with pytest.raises(PatternError, match="locked, damaged or cut short"):
        open_picture(drawn, 2)


def test_a_page_as_large_as_a_wall_is_refused_before_it_is_drawn(tmp_path):
    path = tmp_path / "wall.pdf"
    surface = cairo.PDFSurface(str(path), 4000 * POINTS_PER_MM, 3000 * POINTS_PER_MM)
    surface.show_page()
    surface.finish()
    with pytest.raises(PatternError, match="the page is 4000 × 3000 mm"):
        open_picture(path)
