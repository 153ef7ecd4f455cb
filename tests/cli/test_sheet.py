"""The sheet command."""

import pypdfium2
import pytest


def test_a_sheet_is_written_beside_the_pattern(call, net):
    result = call("sheet", net)
    assert result.exit_code == 0
    assert result.output.strip() == str(net.with_suffix(".pdf"))
    with pypdfium2.PdfDocument(net.with_suffix(".pdf")) as document:
        text = "".join(page.get_textpage().get_text_range() for page in document)
    assert "% of the hours are ground" in text
    assert "torchon CT p CT" in text


def test_it_replaces_its_own_and_gives_the_same_bytes(call, net):
    call("sheet", net)
    first = net.with_suffix(".pdf").read_bytes()
    assert call("sheet", net).exit_code == 0
    assert net.with_suffix(".pdf").read_bytes() == first


def test_the_pace_on_it_is_the_maker_s_own(call, net):
    call("pace", net, "--took", "2h")
    call("sheet", net)
    with pypdfium2.PdfDocument(net.with_suffix(".pdf")) as document:
        assert "learned from 1 piece" in document[0].get_textpage().get_text_range()


@pytest.mark.parametrize(
    "wish", [("--mono",), ("--mirror",), ("--paper", "letter"), ("--thread", "navy")]
)
def test_every_wish_shows(call, net, tmp_path, wish):
    area = '<path data-stitch="half" d="M2 2 L6 2 L6 10 L2 10 Z"/></svg>'
    net.write_text(net.read_text("utf-8").replace("</svg>", area), "utf-8")
    call("sheet", net, "-o", tmp_path / "plain.pdf")
    assert call("sheet", net, "-o", tmp_path / "other.pdf", *wish).exit_code == 0
    assert (tmp_path / "plain.pdf").read_bytes() != (tmp_path / "other.pdf").read_bytes()


def test_svg_and_png_get_a_file_a_page(call, net, tmp_path):
    for ending in ("svg", "png"):
        lines = call("sheet", net, "-o", tmp_path / f"s.{ending}").output.splitlines()
        assert lines == [str(tmp_path / f"s-{n}.{ending}") for n in (1, 2, 3)]


@pytest.mark.parametrize(
    ("words", "status"),
    [(("-o", "a.doc"), 1), (("--paper", "cloth"), 2), (("-o", "no/such/folder/a.pdf"), 1)],
)
def test_what_cannot_be_is_refused_in_one_message(call, net, words, status):
    before = sorted(net.parent.iterdir())
    result = call("sheet", net, *words)
    assert result.exit_code == status
    assert "Traceback" not in result.output
    assert sorted(net.parent.iterdir()) == before


def test_a_pdf_of_somebody_else_is_not_replaced(call, net):
    mine = net.with_suffix(".pdf")
    mine.write_bytes(b"%PDF-1.7 mine")
    assert call("sheet", net).exit_code == 1
    assert mine.read_bytes() == b"%PDF-1.7 mine"
