"""From pieces of thread to the light a strip of pixels receives."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.shade.batch import Batch, Strip, batch
from render.shade.layers import Layer, layers
from render.shade.lift import shade_below
from render.shade.pieces import Floats
from render.shade.relief import height_map, lamp_visible, sky_visible, softened
from render.shade.stage import Stage
from render.shade.surface import light_threads

# Part of the sky over a thread that reaches the card beside it through a narrow gap.
_IN_GAPS = 0.3


@dataclass(frozen=True, eq=False)
class Lit:
    """What the threads of a strip send to the viewer and leave for what lies beneath them.

    Attributes
    ----------
    threads
        (3, rows, columns) linear red, green and blue from threads, already scaled by how much
        they cover.
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
    halo = stage.halo
    around = Strip(
        strip.top - halo, strip.left - halo, strip.rows + 2 * halo, strip.columns + 2 * halo
    )
    seen = batch(stage.pieces, around, stage.outline)
    found = layers(seen, around, stage.outline)
    lamp, sky, on_card, sky_on_card = _fields(height_map(found, around, stage.card), stage)
    wide = around.columns
    threads = np.zeros((3, strip.rows * wide), np.float32)
    bare = np.ones(strip.rows * wide, np.float32)
    # The pixel that each one of the card borrows its light from: itself, to begin with.
    lender = np.arange(wide, wide + len(bare))
    for depth, whole in enumerate(found):
        start, stop = np.searchsorted(whole.pixel, (halo * wide, halo * wide + len(bare)))
        for layer in whole.part(slice(start, stop)).blocks():
            pixel = layer.pixel - halo * wide
            inward = _inward(layer, seen, wide)
            if depth == 0:
                # Its own middle sees for a thread that holds it, the next one out for all else.
                lender[pixel] = pixel + wide - inward * layer.centre
                place = pixel + wide + inward * ~layer.centre
            else:
                place = lender[pixel]
                place += inward * ((place == pixel + wide) & ~layer.centre)
            colour = light_threads(layer, seen, stage, lamp.take(place), sky.take(place))
            for channel, shade in zip(threads, colour, strict=True):
                shade *= layer.share
                channel[pixel] = shade if depth == 0 else channel[pixel] + shade
            bare[pixel] -= layer.share
    wanted = slice(halo, halo + strip.columns)
    under = (bare, on_card.take(lender), sky_on_card.take(lender))
    return Lit(
        threads.reshape(3, strip.rows, wide)[:, :, wanted],
        *(v.reshape(strip.rows, wide)[:, wanted] for v in under),
    )


def _fields(heights: Floats, stage: Stage) -> tuple[Floats, Floats, Floats, Floats]:
    """Return lamp and sky on threads, and both on the card, for a row more above and below.

    They are flattened, as wide as the height map; at its very edges they say nothing.
    """
    halo, width = stage.halo, heights.shape[1]
    lamp = lamp_visible(heights, stage.far, stage.light, halo - 2)
    inner = slice(halo - 2, 2 - halo)
    level = heights == np.float32(stage.card)
    sky = sky_visible(heights, stage.far, halo - 1)
    if stage.lift is None:
        # A gap between threads too narrow to show any card of its own is dark.
        bare = level[halo - 1 : 1 - halo, halo - 1 : 1 - halo]
        on_card = softened(lamp, level[inner, inner])[1:-1, 1:-1] * bare
        sky_on_card = sky * (np.float32(1 - _IN_GAPS) * bare + np.float32(_IN_GAPS))
    else:
        on_card, sky_on_card = shade_below(~level, stage.lift, halo - 1)
    fields = (lamp[1:-1, 1:-1], sky, on_card, sky_on_card)
    lamp, sky, on_card, sky_on_card = (_as_wide(field, width) for field in fields)
    return lamp, sky, on_card, sky_on_card


def _as_wide(field: Floats, width: int) -> Floats:
    """Flatten a field with room beside it for its rows to be `width` long, and one place more.

    The last place is for the neighbour of the last pixel.
    """
    rows, columns = field.shape
    beside = (width - columns) // 2
    wide = np.ones(rows * width + 1, np.float32)
    wide[:-1].reshape(rows, width)[:, beside : beside + columns] = field
    return wide


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
