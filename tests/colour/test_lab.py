"""CIE colour spaces against the general libraries and their own laws."""

import numpy as np
import pytest
from skimage.color import rgb2lab

from render.colour.lab import XYZ_FROM_LINEAR, lab_from_srgb, lab_from_xyz, xyz_from_srgb

GRID = np.stack(np.meshgrid(*[np.linspace(0, 1, 6)] * 3), axis=-1)


def test_the_matrix_follows_from_the_primaries():
    """ITU-R BT.709-6, items 1.3 and 1.4: chromaticities of the primaries and of D65."""
    primaries = np.array([[0.640, 0.330], [0.300, 0.600], [0.150, 0.060], [0.3127, 0.3290]])
    red_green_blue_white = np.column_stack([primaries, 1 - primaries.sum(axis=1)]).T
    white = red_green_blue_white[:, 3] / red_green_blue_white[1, 3]
    shares = np.linalg.solve(red_green_blue_white[:, :3], white)
    assert pytest.approx(red_green_blue_white[:, :3] * shares, abs=5.1e-5) == XYZ_FROM_LINEAR


def test_lab_agrees_with_scikit_image():
    """It takes the matrix to six digits, IEC 61966-2-1 to four: up to 0.03 in dark blues."""
    assert lab_from_srgb(GRID) == pytest.approx(rgb2lab(GRID), abs=0.03)


def test_greys_have_no_hue_and_white_is_100():
    greys = lab_from_srgb(np.linspace(0, 1, 9)[:, None] * np.ones(3))
    assert greys[:, 1:] == pytest.approx(0, abs=1e-12)
    assert greys[-1, 0] == pytest.approx(100)


def test_the_two_pieces_of_lightness_meet_at_eight():
    """CIE 15: (6/29)³ of white is L* = 8 from either side."""
    edge = (6 / 29) ** 3 * XYZ_FROM_LINEAR.sum(axis=1)
    assert lab_from_xyz(edge * [[1 - 1e-9], [1 + 1e-9]])[:, 0] == pytest.approx(8, abs=1e-6)


def test_any_shape_of_array_is_taken():
    assert xyz_from_srgb(np.zeros((2, 4, 3))).shape == (2, 4, 3)
