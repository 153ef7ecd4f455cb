"""Picture files: which way up they are, and what they know of their scale.

Orientations are those of TIFF 6.0, section 8: the place of the first row and column stored.
"""

import numpy as np
import pytest
from PIL import Image

from render import PatternError, ScanSettings
from render.scan.picture import open_picture
from render.scan.reading import read_scan
from render.scan.scale import scaled
from tests.scan.conftest import Sheet, scan

# Each way of storing, by what it does to the upright (row, column, colour) array.
STORED = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.swapaxes(0, 1),
    6: lambda a: a[:, ::-1].swapaxes(0, 1),
    7: lambda a: a[::-1, ::-1].swapaxes(0, 1),
    8: lambda a: a[::-1].swapaxes(0, 1),
}
# Exposure time: what a camera writes and a scanner does not (Exif 2.3, table 8).
TAKEN = {0x829A: 0.01}


def save(path, pixels, *, orientation=1, taken=None, **options):
    exif = Image.Exif()
    exif[0x112] = orientation
    exif.get_ifd(0x8769).update(taken or {})
    Image.fromarray(pixels).save(path, exif=exif, **options)
    return path


def quarters(height=40, width=64):
    """Return a picture none of whose turns and mirrors are alike."""
    pixels = np.zeros((height, width, 3), np.uint8)
    pixels[: height // 2, : width // 2] = (250, 0, 0)
    pixels[: height // 2, width // 2 :] = (0, 250, 0)
    pixels[height // 2 :, : width // 2] = (0, 0, 250)
    return pixels


@pytest.mark.parametrize("ending", ["jpg", "png", "tif", "webp"])
@pytest.mark.parametrize("orientation", STORED)
def test_pictures_are_turned_as_their_tag_says(tmp_path, orientation, ending):
    stored = np.ascontiguousarray(STORED[orientation](quarters()))
    path = save(tmp_path / f"copy.{ending}", stored, orientation=orientation)
    seen = open_picture(path).pixels
    assert seen.shape == quarters().shape
    assert np.abs(seen[4:-4:4, 4:-4:4].astype(int) - quarters()[4:-4:4, 4:-4:4]).mean() < 12


@pytest.mark.parametrize("ending", ["png", "tif"])
@pytest.mark.parametrize("orientation", STORED)
@pytest.mark.parametrize("size", [(40, 64), (48, 48)], ids=["oblong", "square"])
def test_unlike_steps_across_and_down_go_with_the_turn(tmp_path, orientation, ending, size):
    stored = np.ascontiguousarray(STORED[orientation](quarters(*size)))
    dpi = (300, 150) if orientation < 5 else (150, 300)
    path = save(tmp_path / f"copy.{ending}", stored, orientation=orientation, dpi=dpi)
    seen = open_picture(path)
    assert seen.pixels.shape == (2 * size[0], size[1], 3)
    assert seen.per_mm == pytest.approx(300 / 25.4, rel=1e-4)


def lattice(spacing=2.5, count=10):
    places = [(6 + spacing * c, 6 + spacing * r) for r in range(count) for c in range(count)]
    sheet = Sheet(12 + spacing * (count - 1), 12 + spacing * (count - 1), np.array(places))
    sheet.dots(0.7)
    return sheet


def test_a_scan_at_unlike_steps_that_lies_on_its_side_is_read(tmp_path, rng):
    made = scan(lattice(), 300, rng)
    half = np.asarray(made.image.reduce((1, 2)))
    stored = np.ascontiguousarray(STORED[6](half))
    path = save(tmp_path / "copy.tif", stored, orientation=6, dpi=(150, 300))
    reading = read_scan(path, ScanSettings(turn_degrees=0.0))
    found = reading.to_mm(reading.holes.centres)
    assert found == pytest.approx(made.sheet.holes, abs=0.05)


@pytest.mark.parametrize(
    ("known", "why"),
    [
        ({"dpi": (72, 72)}, "72"),
        ({"dpi": (96, 96)}, "96"),
        ({"dpi": (300, 300), "taken": TAKEN}, "camera"),
        ({"dpi": (72, 72), "taken": TAKEN}, "camera"),
        ({}, "does not say its dpi"),
    ],
)
def test_a_scale_that_nobody_knows_is_refused(tmp_path, known, why):
    path = save(tmp_path / ("copy.jpg" if known else "copy.png"), quarters(), **known)
    picture = open_picture(path)
    assert picture.per_mm is None
    with pytest.raises(PatternError, match=f"{why}.*--dpi.*--pitch.*--between.*--paper"):
        scaled(picture, ScanSettings())


def test_the_dpi_that_is_given_goes_before_the_file_and_the_camera(tmp_path):
    path = save(tmp_path / "copy.jpg", quarters(), dpi=(72, 72), taken=TAKEN)
    assert scaled(open_picture(path), ScanSettings(dpi=254)).per_mm == 10


@pytest.mark.parametrize("mode", ["L", "P", "LA", "RGBA", "CMYK", "1", "I;16"])
def test_every_way_to_store_tones_is_brought_to_colours_on_white(tmp_path, mode):
    pixels = np.full((40, 40), 250, np.uint8)
    pixels[10:20, 10:20] = 0
    if mode == "I;16":
        image = Image.fromarray(pixels.astype(np.uint16) * 257)
    else:
        image = Image.fromarray(pixels).convert(mode)
    if mode in ("LA", "RGBA"):
        image.putalpha(Image.fromarray(np.where(pixels == 0, 255, 0).astype(np.uint8)))
    path = tmp_path / "copy.tif"
    image.save(path, dpi=(300, 300))
    seen = open_picture(path).pixels
    assert seen[5, 5].min() > 235
    assert seen[15, 15].max() < 45
