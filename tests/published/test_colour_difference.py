"""CIEDE2000 against the table its implementers check with.

The 34 pairs of Sharma, Wu and Dalal 2005, table 1, were taken from the test data that the package
colour-science 0.4.7 ships; it leaves pair 14 commented out, since its hues are so nearly opposite
that rounding decides which way round the mean hue goes. Our tolerance is the printed precision.
"""

from pathlib import Path

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000

from render.colour.difference import ciede2000

TABLE = np.loadtxt(Path(__file__).with_name("sharma_2005_table_1.csv"), delimiter=",")


def test_the_table_is_whole():
    assert TABLE.shape == (34, 7)


@pytest.mark.parametrize("pair", range(34))
def test_each_pair_is_as_far_apart_as_printed(pair):
    first, second, printed = TABLE[pair, :3], TABLE[pair, 3:6], TABLE[pair, 6]
    assert ciede2000(first, second) == pytest.approx(printed, abs=5e-5)


@pytest.mark.parametrize("pair", range(34))
def test_no_printed_value_was_copied_wrongly(pair):
    """A second implementation reads the same data."""
    first, second, printed = TABLE[pair, :3], TABLE[pair, 3:6], TABLE[pair, 6]
    assert deltaE_ciede2000(first, second) == pytest.approx(printed, abs=5e-5)
