"""Threads laid by rules simple enough to know the picture beforehand."""

import numpy as np
import pytest

from render.shade.view import View
from render.threads.model import Crossings, ThreadPaths


def laid(lines, radius, crossings=None):
    """Make ThreadPaths of (n, 3) lines."""
    count = len(lines)
    none = np.zeros(0, np.int64)
    return ThreadPaths(
        points=np.concatenate(lines).astype(float),
        starts=np.concatenate([[0], np.cumsum([len(line) for line in lines])]).astype(np.int64),
        radius=np.full(count, float(radius)),
        pair=np.arange(count) // 2,
        role=np.zeros(count, np.int64),
        region=np.full(count, -1),
        crossings=crossings or Crossings(none, none, np.zeros((0, 2))),
    )


def woven(across, down, pitch, diameter, step=0.05):
    """Weave `across` upright threads with `down` level ones, over one and under one."""
    wave = 0.52 * diameter
    x, y = (np.arange(across) + 0.5) * pitch, (np.arange(down) + 0.5) * pitch
    lines = []
    for j in range(down):
        s = np.linspace(0, across * pitch, round(across * pitch / step) + 1)
        z = wave * np.sin(np.pi * s / pitch) * (-1) ** j
        lines.append(np.column_stack([s, np.full_like(s, y[j]), z]))
    for i in range(across):
        s = np.linspace(0, down * pitch, round(down * pitch / step) + 1)
        z = -wave * np.sin(np.pi * s / pitch) * (-1) ** i
        lines.append(np.column_stack([np.full_like(s, x[i]), s, z]))
    j, i = (v.ravel() for v in np.mgrid[0:down, 0:across])
    level_on_top = (i + j) % 2 == 0
    over = np.where(level_on_top, j, down + i)
    under = np.where(level_on_top, down + i, j)
    at = np.column_stack([x[i], y[j]])
    return laid(lines, diameter / 2, Crossings(over, under, at))


def looked_at(width_mm, height_mm, dpi, left=0.0, top=0.0):
    """Make a View of a window in mm."""
    scale = dpi / 25.4
    return View(left, top, scale, round(width_mm * scale), round(height_mm * scale))


@pytest.fixture
def lay():
    return laid


@pytest.fixture
def weave():
    return woven


@pytest.fixture
def look_at():
    return looked_at
