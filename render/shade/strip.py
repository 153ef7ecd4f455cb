"""From pieces of thread to the light a strip of pixels receives."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from render.shade.fragments import Batch, Layer, Strip, batch, layers
from render.shade.pieces import Floats
from render.shade.relief import height_map, lamp_visible, sky_visible, softened
from render.shade.stage import Stage
from render.shade.surface import light_threads


@dataclass(frozen=True, eq=False)
class Lit:
    """What the threads of a strip send to the viewer and leave for what lies beneath them.

    Attributes
    ----------
    threads
        (rows, columns, 3) linear light from threads, already scaled by how much they cover.
    bare
        (rows, columns) part of each pixel that no thread covers.
    lamp, sky
        (rows, columns) how much of the lamp and of the sky the card sees there, 0 to 1.
    """

    threads: Floats
    bare: Floats
    lamp: Floats
    sky: Floats


def lit(stage: Stage, strip: Strip) -> Lit:
    """Light one strip of the view a stage was set for; its surroundings are looked at as well."""
    halo = stage.far.halo
    around = Strip(
        strip.top - halo, strip.left - halo, strip.rows + 2 * halo, strip.columns + 2 * halo
    )
    seen = batch(stage.pieces, around, stage.outline)
    found = layers(stage.pieces, seen, around, stage.outline)
    heights = height_map(found, around, stage.card)
    # Some pixels more than wanted on every side: edges borrow their light from a neighbour.
    lamp = lamp_visible(heights, stage.far, stage.light, halo - 2)
    level = heights[halo - 2 : 2 - halo, halo - 2 : 2 - halo] == np.float32(stage.card)
    on_card = softened(lamp, level)[1:-1, 1:-1].ravel()
    lamp = lamp[1:-1, 1:-1].ravel()
    sky = sky_visible(heights, stage.far, halo - 1).ravel()
    stride = strip.columns + 2
    out = np.zeros((strip.rows * strip.columns, 3), np.float32)
    bare = np.ones(strip.rows * strip.columns, np.float32)
    borrowed = (np.arange(strip.rows)[:, None] + 1) * stride + np.arange(strip.columns) + 1
    borrowed = borrowed.ravel()
    for depth, whole in enumerate(found):
        layer, pixel, place = _inside(whole, around, strip, halo)
        if len(pixel) == 0:
            continue
        inward = _inward(layer, seen, stride)
        if depth == 0:
            _look_past(layer, seen, pixel, borrowed, inward)
        colour = light_threads(layer, seen, stage, lamp[place + inward], sky[place + inward])
        left = bare[pixel]
        colour *= (left * layer.cover)[:, None]
        out[pixel] += colour
        bare[pixel] = left * (1 - layer.cover)
    shape = (strip.rows, strip.columns)
    return Lit(
        out.reshape(*shape, 3),
        bare.reshape(shape),
        on_card[borrowed].reshape(shape),
        sky[borrowed].reshape(shape),
    )


def _inside(
    layer: Layer, around: Strip, strip: Strip, halo: int
) -> tuple[Layer, NDArray[np.int64], NDArray[np.int64]]:
    """Keep the fragments of the strip proper, with their pixels there and one pixel wider."""
    row, column = np.divmod(layer.pixel, around.columns)
    row, column = row - halo, column - halo
    keep = np.flatnonzero(
        (row >= 0) & (row < strip.rows) & (column >= 0) & (column < strip.columns)
    )
    row, column = row[keep], column[keep]
    kept = Layer(*(getattr(layer, f.name)[keep] for f in fields(Layer)))
    pixel = row * strip.columns + column
    return kept, pixel, pixel + strip.columns + 3 + 2 * row


def _inward(layer: Layer, seen: Batch, stride: int) -> NDArray[np.int64]:
    """Return the step from each edge pixel to its neighbour nearer the thread's middle line."""
    step = np.zeros(len(layer.pixel), np.int64)
    edge = np.flatnonzero(layer.cover < 1)
    p, side = layer.piece[edge], layer.side[edge]
    far = np.clip(side, -1, 1)
    right = np.rint(seen.chord_y[p] * far).astype(np.int64)
    down = np.rint(-seen.chord_x[p] * far).astype(np.int64)
    step[edge] = down * stride + right
    return step


def _look_past(
    layer: Layer,
    seen: Batch,
    pixel: NDArray[np.int64],
    borrowed: NDArray[np.int64],
    inward: NDArray[np.int64],
) -> None:
    """Let the card under a thread's edge see what its neighbour away from the thread sees."""
    hidden = np.flatnonzero((layer.cover < 1) & layer.centre)
    borrowed[pixel[hidden]] -= inward[hidden]
