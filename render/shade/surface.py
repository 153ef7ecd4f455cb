"""Light the threads a strip sees."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.batch import Batch
from render.shade.layers import Layer
from render.shade.light import Light
from render.shade.material import Material, bell, lobes, wrapped
from render.shade.pieces import Floats
from render.shade.stage import Stage
from render.shade.twist import Twist

# Part of the lamp's light that falls on what a hidden place sees.
_AROUND = 0.75
_HALF = np.float32(0.5)


@dataclass(frozen=True, eq=False)
class Course:
    """Where threads run and how far their surface is from the middle, for fragments ((F,) each).

    Attributes
    ----------
    x, y
        Direction seen from above, a unit vector right and down.
    slope
        Rise per pixel seen from above.
    across
        Place across the thread, -1 to 1.
    """

    x: Floats
    y: Floats
    slope: Floats
    across: Floats


@dataclass(frozen=True, eq=False)
class Frames:
    """Which way fibres run and their surface faces: unit vectors right, down, to the viewer."""

    along_x: Floats
    along_y: Floats
    along_z: Floats
    face_x: Floats
    face_y: Floats
    face_z: Floats


def light_threads(layer: Layer, seen: Batch, stage: Stage, lamp: Floats, sky: Floats) -> Floats:
    """Return the (3, F) linear light that fragments send to the viewer.

    Parameters
    ----------
    layer
        The fragments.
    seen
        The pieces they are parts of.
    stage
        What threads look like, and the light.
    lamp, sky
        (F,) how much of the lamp and of the sky each fragment sees.
    """
    colour = np.ascontiguousarray(stage.look.colour.T)
    out = np.empty((3, len(layer.pixel)), np.float32)
    made_of = seen.made_of[layer.piece]
    for m, (material, table) in enumerate(zip(stage.look.materials, stage.tables, strict=True)):
        at = _chosen(made_of == m)
        p, ahead, radius = layer.piece[at], layer.ahead[at], layer.radius[at]
        x = _between(seen.start_x, seen.end_x, p, ahead)
        y = _between(seen.start_y, seen.end_y, p, ahead)
        across = layer.across[at]
        slope = _between(seen.start_slope, seen.end_slope, p, ahead)
        course = Course(
            *_unit(x, y), _slope_below(slope, seen.bend.take(p), radius, across), across
        )
        detail = _detail(material, radius, stage.samples)
        frames, gain = _twisted(course, layer.turn[at], detail, table)
        own = colour.take(seen.thread.take(p), axis=1)
        out[:, at] = lit_surface(
            frames, material, own, stage.light, lamp[at] * gain, sky[at] * gain
        )
    return out


def _chosen(which: NDArray[np.bool_]) -> slice | NDArray[np.int64]:
    """Return an index of what is chosen, cheap where that is everything."""
    return slice(None) if which.all() else np.flatnonzero(which)


def _between(start: Floats, end: Floats, piece: NDArray[np.int64], ahead: Floats) -> Floats:
    """Carry a quantity smoothly from a piece's start to its end."""
    return start.take(piece) * (1 - ahead) + end.take(piece) * ahead


def _slope_below(slope: Floats, bend: Floats, radius: Floats, across: Floats) -> Floats:
    """Return the slope of the middle line where it lies square below a place on the surface.

    On a rising thread that is further on than the place, by as much as the surface is off times
    the slope there: which makes it so much less over a hump, and more in a hollow.
    """
    turn = bend * radius * np.sqrt(1 - across * across) / np.sqrt(1 + slope * slope)
    return np.asarray(slope * (1 + np.maximum(turn, 0)) / (1 + np.maximum(-turn, 0)))


def _unit(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    scale = np.reciprocal(np.sqrt(np.maximum(x * x + y * y, np.float32(1e-6))))
    return x * scale, y * scale


def _detail(material: Material, radius: Floats, samples: int) -> Floats:
    """Return how much of the twist is shown, in pictures whose pixels are so many samples wide.

    Waves of less than two pixels would come back as others that are not there (Shannon's sampling
    theorem); from four on a picture is nearest to the mean of a much finer one.
    """
    wave = radius * np.float32(2 * material.lay / material.plies / samples)
    return np.asarray(np.clip((wave - 2) * _HALF, 0, 1))


def _twisted(course: Course, turn: Floats, detail: Floats, table: Twist) -> tuple[Frames, Floats]:
    """Lay the twist of the plies over a round thread; return also how much light is left in it."""
    row = np.minimum((turn * table.rows).astype(np.int64), table.rows - 1)
    column = ((course.across + 1) * (table.columns / 2)).astype(np.int64)
    cell = row * table.columns + np.minimum(column, table.columns - 1)
    side = np.clip(course.across + detail * table.lean.take(cell), -1, 1)
    ahead = detail * table.along.take(cell)
    up = np.sqrt(np.maximum(1 - side * side - ahead * ahead, 0))
    slant = detail * table.fibre.take(cell)
    cos = 1 / np.sqrt(1 + course.slope * course.slope)
    sin = course.slope * cos
    flat = ahead * cos - up * sin
    straight = 1 - np.float32(0.5) * slant * slant
    frames = Frames(
        course.x * cos * straight - course.y * slant,
        course.y * cos * straight + course.x * slant,
        sin * straight,
        course.x * flat - course.y * side,
        course.y * flat + course.x * side,
        ahead * sin + up * cos,
    )
    usual = np.float32(table.usual)
    return frames, usual + detail * (table.gain.take(cell) - usual)


def lit_surface(
    f: Frames, material: Material, colour: Floats, light: Light, lamp: Floats, sky: Floats
) -> Floats:
    """Return the (3, F) linear light that surfaces of a material send to the viewer.

    Parameters
    ----------
    colour
        (3, F) linear red, green and blue.
    lamp, sky
        (F,) how much of the lamp and of the sky each place sees.
    """
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
    for c, own in enumerate(colour):
        # Light that has met other threads before comes back in their colour, again and again.
        again = open_ / (1 - own * (1 - open_)) - open_
        lamp_c, sky_c = np.float32(light.lamp[c] / level), np.float32(light.sky[c])
        around = np.float32(_AROUND * light.lamp[c]) + sky_c
        came = lamp_c * body + sky_c * open_ + around * again
        out[c] = own * came + lamp_c * (gloss * own if material.metal else gloss)
    return out
