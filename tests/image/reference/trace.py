"""Trace the reference pictures beside this file with a general ray tracer, POV-Ray 3.7.

Run ``python -m tests.image.reference.trace [NAME...]``; needs ``povray`` on the path. For each
scene it writes ``NAME.npz``, the threads, and ``NAME.png``, 512 x 512 pixels at 600 dpi, the mean
in linear light of 4 x 4 rays a pixel. Some threads are laid by rules that stand here; others are
lace as this project worked and settled it when they were traced. Threads are tubes with balls at
their joints, lit by one hard lamp with Lambert's law and an even ambient light; the numbers stand
in the .npz as well.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from render.plan.work import plan_work
from render.pricking.model import Pricking
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.pieces import lattice, line, pricked, region

HERE = Path(__file__).parent
PIXELS, DPI, RAYS = 512, 600.0, 4
SIZE_MM = PIXELS / DPI * 25.4
BEARING, ELEVATION = 318.0, 50.0
AMBIENT, DIFFUSE, THREAD, CARD = 0.30, 0.65, 0.85, 0.45

Numbers = NDArray[np.float64]
Lines = list[Numbers]


def woven(pitch: float = 0.5, diameter: float = 0.25) -> tuple[Lines, float]:
    """Weave cloth over one and under one."""
    s = np.arange(-1, SIZE_MM + 1, 0.05)
    lines = []
    for k in range(int(SIZE_MM / pitch) + 2):
        at = np.full_like(s, (k + 0.37) * pitch)
        z = 0.52 * diameter * np.sin(np.pi * (s / pitch - 0.37 + 0.5)) * (-1) ** k
        lines += [np.column_stack([s, at, z]), np.column_stack([at, s, -z])]
    return lines, diameter


def net(pitch: float = 4.0, diameter: float = 0.25) -> tuple[Lines, float]:
    """Work a net ground: cross, twist, cross, twist at every node."""
    half, columns, rows = pitch / 2, 8, 8
    pairs = [[2 * k, 2 * k + 1] for k in range(2 * columns)]
    ways = [
        [((t // 2 - 1) * half + (t % 2 - 0.5) * diameter, -2.0, 0.0)] for t in range(4 * columns)
    ]
    for j in range(2 * rows):
        for i in range(j % 2, 2 * columns - 1, 2):
            four = pairs[i] + pairs[i + 1]
            for n, swaps in enumerate(([(1, 2)], [(0, 1), (2, 3)]) * 2):
                y = (j - 0.4) * half + 1.3 * n * diameter
                for a, b in swaps:
                    x = (i - 0.55) * half + (a + b - 3) * 0.62 * diameter
                    over, under = (a, b) if len(swaps) == 1 else (b, a)
                    ways[four[over]].append((x, y, 0.52 * diameter))
                    ways[four[under]].append((x, y, -0.52 * diameter))
                    four[a], four[b] = four[b], four[a]
            pairs[i], pairs[i + 1] = four[:2], four[2:]
    return [
        _smooth(np.array([*way, (way[-1][0], way[-1][1] + half, 0.0)])) for way in ways
    ], diameter


def _smooth(corners: Numbers, step: float = 0.08) -> Numbers:
    """Run a curve through points, held by the slopes between their neighbours."""
    length = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(corners[:, :2], axis=0).T))])
    slope = np.gradient(corners, length, axis=0)
    slope[:, 2] = 0  # every corner is the top or the bottom of a crossing
    s = np.linspace(0, length[-1], max(4, int(length[-1] / step)))
    k = np.clip(np.searchsorted(length, s, side="right") - 1, 0, len(length) - 2)
    h = (length[k + 1] - length[k])[:, None]
    t = ((s - length[k]) / h[:, 0])[:, None]
    a, b = corners[k], corners[k + 1]
    return np.asarray(
        a * (1 + 2 * t) * (1 - t) ** 2
        + b * t**2 * (3 - 2 * t)
        + h * (slope[k] * t * (1 - t) ** 2 + slope[k + 1] * t**2 * (t - 1))
    )


def twisted(diameter: float = 0.3) -> tuple[Lines, float]:
    """Twist pairs of threads round each other, each pair at an angle of its own."""
    lines = []
    s = np.arange(-16, 16, 0.06)
    for k in range(9):
        angle = np.radians(-40 + 10 * k)
        for half_turn in (0, np.pi):
            turn = 2 * np.pi * s / (5.2 * diameter) + half_turn
            beside, up = 0.52 * diameter * np.cos(turn), 0.52 * diameter * np.sin(turn)
            x = 10 + s * np.cos(angle) - beside * np.sin(angle)
            y = 1.6 + 2.3 * k + s * np.sin(angle) * 0.25 + beside * np.cos(angle)
            lines.append(np.column_stack([x, y, up + 1.1 * diameter * (k % 2)]))
    return lines, diameter


def half() -> tuple[Lines, float]:
    """Work a broad trail in half stitch."""
    return _trail("half", 0.3), 0.3


def whole() -> tuple[Lines, float]:
    """Work a broad trail in whole stitch."""
    return _trail("whole", 0.3), 0.3


def crowded() -> tuple[Lines, float]:
    """Work the same trail in thread a third too thick."""
    return _trail("whole", 0.4), 0.4


def torchon() -> tuple[Lines, float]:
    """Work torchon ground."""
    return _worked(pricked(lattice(21, 21, 1.5, 1.5) - 4), 0.25), 0.25


def point() -> tuple[Lines, float]:
    """Work point ground."""
    return _worked(pricked(lattice(23, 17, 1.3, 2.1) - 3.3, ground="point"), 0.2), 0.2


def plait() -> tuple[Lines, float]:
    """Work plaits, each on its own slant."""
    slants = (0, 2, -1, 3, 0, -2, 1)
    ends = [((3.5 * k - 1, -3.0), (3.5 * k - 1 + aside, 25.0)) for k, aside in enumerate(slants)]
    holes = [spot for pair in ends for spot in pair]
    return _worked(pricked(holes, (), [line(pair, "plait") for pair in ends]), 0.3), 0.3


def _trail(stitch: str, diameter: float) -> Lines:
    wide, step, pins = 26.0, 2.6, 13
    holes = [((k % 2) * wide - 2, k * step / 2 - 4) for k in range(2 * pins)]
    corners = [holes[0], holes[1], holes[-1], holes[-2]]
    return _worked(pricked(holes, [region(corners, stitch, "trail")]), diameter)


def _worked(pricking: Pricking, diameter: float) -> Lines:
    """Return lace on the pillow, cut off a little outside the picture."""
    paths = settle(lay_threads(plan_work(pricking)), gauge_mm=diameter)
    return [part for t in range(len(paths.radius)) for part in _near(paths.thread(t))]


def _near(points: Numbers) -> Lines:
    """Return the parts of a thread that reach into the picture."""
    inside = (points[:, :2] > -1.2).all(axis=1) & (points[:, :2] < SIZE_MM + 1.2).all(axis=1)
    cuts = np.flatnonzero(np.diff(inside.astype(int))) + 1
    parts = np.split(np.arange(len(points)), cuts)
    return [points[part] for part in parts if inside[part[0]] and len(part) > 1]


def scene_text(lines: Lines, diameter: float, card: float) -> str:
    """Write a scene as the tracer reads it: x right, y up, z away."""
    out = ["#version 3.7;", "global_settings { assumed_gamma 1.0 max_trace_level 2 }"]
    flat = np.cos(np.radians(ELEVATION))
    toward = (
        flat * np.sin(np.radians(BEARING)),
        flat * np.cos(np.radians(BEARING)),
        -np.sin(np.radians(ELEVATION)),
    )
    middle = SIZE_MM / 2
    out += [
        f"camera {{ orthographic location <{middle},{-middle},-50> direction <0,0,1> "
        f"up <0,{SIZE_MM},0> right <{SIZE_MM},0,0> }}",
        f"light_source {{ <{toward[0] * 1e4},{toward[1] * 1e4},{toward[2] * 1e4}> rgb 1 parallel "
        "point_at <0,0,0> }",
        f"#declare F = finish {{ ambient {AMBIENT} diffuse {DIFFUSE} }};",
        f"plane {{ <0,0,-1>, {card:.6f} pigment {{ rgb {CARD} }} finish {{ F }} }}",
        f"#declare T = texture {{ pigment {{ rgb {THREAD} }} finish {{ F }} }};",
        "union {",
    ]
    r = diameter / 2
    for way in lines:
        near = (way[:, :2] > -1.5).all(axis=1) & (way[:, :2] < SIZE_MM + 1.5).all(axis=1)
        for a, b, wanted in zip(way, way[1:], near, strict=False):
            if wanted:
                p, q = (f"<{v[0]:.6f},{-v[1]:.6f},{-v[2]:.6f}>" for v in (a, b))
                out.append(f"cylinder {{ {p},{q},{r} }} sphere {{ {q},{r} }}")
    return "\n".join([*out, "texture { T } }"])


def trace(text: str) -> Numbers:
    """Trace a scene and return the (512, 512) mean linear light of each pixel."""
    with tempfile.TemporaryDirectory() as folder:
        scene, image = Path(folder, "s.pov"), Path(folder, "s.png")
        scene.write_text(text)
        size = PIXELS * RAYS
        settings = [f"+W{size}", f"+H{size}", "-A", "-D", "+FN8", "File_Gamma=sRGB", "+WT1"]
        subprocess.run(
            ["povray", f"+I{scene}", f"+O{image}", *settings], check=True, capture_output=True
        )
        with Image.open(image) as read:
            srgb = np.asarray(read.convert("RGB"), np.float64)[:, :, 1] / 255
    light = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    return np.asarray(light.reshape(PIXELS, RAYS, PIXELS, RAYS).mean(axis=(1, 3)))


def main() -> None:
    """Trace every scene, or those that are named."""
    for make in (woven, net, twisted, half, whole, crowded, torchon, point, plait):
        if sys.argv[1:] and make.__name__ not in sys.argv[1:]:
            continue
        lines, diameter = make()
        card = min(float(line[:, 2].min()) for line in lines) - diameter / 2
        light = trace(scene_text(lines, diameter, card))
        srgb = np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
        Image.fromarray(np.rint(srgb * 255).astype(np.uint8)).save(HERE / f"{make.__name__}.png")
        np.savez_compressed(
            HERE / f"{make.__name__}.npz",
            points=np.concatenate(lines).astype(np.float32),
            starts=np.cumsum([0] + [len(line) for line in lines]),
            numbers=[diameter, card, DPI, BEARING, ELEVATION, AMBIENT, DIFFUSE, THREAD, CARD],
        )


if __name__ == "__main__":
    main()
