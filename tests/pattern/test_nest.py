"""Outlines and openings."""

import numpy as np

from render.pattern.nest import nest


def square(size, x=0.0):
    """Return a square about x, 0."""
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size + (x, 0)


def test_a_contour_in_a_contour_is_an_opening_and_one_in_that_a_region():
    outer, opening, island, apart = square(9), square(6), square(2), square(3, 20)
    shapes = nest([island, opening, outer, apart])
    assert [[contour[2, 0] for contour in shape] for shape in shapes] == [[2], [9, 6], [23]]


def test_openings_go_to_the_smallest_outline_around_them():
    shapes = nest([square(9), square(8), square(7), square(1)])
    assert [[contour[2, 0] for contour in shape] for shape in shapes] == [[9, 8], [7, 1]]


def test_nothing_gives_nothing():
    assert nest([]) == []
