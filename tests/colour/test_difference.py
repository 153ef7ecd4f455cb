"""What a colour difference must obey whatever its formula."""

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000

from render.colour.difference import ciede2000

LAB = np.random.default_rng(4).uniform([0, -90, -90], [100, 90, 90], (300, 3))


def test_a_colour_is_no_distance_from_itself():
    assert ciede2000(LAB, LAB).max() == 0


def test_the_order_of_two_colours_does_not_count():
    assert ciede2000(LAB, LAB[::-1]) == pytest.approx(ciede2000(LAB[::-1], LAB))


def test_any_two_colours_agree_with_scikit_image():
    assert ciede2000(LAB, LAB[::-1]) == pytest.approx(deltaE_ciede2000(LAB, LAB[::-1]))


def test_colours_broadcast():
    assert ciede2000(LAB[:, None], LAB[None, :5]).shape == (300, 5)
