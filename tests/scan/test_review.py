"""The review picture shows every hole, every doubt and every area; grey is at least spoken of."""

import numpy as np
import pytest
from PIL import Image

from render import copy_scan, parse_pen
from render.scan.reading import read_scan
from render.scan.review import CARD, DOUBTFUL, LINE_MM, PALER, RING_MM, SURE, TINT, TINTS
from tests.scan.conftest import PENS, Sheet, scan

PITCH = 2.5
LONE = (34.6, 20.4)


def coloured(folder, rng, shade=None):
    """Scan a ground of 11 by 11 holes and one that stands apart, two squares of it coloured."""
    places = [(8 + PITCH * c, 8 + PITCH * r) for r in range(11) for c in range(9)]
    places += [(29.5 + PITCH / 2 * (k % 2), 9.0 + 4 * k) for k in range(6)]
    sheet = Sheet(42, 42, np.array([*places, LONE]))
    sheet.dots(0.7)
    for pen, (x, y) in (("yellow", (10.5, 10.5)), ("blue", (15.5, 23.0))):
        square = [(x, y), (x + 7.5, y), (x + 7.5, y + 7.5), (x, y + 7.5)]
        sheet.colour(shade or pen, [np.array(square)], rng)
    path = folder / "copy.png"
    scan(sheet, 300, rng).image.save(path, dpi=(300, 300))
    return path


@pytest.fixture
def shown(tmp_path, rng):
    """Return a reading and the pixels of its review."""
    path = coloured(tmp_path, rng)
    pens = [parse_pen("yellow=half"), parse_pen("blue=whole")]
    copy_scan(path, tmp_path / "copy.svg", pens=pens, review=tmp_path / "look.png")
    with Image.open(tmp_path / "look.png") as review:
        return read_scan(path), np.asarray(review.convert("RGB")).astype(int)


def ring_colours(reading, pixels, k):
    """Return the (24, 3) colours round a hole, in the middle of its ring."""
    line = max(2, round(LINE_MM * reading.per_mm)) * (1 if reading.holes.sure[k] else 2)
    reach = reading.holes.radius[k] + RING_MM * reading.per_mm
    angles = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    x, y = reading.holes.centres[k][:, None] + reach * np.array([np.cos(angles), np.sin(angles)])
    assert line >= 2
    return pixels[np.rint(y).astype(int), np.rint(x).astype(int)]


def test_every_hole_is_ringed_and_doubtful_ones_in_their_own_colour(shown):
    reading, pixels = shown
    assert 0 < (~reading.holes.sure).sum() < 10
    for k, sure in enumerate(reading.holes.sure):
        away = np.abs(ring_colours(reading, pixels, k) - (SURE if sure else DOUBTFUL)).max(axis=1)
        assert (away < 40).mean() > 0.7


def test_areas_are_tinted_each_pen_in_its_own(shown):
    reading, pixels = shown
    assert len(reading.areas) == 2
    for area in reading.areas:
        x, y = np.rint(area.contours[0].mean(axis=0)).astype(int)
        below = np.s_[y + 17 : y + 22, x - 2 : x + 3]
        seen, was = pixels[below], reading.picture.pixels[below].astype(float)
        paler = was + PALER * (255 - was)
        away = [np.abs(paler + TINT / 255 * (tint - paler) - seen).mean() for tint in TINTS]
        assert int(np.argmin(away)) == area.pen - 1
        assert min(away) < 3


def test_the_legend_stands_below_the_picture(shown):
    reading, pixels = shown
    height = reading.picture.pixels.shape[0]
    legend = pixels[height:]
    assert len(legend) > 4 * 22
    assert (legend == CARD).all(axis=2).mean() > 0.7
    assert (np.abs(legend - SURE).max(axis=2) < 10).any()
    assert (np.abs(legend - DOUBTFUL).max(axis=2) < 10).any()


def test_plain_grey_is_not_read_and_it_is_said(tmp_path, rng, monkeypatch):
    monkeypatch.setitem(PENS, "grey", (0.72, 0.72, 0.72))
    reading = read_scan(coloured(tmp_path, rng, "grey"))
    assert reading.areas == ()
    assert any("mm² are plainly grey" in remark.message for remark in reading.remarks)


def test_nothing_is_said_of_grey_where_there_is_none(shown):
    assert not any("grey" in remark.message for remark in shown[0].remarks)
