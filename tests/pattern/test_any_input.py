"""Whatever a file holds, the reader gives a pattern or says what is wrong with it."""

from contextlib import suppress

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from render.errors import PatternError
from render.pattern.model import Pattern
from render.pattern.read import read_pattern

NUMBERS = st.sampled_from(
    ["0", "1", "-3", "12.5", "1e3", "1e999", "-1e308", "nan", "inf", "", "x", "5mm", "50%", "2em"]
)
ATTRIBUTES = {
    "d": st.text("MmLlHhVvCcSsQqTtAaZz0123456789.,- e", max_size=40),
    "points": st.text("0123456789.,- e", max_size=30),
    "transform": st.one_of(
        st.text("matrix(skewX)rotate,0123456789. -e", max_size=30),
        st.builds("{}({} {})".format, st.sampled_from(["scale", "rotate"]), NUMBERS, NUMBERS),
    ),
    "style": st.text("fill:stroke;none#0123abcdef()! important/*", max_size=30),
    "fill": st.sampled_from(["none", "#a59652", "red", "url(#a)", "currentColor", "inherit", "?"]),
    "stroke": st.sampled_from(["none", "#a74358", "black", "transparent", "rgb(1 2 3 / 0)"]),
    "id": st.sampled_from(["a", "b"]),
    "href": st.sampled_from(["#a", "#b", "#", "x.svg", ""]),
    "class": st.sampled_from(["a", "b a"]),
    "viewBox": st.sampled_from(["0 0 9 9", "0 0 0 0", "a b c d", "0 0 1e-300 1", "0,0,1e300,1"]),
    "data-stitch": st.sampled_from(["whole", "half", "holw", ""]),
    "data-line": st.sampled_from(["gimp", "direction", "gmp"]),
    "data-area": st.text(max_size=4),
    "data-role": st.sampled_from(["notes", "x"]),
    "data-pairs": NUMBERS,
    "display": st.sampled_from(["none", "inline"]),
    "opacity": NUMBERS,
} | dict.fromkeys(
    ["cx", "cy", "r", "rx", "ry", "x", "y", "x1", "y1", "x2", "y2", "width", "height"], NUMBERS
)  # fmt: skip
TAGS = (
    "circle", "ellipse", "rect", "path", "polygon", "polyline", "line", "g", "use", "svg",
    "symbol", "defs", "switch", "text", "linearGradient", "stop", "image",
)  # fmt: skip


def quoted(value):
    """Return a value that XML can hold."""
    sound = "".join(c for c in value if c.isprintable())
    return '"' + sound.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;") + '"'


@st.composite
def elements(draw, depth=0):
    """Make an element of SVG with attributes that may be wrong."""
    tag = draw(st.sampled_from(TAGS))
    names = draw(st.lists(st.sampled_from(list(ATTRIBUTES)), max_size=7, unique=True))
    written = "".join(f" {name}={quoted(draw(ATTRIBUTES[name]))}" for name in names)
    inner = "".join(draw(st.lists(elements(depth + 1), max_size=3))) if depth < 3 else ""
    return f"<{tag}{written}>{inner}</{tag}>"


def read_or_fault(data, folder, name="p.svg"):
    """Read bytes; anything but a pattern or a PatternError comes through."""
    path = folder / name
    path.write_bytes(data)
    with suppress(PatternError):
        pattern = read_pattern(path)
        assert isinstance(pattern, Pattern)
        assert np.isfinite(pattern.holes).all()
        assert len(pattern.holes) > 0


@settings(deadline=None, max_examples=60)
@given(st.lists(elements(), max_size=5), st.text(".#a b{}:;fillnoe@/*,>", max_size=30))
def test_any_drawing(tmp_path_factory, body, style):
    holes = '<circle cx="10" cy="10" r=".4"/><circle cx="14" cy="10" r=".4" data-stitch="half"/>'
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">'
        f"<style>{style.replace('<', '').replace('>', '&gt;')}</style>{holes}{''.join(body)}</svg>"
    )
    read_or_fault(text.encode(), tmp_path_factory.getbasetemp())


@settings(deadline=None, max_examples=150)
@given(st.binary(max_size=80) | st.text(max_size=60).map(str.encode))
def test_any_bytes(tmp_path_factory, data):
    for start in (b"", b"<svg ", b"x_mm,y_mm\n"):
        read_or_fault(start + data, tmp_path_factory.getbasetemp())


@settings(deadline=None, max_examples=100)
@given(
    st.lists(
        st.tuples(st.integers(0, 5), st.integers(0, 5), st.sampled_from(["", "half", "whole"])),
        min_size=1, max_size=30,
    )
)  # fmt: skip
def test_any_tags(tmp_path_factory, holes):
    """Small whole numbers, so that rows, squares and coinciding holes come up."""
    rows = "".join(f"{2 * x},{2 * y},{stitch}\n" for x, y, stitch in holes)
    data = f"x_mm,y_mm,stitch\n{rows}".encode()
    read_or_fault(data, tmp_path_factory.getbasetemp(), "p.csv")
