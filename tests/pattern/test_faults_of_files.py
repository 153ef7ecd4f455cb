"""Files that are no pattern at all."""

import pytest

from render.errors import PatternError
from render.pattern.read import read_pattern

SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm">'
BOMB = (
    b'<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    + SVG + b"<title>&b;</title></svg>"
)  # fmt: skip


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "p.svg: the file is empty"),
        (b" \n\n", "p.svg: the file is empty"),
        (
            b"\x89PNG\r\n\x1a\n\0\0",
            "p.svg: the file is a PNG picture; a pattern is an SVG drawing or a CSV table",
        ),
        (
            b"%PDF-1.7",
            "p.svg: the file is a PDF document; a pattern is an SVG drawing or a CSV table",
        ),
        (
            b"\x1f\x8b\x08\0",
            "p.svg: the file is a compressed drawing, save it as plain SVG; "
            "a pattern is an SVG drawing or a CSV table",
        ),
        (
            b"\x00\x01\x02binary",
            "p.svg: the file is not text; a pattern is an SVG drawing or a CSV table",
        ),
        (
            SVG + b'<circle r="1"',
            "p.svg: line 1: the file breaks off here; it may have been saved or sent incompletely",
        ),
        (
            SVG + b"\n<g>",
            "p.svg: line 2: the file breaks off here; it may have been saved or sent incompletely",
        ),
        (
            SVG + b"\n<g></a></svg>",
            "p.svg: line 2: this is not XML (mismatched tag); "
            "save the drawing anew from its program",
        ),
        (
            SVG + b"<title>\xe9</title></svg>",
            "p.svg: line 1: this is not XML (not well-formed (invalid token)); "
            "save the drawing anew from its program",
        ),
        (
            b'<?xml version="1.0" encoding="no-such"?>' + SVG + b"</svg>",
            "p.svg: its encoding cannot be read (unknown encoding: no-such); save it as UTF-8",
        ),
        (
            b"<html><body/></html>",
            'p.svg: it is not a drawing; its outermost element is "html", not "svg"',
        ),
        (
            BOMB,
            'p.svg: line 1: the file declares the entity "a", which could unfold without end or '
            "fetch other files; save the drawing as plain SVG",
        ),
        (
            b"just some words",
            "p.svg: the file is neither a drawing nor a table of holes; "
            'a table begins with the column names "x_mm,y_mm"',
        ),
    ],
)
def test_a_file_that_is_no_pattern_is_refused_in_one_sentence(fault_of_file, data, message):
    assert fault_of_file(data) == message


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "latin-1"])
def test_an_entity_is_refused_in_any_encoding(fault_of_file, encoding):
    declared = f'<?xml version="1.0" encoding="{encoding}"?>'
    data = (declared + BOMB.decode()).encode(encoding)
    assert "declares the entity" in fault_of_file(data)


def test_an_entity_of_another_file_is_never_opened(fault_of_file, tmp_path):
    secret = tmp_path / "secret"
    secret.write_text("hidden")
    data = f'<!DOCTYPE svg [<!ENTITY a SYSTEM "{secret}">]>'.encode() + SVG + b"&a;</svg>"
    message = fault_of_file(data)
    assert 'declares the entity "a"' in message
    assert "hidden" not in message


def test_a_missing_file_says_so(tmp_path):
    with pytest.raises(PatternError) as caught:
        read_pattern(tmp_path / "none.svg")
    assert str(caught.value) == "none.svg: the file cannot be opened: no such file or directory"


def test_groups_nested_without_end_are_refused(fault_of_file):
    data = SVG + b"<g>" * 300 + b"</g>" * 300 + b"</svg>"
    assert fault_of_file(data) == (
        "p.svg: line 1: its groups are nested more than 250 deep; ungroup the drawing"
    )


def test_a_file_without_end_is_refused(fault_of_file, monkeypatch):
    monkeypatch.setattr("render.pattern.read.LARGEST_BYTES", 2_000_000)
    assert fault_of_file(SVG + b" " * 2_000_000) == (
        "p.svg: the file is larger than 2 MB; leave pictures out of it"
    )


def test_elements_without_end_are_refused(fault_of_file, monkeypatch):
    monkeypatch.setattr("render.pattern.document.MOST_ELEMENTS", 100)
    assert fault_of_file(SVG + b"<g/>" * 200 + b"</svg>") == (
        "p.svg: line 1: the drawing has more than 100 elements"
    )


def test_a_newer_format_is_refused(fault_of_file):
    data = SVG.replace(b"width", b'data-format="2" width') + b'<circle cx="1" cy="1" r="1"/></svg>'
    assert fault_of_file(data) == (
        'p.svg: data-format is "2", and this version reads 1; '
        "update the program, or save the pattern for this one"
    )


def test_a_wrong_ending_is_tolerated_with_a_remark(read_bytes):
    drawing = SVG + b'<circle cx="1" cy="1" r="1"/></svg>'
    assert str(read_bytes(drawing, "p.csv").remarks[0]) == (
        "the file is named as a table but holds a drawing, and was read as that"
    )
    assert [str(remark) for remark in read_bytes(b"x_mm,y_mm\n1,2\n", "p.svg").remarks] == [
        "the file is named as a drawing but holds a table, and was read as that"
    ]


def test_a_byte_order_mark_does_no_harm(read_bytes):
    drawing = b"\xef\xbb\xbf" + SVG + b'<circle cx="1" cy="1" r="1"/></svg>'
    assert len(read_bytes(drawing).holes) == len(read_bytes(b"\xef\xbb\xbfx_mm,y_mm\n1,2").holes)
