"""Sizes and positions no pattern has."""

import pytest

from render.errors import SettingError

MM = 'width="60mm" height="60mm" viewBox="0 0 60 60"'
NO_HOLES = "there are no holes; a hole is a circle up to 2 mm across or a line of a table"


@pytest.mark.parametrize(
    ("root", "message"),
    [
        (
            'viewBox="0 0 60 60"',
            "the drawing has no physical size; set its width and height in mm in the drawing "
            "program, or say how many mm its unit is",
        ),
        (
            'width="100%" height="100%" viewBox="0 0 60 60"',
            "the drawing has no physical size; set its width and height in mm in the drawing "
            "program, or say how many mm its unit is",
        ),
        (
            'width="0mm" height="9mm"',
            "the width of the drawing is 0 mm; it must be above 0 and at most 5000 mm",
        ),
        (
            'width="9mm" height="6000mm"',
            "the height of the drawing is 6000 mm; it must be above 0 and at most 5000 mm",
        ),
        (
            'width="nan" height="9mm"',
            'the width of the drawing: "nan" is not a length; write a number and a unit, such as '
            "12.5mm",
        ),
        (
            'width="9mmm" height="9mm"',
            'the width of the drawing: "9mmm" has the unknown unit "mmm"; did you mean "mm"?',
        ),
        (
            'width="9mm" height="9mm" viewBox="0 0 0 9"',
            'its viewBox "0 0 0 9" is not four numbers that span an area',
        ),
        (
            'width="9mm" height="9mm" viewBox="0 0 9"',
            'its viewBox "0 0 9" is not four numbers that span an area',
        ),
    ],
)
def test_a_root_of_no_sound_size_is_refused(faults_of, grid, root, message):
    assert faults_of(grid, root) == [message]


@pytest.mark.parametrize("scale", [0.0, -1.0, float("nan"), 1e9])
def test_a_senseless_scale_is_refused(read_drawing, grid, scale):
    with pytest.raises(SettingError) as caught:
        read_drawing(grid, MM, scale_mm_per_unit=scale)
    assert str(caught.value) == (
        f"a scale of {scale:g} mm to a unit makes no sense; it must be from 0.000001 to 1000"
    )


@pytest.mark.parametrize("body", ["", '<circle cx="9" cy="9" r="4" data-stitch="half"/>'])
def test_a_drawing_without_holes_is_refused(faults_of, body):
    assert faults_of(body) == [NO_HOLES]


@pytest.mark.parametrize(
    ("element", "message"),
    [
        (
            '<circle id="s" cx="6000" cy="1" r=".4"/>',
            'hole "s" at 6000.0, 1.0 mm: it lies more than 5 m from the corner of the page; '
            "check the size of the drawing",
        ),
        (
            '<circle id="s" cx="nan" cy="1" r=".4"/>',
            'circle "s": its cx: "nan" is not a length; write a number and a unit, such as 12.5mm',
        ),
        (
            '<circle id="s" cx="1" cy="1" r="0"/>',
            'circle "s": it has no size; give it a radius or delete it',
        ),
        (
            '<circle id="s" cx="1" cy="1" r="-1"/>',
            'circle "s": it has no size; give it a radius or delete it',
        ),
        (
            '<rect id="s" width="4" height="0" data-stitch="half"/>',
            'rect "s": it has no size; give it a width and a height or delete it',
        ),
        (
            '<path id="s" d="M0 0 1e999 1" data-line="plait"/>',
            'path "s": its coordinates are no sensible numbers; draw it anew',
        ),
        (
            '<path id="s" d="M0 0C0 0 1e999 0 4 4" data-line="plait"/>',
            'path "s": its coordinates are no sensible numbers; draw it anew',
        ),
        (
            '<path id="s" d="M0 0 9000 1 9 9z" data-stitch="half"/>',
            'region "s" at 4500.0, 4.5 mm: it lies more than 5 m from the corner of the page; '
            "check the size of the drawing",
        ),
        (
            '<path id="s" d="M5 5h0v0z" data-stitch="half"/>',
            'path "s": it has no size; draw it anew or delete it',
        ),
        (
            '<path id="s" d="M10 10 18 10 14 10.001z" data-stitch="half"/>',
            'region "s" at 14.0, 10.0 mm: it encloses no area; draw it larger or delete it',
        ),
        (
            '<path id="s" d="10 10 z" data-stitch="half"/>',
            'path "s": its path data cannot be read; draw it anew',
        ),
        (
            '<path id="s" d="M0 0 X 4 4" data-stitch="half"/>',
            'path "s": its path data cannot be read; draw it anew',
        ),
        (
            '<path id="s" d="M0 0 L 4 4 5" data-stitch="half"/>',
            'path "s": its path data lacks a number; draw it anew',
        ),
        (
            '<polygon id="s" points="0,0 4,4 5" data-stitch="half"/>',
            'polygon "s": its last point has an x and no y',
        ),
        (
            '<polygon id="s" points="0,0 four" data-stitch="half"/>',
            'polygon "s": its points are not numbers',
        ),
        (
            '<g id="s" transform="turn(3)"><circle cx="1" cy="1" r="1"/></g>',
            'g "s": its transform "turn(3)" cannot be read',
        ),
        (
            '<g id="s" transform="rotate()"><circle cx="1" cy="1" r="1"/></g>',
            'g "s": its transform "rotate()" cannot be read',
        ),
        (
            '<g id="s" transform="scale(2)" transform-origin="center"/>',
            'g "s": its transform-origin "center" cannot be read; only lengths in px can',
        ),
        (
            '<svg id="s" viewBox="0 0 1"/>',
            'svg "s": its viewBox "0 0 1" is not four numbers that span an area',
        ),
    ],
)
def test_an_element_of_no_sound_size_is_named(faults_of, grid, element, message):
    assert faults_of(grid + element) == [message]


def test_an_element_without_id_is_named_by_its_line(faults_of, grid):
    assert faults_of(grid + '\n<circle r="0"/>') == [
        "circle in line 3: it has no size; give it a radius or delete it"
    ]


def test_a_stray_point_is_left_out_with_a_remark(remarks_of, grid):
    assert remarks_of(grid + '<path id="s" d="M5 5z"/>') == [
        'path "s": it has no size and was left out'
    ]


def test_an_empty_path_is_nothing(remarks_of, grid):
    assert remarks_of(grid + '<path id="s" d=""/>') == ['path "s": it has no size and was left out']


def test_no_number_makes_the_reading_slow(faults_of, grid):
    """A pattern with nested repeats would take years over this one."""
    assert faults_of(grid + f'<path id="s" d="M{"1" * 50_000}x" data-stitch="half"/>') == [
        'path "s": its path data cannot be read; draw it anew'
    ]
