"""Plies and fibres are seen as large as they are, and fade before they show what is not there.

What a thread looks like at some scale is known from a picture that is many times finer, averaged.
"""

import numpy as np
import pytest

from render.colour.srgb import linear_from_srgb
from render.image.background import Flat
from render.image.draw import picture
from render.image.scene import Scene
from render.shade.material import MATERIALS

DIAMETER, LENGTH = 0.25, 40
FINEST = 2400


def along(lay, material, dpi, finer=1):
    """Return the light that comes from each pixel's length of a level thread, on average 1 thick.

    The picture is drawn so many times finer, and averaged.
    """
    scale = dpi / 25.4
    columns, rows = round(LENGTH * scale), 2 * max(1, round(0.25 * scale))
    s = np.linspace(-25, 25, 2001)
    thread = lay([np.column_stack([s, 0 * s, 0 * s])], DIAMETER / 2)
    window = np.array([-columns, -rows, columns, rows]) / 2 / scale
    scene = Scene(
        thread, np.array([0.9, 0.9, 0.9]), tuple(window), dpi=dpi * finer,
        background=Flat((0, 0, 0)), materials=(material,), hairs=False,
    )  # fmt: skip
    light = linear_from_srgb(picture(scene, processes=1)[..., 1] / 255)
    light = light.reshape(rows, finer, columns, finer).mean(axis=(1, 3))
    return light.sum(axis=0) / (DIAMETER * scale)


def waves(light, dpi):
    """Return frequencies in 1/mm and amplitudes about the mean."""
    seen = np.hanning(len(light)) * (light - light.mean())
    return np.fft.rfftfreq(len(light), 25.4 / dpi), np.abs(np.fft.rfft(seen)) * 4 / len(light)


def plies_per_mm(material):
    return material.plies / (material.lay * DIAMETER)


def strength(light, dpi, frequency):
    found, size = waves(light, dpi)
    return size[np.abs(found - frequency) < 0.08].max()


MATERIALS_WITH_PLIES = [MATERIALS[name] for name in ("cotton", "linen", "silk")]


@pytest.mark.parametrize("dpi", [50, 75, 100])
@pytest.mark.parametrize("material", MATERIALS_WITH_PLIES, ids=lambda m: m.name)
def test_plies_too_fine_for_the_pixels_leave_no_false_waves(lay, material, dpi):
    """A wave of frequency f sampled s times a mm comes back as |f - s| where f > s / 2.

    References
    ----------
    .. C. E. Shannon, "Communication in the presence of noise", Proceedings of the IRE 37 (1949) 10
    """
    samples, plies = dpi / 25.4, plies_per_mm(material)
    false = abs((plies + samples / 2) % samples - samples / 2)
    fine = along(lay, material, 1200)
    assert strength(along(lay, material, dpi), dpi, false) < 0.25 * strength(fine, 1200, plies)


@pytest.mark.parametrize("dpi", [300, 600])
@pytest.mark.parametrize("material", MATERIALS_WITH_PLIES, ids=lambda m: m.name)
def test_plies_large_enough_are_as_strong_as_in_a_finer_picture(lay, material, dpi):
    plies = plies_per_mm(material)
    drawn, averaged = (along(lay, material, dpi, finer) for finer in (1, FINEST // dpi))
    ratio = strength(drawn, dpi, plies) / strength(averaged, dpi, plies)
    assert ratio == pytest.approx(1, abs=0.35)


@pytest.mark.parametrize("dpi", [50, 100, 200, 300, 600])
@pytest.mark.parametrize("material", MATERIALS.values(), ids=lambda m: m.name)
def test_a_thread_is_as_bright_at_any_scale(lay, material, dpi):
    fine = along(lay, material, FINEST).mean()
    assert along(lay, material, dpi).mean() == pytest.approx(fine, rel=0.06)
