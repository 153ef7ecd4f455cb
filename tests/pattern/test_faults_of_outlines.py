"""Regions and lines that lie amiss."""

import pytest

CROSSES = "its outline crosses or touches itself at {} mm; draw it as one loop"


@pytest.mark.parametrize(
    ("data", "at"),
    [
        ("M10 10 18 18 18 10 10 18z", "14.0, 14.0"),
        ("M10 10C30 30 30 -2 10 18z", "14.6, 14.0"),
        ("M9 9H19V19H9Z M15 15H25V17H15Z", "19.0, 15.0"),
        ("M9 9H19V19H14V9.0L14 9V19H9Z", "14.0, 9.0"),
        ("M9 9H19V19H9V30V19Z", "9.0, 30.0"),
    ],
)
def test_an_outline_that_crosses_itself_is_named_with_the_spot(faults_of, grid, data, at):
    """The curve meets itself at t (1 - t) = 1/13, worked by hand, so at x = 10 + 60/13."""
    (fault,) = faults_of(grid + f'<path id="s" d="{data}" data-stitch="half"/>')
    assert fault.startswith('region "s" at ')
    assert fault.partition(" mm: ")[2] == CROSSES.format(at)


def test_a_region_away_from_all_holes_is_named(faults_of, grid):
    body = '<path id="s" d="M40 40h9v9z" data-stitch="half"/>'
    assert faults_of(grid + body) == [
        'region "s" at 44.5, 44.5 mm: there are no holes in it or near its outline; '
        "move it onto the holes or delete it"
    ]


@pytest.mark.parametrize(
    "data", ["M11 11H17V17H11Z", "M11 11H13V13H11Z", "M8.1 8.1H20V20H8.1ZM8.2 8.2V19.9H19.9V8.2Z"]
)
def test_holes_in_a_region_or_within_half_their_spacing_of_its_outline_are_its_own(
    read_drawing, grid, data
):
    assert len(read_drawing(grid + f'<path d="{data}" data-stitch="half"/>').regions) == 1


def test_holes_in_the_opening_of_a_ring_are_not_in_the_ring(faults_of, grid):
    ring = "M1 1H27V27H1ZM4 4V24H24V4Z"
    assert faults_of(grid + f'<path id="s" d="{ring}" data-stitch="half"/>') == [
        'region "s" at 14.0, 14.0 mm: there are no holes in it or near its outline; '
        "move it onto the holes or delete it"
    ]


def test_a_line_that_ends_away_from_holes_names_its_end(faults_of, grid):
    assert faults_of(grid + '<path id="s" d="M10 10 30 14" data-line="plait"/>') == [
        'line "s" at 10.0, 10.0 mm: its end at 30.0, 14.0 mm is 12.0 mm from the nearest hole; '
        "draw it to a hole"
    ]


def test_a_line_away_at_both_ends_says_so_twice(faults_of, grid):
    assert len(faults_of(grid + '<path d="M40 40 50 40" data-line="plait"/>')) == 2


def test_a_ring_of_line_needs_a_hole_somewhere(read_drawing, faults_of, grid):
    circle = '<circle id="s" cx="{0}" cy="{0}" r="4" data-line="gimp"/>'
    assert len(read_drawing(grid + circle.format(14)).lines) == 1
    assert faults_of(grid + circle.format(40)) == [
        'line "s" at 44.0, 40.0 mm: it runs nowhere near a hole; draw it along the holes'
    ]


@pytest.mark.parametrize("word", ["direction", "join"])
def test_directions_and_joins_may_end_anywhere(read_drawing, grid, word):
    assert len(read_drawing(grid + f'<path d="M40 40 50 40" data-line="{word}"/>').lines) == 1
