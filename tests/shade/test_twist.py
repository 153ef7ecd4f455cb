"""The twist of threads, its sense, its size, and what it leaves alone."""

from dataclasses import replace

import numpy as np
import pytest

from render.shade.hairs import grow
from render.shade.look import Look
from render.shade.material import MATERIALS, lobes
from render.shade.noise import speckle, waver
from render.shade.twist import TURNS, outline, twist
from render.shade.view import View

THREADS = [MATERIALS[name] for name in ("cotton", "linen", "silk")]


def grid(table, name):
    return getattr(table, name).reshape(table.rows, table.columns)


@pytest.mark.parametrize("material", THREADS, ids=lambda m: m.name)
def test_grooves_climb_as_the_letter_says(material):
    """ISO 2: plies slant like the middle stroke of the letter, S from lower right to upper left.

    Rows run up the thread, columns to its right: a groove of S comes back later further left.
    """
    for sense, letter in ((-1, "S"), (1, "Z")):
        gain = grid(twist(replace(material, twist=letter, streak=0.0), 12.0), "gain")
        left, right = gain.shape[1] * 3 // 8, gain.shape[1] * 5 // 8
        rows = gain.shape[0] // TURNS // material.plies
        shifts = range(-rows // 2, rows // 2)
        alike = [np.mean(gain[:, right] * np.roll(gain[:, left], k)) for k in shifts]
        assert np.sign(shifts[int(np.argmax(alike))]) == sense


@pytest.mark.parametrize("material", THREADS, ids=lambda m: m.name)
def test_each_turn_shows_every_ply_once(material):
    lean = grid(twist(replace(material, streak=0.0), 12.0), "lean")
    middle = lean[:, lean.shape[1] // 2] - lean[:, lean.shape[1] // 2].mean()
    waves = np.abs(np.fft.rfft(middle))
    assert np.argmax(waves) == TURNS * material.plies


@pytest.mark.parametrize("material", MATERIALS.values(), ids=lambda m: m.name)
@pytest.mark.parametrize("radius", [1.0, 4.0, 30.0])
def test_tables_hold_normals_and_dim_nothing_below_black(material, radius):
    table = twist(material, radius)
    place = (np.arange(table.columns) + 0.5) / table.columns * 2 - 1
    across = grid(table, "lean") + place
    assert (across**2 + grid(table, "along") ** 2).max() <= 1 + 1e-5
    assert table.gain.min() > 0
    assert table.gain.max() <= 1


@pytest.mark.parametrize("material", MATERIALS.values(), ids=lambda m: m.name)
def test_outlines_waver_about_the_radius_within_what_is_drawn(material):
    wide = outline((material,), (twist(material, 8.0),), np.zeros(1, int), np.ones(1, np.float32))
    assert wide.sides.mean() == pytest.approx(0, abs=0.01)
    assert wide.widest <= 1.2  # pieces reach no further


def test_metal_is_not_darkened_by_grooves_it_does_not_have():
    wire = replace(MATERIALS["metal"], groove=0.0, streak=0.0)
    assert twist(wire, 10.0).gain.min() > 0.99
    assert np.abs(twist(wire, 10.0).lean).max() < 0.02


@pytest.mark.parametrize("material", MATERIALS.values(), ids=lambda m: m.name)
def test_lobes_share_out_no_more_than_all_light(material):
    shares = lobes(material)
    assert shares.body >= 0
    assert shares.sheen >= material.sheen
    assert shares.gloss >= material.gloss


def test_silk_shines_in_a_narrower_band_than_cotton():
    """Irawan and Marschner: filament fibres shine narrowly, staple fibres widely."""
    assert MATERIALS["silk"].gloss_width < MATERIALS["cotton"].gloss_width
    assert MATERIALS["silk"].sheen_width < MATERIALS["cotton"].sheen_width


def test_noise_is_the_same_everywhere_and_always():
    """Values as computed once by the same rule in plain whole-number arithmetic."""
    assert speckle(np.array([7]), np.array([3]), 1) == pytest.approx(_speckle(7, 3, 1))
    assert speckle(np.array([-2]), np.array([9]), 40) == pytest.approx(_speckle(-2, 9, 40))
    many = speckle(np.arange(20000), 5)
    assert abs(many.mean()) < 0.02
    assert many.var() == pytest.approx(1 / 3, rel=0.03)


def _speckle(x, y, kind):
    mask = 0xFFFFFFFF
    v = (x * 0x9E3779B1 & mask) ^ (y * 0x85EBCA77 & mask) ^ (kind * 0xC2B2AE3D & mask)
    v = ((v ^ v >> 16) * 0x7FEB352D) & mask
    v = ((v ^ v >> 15) * 0x846CA68B) & mask
    return ((v ^ v >> 16) >> 8) * 2**-23 - 1


def test_wavering_is_smooth_and_repeats():
    x = np.linspace(0, 20, 4001)
    hills = waver(x, np.zeros(1), (10, 1), 3)
    assert hills[:2000] == pytest.approx(hills[2000:4000], abs=1e-4)
    assert np.abs(np.diff(hills)).max() < 0.02


def test_hairs_stand_on_their_threads_as_often_as_told(lay):
    s = np.linspace(0, 40, 401)
    thread = lay([np.column_stack([s, 0 * s + 2, 0 * s])], 0.15)
    look = Look(np.ones((1, 3), np.float32), (MATERIALS["cotton"],), np.zeros(1, np.int64))
    hairy, dressed = grow(thread, look, View(0, 0, 40, 1600, 160))
    count = len(hairy.radius) - 1
    assert count == pytest.approx(40 * MATERIALS["cotton"].hairs, abs=2)
    roots = hairy.points[hairy.starts[1:-1]]
    assert np.hypot(roots[:, 1] - 2, roots[:, 2]).max() <= 0.15
    assert len(dressed.colour) == count + 1
    lengths = [np.hypot(*np.diff(hairy.thread(k)[:, :2], axis=0).T).sum() for k in range(1, count)]
    assert max(lengths) < 1.5
