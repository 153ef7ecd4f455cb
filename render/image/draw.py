"""Draw a scene, a few rows at a time."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import linear_from_srgb
from render.image.background import Card, Clear, Cloth, Flat, rows
from render.image.holes import prick
from render.image.pins import stick
from render.image.processes import in_order
from render.image.scene import Scene
from render.image.tone import develop
from render.shade.batch import Strip
from render.shade.look import Look
from render.shade.stage import Stage, set_stage
from render.shade.strip import Lit, lit
from render.shade.view import View

Progress = Callable[[float], None]
Rows = NDArray[np.uint8]

# Samples worked on together; a strip's arrays take about 100 bytes a sample.
_BAND_SAMPLES = 700_000
# The GNU C library keeps memory for the next band, instead of giving it back to the system and
# asking for it again, up to twice the size of the largest array it has seen freed; from 32 MB on
# it takes no notice.
_KEPT_BYTES = 31 * 2**20
# Rows developed together: what they need stays within the processor's cache.
_TOGETHER = 16
# A thread should be this many samples wide at least, or several would share a sample.
_LEAST_DIAMETER = 1.5
_MOST_SAMPLES = 6
# Part of the light that comes back from threads over a card that sees nothing else.
_THROWN_BACK = 0.33


def picture(scene: Scene, *, processes: int = 2) -> Rows:
    """Return the whole picture: (height, width, 3) sRGB, with a fourth channel if clear."""
    return np.concatenate(list(draw(scene, processes=processes)))


def draw(
    scene: Scene,
    *,
    processes: int = 2,
    progress: Progress | None = None,
    band_rows: int | None = None,
) -> Iterator[Rows]:
    """Draw a scene from top to bottom.

    Parameters
    ----------
    scene
        What is drawn.
    processes
        How many processes share the work; the picture does not depend on it. Systems that cannot
        fork use one.
    progress
        Called with the part done, 0 to 1, after each band.
    band_rows
        Rows in a band; the picture does not depend on it.

    Yields
    ------
    (rows, width, 3) bands of sRGB, or (rows, width, 4) straight alpha on a clear background.
    """
    np.empty(_KEPT_BYTES, np.uint8)
    ready = _set_up(scene)
    height = scene.view.height
    if band_rows is None:
        band_rows = max(16, _BAND_SAMPLES // (ready.samples**2 * scene.view.width))
        band_rows = min(band_rows, ceil(height / max(processes, 1)))
    tops = range(0, height, band_rows)
    bands = in_order(lambda top: _band(ready, top, min(band_rows, height - top)), tops, processes)
    for done, band in enumerate(bands, 1):
        yield band
        if progress is not None:
            progress(done / len(tops))


@dataclass(frozen=True, eq=False)
class _Set:
    """A scene made ready: the same for every band."""

    scene: Scene
    view: View
    samples: int
    stage: Stage
    usual_colour: NDArray[np.float32]


def _set_up(scene: Scene) -> _Set:
    samples = scene.samples or _samples(scene)
    view = scene.view.finer(samples)
    made_of = scene.made_of
    if made_of is None:
        made_of = np.zeros(len(scene.paths.radius), np.int64)
    look = Look(linear_from_srgb(scene.colours).astype(np.float32), scene.materials, made_of)
    stage = set_stage(
        scene.paths, view, look, scene.light,
        lift_mm=scene.lift_mm, hairs=scene.shows_hairs, samples=samples,
    )  # fmt: skip
    if not isinstance(scene.background, Clear):
        rows(scene.background, view, scene.light, 0, 1)  # once, before processes part
    usual = look.colour.mean(axis=0) if len(look.colour) else np.zeros(3, np.float32)
    return _Set(scene, view, samples, stage, usual)


def _samples(scene: Scene) -> int:
    """Return how finely pixels must be cut for the thinnest usual thread."""
    if len(scene.paths.radius) == 0:
        return 1
    diameter = 2 * float(np.median(scene.paths.radius)) * scene.view.scale
    return min(max(1, ceil(_LEAST_DIAMETER / max(diameter, 1e-6))), _MOST_SAMPLES)


def _band(ready: _Set, top: int, count: int) -> Rows:
    view, times = ready.view, ready.samples
    strip = Strip(top * times, 0, count * times, view.width)
    shone = lit(ready.stage, strip)
    if ready.scene.pins is not None:
        stick(ready.scene.pins, shone, view, ready.scene.light, strip.top)
    if isinstance(ready.scene.background, Clear):
        return _clear(ready, shone, ready.scene.background)
    return _laid_on(ready, shone, ready.scene.background, strip)


def _laid_on(ready: _Set, shone: Lit, background: Flat | Card | Cloth, strip: Strip) -> Rows:
    """Lay the threads on their background and develop the picture."""
    scene, light = ready.scene, ready.scene.light
    under = rows(background, ready.view, light, strip.top, strip.rows)
    if isinstance(background, Card) and scene.card_holes is not None:
        prick(under, scene.card_holes, scene.hole_mm, ready.view, light, strip.top)
    under *= shone.bare
    own = linear_from_srgb(np.array(background.colour))
    # What threads keep from the card they throw back at it in part, in their colour.
    back = _THROWN_BACK * (np.array(light.lamp) + light.sky) * ready.usual_colour
    falls = np.array([light.lamp, light.sky - back, back])
    factors = (own * scene.exposure * falls).astype(np.float32)
    times = ready.samples
    out = np.empty((strip.rows // times, strip.columns // times, 3), np.uint8)
    for c, (lamp, sky, thrown) in enumerate(factors.T):
        for top in range(0, len(out), _TOGETHER):
            some = slice(top * times, (top + _TOGETHER) * times)
            falling = lamp * shone.lamp[some]
            falling += sky * shone.sky[some]
            falling += thrown
            falling *= under[some]
            falling += shone.threads[c, some] * np.float32(scene.exposure)
            out[top : top + _TOGETHER, :, c] = develop(_mean(falling, times))
    return out


def _clear(ready: _Set, shone: Lit, background: Clear) -> Rows:
    times, exposure = ready.samples, np.float32(ready.scene.exposure)
    cover = 1 - _mean(shone.bare, times)
    shade = 1 - _mean((shone.lamp + shone.sky) * np.float32(0.5), times)
    alpha = np.asarray(cover + (1 - cover) * np.float32(background.shadow) * shade, np.float32)
    threads = [_mean(channel, times) * exposure for channel in shone.threads]
    visible = np.maximum(alpha, np.float32(1e-6))
    colour = [develop(np.divide(channel, visible, dtype=np.float32)) for channel in threads]
    return np.stack([*colour, np.rint(alpha * 255).astype(np.uint8)], axis=2)


def _mean(samples: NDArray[np.float32], times: int) -> NDArray[np.float32]:
    """Average blocks of times x times samples."""
    if times == 1:
        return samples
    height, width = samples.shape
    blocks = samples.reshape(height // times, times, width // times, times)
    return np.asarray(blocks.mean(axis=(1, 3)), np.float32)
