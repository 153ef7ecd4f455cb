"""A small woven cloth and scenes of it."""

import numpy as np
import pytest

from render.image.scene import Scene
from render.threads.model import Crossings, ThreadPaths


@pytest.fixture(scope="session")
def cloth():
    """Eight threads each way over 4 x 4 mm, 0.5 mm apart and 0.25 mm thick."""
    s = np.linspace(0, 4, 81)
    lines = []
    for k in range(8):
        z = 0.13 * np.sin(np.pi * s / 0.5) * (-1) ** k
        at = np.full_like(s, 0.25 + 0.5 * k)
        lines += [np.column_stack([s, at, z]), np.column_stack([at, s, -z])]
    none = np.zeros(0, np.int64)
    return ThreadPaths(
        np.concatenate(lines),
        np.arange(17) * 81,
        np.full(16, 0.125),
        np.arange(16) // 2,
        np.zeros(16, np.int64),
        np.full(16, -1),
        Crossings(none, none, np.zeros((0, 2))),
    )


@pytest.fixture
def scene(cloth):
    """Return a maker of scenes: 6 x 5 mm about the cloth, at 300 dpi unless told otherwise."""

    def make(**settings):
        settings.setdefault("colours", np.array([0.9, 0.4, 0.3]))
        settings.setdefault("window_mm", (-1.0, -0.5, 5.0, 4.5))
        return Scene(cloth, **settings)

    return make
