"""Write a picture as PNG, band by band, whole or not at all.

References
----------
.. ISO/IEC 15948:2004, "Portable Network Graphics (PNG): Functional specification"
"""

import struct
import zlib
from collections.abc import Iterable, Iterator, Mapping
from itertools import chain
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from render.files import PNG_SIGNATURE, whole_file

_COLOUR_TYPE = {3: 2, 4: 6}
_NONE = 0
_CHUNK_BYTES = 2**20


def write_png(
    path: str | Path,
    bands: Iterable[NDArray[np.uint8]],
    *,
    width: int,
    height: int,
    dpi: float,
    text: Mapping[str, str] | None = None,
) -> None:
    """Write bands of rows as one PNG, tagged as sRGB and with its scale.

    The file appears under its name when it is complete; a failure leaves nothing behind.

    Parameters
    ----------
    path
        The file; an older one of that name is replaced.
    bands
        (rows, width, 3 or 4) 8-bit bands from top to bottom.
    width, height
        Of the whole picture in pixels.
    dpi
        Pixels per inch, written as pixels per metre.
    text
        Keywords and what to note under them, such as the settings that made the picture.

    Raises
    ------
    OutputError
        If the file cannot be written.
    """
    with whole_file(path) as file:
        _write(file, bands, (width, height), dpi, text or {})


def _write(
    file: BinaryIO,
    bands: Iterable[NDArray[np.uint8]],
    size: tuple[int, int],
    dpi: float,
    text: Mapping[str, str],
) -> None:
    bands = iter(bands)
    first = next(bands, None)
    if first is None:
        raise ValueError(f"no rows were drawn, not {size[1]}")
    _head(file, size, first.shape[2], dpi, text)
    waiting = bytearray()
    for data in _squeezed(chain([first], bands), size):
        waiting += data
        # Chunks as long as ever, so that a file does not depend on its bands.
        while len(waiting) >= _CHUNK_BYTES:
            _chunk(file, b"IDAT", waiting[:_CHUNK_BYTES])
            del waiting[:_CHUNK_BYTES]
    if waiting:
        _chunk(file, b"IDAT", waiting)
    _chunk(file, b"IEND", b"")


def _squeezed(bands: Iterable[NDArray[np.uint8]], size: tuple[int, int]) -> Iterator[bytes]:
    width, height = size
    squeeze = zlib.compressobj(level=1)
    rows = 0
    for band in bands:
        if band.shape[1] != width:
            raise ValueError(f"a band is {band.shape[1]} pixels wide, not {width}")
        rows += len(band)
        yield squeeze.compress(_unfiltered(band))
    if rows != height:
        raise ValueError(f"{rows} rows were drawn, not {height}")
    yield squeeze.flush()


def _head(
    file: BinaryIO, size: tuple[int, int], channels: int, dpi: float, text: Mapping[str, str]
) -> None:
    file.write(PNG_SIGNATURE)
    _chunk(file, b"IHDR", struct.pack(">IIBBBBB", *size, 8, _COLOUR_TYPE[channels], 0, 0, 0))
    _chunk(file, b"sRGB", b"\0")
    per_metre = round(dpi / 0.0254)
    _chunk(file, b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1))
    for keyword, value in text.items():
        note = keyword.encode("latin-1") + b"\0\0\0\0\0" + value.encode("utf-8")
        _chunk(file, b"iTXt", note)


def _unfiltered(band: NDArray[np.uint8]) -> bytes:
    """Return rows as they are, each after a byte that says so.

    Differences between neighbours, the usual filters, squeeze no smaller: grain and weave of what
    lace lies on come again, but for what is noted of their neighbours.
    """
    rows, width, channels = band.shape
    out = np.empty((rows, 1 + width * channels), np.uint8)
    out[:, 0] = _NONE
    out[:, 1:] = band.reshape(rows, width * channels)
    return out.tobytes()


def _chunk(file: BinaryIO, kind: bytes, data: bytes | bytearray) -> None:
    file.write(struct.pack(">I", len(data)) + kind)
    file.write(data)
    file.write(struct.pack(">I", zlib.crc32(data, zlib.crc32(kind))))
