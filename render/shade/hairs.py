"""Loose fibre ends that stand off from spun threads."""

import numpy as np
from numpy.typing import NDArray

from render.shade.look import Look
from render.shade.material import Material
from render.shade.noise import speckle
from render.shade.view import View
from render.threads.model import ThreadPaths

FIBRE = Material("fibre", 1, "S", 4.0, 0.0, 0.0, 0.0, 0.0, 0.3, 0.2, 0.4, 0.06, 0.2, solid=0.6)
# Cotton fibres measure 11 to 22 micrometres flat, their ends are finer.
_RADIUS_MM = 0.0055
_MEAN_LENGTH_MM = 0.3
_POINTS = 6

Numbers = NDArray[np.float64]


def grow(paths: ThreadPaths, look: Look, view: View) -> tuple[ThreadPaths, Look]:
    """Add hairs to the threads seen in a view, as threads of their own.

    Parameters
    ----------
    paths
        The threads.
    look
        What they look like; their materials say how hairy they are.
    view
        Hairs are grown where it looks.
    """
    thread = np.repeat(np.arange(len(paths.radius)), np.diff(paths.starts))
    step = np.diff(paths.points, axis=0)
    size = np.sqrt((step**2).sum(axis=1))
    size[thread[1:] != thread[:-1]] = 0.0
    density = np.array([m.hairs for m in look.materials])[look.made_of]
    due = np.concatenate([[0.0], np.cumsum(size * density[thread[:-1]])])
    number = np.arange(int(due[-1]))
    place = number + 0.5 + 0.45 * speckle(number, 0, 101)
    segment = np.clip(np.searchsorted(due, place, side="right") - 1, 0, len(step) - 1)
    inside = _seen(paths.points[segment], view) & (size[segment] > 0)
    number, place, segment = number[inside], place[inside], segment[inside]
    share = (place - due[segment]) / np.maximum(due[segment + 1] - due[segment], 1e-12)
    root = paths.points[segment] + share[:, None] * step[segment]
    along = step[segment] / size[segment, None]
    parent = thread[segment]
    hairs = _curves(root, along, paths.radius[parent], number)
    return _joined(paths, hairs, parent), _dressed(look, parent)


def _seen(points: Numbers, view: View) -> NDArray[np.bool_]:
    corner = np.array([view.left, view.top])
    far = corner + np.array([view.width, view.height]) / view.scale
    at = points[:, :2]
    return np.asarray(((at > corner - 1) & (at < far + 1)).all(axis=1))


def _curves(root: Numbers, along: Numbers, radius: Numbers, number: NDArray[np.int64]) -> Numbers:
    """Return the (H, points, 3) ways of hairs: off at a slant, then bending back."""
    chance = [speckle(number, k, 102).astype(np.float64) for k in range(6)]
    beside = np.column_stack([-along[:, 1], along[:, 0], np.zeros(len(along))])
    beside /= np.maximum(np.hypot(beside[:, 0], beside[:, 1]), 1e-9)[:, None]
    above = np.cross(along, beside)
    above *= np.where(above[:, 2] < 0, -1.0, 1.0)[:, None]
    # Most hairs that show stand off sideways; none grows downwards.
    turn = (np.pi / 2) * np.cbrt(chance[0])
    out = beside * np.sin(turn)[:, None] + above * np.cos(turn)[:, None]
    slant = 0.55 + 0.4 * chance[1]
    forward = along * np.where(chance[2] < 0, -1.0, 1.0)[:, None]
    heading = forward * np.cos(slant)[:, None] + out * np.sin(slant)[:, None]
    bend = np.cross(heading, out) * chance[3][:, None] - 0.5 * out * (1 + chance[4])[:, None]
    # Lengths as the sum of two waiting times: few very short, few very long.
    waits = -np.log((1.0001 - np.abs(chance[4])) * (1.0001 - np.abs(chance[5])))
    length = np.clip(0.5 * waits, 0.3, 3.0) * _MEAN_LENGTH_MM
    t = np.linspace(0, 1, _POINTS)[None, :, None]
    start = (root + 0.85 * radius[:, None] * out)[:, None]
    way = heading[:, None] * t + 0.7 * bend[:, None] * t**2
    return np.asarray(start + way * length[:, None, None])


def _joined(paths: ThreadPaths, hairs: Numbers, parent: NDArray[np.int64]) -> ThreadPaths:
    ends = paths.starts[-1] + _POINTS * np.arange(1, len(hairs) + 1)
    return ThreadPaths(
        np.concatenate([paths.points, hairs.reshape(-1, 3)]),
        np.concatenate([paths.starts, ends]),
        np.concatenate([paths.radius, np.full(len(hairs), _RADIUS_MM)]),
        np.concatenate([paths.pair, paths.pair[parent]]),
        np.concatenate([paths.role, paths.role[parent]]),
        np.concatenate([paths.region, paths.region[parent]]),
        paths.crossings,
    )


def _dressed(look: Look, parent: NDArray[np.int64]) -> Look:
    fibre = np.full(len(parent), len(look.materials))
    return Look(
        np.concatenate([look.colour, look.colour[parent]]),
        (*look.materials, FIBRE),
        np.concatenate([look.made_of, fibre]),
    )
