"""What stands on the pages, read back by an independent library."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from PIL import Image

from render.colour.srgb import parse_colour
from render.errors import OutputError
from render.pattern.key import STITCH_SHADES
from render.sheets import ink as ink_module
from render.sheets.paper import PAPERS
from render.sheets.write import PNG_DPI, write_sheet

HALF = np.array(parse_colour(STITCH_SHADES["half"])) * 255


@pytest.fixture
def written(tmp_path):
    """Return a function that writes a sheet and gives the paths of its files."""

    def write(sheet, name="sheet.pdf", **wishes):
        return write_sheet(sheet, tmp_path / name, source=tmp_path / "pattern.svg", **wishes)

    return write


def texts(path) -> list[str]:
    with pypdfium2.PdfDocument(path) as document:
        return [page.get_textpage().get_text_range() for page in document]


def shaded_mm2(path, number: int) -> float:
    with pypdfium2.PdfDocument(path) as document:
        pixels = np.asarray(document[number].render(scale=4).to_pil().convert("RGB"), float)
    return float((np.abs(pixels - HALF).max(axis=2) < 4).sum()) * (25.4 / 72 / 4) ** 2


def test_every_page_says_its_place_in_the_whole(written, large_sheet):
    pages = texts(written(large_sheet)[0])
    assert len(pages) > 4
    for n, text in enumerate(pages, 1):
        assert f"page {n} of {len(pages)}" in text
    assert "column 2 of 3, row 1 of 2" in "".join(pages)


def test_the_words_can_be_read_out(written, sheet):
    front, reading, copy = texts(written(sheet)[0])
    for words in ("far shoal", "A. Maker", "63 % of the hours are ground"):
        assert words in front
    for words in ("half CT", "torchon CT p CT", "2 pairs at hole 1", "after 7 stitches", "shoal"):
        assert words in reading
    assert "Print at 100 %" in copy
    assert copy.count("100 mm") >= 3


@pytest.mark.parametrize("caution", ["children and animals", "light", "eyes", "neck", "hands"])
def test_the_usual_cautions_are_there(written, sheet, caution):
    assert caution in texts(written(sheet)[0])[1].replace("\r\n", " ")


def test_areas_are_coloured_just_inside_their_edge(written, sheet):
    """40 × 40 mm less 0.7 mm on each side, less the ring with the number and two marks."""
    assert 38.6**2 - 30 < shaded_mm2(written(sheet)[0], 2) < 38.6**2


def test_mono_leaves_them_white_and_spells_their_stitch(written, sheet):
    (path,) = written(sheet, mono=True)
    assert [shaded_mm2(path, n) for n in (0, 2)] == [0, 0]
    assert "CT" in texts(path)[2]


def test_a_mirrored_copy_says_so(written, sheet):
    assert "mirrored: for the back" in texts(written(sheet, mirror=True)[0])[2]


def test_fonts_are_embedded_and_drawings_stay_vectors(written, sheet):
    """Each font comes with its outlines (ISO 32000-1, 9.9); the one image is the preview."""
    content = written(sheet)[0].read_bytes()
    fonts = len(re.findall(rb"/Type\s*/FontDescriptor", content))
    assert fonts >= 2
    assert len(re.findall(rb"/FontFile[23]?\s", content)) == fonts
    assert len(re.findall(rb"/Subtype\s*/Image", content)) == 1


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_are_as_large_as_the_paper(written, sheet, paper):
    with pypdfium2.PdfDocument(written(sheet, paper=paper)[0]) as document:
        for page in document:
            assert np.array(page.get_size()) * 25.4 / 72 == pytest.approx(PAPERS[paper], abs=0.01)


@pytest.mark.parametrize("name", ["a.pdf", "a.svg", "a.png"])
def test_the_same_sheet_gives_the_same_bytes(written, sheet, name):
    first = [path.read_bytes() for path in written(sheet, name)]
    assert [path.read_bytes() for path in written(sheet, name)] == first


def test_svg_has_a_file_a_page_of_true_size(written, sheet):
    paths = written(sheet, "sheet.svg")
    assert [path.name for path in paths] == ["sheet-1.svg", "sheet-2.svg", "sheet-3.svg"]
    root = ET.parse(paths[2]).getroot()
    assert float(root.get("width").removesuffix("pt")) * 25.4 / 72 == pytest.approx(210, abs=0.01)


def test_png_carries_its_scale(written, sheet):
    path = written(sheet, "sheet.png")[2]
    with Image.open(path) as image:
        assert image.info["dpi"] == pytest.approx((PNG_DPI, PNG_DPI), abs=0.02)
        assert np.array(image.size) / PNG_DPI * 25.4 == pytest.approx(PAPERS["a4"], abs=0.1)


@pytest.mark.parametrize("name", ["mine.pdf", "mine-1.svg", "mine-2.png"])
def test_nothing_that_somebody_else_made_is_replaced(written, sheet, tmp_path, name):
    (tmp_path / name).write_bytes(b"%PDF-1.7 my own")
    with pytest.raises(OutputError, match="not made by laceproof"):
        written(sheet, name.replace("-1", "").replace("-2", ""))
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {name: b"%PDF-1.7 my own"}


def test_another_ending_is_refused(written, sheet):
    with pytest.raises(OutputError, match=r"\.pdf, \.svg, \.png"):
        written(sheet, "sheet.doc")


def test_without_the_library_one_line_says_how_to_get_it(written, sheet, monkeypatch):
    def missing(name):
        raise OSError(f"no library called {name}")

    monkeypatch.setattr(ink_module, "import_module", missing)
    with pytest.raises(OutputError, match="apt install libcairo2") as caught:
        written(sheet)
    assert "\n" not in str(caught.value)


def test_a_long_list_goes_on_on_the_next_page(written, sheet):
    drawing = sheet.drawing
    many = [replace(drawing.marks[1], hole=n, after=n) for n in range(1, 120)]
    long_one = replace(sheet, drawing=replace(drawing, marks=(*drawing.marks, *many)))
    pages = texts(written(long_one)[0])
    together = "".join(pages)
    assert len(pages) > 4
    assert all(f"at hole {n}, after {n} stitches" in together for n in range(1, 120))
