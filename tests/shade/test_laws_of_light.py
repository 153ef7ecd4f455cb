"""What must hold of any light, whatever the numbers of a material."""

from dataclasses import replace

import numpy as np
import pytest

from render.shade.batch import Strip
from render.shade.light import Light
from render.shade.look import Look
from render.shade.material import MATERIALS
from render.shade.stage import set_stage
from render.shade.strip import lit
from render.shade.surface import Frames, lit_surface
from render.shade.view import View

WHITE = (1.0, 1.0, 1.0)
DARK = (0.0, 0.0, 0.0)


def shown(paths, view, light, material="cotton", colour=WHITE):
    """Light a whole view at once."""
    count = len(paths.radius)
    linear = np.full((count, 3), colour, np.float32)
    look = Look(linear, (MATERIALS[material],), np.zeros(count, np.int64))
    return lit(set_stage(paths, view, look, light), Strip(0, 0, view.height, view.width))


def facing(slant, slope):
    """Make surfaces of a level or sloping thread along x, leaning across it by an angle."""
    cos, sin = 1 / np.hypot(1, slope), slope / np.hypot(1, slope)
    across, up = np.sin(slant), np.cos(slant)
    numbers = (cos, 0 * slant, sin, -sin * up, across, cos * up)
    return Frames(*(np.broadcast_to(n, slant.shape).astype(np.float32) for n in numbers))


@pytest.mark.parametrize("material", MATERIALS)
def test_white_thread_in_an_even_sky_vanishes(weave, look_at, material):
    """The white furnace: what absorbs nothing looks like the light around it."""
    sky = Light(lamp=DARK, sky=WHITE)
    seen = shown(weave(6, 6, 0.6, 0.3), look_at(3, 3, 600), sky, material)
    assert seen.threads + seen.bare == pytest.approx(1, abs=1e-4)


@pytest.mark.parametrize("material", MATERIALS)
@pytest.mark.parametrize("slope", [-0.8, 0.0, 0.5])
def test_no_surface_throws_back_more_light_than_falls_on_it(material, slope):
    """The lamp is carried all round a white surface; its light is summed as it falls."""
    slant = np.linspace(-1.5, 1.5, 31)
    f, full = facing(slant, slope), np.ones(31, np.float32)
    total, count = np.zeros((3, 31)), 0
    for elevation in np.degrees(np.arcsin((np.arange(16) + 0.5) / 16)):
        for bearing in np.arange(0, 360, 10):
            # On a level card every lamp gives lamp = 1; per solid angle it gives sin(elevation).
            strength = float(np.sin(np.radians(elevation)))
            light = Light(bearing, elevation, 1.0, (strength,) * 3, DARK)
            total += lit_surface(
                f, MATERIALS[material], np.ones((3, 31), np.float32), light, full, full
            )
            count += 1
    assert (total / count * 2).max() <= 1.001


def test_twice_the_light_is_twice_the_picture(weave, look_at):
    cloth, view = weave(5, 5, 0.6, 0.3), look_at(3, 3, 300)
    once, twice = (shown(cloth, view, Light().brighter(k)) for k in (1, 2))
    assert twice.threads == pytest.approx(2 * once.threads, rel=1e-5)


@pytest.mark.parametrize("dpi", [300, 600, 1200])
def test_the_mirrored_scene_is_the_mirrored_picture(weave, lay, dpi, monkeypatch):
    """Mirrored are threads, lamp and twist; pixels differ only where a table's cells are cut."""
    pixels = round(3 * dpi / 25.4)
    view = View(0.0, 0.0, pixels / 3, pixels, pixels)
    cloth = weave(5, 5, 0.6, 0.3)
    points = cloth.points + np.array([0.0137, 0.0071, 0])
    ends = list(zip(cloth.starts, cloth.starts[1:], strict=False))
    right, left = (
        lay([points[a:b] * (way, 1, 1) + (shift, 0, 0) for a, b in ends], 0.15)
        for way, shift in ((1, 0), (-1, 3))
    )
    picture = shown(right, view, Light(bearing=318))
    monkeypatch.setitem(MATERIALS, "cotton", replace(MATERIALS["cotton"], twist="Z"))
    mirrored = shown(left, view, Light(bearing=42))
    assert mirrored.lamp[:, ::-1] == pytest.approx(picture.lamp, abs=1e-4)
    assert mirrored.bare[:, ::-1] == pytest.approx(picture.bare, abs=1e-4)
    difference = np.abs(mirrored.threads[:, :, ::-1] - picture.threads)
    assert difference.mean() < 1e-3


def test_a_lamp_straight_above_casts_no_shadow(weave, look_at):
    seen = shown(weave(4, 4, 0.6, 0.3), look_at(2.4, 2.4, 300), Light(elevation=90))
    assert seen.lamp[seen.bare == 1].min() == 1


def test_shadow_falls_away_from_the_lamp(lay, look_at):
    """Upper left lamp: the card to the lower right of a thread is darker than to its upper left."""
    line = np.array([[0.5, 3.5, 0.3], [3.5, 0.5, 0.3]])
    low = np.array([[0.1, 0.1, -0.3], [0.2, 0.1, -0.3]])
    seen = shown(lay([line, low], 0.15), look_at(4, 4, 300), Light())
    down, across = np.mgrid[0:47, 0:47] / 47 * 4
    beside = (across + down - 4) / np.sqrt(2)
    assert seen.lamp[(beside > 0.2) & (beside < 0.4) & (abs(across - down) < 2)].mean() < 0.3
    assert seen.lamp[(beside < -0.2) & (beside > -0.4) & (abs(across - down) < 2)].mean() > 0.95


def test_threads_beyond_the_window_shade_what_is_in_it(weave, look_at):
    cloth = weave(8, 8, 0.6, 0.3)
    whole = shown(cloth, look_at(127 / 30, 127 / 30, 300), Light())
    part = shown(cloth, look_at(63.5 / 30, 63.5 / 30, 300, 63.5 / 30, 63.5 / 30), Light())
    assert part.lamp == pytest.approx(whole.lamp[25:, 25:], abs=1e-5)
    assert part.threads == pytest.approx(whole.threads[:, 25:, 25:], abs=2e-3)


def test_threads_may_leave_a_strip_anywhere(lay, look_at):
    """Edges borrow light from their neighbours, also from those of a strip's last pixel."""
    starts = np.arange(-8, 8, 0.31)
    slanting = lay([np.array([[0, y + 8, 0], [8, y, 0]]) for y in starts], 0.07)
    view, count = look_at(5, 5, 300), len(starts)
    look = Look(np.ones((count, 3), np.float32), (MATERIALS["cotton"],), np.zeros(count, np.int64))
    stage = set_stage(slanting, view, look, Light())
    for rows in range(20, 27):
        for columns in range(15, 22):
            seen = lit(stage, Strip(0, 0, rows, columns))
            assert seen.threads.shape == (3, rows, columns)
            assert np.isfinite(seen.threads).all()
