"""Eight-bit values of linear light."""

import numpy as np

from render.image.tone import develop


def test_every_value_is_reached_by_its_own_light():
    """IEC 61966-2-1, decoded in double precision, developed back to the same 256 values."""
    value = np.arange(256) / 255
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    assert (develop(light.astype(np.float32)) == np.arange(256)).all()


def test_more_than_white_is_white_and_less_than_black_is_black():
    assert develop(np.array([-0.5, 0.0, 1.0, 3.7, 1e9], np.float32)).tolist() == [
        0,
        0,
        255,
        255,
        255,
    ]
