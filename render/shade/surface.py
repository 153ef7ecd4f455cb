"""Light the threads a strip sees."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.fragments import Batch, Layer
from render.shade.light import Light
from render.shade.material import Material, bell, lobes, wrapped
from render.shade.pieces import Floats, Pieces


@dataclass(frozen=True, eq=False)
class Look:
    """What threads look like.

    Attributes
    ----------
    colour
        (T, 3) linear red, green and blue of each thread, 0 to 1.
    materials
        The materials in use.
    made_of
        (T,) index of each thread's material.
    """

    colour: Floats
    materials: tuple[Material, ...]
    made_of: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Frames:
    """Where a fragment's surface faces and where its thread runs (each (F,)).

    The thread runs along (along_x, along_y, along_z), its surface faces (face_x, face_y, face_z);
    all are unit vectors, right, down and towards the viewer. `across` is the place across the
    thread, -1 to 1.
    """

    along_x: Floats
    along_y: Floats
    along_z: Floats
    face_x: Floats
    face_y: Floats
    face_z: Floats
    across: Floats


def frames(layer: Layer, seen: Batch, pieces: Pieces) -> Frames:
    """Turn places on a thread into directions, carried smoothly from piece to piece."""
    p, u = layer.piece, layer.ahead
    first = pieces.first[seen.piece]
    slope, next_slope = pieces.vertices.slope[first], pieces.vertices.slope[first + 1]
    x = seen.start_x[p] + (seen.end_x - seen.start_x)[p] * u
    y = seen.start_y[p] + (seen.end_y - seen.start_y)[p] * u
    z = slope[p] + (next_slope - slope)[p] * u
    flat = 1 / np.sqrt(np.maximum(x * x + y * y, np.float32(1e-6)))
    x, y = x * flat, y * flat
    cos = 1 / np.sqrt(1 + z * z)
    sin = z * cos
    across = np.clip(layer.side / np.maximum(seen.radius[p], np.float32(1e-6)), -1, 1)
    up = np.sqrt(1 - across * across)
    return Frames(
        x * cos,
        y * cos,
        sin,
        -y * across - x * sin * up,
        x * across - y * sin * up,
        cos * up,
        across,
    )


def light_threads(
    layer: Layer,
    seen: Batch,
    pieces: Pieces,
    look: Look,
    light: Light,
    lamp: Floats,
    sky: Floats,
) -> Floats:
    """Return the (F, 3) linear light that fragments send to the viewer.

    Parameters
    ----------
    lamp, sky
        (F,) how much of the lamp and of the sky each fragment sees.
    """
    thread = pieces.vertices.thread[pieces.first[seen.piece]][layer.piece]
    f = frames(layer, seen, pieces)
    colour = look.colour[thread]
    out = np.empty((len(thread), 3), np.float32)
    made_of = look.made_of[thread] if len(look.materials) > 1 else None
    for m, material in enumerate(look.materials):
        chosen = slice(None) if made_of is None else np.flatnonzero(made_of == m)
        part = Frames(*(getattr(f, name)[chosen] for name in Frames.__dataclass_fields__))
        out[chosen] = _lit(part, material, colour[chosen], light, lamp[chosen], sky[chosen])
    return out


def _lit(
    f: Frames, material: Material, colour: Floats, light: Light, lamp: Floats, sky: Floats
) -> Floats:
    lx, ly, lz = light.toward
    strength = lobes(material)
    facing = f.face_x * lx + f.face_y * ly + f.face_z * lz
    off = f.along_x * lx + f.along_y * ly + f.along_z * (lz + 1)
    body = wrapped(facing, material.wrap)
    body *= np.float32(strength.body) + np.float32(strength.sheen) * bell(off, material.sheen_width)
    gloss = np.maximum(facing, 0) * np.float32(strength.gloss) * bell(off, material.gloss_width)
    body *= lamp
    gloss *= lamp
    open_ = sky * (1 + f.face_z) * np.float32(0.5)
    level = float(lz)
    out = np.empty_like(colour)
    for c in range(3):
        own = colour[:, c]
        # Light that has met other threads before comes back in their colour, again and again.
        ambient = open_ / (1 - own * (1 - open_))
        mirrored = gloss * own if material.metal else gloss
        out[:, c] = (
            own * (np.float32(light.lamp[c] / level) * body + np.float32(light.sky[c]) * ambient)
            + np.float32(light.lamp[c] / level) * mirrored
        )
    return out
