"""A written pattern reads back the same."""

import io
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from render.errors import OutputError, Place
from render.pattern.key import LINE_SHADES, STITCH_SHADES, ColourKey
from render.pattern.model import Line, Pattern, Region
from render.pattern.read import read_pattern
from render.pattern.words import GROUNDS, LINES, STITCHES
from render.pattern.write import write_pattern

TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]), max_size=20).map(str.strip)
NAME = TEXT.filter(bool)
SPOTS = [(x, y) for y in range(10, 40, 4) for x in range(10, 40, 4)]
JITTER = st.floats(-0.9, 0.9)


@st.composite
def patterns(draw):
    """Make a sound pattern."""
    holes = np.array([(x + draw(JITTER), y + draw(JITTER)) for x, y in SPOTS])
    named = st.fixed_dictionaries({}, optional={"area": NAME, "pairs": st.just("7"),
                                                "colour": st.just("linen")})  # fmt: skip
    regions = []
    for number in range(1, draw(st.integers(0, 3)) + 1):
        low, size = draw(st.floats(8, 20)), draw(st.floats(9, 20))
        outline = np.array([(0, 0), (1, 0), (1.2, 0.6), (1, 1), (0, 1)]) * size + low
        ring = draw(st.booleans())
        contours = (outline, outline[:3] * 0.5 + (low + size / 4) * 0.6) if ring else (outline,)
        options = draw(named)
        called = f'region "{options["area"]}"' if "area" in options else f"region {number}"
        middle = (outline.min(axis=0) + outline.max(axis=0)) / 2
        stitch = draw(st.sampled_from(list(STITCHES)))
        if stitch == "ground":
            options["ground"] = draw(st.sampled_from([*GROUNDS, "CTTpCT"]))
        regions.append(Region(contours, stitch, Place(called, *middle.tolist()), options))
    lines = []
    for number in range(1, draw(st.integers(0, 3)) + 1):
        points = holes[draw(st.lists(st.integers(0, 63), min_size=2, max_size=5, unique=True))]
        options = draw(st.fixed_dictionaries({}, optional={"twists": st.just("3")}))
        word = draw(st.sampled_from([word for word in LINES if word != "direction"]))
        lines.append(Line(points, word, Place(f"line {number}", *points[0].tolist()), options))
    return Pattern(
        name="p", holes=holes, hole_stitch=(None,) * len(holes), hole_area=(None,) * len(holes),
        regions=tuple(regions), lines=tuple(lines), title=draw(TEXT), maker=draw(TEXT),
        notes=draw(TEXT), down_degrees=draw(st.floats(-360, 360)),
        ground=draw(st.sampled_from(list(GROUNDS))),
        thread=draw(st.sampled_from([None, "60/2 NeL"])),
        gauge_mm=draw(st.none() | st.floats(0.01, 5)),
        repeat=draw(st.none() | st.just((0.1, 24.3))),
    )  # fmt: skip


def written_and_read(pattern, folder):
    """Return a pattern that has been through a file."""
    path = folder / "p.svg"
    write_pattern(pattern, path)
    return read_pattern(path)


def assert_same(first, second):
    """Compare two patterns, positions to a millionth of a millimetre."""
    arrays = {"holes", "regions", "lines", "remarks"}
    for name in vars(first).keys() - arrays:
        assert getattr(first, name) == getattr(second, name), name
    assert first.holes == pytest.approx(second.holes, abs=1e-6)
    for one, other in zip(first.regions + first.lines, second.regions + second.lines, strict=True):
        assert one.options == other.options
        assert str(one.place).split(" at ")[0] == str(other.place).split(" at ")[0]
        assert getattr(one, "stitch", "") == getattr(other, "stitch", "")
        assert getattr(one, "word", "") == getattr(other, "word", "")
        for points, others in zip(_points(one), _points(other), strict=True):
            assert points == pytest.approx(others, abs=1e-6)


def _points(part):
    """Return the contours of a region or the points of a line."""
    return part.contours if isinstance(part, Region) else (part.points,)


@settings(deadline=None, max_examples=60)
@given(patterns())
def test_a_written_pattern_reads_back_the_same(tmp_path_factory, pattern):
    folder = tmp_path_factory.getbasetemp()
    back = written_and_read(pattern, folder)
    assert_same(pattern, back)
    first = (folder / "p.svg").read_bytes()
    write_pattern(back, folder / "q.svg")
    assert (folder / "q.svg").read_bytes() == first


def test_numbers_of_numpy_are_written_as_numbers(read_drawing, tmp_path, grid):
    made = {"down_degrees": 80.0, "gauge_mm": 0.25, "repeat": (0.5, 24.3)}
    by_numpy = {word: np.float64(value) for word, value in made.items() if word != "repeat"}
    pattern = replace(read_drawing(grid), repeat=tuple(np.array(made["repeat"])), **by_numpy)
    read = written_and_read(pattern, tmp_path)
    assert {word: getattr(read, word) for word in made} == made


def test_tags_and_the_regions_found_from_them_come_back_once(read_drawing, tmp_path):
    body = "".join(
        f'<circle cx="{x}" cy="{y}" r=".3"{tag}/>'
        for x, y in SPOTS
        for tag in [' data-stitch="half" data-area="bed"' if 14 <= x <= 26 and y >= 18 else ""]
    )
    pattern = read_drawing(body)
    assert len(pattern.regions) == 1
    assert_same(pattern, written_and_read(pattern, tmp_path))


def test_names_are_kept_as_ids_and_only_once(read_drawing, tmp_path, grid):
    square = '<path {} d="M9 9H19V19H9Z" data-stitch="half"/>'
    body = square.format('id="fan"') + '<use href="#fan" x="1"/>' + square.format('id="holes"')
    back = written_and_read(read_drawing(grid + body), tmp_path)
    assert [region.place.item for region in back.regions] == [
        'region "fan"',
        "region 2",
        "region 3",
    ]
    assert (tmp_path / "p.svg").read_text().count('id="fan"') == 1


def test_the_drawing_has_named_groups_and_the_colours_of_the_key(read_drawing, grid):
    body = '<path d="M9 9H19V19H9Z" data-stitch="half"/><path d="M10 10H18" data-line="gimp"/>'
    stream = io.BytesIO()
    write_pattern(read_drawing(grid + body), stream)
    text = stream.getvalue().decode()
    for group in ("holes", "regions", "lines", "notes"):
        assert f'<g id="{group}"' in text
    assert f'fill="{STITCH_SHADES["half"]}"' in text
    assert f'stroke="{LINE_SHADES["gimp"]}"' in text
    assert "fill-opacity" in text


def test_a_key_of_ones_own_colours_the_drawing(read_drawing, grid):
    pattern = read_drawing(grid + '<path d="M9 9H19V19H9Z" data-stitch="half"/>')
    stream = io.BytesIO()
    write_pattern(pattern, stream, key=ColourKey(stitches={"half": "#abcdef"}))
    assert b'fill="#abcdef"' in stream.getvalue()


def test_what_lies_off_the_page_is_moved_onto_it(read_bytes, tmp_path):
    pattern = read_bytes(b"x_mm,y_mm\n-20,3\n-16,7\n", "p.csv")
    back = written_and_read(pattern, tmp_path)
    assert back.holes.tolist() == [[10, 3], [14, 7]]


def test_characters_xml_does_not_know_become_blanks(read_bytes, tmp_path):
    pattern = replace(
        read_bytes(b"x_mm,y_mm\n2,3\n", "p.csv"), title="a\x01b", notes="c\nd\te <&\"'"
    )
    back = written_and_read(pattern, tmp_path)
    assert (back.title, back.notes) == ("a b", "c\nd\te <&\"'")


def test_a_folder_that_is_not_there_is_named(read_bytes, tmp_path):
    pattern = read_bytes(b"x_mm,y_mm\n2,3\n", "p.csv")
    target = tmp_path / "none" / "p.svg"
    with pytest.raises(OutputError) as caught:
        write_pattern(pattern, target)
    assert str(caught.value) == (
        f"{target}: the pattern cannot be written: no such file or directory"
    )
