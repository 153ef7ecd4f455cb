"""Colours as CSS writes them, as sRGB and as linear light."""

import re
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from PIL import ImageColor

from render.errors import SettingError, did_you_mean

Colours = NDArray[np.float64]

CHANNEL = r"([+-]?(?:\d+\.?\d*|\.\d+)%?)"
# Written out because Pillow reads neither decimals nor the spaces of CSS Color 4.
RGB = re.compile(
    rf"rgba?\(\s*{CHANNEL}[\s,]+{CHANNEL}[\s,]+{CHANNEL}(?:[\s,/]+{CHANNEL})?\s*\)", re.IGNORECASE
)


def parse_colour(text: str) -> Colours:
    """Read a CSS colour that nothing shows through.

    Parameters
    ----------
    text
        A name, ``#hex``, ``rgb()`` or ``hsl()``.

    Returns
    -------
    (3,) sRGB, each 0 to 1, read-only.

    Raises
    ------
    SettingError
        Where the text is not a colour, or one that is seen through.

    References
    ----------
    .. W3C, CSS Color Module Level 4, sections 5 to 7
    """
    rgba = parse_rgba(text)
    if rgba[3] < 1:
        raise SettingError(
            f'"{text}" is seen through; write a whole colour such as linen, or #rrggbb'
        )
    return rgba[:3]


@lru_cache(maxsize=4096)
def parse_rgba(text: str) -> Colours:
    """Read a CSS colour with its opacity.

    Returns
    -------
    (4,) sRGB and opacity, each 0 to 1, read-only; ``transparent`` has opacity 0.

    Raises
    ------
    SettingError
        Where the text is not a colour.
    """
    written = text.strip().lower()
    if written == "transparent":
        rgba = np.zeros(4)
    elif match := RGB.fullmatch(written):
        scale = (255, 255, 255, 1)
        channels = zip(match.groups(default="1"), scale, strict=True)
        rgba = np.array([_channel(channel, whole) for channel, whole in channels])
    else:
        rgba = _named_or_hex(written, text)
    rgba.setflags(write=False)
    return rgba


def linear_from_srgb(srgb: ArrayLike) -> Colours:
    """Return the linear light of sRGB values.

    Parameters
    ----------
    srgb
        (..., 3), 0 to 1.

    Returns
    -------
    (..., 3), 0 to 1.

    References
    ----------
    .. IEC 61966-2-1:1999, section 5.2
    """
    encoded = np.asarray(srgb, float)
    bent = ((np.maximum(encoded, 0.04045) + 0.055) / 1.055) ** 2.4
    return np.where(encoded <= 0.04045, encoded / 12.92, bent)


def srgb_from_linear(linear: ArrayLike) -> Colours:
    """Return the sRGB values of linear light; the inverse of `linear_from_srgb`.

    Parameters
    ----------
    linear
        (..., 3), 0 to 1.

    Returns
    -------
    (..., 3), 0 to 1.

    References
    ----------
    .. IEC 61966-2-1:1999, section 5.2
    """
    light = np.asarray(linear, float)
    bent = 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055
    return np.where(light <= 0.0031308, light * 12.92, bent)


def hex_colour(srgb: ArrayLike) -> str:
    """Return a colour as ``#rrggbb``, each channel rounded to 8 bits.

    Parameters
    ----------
    srgb
        (3,), 0 to 1.
    """
    red, green, blue = np.rint(np.clip(np.asarray(srgb, float), 0, 1) * 255).astype(int)
    return f"#{red:02x}{green:02x}{blue:02x}"


def _channel(text: str, whole: float) -> float:
    """Return a number or percentage as a share of the whole, clamped as CSS does."""
    share = float(text[:-1]) / 100 if text.endswith("%") else float(text) / whole
    return min(max(share, 0.0), 1.0)


def _named_or_hex(written: str, text: str) -> Colours:
    """Read what Pillow knows of CSS."""
    try:
        if written.startswith("hsv"):  # Pillow's own, unknown to CSS
            raise ValueError(written)
        channels = ImageColor.getrgb(written)
    except ValueError:
        names = [] if written.startswith("#") or "(" in written else sorted(ImageColor.colormap)
        hint = did_you_mean(written, names) if names else ""
        if not hint.startswith("did"):
            hint = "write a name such as linen, or #rrggbb"
        raise SettingError(f'"{text}" is not a colour; {hint}') from None
    return np.array((*channels, 255)[:4]) / 255
