"""Over, under and coverage, where geometry says what they must be."""

import numpy as np
import pytest

from render.shade.sight import coverage, threads_seen
from render.shade.view import View


@pytest.mark.parametrize("dpi", [150, 300, 600])
def test_every_crossing_shows_the_thread_on_top(weave, look_at, dpi):
    cloth = weave(30, 20, 0.55, 0.3)
    view = look_at(16.5, 11.0, dpi)
    column, row = np.floor(cloth.crossings.at * view.scale).astype(int).T
    assert (threads_seen(cloth, view)[row, column] == cloth.crossings.over).all()


def test_swapped_crossings_are_found(weave, look_at):
    """The check above fails where it should: at the crossings of one lifted thread."""
    cloth = weave(10, 10, 0.55, 0.3)
    points = cloth.points.copy()
    points[cloth.starts[3] : cloth.starts[4], 2] += 1.0
    lifted = type(cloth)(
        points, cloth.starts, cloth.radius, cloth.pair, cloth.role, cloth.region, cloth.crossings
    )
    view = look_at(5.5, 5.5, 600)
    column, row = np.floor(cloth.crossings.at * view.scale).astype(int).T
    wrong = threads_seen(lifted, view)[row, column] != cloth.crossings.over
    assert (wrong == (cloth.crossings.under == 3)).all()


@pytest.mark.parametrize("dpi", [150, 300, 600, 1200])
@pytest.mark.parametrize(("pitch", "diameter"), [(0.5, 0.25), (0.635, 0.2), (0.8, 0.4)])
def test_plain_weave_covers_what_peirce_says(weave, dpi, pitch, diameter):
    """Two sets of threads that each cover c of the area together cover 2c - c^2.

    References
    ----------
    .. F. T. Peirce, "The geometry of cloth structure", Journal of the Textile Institute 28 (1937)
       T45
    """
    repeats = 8
    pixels = round(repeats * pitch * dpi / 25.4)  # whole repeats, in whole pixels
    view = View(4 * pitch, 4 * pitch, pixels / (repeats * pitch), pixels, pixels)
    c = diameter / pitch
    seen = coverage(weave(16, 16, pitch, diameter), view)
    assert seen.mean() == pytest.approx(2 * c - c * c, abs=0.002)


@pytest.mark.parametrize("angle", [0.0, 7.0, 30.0, 45.0, 61.0, 90.0])
@pytest.mark.parametrize("diameter_px", [0.2, 0.8, 1.0, 3.3, 12.0])
def test_a_straight_thread_covers_length_times_width(lay, look_at, angle, diameter_px):
    way = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))])
    s = np.linspace(-8.21, 8.77, 50)[:, None]
    line = np.column_stack([10 + s * way, np.zeros(50)])
    view = look_at(20, 20, 300)
    thread = lay([line], diameter_px / 2 / view.scale)
    area = 16.98 * view.scale * diameter_px
    assert coverage(thread, view).sum() == pytest.approx(area, rel=0.002)


def test_a_bend_leaves_no_gap_and_counts_nothing_twice(lay, look_at):
    """A ring of radius R and width w covers 2 pi R w, all the way round."""
    turn = np.linspace(0, 2 * np.pi, 181)
    ring = np.column_stack([5 + 3 * np.cos(turn), 5 + 3 * np.sin(turn), 0 * turn])
    view = look_at(10, 10, 600)
    seen = coverage(lay([ring], 0.2), view)
    assert seen.sum() / view.scale**2 == pytest.approx(2 * np.pi * 3 * 0.4, rel=0.002)
    down, across = np.mgrid[0 : view.height, 0 : view.width]
    away = np.hypot((across + 0.5) / view.scale - 5, (down + 0.5) / view.scale - 5)
    joined = (
        np.hypot(across / view.scale - 8, down / view.scale - 5) < 0.25
    )  # its two ends, both softened
    assert seen[(np.abs(away - 3) < 0.16) & ~joined].min() == pytest.approx(1, abs=0.01)


def test_the_fast_raster_finds_what_brute_force_finds(lay, look_at):
    """Every pixel against every tube, in double precision, a point on a pixel edge on purpose."""
    chance = np.random.default_rng(5)
    view = look_at(4, 3, 1270)
    lines = [chance.uniform((0, 0, -0.3), (4, 3, 0.3), (2, 3)) for _ in range(12)]
    lines.append(np.array([[1.0, 1.0, 0.5], [2.0, 1.0, 0.5]]))
    radius = 0.12
    seen = threads_seen(lay(lines, radius), view)
    down, across = np.mgrid[0 : view.height, 0 : view.width]
    x, y = (across + 0.5) / view.scale, (down + 0.5) / view.scale
    highest = np.full(seen.shape, -np.inf)
    expected = np.full(seen.shape, -1)
    unsure = np.zeros(seen.shape, bool)
    for t, (a, b) in enumerate(lines):
        flat = np.hypot(*(b - a)[:2])
        ux, uy = (b - a)[:2] / flat
        along = (x - a[0]) * ux + (y - a[1]) * uy
        beside = np.abs((y - a[1]) * ux - (x - a[0]) * uy)
        # Tubes as they are drawn, no steeper than 45 degrees.
        rise = np.clip((b - a)[2] / flat, -1, 1)
        top = a[2] + along * rise
        top = top + np.sqrt(np.maximum(radius**2 - beside**2, 0) * (1 + rise**2))
        inside = (beside <= radius) & (along >= 0) & (along <= flat)
        unsure |= np.abs(beside - radius) < 1e-4
        unsure |= (np.abs(along) < 1e-4) | (np.abs(along - flat) < 1e-4)
        unsure |= inside & (np.abs(top - highest) < 1e-4)
        nearer = inside & (top > highest)
        highest[nearer], expected[nearer] = top[nearer], t
    assert unsure.mean() < 0.05
    assert (seen == expected)[~unsure].all()


def test_threads_weave_a_spectrum_with_peaks_at_their_pitch(weave, look_at):
    """Level threads repeat every pitch, so their coverage has its strongest wave there."""
    pitch, dpi, size = 0.55, 600, 512
    cloth = weave(44, 44, pitch, 0.25)
    seen = coverage(cloth, look_at(size / dpi * 25.4, size / dpi * 25.4, dpi, 1, 1))
    window = np.hanning(size)
    waves = np.abs(np.fft.rfft2((seen - seen.mean()) * np.outer(window, window)))
    expected = size / (pitch * dpi / 25.4)
    rows, columns = np.unravel_index(np.argsort(waves, axis=None)[-1], waves.shape)
    peaks = {min(rows, size - rows), columns}
    assert min(abs(peak - expected) for peak in peaks) < 0.5
    assert 0 in peaks


def test_a_hairpin_and_a_doubled_point_are_drawn(lay, look_at):
    """Neither turning back nor standing still may lose the rest of a thread."""
    line = np.array([[1, 1, 0], [3, 1, 0], [3, 1, 0], [1, 1.0, 0], [1, 3, 0]], float)
    seen = threads_seen(lay([line], 0.1), look_at(4, 4, 300))
    scale = 300 / 25.4
    for x, y in ((1.5, 1), (2.8, 1), (1, 2), (1, 2.8)):
        assert seen[int(y * scale), int(x * scale)] == 0


def test_no_threads_cover_nothing(lay, look_at):
    thread = lay([np.array([[50.0, 50, 0], [60, 60, 0]])], 0.1)
    assert coverage(thread, look_at(4, 4, 100)).max() == 0


def test_threads_side_by_side_leave_nothing_bare_between_them(lay, look_at):
    """Two edges that share a pixel cover it together, not each a part of what is left."""
    view = look_at(6, 6, 300)
    ends = np.array([[0.0, 0, 0], [6, 2, 0]])
    step = np.array([-2, 6, 0]) / np.hypot(2, 6) * 0.3
    seen = coverage(lay([ends + (0, 1, 0) + k * step for k in range(4)], 0.15), view)
    down, across = np.mgrid[0 : view.height, 0 : view.width] / view.scale
    beside = ((down - 1) * 6 - across * 2) / np.hypot(2, 6)
    inside = (beside > 0.05) & (beside < 0.75) & (across > 1) & (across < 5)
    assert seen[inside].min() > 0.97
