"""What threads are made of, as light sees it."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Material:
    """How a thread is twisted and how its fibres throw light back.

    Attributes
    ----------
    name
        What a maker calls it.
    plies
        Strands twisted together; 1 for a single strand or wire.
    twist
        ``Z`` if the plies climb to the right as the middle stroke of the letter does, else ``S``.
    lay
        Length of one full turn of a ply, in thread diameters.
    groove
        Depth of the grooves between the plies, 0 (a round rod) to 1 (round strands side by side).
    streak
        Strength of the streaks that single fibres draw, 0 to 1.
    slub
        How much the thread's thickness wavers, as a part of its radius.
    hairs
        Loose fibre ends per millimetre of thread.
    wrap
        How far light creeps round the thread, 0 (hard) to 1.
    sheen
        Part of the light that fibres throw back about their own direction, in their own colour.
    sheen_width
        Standard deviation of that lobe, in radians along the fibre.
    gloss
        Part of the light mirrored off the fibres' surface without taking their colour.
    gloss_width
        Standard deviation of that lobe, in radians along the fibre.
    metal
        Whether what is mirrored takes the thread's colour after all.
    solid
        Part of what lies behind that is hidden; what is not solid casts no shadow.

    References
    ----------
    .. P. Irawan, S. Marschner, "Specular reflection from woven cloth", ACM Transactions on Graphics
       31 (2012) 11: narrow lobes for filament, wide ones for staple yarns
    .. I. Sadeghi, O. Bisker, J. De Deken, H. W. Jensen, "A practical microcylinder appearance
       model for cloth rendering", ACM Transactions on Graphics 32 (2013) 14: two lobes
    """

    name: str
    plies: int
    twist: str
    lay: float
    groove: float
    streak: float
    slub: float
    hairs: float
    wrap: float
    sheen: float
    sheen_width: float
    gloss: float
    gloss_width: float
    metal: bool = False
    solid: float = 1.0


MATERIALS = {
    m.name: m
    for m in (
        Material("cotton", 2, "S", 3.8, 0.75, 0.55, 0.05, 0.8, 0.25, 0.28, 0.45, 0.04, 0.20),
        Material("linen", 2, "S", 4.4, 0.65, 0.75, 0.09, 0.6, 0.22, 0.33, 0.40, 0.06, 0.16),
        Material("silk", 3, "S", 5.0, 0.40, 0.30, 0.02, 0.1, 0.20, 0.50, 0.28, 0.14, 0.09),
        Material("metal", 1, "S", 3.0, 0.15, 0.10, 0.00, 0.0, 0.00, 0.55, 0.16, 0.35, 0.07, True),
    )
}


@dataclass(frozen=True)
class Lobes:
    """Strengths of a material's three ways to throw light back, so that none is gained.

    Attributes
    ----------
    body, sheen, gloss
        Factors of the diffuse, the coloured and the white lobe.
    """

    body: float
    sheen: float
    gloss: float


@lru_cache
def lobes(material: Material) -> Lobes:
    """Scale a material's lobes so that a thread lit evenly from all sides gains no light.

    For each lobe the light from all directions is summed for several slants of the surface, and
    the greatest sum is made the lobe's share of 1.
    """
    toward, weight = _sphere(48)
    body = sheen = gloss = 0.0
    for slant in np.linspace(-1.2, 1.2, 13):
        normal = np.array([np.sin(slant), 0.0, np.cos(slant)])
        facing = toward @ normal
        round_ = wrapped(facing, material.wrap)
        off = toward[:, 1]  # the fibre runs along y, the viewer is square to it
        body = max(body, float(weight @ round_))
        sheen = max(sheen, float(weight @ (round_ * bell(off, material.sheen_width))))
        gloss = max(
            gloss, float(weight @ (np.maximum(facing, 0) * bell(off, material.gloss_width)))
        )
    return Lobes(
        (1 - material.sheen - material.gloss) / body,
        material.sheen / sheen,
        material.gloss / gloss,
    )


def wrapped(facing: NDArray[np.floating], wrap: float) -> NDArray[np.floating]:
    """Return Lambert's law softened so that light creeps `wrap` beyond the edge of shade."""
    scaled = (facing + facing.dtype.type(wrap)) * facing.dtype.type(1 / (1 + wrap) ** 2)
    return np.asarray(np.maximum(scaled, 0))


def bell(off: NDArray[np.floating], width: float) -> NDArray[np.floating]:
    """Return a normal curve of height 1; `off` is the sum of the sines of both angles."""
    # Half the sum of the sines is, near 0, half the sum of the angles: the angle off the mirror.
    squared = off * off
    squared *= off.dtype.type(-0.125 / width**2)
    return np.asarray(np.exp(squared, out=squared))


def _sphere(count: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return unit vectors all round and weights that make Lambert's law sum to 1."""
    z = (np.arange(count) + 0.5) / count * 2 - 1
    angle = (np.arange(2 * count) + 0.5) * np.pi / count
    flat = np.sqrt(1 - z**2)[:, None]
    toward = np.stack(
        [
            flat * np.cos(angle),
            flat * np.sin(angle),
            np.broadcast_to(z[:, None], (count, 2 * count)),
        ],
        axis=2,
    ).reshape(-1, 3)
    return toward, np.full(len(toward), 4.0 / len(toward))
