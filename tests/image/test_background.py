"""Cloth at its true size, card with its grain, and colours that stay themselves."""

import numpy as np
import pytest

from render.image.background import FABRICS, Card, Flat, Woven, rows
from render.shade.light import Light
from render.shade.view import View


def shown(background, dpi, mm=20.0):
    scale = dpi / 25.4
    view = View(0, 0, scale, round(mm * scale), round(mm * scale))
    return rows(background, view, Light(), 0, view.height)


@pytest.mark.parametrize("dpi", [300, 600])
@pytest.mark.parametrize("pitch", [0.4, 0.55])
def test_cloth_has_as_many_yarns_to_the_centimetre_as_asked(dpi, pitch):
    """In plain weave the strongest waves run aslant: one period is two pitches each way."""
    cloth = shown(Woven((0.5, 0.5, 0.5), pitch, 0.85, 0.0), dpi)
    size = len(cloth)
    window = np.hanning(size)
    waves = np.abs(np.fft.rfft2((cloth - cloth.mean()) * np.outer(window, window)))
    row, column = np.unravel_index(np.argmax(waves), waves.shape)
    found = {min(row, size - row), column} - {0}
    mm = size / dpi * 25.4
    assert any(abs(k / mm - n / (2 * pitch)) < 0.5 / mm for k in found for n in (1, 2))


@pytest.mark.parametrize("dpi", [50, 300, 1200])
@pytest.mark.parametrize("name", FABRICS)
def test_patterns_do_not_change_the_colour_on_average(name, dpi):
    fabric = FABRICS[name]
    tile = fabric.tile(dpi / 25.4, Light())
    assert tile.mean() == pytest.approx(1, abs=1e-3)
    assert tile.min() >= 0


@pytest.mark.parametrize("dpi", [50, 300, 1200])
def test_card_grain_is_faint(dpi):
    tile = Card().tile(dpi / 25.4, Light())
    assert tile.std() < 0.02
    assert tile.mean() == pytest.approx(1, abs=0.01)


@pytest.mark.parametrize("background", [Card(), *FABRICS.values()])
def test_patterns_repeat_without_a_seam(background):
    """The step across the seam is no larger than steps within the pattern."""
    tile = np.asarray(background.tile(300 / 25.4, Light()), float)
    within = np.abs(np.diff(tile, axis=0)).mean(axis=1)
    across = np.abs(tile[0] - tile[-1]).mean()
    assert across < 1.5 * within.max()


def test_rows_are_the_same_wherever_a_band_begins():
    view = View(0, 0, 12.0, 50, 400)
    whole = rows(FABRICS["felt"], view, Light(), 0, 400)
    assert (rows(FABRICS["felt"], view, Light(), 137, 20) == whole[137:157]).all()


def test_an_even_colour_has_no_pattern():
    assert (shown(Flat((0.5, 0.2, 0.9)), 50) == 1).all()
