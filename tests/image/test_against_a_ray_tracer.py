"""The same threads under the same lamp, as a ray tracer shows them (see reference/trace.py)."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from shapely import LineString, STRtree
from skimage.metrics import structural_similarity

from render.shade.batch import Strip
from render.shade.light import Light
from render.shade.look import Look
from render.shade.material import Material
from render.shade.sight import threads_seen
from render.shade.stage import set_stage
from render.shade.strip import lit
from render.shade.view import View
from render.threads.model import Crossings, ThreadPaths

REFERENCE = Path(__file__).with_name("reference")
PIXELS = 512
# Nothing but Lambert's law: no twist, no lobes, no light that creeps round.
PLAIN = Material("plain", 1, "S", 4.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.5, 0.0, 0.5)


def load(name):
    data = np.load(REFERENCE / f"{name}.npz")
    count, none = len(data["starts"]) - 1, np.zeros(0, np.int64)
    paths = ThreadPaths(
        data["points"].astype(float),
        data["starts"].astype(np.int64),
        np.full(count, data["numbers"][0] / 2),
        none if not count else np.zeros(count, np.int64),
        np.zeros(count, np.int64),
        np.full(count, -1),
        Crossings(none, none, np.zeros((0, 2))),
    )
    return paths, data["numbers"]


def shown(name, samples):
    """Draw the scene with its numbers; returns 8-bit sRGB grey."""
    paths, (_, _, dpi, bearing, elevation, ambient, diffuse, thread, ground) = load(name)
    view = View(0, 0, dpi / 25.4, PIXELS, PIXELS).finer(samples)
    # So dark a thread that light between threads, which the tracer does not follow, is nothing.
    dark = 1e-4
    count = len(paths.radius)
    look = Look(np.full((count, 3), dark, np.float32), (PLAIN,), np.zeros(count, np.int64))
    level = float(np.sin(np.radians(elevation)))
    light = Light(bearing, elevation, 0.05, (level,) * 3, (0, 0, 0))
    stage = set_stage(paths, view, look, light)
    seen = lit(stage, Strip(0, 0, view.height, view.width))
    lamp = seen.threads[1] / dark
    linear = thread * (ambient * (1 - seen.bare) + diffuse * lamp)
    linear += ground * seen.bare * (ambient + diffuse * level * seen.lamp)
    mean = linear.reshape(PIXELS, samples, PIXELS, samples).mean(axis=(1, 3))
    srgb = np.where(mean <= 0.0031308, mean * 12.92, 1.055 * mean ** (1 / 2.4) - 0.055)
    return np.rint(np.clip(srgb, 0, 1) * 255).astype(np.uint8)


def likeness(name, samples):
    """Return mean and 1st percentile over tiles of 1 mm of the structural similarity."""
    with Image.open(REFERENCE / f"{name}.png") as image:
        traced = np.asarray(image)
    mean, pixels = structural_similarity(
        traced,
        shown(name, samples),
        gaussian_weights=True,
        sigma=1.5,
        use_sample_covariance=False,
        data_range=255,
        full=True,
    )
    tiles = pixels[:504, :504].reshape(21, 24, 21, 24).mean(axis=(1, 3))
    return mean, np.percentile(tiles, 1)


SCENES = ["woven", "net", "twisted", "whole", "crowded", "half", "torchon", "point", "plait"]


@pytest.mark.parametrize("name", SCENES)
@pytest.mark.parametrize(("samples", "least"), [(1, 0.98), (2, 0.99)])
def test_pictures_are_like_those_of_a_ray_tracer(name, samples, least):
    """Structural similarity with the settings of its authors, whole and in the worst places.

    References
    ----------
    .. Z. Wang, A. C. Bovik, H. R. Sheikh, E. P. Simoncelli, "Image quality assessment: from error
       visibility to structural similarity", IEEE Transactions on Image Processing 13 (2004) 600
    """
    mean, worst = likeness(name, samples)
    assert mean >= least
    assert worst >= 0.95


def crossings(paths):
    """Return where threads cross, seen from above, and the higher one of the two, by shapely."""
    thread = np.repeat(np.arange(len(paths.radius)), np.diff(paths.starts))
    first = np.flatnonzero(thread[1:] == thread[:-1])
    lines = [LineString(paths.points[k : k + 2, :2]) for k in first]
    pairs = STRtree(lines).query(lines, "crosses")
    a, b = pairs[:, pairs[0] < pairs[1]]
    met = [lines[m].intersection(lines[n]).coords[0] for m, n in zip(a, b, strict=True)]
    places = np.array(met)
    height = []
    for k in (first[a], first[b]):
        start, step = paths.points[k], paths.points[k + 1] - paths.points[k]
        share = ((places - start[:, :2]) * step[:, :2]).sum(1) / (step[:, :2] ** 2).sum(1)
        height.append(start[:, 2] + share * step[:, 2])
    over = np.where(height[0] > height[1], thread[first[a]], thread[first[b]])
    clear = (thread[first[a]] != thread[first[b]]) & (np.abs(height[0] - height[1]) > 0.1)
    return places[clear], over[clear]


@pytest.mark.parametrize("dpi", [300, 600])
@pytest.mark.parametrize("name", SCENES)
def test_every_crossing_shows_the_higher_thread(name, dpi):
    """Heights are interpolated along the straight pieces; nothing is taken from the drawing."""
    paths, _ = load(name)
    view = View(0, 0, dpi / 25.4, round(PIXELS * dpi / 600), round(PIXELS * dpi / 600))
    places, over = crossings(paths)
    column, row = np.floor(places * view.scale).astype(int).T
    inside = (column >= 0) & (column < view.width) & (row >= 0) & (row < view.height)
    assert inside.sum() > 90
    assert (threads_seen(paths, view)[row[inside], column[inside]] == over[inside]).all()
