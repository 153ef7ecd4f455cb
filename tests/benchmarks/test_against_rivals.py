"""Time and memory of whole processes that draw the same strands at the same size.

Skipped unless asked for: ``python -m pytest tests/benchmarks --benchmark-only -s -k rivals``.
Targets: no more than 2.5 times plain cairo strokes without light, with two processes as usual; at
least 9 times faster than the ray tracer with one ray a pixel; memory that does not grow with the
height of the picture. Figures are printed, never asserted.
"""

import os
import shutil
import subprocess
import sys
import time

import numpy as np
import pytest
from PIL import Image

from tests.benchmarks.test_raster import net

DPI, SIZE_MM = 600, 173.4


def write_strands(path, size_mm, net_mm=None):
    """Write a net ground of 4 mm meshes in 0.25 mm thread, as large as the picture or less."""
    width, height = net_mm or size_mm
    paths = net(round(width / 4), round(height / 4), 4.0, 0.25)
    np.savez(path, points=paths.points, starts=paths.starts, diameter=0.25, size_mm=size_mm)
    return path


def run(*words):
    """Return seconds, the processors' seconds and megabytes of the largest process."""
    began = time.perf_counter()
    process = subprocess.Popen([sys.executable, "-m", "tests.benchmarks.rivals", *map(str, words)])
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0
    return time.perf_counter() - began, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


@pytest.mark.skipif(shutil.which("povray") is None, reason="POV-Ray is not installed")
def test_rivals_on_the_same_strands(benchmark, tmp_path):
    strands = write_strands(tmp_path / "net.npz", (SIZE_MM, SIZE_MM))

    def all_of_them():
        return {
            name: run(way, strands, DPI, tmp_path / f"{name}.png", processes)
            for name, way, processes in (
                ("strokes", "strokes", 1),
                ("lace", "lace", 1),
                ("lace, two processes", "lace", 2),
                ("tracer", "tracer", 1),
            )
        }

    seen = benchmark.pedantic(all_of_them, rounds=1, iterations=1)
    for name, (seconds, busy, megabytes) in seen.items():
        sys.stdout.write(f"\n{name:20}{seconds:7.1f} s, busy {busy:6.1f} s, {megabytes:6.0f} MB")
    strokes, one, two, tracer = seen.values()
    sys.stdout.write(
        f"\ntwo processes take {two[0] / strokes[0]:.2f} times strokes by the clock, one takes "
        f"{one[1] / strokes[1]:.2f} times by the processor; the tracer takes "
        f"{tracer[0] / one[0]:.1f} and {tracer[1] / one[1]:.1f} times lace in one process; two "
        f"processes keep {two[1] / two[0]:.2f} processors busy\n"
    )
    files = [tmp_path / f"{name}.png" for name in ("lace", "lace, two processes", "tracer")]
    assert files[0].read_bytes() == files[1].read_bytes()
    with Image.open(files[0]) as ours, Image.open(files[2]) as theirs:
        assert ours.size == theirs.size


def test_rivals_aside_memory_at_two_heights(benchmark, tmp_path):
    """Four times as high, with the same net at its top and with a net four times as high."""
    low, high = (SIZE_MM / 2, SIZE_MM / 2), (SIZE_MM / 2, 4 * SIZE_MM / 2)
    pictures = {"low": (low, low), "high, as few strands": (high, low), "high": (high, high)}

    def all_of_them():
        used = {}
        for name, (size, net_mm) in pictures.items():
            strands = write_strands(tmp_path / f"{name}.npz", size, net_mm)
            used[name] = run("lace", strands, DPI, tmp_path / f"{name}.png")
        return used

    used = benchmark.pedantic(all_of_them, rounds=1, iterations=1)
    for name, (_, _, megabytes) in used.items():
        sys.stdout.write(f"\n{name:22}{megabytes:5.0f} MB")
    with Image.open(tmp_path / "low.png") as first, Image.open(tmp_path / "high.png") as second:
        assert second.height == pytest.approx(4 * first.height, abs=2)
