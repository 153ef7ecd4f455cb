"""What a small picture shows."""

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from render import CLOTH, Wishes, work
from render.catalogue.pictures import draw_telling
from render.catalogue.window import telling_window

DEMO = Path(__file__).parents[2] / "demo_patterns"


@pytest.fixture(scope="module")
def tide():
    return work(DEMO / "tide_edging.svg", Wishes())


def test_the_telling_part_holds_every_technique(tide):
    left, top, right, bottom = telling_window(tide)
    at = tide.plan.at
    within = np.all((at >= (left, top)) & (at <= (right, bottom)), axis=1)
    seen = {word for word, inside in zip(tide.plan.technique, within, strict=True) if inside}
    assert seen == set(tide.plan.technique)
    assert right - left == pytest.approx(bottom - top)


def test_whole_stitch_half_stitch_and_ground_differ_at_400_pixels(tide):
    """Cover tells them apart: whole stitch hides the cloth most, then half stitch, then ground.

    The order is common practice, no source.
    """
    on_cloth = Wishes(background=CLOTH)
    left, top, right, _ = telling_window(tide)
    image = np.asarray(draw_telling(tide, on_cloth, 400).convert("L"), float)
    scale = 400 / (right - left)
    rows, columns = np.mgrid[:400, :400]
    places = np.stack([columns / scale + left, rows / scale + top], axis=-1)
    bright = {}
    for word in ("whole", "half", "torchon"):
        near = _near(places, _stitches(tide, word), 2.0)
        assert near.sum() > 3000, f"{word} is shown"
        bright[word] = image[near].mean()
    assert bright["whole"] > bright["half"] + 8 > bright["torchon"] + 16


def _stitches(worked, word):
    return worked.plan.at[[technique == word for technique in worked.plan.technique]]


def _near(places, points, reach):
    return cKDTree(points).query(places)[0] < reach
