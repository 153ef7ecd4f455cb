"""Measure how round a spot is, where its middle lies and how it stands out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from render.scan.model import Plane, Points

DIRECTIONS = 24
STEPS = 21
REACH = 2.5  # radii of the spot that are looked at
AT_ONCE = 512
# Nearer to the dark than half way: a pen laid on twice may be half as dark as a hole.
LEVEL = 0.6
# Share of the radius by which the edge may stand farther out one way than across it: a dot that
# was printed, copied and photographed askew has up to a tenth, the numeral 0 has a fifth.
OVAL = 0.12


@dataclass(frozen=True, eq=False)
class Shapes:
    """What was measured at N spots.

    Attributes
    ----------
    centres
        (N, 2) in pixels.
    radius
        (N,) to the edge, in pixels.
    roundness
        (N,) share of directions whose edge lies where a circle would have it.
    clear
        (N,) share of directions in which nothing else stands close by.
    contrast
        (N,) how much of the surrounding light is missing (or added), 0..1.
    hollow
        (N,) true for a drawn circle.
    """

    centres: Points
    radius: NDArray[np.float64]
    roundness: NDArray[np.float64]
    clear: NDArray[np.float64]
    contrast: NDArray[np.float64]
    hollow: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.centres)

    def __getitem__(self, chosen: NDArray[np.bool_] | NDArray[np.intp]) -> "Shapes":
        return Shapes(*(getattr(self, name)[chosen] for name in self.__dataclass_fields__))


def measure(
    darkness: Plane, centres: Points, radii: NDArray[np.float64], *, rough: bool = False
) -> Shapes:
    """Fit a circle to the outer edge of every spot.

    Parameters
    ----------
    darkness
        (H, W), 0 on paper; 1 in black, below 0 where lighter than paper.
    centres, radii
        (N, 2) and (N,) where to begin, in pixels.
    rough
        Whether a first impression is enough: half as many rays, and the circle is moved once.

    Returns
    -------
    What was measured, in the same order. Along each of 24 rays the edge is where the darkness
    has fallen half way to that of the surroundings; the circle is fitted to the edges that
    agree with one another, so a line or a numeral that touches the spot does not pull it aside.
    """
    if not len(centres):
        none = np.zeros(0)
        return Shapes(np.zeros((0, 2)), none, none, none, none, none.astype(bool))
    parts = [
        _measured(darkness, centres[k : k + AT_ONCE], radii[k : k + AT_ONCE], rough)
        for k in range(0, len(centres), AT_ONCE)
    ]
    names = Shapes.__dataclass_fields__
    return Shapes(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def _measured(darkness: Plane, centres: Points, radii: NDArray[np.float64], rough: bool) -> Shapes:
    """Measure some thousand spots at once."""
    centres, radius = centres.copy(), radii.copy()
    angles = np.arange(DIRECTIONS) * 2 * np.pi / DIRECTIONS
    all_rays = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    for fine in (False,) if rough else (False, False, True):
        rays = all_rays if fine else all_rays[::2]
        profile, reach = _profiles(darkness, centres, radius, rays)
        half, _, _ = _levels(profile)
        edge = _edges(profile, half) * reach[:, None]
        fitted, _ = _fit(edge, rays, radius)
        step = fitted[:, 1:]
        long = np.hypot(*step.T) / (0.5 * radius)
        centres = centres + step / np.maximum(long, 1)[:, None]
        radius = np.clip(fitted[:, 0], 0.4 * radii, 2.0 * radii)
    profile, reach = _profiles(darkness, centres, radius, rays)
    half, inner, outer = _levels(profile)
    edge = _edges(profile, half) * reach[:, None]
    fitted, agree = _fit(edge, rays, radius)
    # A circle that still wants to move is none.
    rest = np.hypot(*fitted[:, 1:].T) < 0.1 * radius + 0.3
    steps = np.linspace(0, REACH, STEPS)
    around = profile[:, :, (steps > 1.3) & (steps < 2.0)]
    clear = (around < half[:, None, None]).all(axis=2).mean(axis=1)
    middle = profile[:, :, steps < 0.25].mean(axis=(1, 2))
    oval = _ovalness(edge, rays, agree)
    return Shapes(
        centres,
        radius,
        agree.mean(axis=1) * rest * (1 - np.clip((oval - OVAL) / OVAL, 0, 1)),
        clear,
        np.abs(inner - outer) / np.maximum(1 - outer, 0.15),
        middle < half,
    )


def _profiles(
    darkness: Plane, centres: Points, radius: NDArray[np.float64], rays: Points
) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """Return (N, directions, steps) darkness outwards, and (N,) pixels in a step."""
    reach = radius * REACH / (STEPS - 1)
    along = np.arange(STEPS)[None, None] * reach[:, None, None]
    x = centres[:, 0, None, None] + rays[None, :, 0, None] * along
    y = centres[:, 1, None, None] + rays[None, :, 1, None] * along
    values = ndimage.map_coordinates(darkness, [y, x], order=1, mode="nearest")
    return values.astype(np.float32), reach


def _levels(
    profile: NDArray[np.float32],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return (N,) darkness half way down, within the spot and around it."""
    steps = np.linspace(0, REACH, STEPS)
    inner = profile.mean(axis=1)[:, steps < 1.2].max(axis=1).astype(float)
    outer = np.median(profile[:, :, steps > 1.6][:, :, ::2], axis=(1, 2)).astype(float)
    return LEVEL * inner + (1 - LEVEL) * outer, inner, outer


def _edges(profile: NDArray[np.float32], half: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return (N, directions) steps from the middle to the outer edge, NaN where there is none."""
    count, directions, steps = profile.shape
    dark = profile >= half[:, None, None]
    falls = np.zeros_like(dark)
    falls[:, :, 1:] = dark[:, :, :-1] & ~dark[:, :, 1:]
    # What is near the middle is the bare inside of a drawn circle, or a fleck in a dot.
    falls[:, :, np.linspace(0, REACH, steps) < 0.45] = False
    first = falls.argmax(axis=2)
    i, j = np.ogrid[:count, :directions]
    last, now = profile[i, j, np.maximum(first - 1, 0)], profile[i, j, first]
    drop = np.where(last > now, last - now, 1.0)
    edge: NDArray[np.float64] = first - 1 + np.clip((last - half[:, None]) / drop, 0, 1)
    return np.where(falls.any(axis=2), edge, np.nan)


def _fit(
    edge: NDArray[np.float64], rays: Points, radius: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Return (N, 3) radius and shift along x and y, and which edges agree with them."""
    known = np.isfinite(edge)
    filled = np.where(known, edge, np.inf)
    typical = np.sort(filled, axis=1)[:, len(rays) // 2]
    typical = np.where(np.isfinite(typical), typical, radius)
    # The first circle is centred on the spot, which may be off by a good part of its radius.
    fit = np.column_stack([typical, np.zeros_like(typical), np.zeros_like(typical)])
    basis = np.column_stack([np.ones(len(rays)), rays])
    for slack in (0.5, 0.3, 0.18, 0.09):
        off = np.abs(edge - fit @ basis.T)
        agree = known & (off < slack * (typical[:, None] + 2))
        weight = agree[:, :, None] * basis
        normal = np.einsum("nkp,kq->npq", weight, basis) + 1e-6 * np.eye(3)
        right = np.einsum("nkp,nk->np", weight, np.where(known, edge, 0.0))
        enough = agree.mean(axis=1) > 0.3
        solved = np.linalg.solve(normal, right[..., None])[..., 0]
        fit = np.where(enough[:, None], solved, fit)
    off = np.abs(edge - fit @ basis.T)
    return fit, known & (off < 0.18 * (typical[:, None] + 2))


def _ovalness(
    edge: NDArray[np.float64], rays: Points, agree: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Return (N,) by what share of the radius an ellipse departs from a circle, at most."""
    x, y = rays.T
    basis = np.column_stack([np.ones(len(rays)), x, y, x**2 - y**2, 2 * x * y])
    weight = agree[:, :, None] * basis
    normal = np.einsum("nkp,kq->npq", weight, basis) + 1e-3 * np.eye(5)
    right = np.einsum("nkp,nk->np", weight, np.where(agree, edge, 0.0))
    fit = np.linalg.solve(normal, right[..., None])[..., 0]
    oval: NDArray[np.float64] = np.hypot(fit[:, 3], fit[:, 4]) / np.maximum(fit[:, 0], 1e-6)
    # Where much of the edge is hidden, its shape cannot be told.
    return np.where(agree.mean(axis=1) > 0.7, oval, 0.0)
