"""Shapes as points, judged by their exact curves."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point
from skimage.transform import AffineTransform

from render.pattern.contours import FLATNESS_MM, contours_of
from render.pattern.document import Element
from render.pattern.transform import Matrix, parse_transform

COORDINATE = st.floats(-200, 200).map(lambda value: round(value, 3))
POINTS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=4, max_size=4)


def path(data, matrix=None):
    """Return the contours of path data."""
    return contours_of(Element("path", {"d": data}), matrix or Matrix(), None)


@settings(deadline=None, max_examples=40)
@given(POINTS, st.sampled_from([3, 4]))
def test_curves_are_flattened_within_a_fiftieth_of_a_millimetre(points, count):
    """Bernstein polynomials evaluated here are the judge."""
    points = np.array(points[:count])
    assume(np.hypot(*(points[-1] - points[0])) > 1)
    command = {3: "Q", 4: "C"}[count]
    rest = " ".join(f"{x},{y}" for x, y in points[1:])
    (contour,) = path(f"M{points[0, 0]},{points[0, 1]}{command}{rest}")
    drawn = LineString(contour.points)
    degree = count - 1
    for t in np.linspace(0, 1, 97):
        weights = [math.comb(degree, k) * t**k * (1 - t) ** (degree - k) for k in range(count)]
        assert drawn.distance(Point(*(weights @ points))) <= 0.02 + 1e-6


@settings(deadline=None, max_examples=60)
@given(st.floats(1.5, 300), st.floats(1.5, 300), st.floats(0, 360), st.booleans(), st.booleans())
def test_arcs_follow_their_ellipse(rx, ry, turn, large, sweep):
    """SVG 1.1, F.6.5: every vertex lies on the ellipse, every chord within 0.02 mm of it."""
    (contour,) = path(f"M10,20A{rx!r},{ry!r},{turn!r},{int(large)},{int(sweep)},12,21")
    assert contour.points[[0, -1]] == pytest.approx(np.array([[10, 20], [12, 21]]))
    unit = (contour.points - (11, 20.5)) @ straighten(turn).T / (rx, ry)
    start = unit[0]
    reach = math.sqrt(1 / (start @ start) - 1) * (1 if large != sweep else -1)
    unit -= reach * np.array([start[1], -start[0]])
    assert np.hypot(*unit.T) == pytest.approx(1, abs=1e-6)
    middles = (unit[1:] + unit[:-1]) / 2
    assert (1 - np.hypot(*middles.T)).max() * max(rx, ry) <= 0.02 + 1e-6
    turned = np.unwrap(np.arctan2(*unit.T[::-1]))
    assert (abs(turned[-1] - turned[0]) > math.pi) == large
    assert (turned[-1] > turned[0]) == sweep


def straighten(degrees):
    """Return the matrix that turns an ellipse's axes onto x and y."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([[c, s], [-s, c]])


def test_radii_too_short_to_reach_are_lengthened():
    """SVG 1.1, F.6.6: a radius of 1 across a chord of 10 becomes 5."""
    (contour,) = path("M0 0A1 1 0 0 1 10 0")
    assert np.hypot(*(contour.points - (5, 0)).T) == pytest.approx(5)


def test_a_half_circle_has_its_length():
    (contour,) = path("M0 0A50 50 0 0 1 100 0")
    assert LineString(contour.points).length == pytest.approx(50 * math.pi, rel=1e-3)
    assert contour.points[:, 1].min() == pytest.approx(-50, abs=FLATNESS_MM)


@pytest.mark.parametrize(("large", "sweep", "lowest", "highest"), [
    (0, 0, 0, 0.134 * 2), (0, 1, -0.134 * 2, 0), (1, 0, 0, 3.7321), (1, 1, -3.7321, 0),
])  # fmt: skip
def test_the_flags_choose_the_arc(large, sweep, lowest, highest):
    """SVG 1.1, 8.3.8: radius 2 across a chord of 2; its rise is 2 ∓ √3."""
    (contour,) = path(f"M0 0A2 2 0 {large} {sweep} 2 0")
    assert contour.points[:, 1].min() == pytest.approx(lowest, abs=FLATNESS_MM)
    assert contour.points[:, 1].max() == pytest.approx(highest, abs=FLATNESS_MM)


def test_flags_may_be_written_without_a_gap():
    (tight,), (loose,) = path("M0 0a2 2 0 01.5.5"), path("M0 0a2 2 0 0 1 0.5 0.5")
    assert tight.points.tolist() == loose.points.tolist()


def test_an_arc_without_radius_is_straight():
    (contour,) = path("M0 0A0 5 0 0 1 3 3")
    assert contour.points.tolist() == [[0, 0], [3, 3]]


@pytest.mark.parametrize(
    ("data", "same"),
    [
        ("m5,6 1,2 3,4", "M5 6L6 8 9 12"),
        ("M5 6l1 2", "M5 6L6 8"),
        ("M5 6h3v-2", "M5 6H8V4"),
        ("M1 1h1v1zl5 5", "M1 1H2V2ZM1 1L6 6"),
        ("M1 1c1 0 2 1 2 2s1 2 2 2", "M1 1C2 1 3 2 3 3S4 5 5 5"),
        ("M0 0q1 0 1 1t1 1", "M0 0Q1 0 1 1Q1 2 2 2"),
        ("m1,1 h1 v1 z m4,4 h1 v1 z", "M1 1H2V2ZM5 5H6V6Z"),
        ("M1.5.5-.5-1e1", "M1.5,0.5 L-0.5,-10"),
    ],
)
def test_relative_and_short_forms_draw_the_same(data, same):
    """SVG 1.1, section 8.3."""
    matrix = Matrix(2, 0.5, -0.3, 1.5, 7, 8)
    for first, second in zip(path(data, matrix), path(same, matrix), strict=True):
        assert first.points == pytest.approx(second.points)
        assert first.closed == second.closed


@pytest.mark.parametrize(
    ("data", "closed"),
    [("M0 0H9V9Z", True), ("M0 0H9V9L0 0", True), ("M0 0H9V9L.005 0", True), ("M0 0H9V9", False),
     ("M0 0H9V9L0.1 0", False), ("M0 0H9Z", False)],
)  # fmt: skip
def test_a_shape_is_closed_by_command_or_by_meeting_itself(data, closed):
    (contour,) = path(data)
    assert contour.closed is closed
    assert (contour.points[0] != contour.points[-1]).any()


@pytest.mark.parametrize(
    ("transform", "matrix"),
    [
        ("rotate(30)", AffineTransform(rotation=math.radians(30))),
        ("translate(3,-4)", AffineTransform(translation=(3, -4))),
        ("scale(2,3)", AffineTransform(scale=(2, 3))),
        (
            "translate(3 4) rotate(20) scale(2)",
            AffineTransform(scale=(2, 2), rotation=math.radians(20), translation=(3, 4)),
        ),
    ],
)
def test_transforms_agree_with_scikit_image(transform, matrix):
    points = np.array([[1.0, 2], [-3, 4]])
    assert parse_transform(transform).map(points) == pytest.approx(matrix(points))


@given(st.lists(st.floats(-9, 9), min_size=6, max_size=6), st.floats(0.1, 5), st.floats(0.1, 5))
def test_the_largest_stretch_is_the_larger_singular_value(numbers, rx, ry):
    a, b, c, d, *_ = numbers
    expected = np.linalg.svd([[a * rx, c * ry], [b * rx, d * ry]], compute_uv=False)[0]
    assert Matrix(*numbers).largest_stretch(rx, ry) == pytest.approx(expected, abs=1e-6)
