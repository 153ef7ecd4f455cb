"""What a drawing marks, and where."""

import numpy as np
import pytest

from render.pattern.key import LINE_SHADES, STITCH_SHADES, ColourKey

WHOLE, HALF, GIMP = STITCH_SHADES["whole"], STITCH_SHADES["half"], LINE_SHADES["gimp"]
SQUARE = '<rect x="9" y="9" width="10" height="10" {}/>'


def test_small_circles_and_ellipses_are_holes_in_mm(read_drawing):
    pattern = read_drawing('<circle cx="3" cy="4" r="1"/><ellipse cx="20" cy="5" rx="1" ry=".2"/>')
    assert pattern.holes.tolist() == [[3, 4], [20, 5]]
    assert pattern.hole_stitch == pattern.hole_area == (None, None)
    assert (pattern.name, pattern.remarks) == ("p", ())


@pytest.mark.parametrize(
    ("root", "mm_per_unit"),
    [
        ('width="60mm" height="60mm" viewBox="0 0 60 60"', 1),
        ('width="6cm" height="6cm" viewBox="0 0 120 120"', 0.5),
        ('width="2in" height="2in" viewBox="0 0 100 100"', 0.508),
        ('width="72pt" height="72pt"', 25.4 / 96),
        ('width="6pc" height="6pc" viewBox="0 0 72 72"', 25.4 / 72),
        ('width="200mm" viewBox="0 0 100 50"', 2),
        ('width="100%" height="50mm" viewBox="0 0 100 50"', 1),
    ],
)
def test_the_roots_size_and_view_box_give_the_scale(read_drawing, root, mm_per_unit):
    pattern = read_drawing('<circle cx="3" cy="4" r=".5"/>', root)
    assert pattern.holes[0] == pytest.approx(np.array([3, 4]) * mm_per_unit, rel=1e-12)
    assert pattern.remarks == ()


def test_a_size_in_pixels_is_taken_and_remarked_on(read_drawing):
    pattern = read_drawing('<circle cx="96" cy="0" r="1"/>', 'width="96" height="192px"')
    assert pattern.holes[0] == pytest.approx([25.4, 0])
    assert [str(remark) for remark in pattern.remarks] == [
        "the size of the drawing is given in pixels, taken as 1/96 inch; "
        "that makes it 25.4 × 50.8 mm"
    ]


@pytest.mark.parametrize(
    ("aspect", "at"),
    [("", (10, 0)), ("xMinYMin", (0, 0)), ("xMaxYMid meet", (20, 0)), ("none", (0, 0))],
)
def test_a_view_box_of_another_shape_is_fitted_as_svg_says(read_drawing, aspect, at):
    """SVG 2, section 8.2: 40 × 20 mm show 20 × 20 units, centred unless told otherwise."""
    root = f'width="40mm" height="20mm" viewBox="5 5 20 20" preserveAspectRatio="{aspect}"'
    hole = read_drawing('<circle cx="5" cy="5" r=".1"/>', root).holes[0]
    assert hole == pytest.approx(at)


def test_a_scale_goes_before_the_root(read_drawing):
    body = '<circle cx="13" cy="4" r="1"/>'
    assert read_drawing(body, "", scale_mm_per_unit=0.5).holes.tolist() == [[6.5, 2]]
    root = 'width="60mm" height="60mm" viewBox="10 0 20 20"'
    assert read_drawing(body, root, scale_mm_per_unit=0.5).holes.tolist() == [[1.5, 2]]


def test_the_limit_of_two_millimetres_counts_after_transforms(read_drawing, grid):
    """The 2 mm circle is a hole, scaled up by any part it is a region."""
    body = '<g transform="scale({0} 1)"><circle cx="10" cy="14" r="1" data-stitch="half"/></g>'
    assert len(read_drawing(body.format(1)).holes) == 1
    pattern = read_drawing(grid + body.format(1.01))
    assert (len(pattern.holes), [region.stitch for region in pattern.regions]) == (9, ["half"])


@pytest.mark.parametrize(
    "shape",
    [
        '<rect x="9" y="9" width="10" height="10"{}/>',
        '<polygon points="9,9 19,9 19,19 9,19"{}/>',
        '<polyline points="9,9 19,9 19,19 9,19 9,9"{}/>',
        '<path d="M9 9H19V19H9Z"{}/>',
        '<path d="m9,9 10,0 0,10 -10,0 0,-10"{}/>',
    ],
)
@pytest.mark.parametrize(
    "mark", [' data-stitch="whole"', f' fill="{WHOLE}"', f' style="fill:{WHOLE}"',
             f' fill="none" stroke="{WHOLE}"'],
)  # fmt: skip
def test_every_closed_shape_is_a_region_by_word_or_colour(read_drawing, grid, shape, mark):
    (region,) = read_drawing(grid + shape.format(mark)).regions
    assert region.stitch == "whole"
    assert region.contours[0].tolist() == [[9, 9], [19, 9], [19, 19], [9, 19]]
    assert str(region.place) == "region 1 at 14.0, 14.0 mm"


def test_large_circles_and_ellipses_are_regions(read_drawing, grid):
    circle = f'<circle cx="14" cy="14" r="5" fill="{WHOLE}"/>'
    ellipse = f'<ellipse cx="14" cy="14" rx="5" ry="3" fill="{HALF}"/>'
    round_one, flat_one = read_drawing(grid + circle + ellipse).regions
    assert np.hypot(*(round_one.contours[0] - 14).T) == pytest.approx(5, abs=1e-9)
    assert np.ptp(flat_one.contours[0], axis=0) == pytest.approx([10, 6], abs=0.04)


@pytest.mark.parametrize(
    "shape",
    [
        '<line x1="10" y1="10" x2="18" y2="14"{}/>',
        '<polyline points="10,10 18,14"{}/>',
        '<path d="M10,10 18,14"{}/>',
    ],
)
@pytest.mark.parametrize("mark", [' data-line="gimp"', f' stroke="{GIMP}" fill="none"'])
def test_every_open_shape_is_a_line_by_word_or_colour(read_drawing, grid, shape, mark):
    (line,) = read_drawing(grid + shape.format(mark)).lines
    assert (line.word, line.points.tolist()) == ("gimp", [[10, 10], [18, 14]])
    assert str(line.place) == "line 1 at 10.0, 10.0 mm"


@pytest.mark.parametrize("mark", ['data-line="gimp"', f'fill="none" stroke="{GIMP}"'])
def test_a_line_may_run_round_and_ends_where_it_began(read_drawing, grid, mark):
    (line,) = read_drawing(grid + SQUARE.format(mark)).lines
    assert line.points[0].tolist() == line.points[-1].tolist() == [9, 9]
    assert len(line.points) == 5


def test_an_inner_contour_makes_a_ring_and_contours_apart_make_two_regions(read_drawing, grid):
    ring = "M5 5H25V25H5Z M12 12V16H16V12Z"
    apart = "M9 9h2v2h-2z M17 17h2v2h-2z"
    body = f'<path d="{ring}" data-stitch="half"/><path d="{apart}" data-stitch="whole"/>'
    regions = read_drawing(grid + body).regions
    assert [(r.stitch, len(r.contours)) for r in regions] == [
        ("half", 2),
        ("whole", 1),
        ("whole", 1),
    ]


def test_options_come_with_their_region_or_line(read_drawing, grid):
    words = 'data-stitch="ground" data-ground="CTCTpCT" data-pairs="7" data-density="1.2"'
    line = '<path d="M10 10 18 10" data-line="footside" data-stitch="double" data-passives="2"/>'
    pattern = read_drawing(grid + SQUARE.format(words + ' id="fan" data-area="a"') + line)
    assert pattern.regions[0].options == {
        "ground": "CTCTpCT", "pairs": "7", "density": "1.2", "area": "a",
    }  # fmt: skip
    assert pattern.lines[0].options == {"stitch": "double", "passives": "2"}
    assert pattern.regions[0].place.item == 'region "fan"'


def test_the_root_says_what_holds_for_all(read_drawing, grid):
    words = (
        'data-title="Shell edging" data-maker="A. Nyone" data-notes="starched" data-down="75" '
        'data-ground="rose" data-thread="60/2 NeL" data-gauge-mm="0.3" data-repeat="0,24.5"'
    )
    pattern = read_drawing(grid, f'width="60mm" height="60mm" viewBox="0 0 60 60" {words}')
    assert (pattern.title, pattern.maker, pattern.notes) == ("Shell edging", "A. Nyone", "starched")
    assert (pattern.down_degrees, pattern.ground) == (75, "rose")
    assert (pattern.thread, pattern.gauge_mm, pattern.repeat) == ("60/2 NeL", 0.3, (0, 24.5))


def test_the_drawings_own_title_serves_where_no_other_is_given(read_drawing, grid):
    assert read_drawing("<title> Fan </title>" + grid).title == "Fan"


def test_tags_are_read_from_words_and_fills(read_drawing):
    body = (
        f'<circle cx="5" cy="5" r=".4" fill="{HALF}"/>'
        '<circle cx="9" cy="5" r=".4" data-stitch="whole" data-area="wing"/>'
        '<circle cx="13" cy="5" r=".4" fill="#fff"/><circle cx="5" cy="9" r=".4" fill="red"/>'
    )
    pattern = read_drawing(body)
    assert pattern.hole_stitch == ("half", "whole", None, None)
    assert pattern.hole_area == (None, "wing", None, None)


def test_a_key_of_ones_own_goes_before_the_default(read_drawing, grid):
    key = ColourKey(stitches={"double": "red"})
    (region,) = read_drawing(grid + SQUARE.format('fill="#f00"'), key=key).regions
    assert region.stitch == "double"


def test_holes_that_lie_on_each_other_are_merged_and_counted(read_drawing):
    body = "".join(
        f'<circle cx="{x}" cy="5" r=".4"{tag}/>'
        for x, tag in [(5, ""), (5.05, ' data-stitch="half"'), (9, ""), (9.09, ""), (9.11, "")]
    )
    pattern = read_drawing(body)
    assert pattern.holes[:, 0].tolist() == [5, 9, 9.11]
    assert pattern.hole_stitch == ("half", None, None)
    assert str(pattern.remarks[0]) == (
        "2 holes lie less than 0.1 mm from another and were merged with it"
    )
