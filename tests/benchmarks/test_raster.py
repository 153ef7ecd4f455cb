"""How long drawing takes. Run with ``pytest tests/benchmarks --benchmark-only``.

Scenes are net grounds of C-T-C-T stitches at thread level, drawn as one process; nothing is
asserted about time.
"""

import numpy as np
import pytest

from render.image.draw import draw
from render.image.scene import Scene
from render.image.write import write_png
from render.shade.sight import threads_seen
from render.threads.model import Crossings, ThreadPaths


def net(columns, rows, pitch, diameter, step=0.12):
    """Work a net ground: at each node the four threads of two pairs cross, twist, cross, twist."""
    half, spread, rise = pitch / 2, 0.62 * diameter, 0.52 * diameter
    pairs = [[2 * k, 2 * k + 1] for k in range(2 * columns)]
    ways = [
        [((t // 2 + 0.5) * half + (t % 2 - 0.5) * diameter, -half, 0.0)] for t in range(4 * columns)
    ]
    for j in range(2 * rows):
        for i in range(j % 2, 2 * columns - 1, 2):
            four = pairs[i] + pairs[i + 1]
            for n, swaps in enumerate(([(1, 2)], [(0, 1), (2, 3)]) * 2):
                y = j * half + (1.3 * n - 2) * diameter
                for a, b in swaps:
                    x = (i + 1) * half + (a + b - 3) * spread
                    over, under = (a, b) if len(swaps) == 1 else (b, a)
                    ways[four[over]].append((x, y, rise))
                    ways[four[under]].append((x, y, -rise))
                    four[a], four[b] = four[b], four[a]
            pairs[i], pairs[i + 1] = four[:2], four[2:]
    lines = []
    for way in ways:
        way.append((way[-1][0], 2 * rows * half, 0.0))
        corners = np.array(way)
        length = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(corners[:, :2], axis=0).T))])
        along = np.linspace(0, length[-1], max(2, round(length[-1] / step)))
        lines.append(np.column_stack([np.interp(along, length, c) for c in corners.T]))
    count, none = len(lines), np.zeros(0, np.int64)
    return ThreadPaths(
        np.concatenate(lines),
        np.concatenate([[0], np.cumsum([len(line) for line in lines])]),
        np.full(count, diameter / 2),
        np.arange(count) // 2,
        np.zeros(count, np.int64),
        np.full(count, -1),
        Crossings(none, none, np.zeros((0, 2))),
    )


def scene(size_mm, dpi, paths, **settings):
    return Scene(paths, np.array([0.95, 0.93, 0.87]), (0, 0, size_mm, size_mm), dpi, **settings)


def drawn(what, processes=1):
    for band in draw(what, processes=processes):
        assert band.size


@pytest.fixture(scope="module")
def large():
    return net(43, 43, 4.0, 0.25)


@pytest.mark.parametrize("processes", [1, 2])
def test_173_mm_at_600_dpi(benchmark, large, processes):
    benchmark.pedantic(drawn, (scene(173.4, 600, large), processes), rounds=2, iterations=1)


def test_173_mm_at_600_dpi_to_a_file(benchmark, large, tmp_path):
    what = scene(173.4, 600, large)
    view = what.view

    def run():
        bands = draw(what, processes=2)
        write_png(tmp_path / "a.png", bands, width=view.width, height=view.height, dpi=600)

    benchmark.pedantic(run, rounds=2, iterations=1)


def test_100_mm_at_300_dpi(benchmark):
    benchmark.pedantic(drawn, (scene(100, 300, net(25, 25, 4.0, 0.25)),), rounds=3, iterations=1)


def test_20_mm_at_1200_dpi_with_hairs(benchmark):
    benchmark.pedantic(drawn, (scene(20, 1200, net(6, 6, 4.0, 0.25)),), rounds=3, iterations=1)


def test_100_mm_as_a_thumbnail_of_50_dpi(benchmark):
    benchmark.pedantic(drawn, (scene(100, 50, net(25, 25, 4.0, 0.25)),), rounds=3, iterations=1)


def test_seeing_which_thread_is_on_top(benchmark, large):
    view = scene(173.4, 300, large).view
    benchmark.pedantic(threads_seen, (large, view), rounds=2, iterations=1)
