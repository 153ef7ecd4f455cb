"""How far apart two colours look."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from render.colour.srgb import Colours


def ciede2000(first: ArrayLike, second: ArrayLike) -> NDArray[np.float64]:
    """Return the CIEDE2000 difference, kL = kC = kH = 1.

    Parameters
    ----------
    first, second
        (..., 3) CIELAB colours; they broadcast against each other.

    Returns
    -------
    (...) differences; about 1 is just seen, 12 is another shade.

    References
    ----------
    .. G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula: implementation
       notes, supplementary test data, and mathematical observations", Color Research and
       Application 30 (2005) 21-30, doi:10.1002/col.20070; equations 2 to 22
    """
    light_1, chroma_1, hue_1, light_2, chroma_2, hue_2 = _bent(first, second)
    d_light, d_chroma = light_2 - light_1, chroma_2 - chroma_1
    grey = chroma_1 * chroma_2 == 0
    turn = np.where(grey, 0.0, (hue_2 - hue_1 + 180) % 360 - 180)
    # The printed rule keeps +180° where the hues are exactly opposite and the second is larger.
    turn = np.where((turn == -180) & (hue_2 > hue_1), 180.0, turn)
    d_hue = 2 * np.sqrt(chroma_1 * chroma_2) * np.sin(np.radians(turn) / 2)
    light, chroma = (light_1 + light_2) / 2, (chroma_1 + chroma_2) / 2
    hue = np.where(grey, hue_1 + hue_2, _mean_hue(hue_1, hue_2))
    weight_light = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    weight_chroma = 1 + 0.045 * chroma
    weight_hue = 1 + 0.015 * chroma * _hue_term(hue)
    blue = np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2))))
    rotation = -2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7)) * blue
    x, y, z = d_light / weight_light, d_chroma / weight_chroma, d_hue / weight_hue
    # Rounding may leave the form a hair below zero for equal colours.
    return np.asarray(np.sqrt(np.maximum(x**2 + y**2 + z**2 + rotation * y * z, 0.0)))


def _bent(first: ArrayLike, second: ArrayLike) -> tuple[Colours, ...]:
    """Return lightness, chroma and hue in degrees of both, a* stretched near grey (eq. 2-7)."""
    lab_1, lab_2 = np.broadcast_arrays(np.asarray(first, float), np.asarray(second, float))
    mean = (np.hypot(*_plane(lab_1)) + np.hypot(*_plane(lab_2))) / 2
    stretch = 1.5 - 0.5 * np.sqrt(mean**7 / (mean**7 + 25.0**7))
    parts: list[Colours] = []
    for lab in (lab_1, lab_2):
        a, b = lab[..., 1] * stretch, lab[..., 2]
        parts += [lab[..., 0], np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360]
    return tuple(parts)


def _plane(lab: Colours) -> tuple[Colours, Colours]:
    """Return a* and b*."""
    return lab[..., 1], lab[..., 2]


def _mean_hue(hue_1: Colours, hue_2: Colours) -> Colours:
    """Return the hue halfway along the shorter arc in degrees (eq. 14)."""
    total = hue_1 + hue_2
    far = np.abs(hue_1 - hue_2) > 180
    turned = np.where(total < 360, total + 360, total - 360)
    return np.asarray(np.where(far, turned, total) / 2)


def _hue_term(hue: Colours) -> Colours:
    """Return T, by which hues are weighed (eq. 15)."""
    angle = np.radians(hue)
    term: Colours = (
        1
        - 0.17 * np.cos(angle - np.radians(30))
        + 0.24 * np.cos(2 * angle)
        + 0.32 * np.cos(3 * angle + np.radians(6))
        - 0.20 * np.cos(4 * angle - np.radians(63))
    )
    return term
