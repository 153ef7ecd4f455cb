"""Constructs that drawing programs write, read as a viewer shows them."""

import numpy as np
import pytest

from render.pattern.key import STITCH_SHADES

WHOLE, HALF = STITCH_SHADES["whole"], STITCH_SHADES["half"]
HOLE = '<circle cx="2" cy="3" r=".3"{}/>'
SQUARE = "M9 9H19V19H9Z"


@pytest.mark.parametrize(
    ("transform", "at"),
    [
        ("translate(5,6)", (7, 9)), ("translate(5)", (7, 3)), ("scale(2)", (4, 6)),
        ("scale(2 3)", (4, 9)), ("rotate(90)", (-3, 2)), ("rotate(90 1 1)", (-1, 2)),
        ("matrix(0 1 -1 0 5 6)", (2, 8)), ("skewX(45)", (5, 3)), ("skewY(45)", (2, 5)),
        ("translate(5,6) scale(2)", (9, 12)), ("scale(2),translate(5,6)", (14, 18)),
        ("translate(1e1-.5)", (12, 2.5)),
    ],
)  # fmt: skip
def test_transforms_move_holes_as_svg_says(read_drawing, transform, at):
    """SVG 1.1, section 7.6, worked by hand."""
    (hole,) = read_drawing(HOLE.format(f' transform="{transform}"')).holes
    assert hole == pytest.approx(at)


def test_nested_groups_apply_the_outer_transform_last(read_drawing):
    body = (
        f'<g transform="translate(10 0)"><g transform="scale(2)"><a>{HOLE.format("")}</a></g></g>'
    )
    assert read_drawing(body).holes.tolist() == [[14, 6]]


def test_a_transform_may_stand_in_a_style_with_its_origin(read_drawing):
    style = ' style="transform:rotate(90deg);transform-origin:2px 2px"'
    assert read_drawing(HOLE.format(style)).holes[0] == pytest.approx([1, 2])


@pytest.mark.parametrize(
    "hidden",
    [
        '<g display="none">{}</g>', '<g style="display:none">{}</g>', '<g opacity="0">{}</g>',
        '<g visibility="hidden">{}</g>', '<g data-role="notes">{}</g>', "<defs>{}</defs>",
        "<clipPath>{}</clipPath>", "<mask>{}</mask>", "<symbol>{}</symbol>",
        "<pattern>{}</pattern>", "<marker>{}</marker>", "<text>{}</text>",
        "<metadata>{}</metadata>", "<style>.x{{display:none}}</style><g class='x'>{}</g>",
        '<x:view xmlns:x="http://example.org/x">{}</x:view>', "<unknown>{}</unknown>",
    ],
)  # fmt: skip
def test_what_a_viewer_does_not_show_or_a_note_holds_is_skipped(read_drawing, hidden):
    pattern = read_drawing(HOLE.format("") + hidden.format('<circle cx="9" cy="9" r="1"/>'))
    assert pattern.holes.tolist() == [[2, 3]]


def test_a_child_may_be_visible_in_a_hidden_group(read_drawing):
    body = (
        f'<g visibility="hidden">{HOLE.format(" visibility=" + chr(34) + "visible" + chr(34))}</g>'
    )
    assert len(read_drawing(body).holes) == 1


def test_use_draws_a_copy_with_its_own_place_and_words(read_drawing, grid):
    body = (
        f'<defs><path id="s" d="{SQUARE}"/></defs><use xlink:href="#s" data-stitch="half"/>'
        '<use href="#s" x="1" y="2" transform="scale(.9)" data-stitch="whole"/>'
    )
    first, second = read_drawing(grid + body).regions
    assert (first.stitch, second.stitch) == ("half", "whole")
    assert second.contours[0][0] == pytest.approx([9, 9.9])


def test_style_rules_see_a_used_element_where_it_was_drawn(read_drawing):
    """SVG 2, section 5.6: selectors do not reach into a copy."""
    body = (
        "<style>.x circle{display:none} .y circle{visibility:hidden}</style>"
        '<defs><g id="a"><circle cx="5" cy="5" r=".4"/></g>'
        '<g class="y"><g id="b"><circle cx="9" cy="5" r=".4"/></g></g></defs>'
        '<g class="x"><use href="#a"/></g><use href="#b"/>'
    )
    assert read_drawing(body).holes.tolist() == [[5, 5]]


def test_use_of_a_symbol_fits_its_view_box(read_drawing):
    body = (
        '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="1"/></symbol>'
        '<use href="#s" x="20" y="10" width="5" height="5"/>'
    )
    assert read_drawing(body).holes.tolist() == [[22.5, 12.5]]


def test_an_inner_svg_has_a_viewport_of_its_own(read_drawing):
    body = '<svg x="10" y="20" width="20" height="20" viewBox="0 0 40 40">{}</svg>'
    assert read_drawing(body.format('<circle cx="50%" cy="4" r="1"/>')).holes.tolist() == [[20, 22]]


def test_switch_shows_its_first_plain_child(read_drawing):
    other = '<g><circle cx="9" cy="9" r="1"/></g>'
    body = (
        f'<switch><foreignObject requiredExtensions="x"/><g>{HOLE.format("")}</g>{other}</switch>'
    )
    assert read_drawing(body).holes.tolist() == [[2, 3]]


@pytest.mark.parametrize(
    "style",
    [
        f"path{{fill:{WHOLE}}}", f".a{{fill:{WHOLE}}}", f"#s{{fill:{WHOLE} !important}}",
        f"path.a{{ fill : {WHOLE} ; }}", f"*{{fill:{WHOLE}}}", f"g > .a{{fill:{WHOLE}}}",
        f"svg .a{{fill:{WHOLE}}}", f".x,.a{{fill:{WHOLE}}}",
        f"path{{fill:{HALF}}} .a{{fill:{WHOLE}}}", f".a{{fill:{WHOLE}}} path{{fill:{HALF}}}",
        f".a{{fill:{HALF}}} .a{{fill:{WHOLE}}}", f"/* .a{{}} */ <!-- .a{{fill:{WHOLE}}} -->",
        f"g{{fill:{WHOLE}}}", f"g{{color:{WHOLE};fill:currentColor}}",
    ],
)  # fmt: skip
def test_classes_and_style_sheets_colour_a_region(read_drawing, grid, style):
    body = f"<style>{style.replace('<!--', '').replace('-->', '')}</style>"
    (region,) = read_drawing(f'{body}{grid}<g><path id="s" class="b a" d="{SQUARE}"/></g>').regions
    assert region.stitch == "whole"


def test_a_style_attribute_goes_before_classes_and_both_before_attributes(read_drawing, grid):
    path = f'<path class="a" fill="red" style="fill:{WHOLE}" d="{SQUARE}"/>'
    (region,) = read_drawing(f"<style>.a{{fill:{HALF}}}</style>{grid}{path}").regions
    assert region.stitch == "whole"


def test_a_swatch_written_as_a_gradient_is_a_plain_colour(read_drawing, grid):
    body = (
        f'<defs><linearGradient id="s"><stop style="stop-color:{WHOLE}"/></linearGradient>'
        '<linearGradient id="t" xlink:href="#s"/></defs>'
        f'<path style="fill:url(#t)" d="{SQUARE}"/>'
    )
    assert read_drawing(grid + body).regions[0].stitch == "whole"


@pytest.mark.parametrize(
    "data",
    [
        "M10.5,10a.5,.5 0 1 1-1,0 .5,.5 0 1 1 1,0z",
        "m 10.5,10 a 0.5,0.5 0 0 1 -0.5,0.5 0.5,0.5 0 0 1 -0.5,-0.5 0.5,0.5 0 0 1 0.5,-0.5 "
        "0.5,0.5 0 0 1 0.5,0.5 z",
        "M10.5,10C10.5,10.276 10.276,10.5 10,10.5C9.724,10.5 9.5,10.276 9.5,10"
        "C9.5,9.724 9.724,9.5 10,9.5C10.276,9.5 10.5,9.724 10.5,10Z",
        "M10.5,10c0,.276-.224,.5-.5,.5s-.5-.224-.5-.5,.224-.5,.5-.5,.5,.224,.5,.5Z",
    ],
)
def test_a_circle_drawn_as_a_path_is_a_hole(read_drawing, data):
    (hole,) = read_drawing(f'<path d="{data}" transform="translate(1 2)"/>').holes
    assert hole == pytest.approx([11, 12], abs=1e-3)


def test_all_holes_may_be_one_path(read_drawing):
    circle = "a.5,.5 0 1 1-1,0 .5,.5 0 1 1 1,0z"
    body = f'<path d="M10.5,10{circle}m4,0{circle}M3,4{circle}"/>'
    assert read_drawing(body).holes == pytest.approx(np.array([[10, 10], [14, 10], [2.5, 4]]))


@pytest.mark.parametrize(
    "data", ["M10 9L11 10L10 11L9 10Z", "M9 10C9.5 9 10.5 9 11 10C10.5 10.05 9.5 10.05 9 10Z"]
)
def test_another_small_shape_is_no_hole(read_drawing, grid, data):
    pattern = read_drawing(f'{grid}<path d="{data}" data-stitch="open"/>')
    assert (len(pattern.holes), len(pattern.regions)) == (9, 1)


@pytest.mark.parametrize(
    "rectangle",
    [
        '<rect width="60" height="60" fill="white"/>',
        '<rect width="100%" height="100%" fill="#fff"/>',
        '<rect width="60" height="60" fill="none" stroke="black"/>',
        '<rect width="60" height="60" fill="#fffdf8"/>',
        '<path d="M-1-1H61V61H-1Z" fill="#fefefe"/>',
        '<rect width="60" height="60" style="fill:none"/>',
    ],
)
def test_a_page_background_is_left_out_with_a_remark(read_drawing, grid, rectangle):
    pattern = read_drawing(rectangle + grid)
    assert pattern.regions == ()
    assert [(str(remark), remark.kind) for remark in pattern.remarks] == [
        (
            "shape at 30.0, 30.0 mm: a rectangle as large as the page was taken for its "
            "background and left out",
            "note",
        )
    ]


def test_fill_and_stroke_written_one_after_the_other_are_one_region(read_drawing, grid):
    """With an invisible frame around them, as some office programs write a shape."""
    body = (
        '<rect class="BoundingBox" fill="none" stroke="none" x="9" y="9" width="10" height="10"/>'
        f'<path fill="{WHOLE}" stroke="none" d="{SQUARE}"/>'
        f'<path fill="none" stroke="rgb(52,101,164)" d="{SQUARE}"/>'
    )
    pattern = read_drawing(grid + body)
    assert [region.stitch for region in pattern.regions] == ["whole"]
    assert [str(remark) for remark in pattern.remarks] == [
        "1 shape has neither fill nor stroke and was left out"
    ]


def test_a_page_wide_rectangle_with_a_word_is_a_region(read_drawing, grid):
    (region,) = read_drawing(grid + '<rect width="60" height="60" data-stitch="half"/>').regions
    assert region.stitch == "half"


def test_a_word_on_a_group_counts_for_what_has_none_itself(read_drawing, grid):
    body = (
        f'<g data-stitch="half" data-tie="1"><path d="{SQUARE}"/>'
        f'<path d="{SQUARE}" data-stitch="whole"/>'
        '<path d="M10 10 18 10" data-line="plait"/></g>'
    )
    pattern = read_drawing(grid + body)
    assert [(r.stitch, r.options) for r in pattern.regions] == [
        ("half", {"tie": "1"}), ("whole", {"tie": "1"}),
    ]  # fmt: skip
    assert [(line.word, line.options) for line in pattern.lines] == [("plait", {})]


def test_rounded_corners_are_rounded(read_drawing, grid):
    body = '<rect x="9" y="9" width="10" height="10" rx="2" data-stitch="half"/>'
    (contour,) = read_drawing(grid + body).regions[0].contours
    centre = np.clip(contour, 11, 17)
    assert np.hypot(*(contour - centre).T) == pytest.approx(2, abs=1e-9)


def test_lengths_may_have_units(read_drawing):
    root = 'width="60mm" height="60mm"'
    hole = read_drawing('<circle cx="5mm" cy="1cm" r="1.5px"/>', root).holes[0]
    assert hole == pytest.approx([5, 10])


def test_names_a_program_gives_are_no_words_of_ours(read_drawing, grid):
    body = f'<g data-name="Layer 1" data-cell-id="4">{grid}</g>'
    assert read_drawing(body).remarks == ()


def test_an_old_doctype_does_no_harm(read_bytes):
    data = (
        b'<?xml version="1.0" standalone="no"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        b'"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd"><svg width="9mm" height="9mm" '
        b'xmlns="http://www.w3.org/2000/svg"><circle cx="1" cy="1" r="1"/></svg>'
    )
    assert len(read_bytes(data).holes) == 1


def test_a_namespace_prefix_does_no_harm(read_bytes):
    data = (
        b'<s:svg xmlns:s="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">'
        b'<s:circle cx="1" cy="1" r="1"/></s:svg>'
    )
    assert read_bytes(data).holes.tolist() == [[1, 1]]
