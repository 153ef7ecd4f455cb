"""Holes of spoiled scans, against what cairo drew and against scikit-image."""

from functools import cache

import numpy as np
import pytest
from scipy.spatial import cKDTree
from skimage import feature, filters, measure

from render import ScanSettings
from render.scan.reading import read_scan
from tests.scan.conftest import Sheet, fan_sheet, pricked, scan, torchon_sheet

SEED = 1886


@cache
def sheet(draw="dots", diameter_mm=0.7):
    return torchon_sheet(np.random.default_rng(SEED), diameter_mm, draw=draw)


def read(tmp_path, made, **known):
    path = tmp_path / "copy.png"
    made.image.convert("RGB").save(path, dpi=(made.dpi, made.dpi), compress_level=1)
    return read_scan(path, ScanSettings(**known))


def assert_all_found(reading, true, share, error_mm):
    """At least that share of holes both ways, half of them nearer than the error, 95 % twice."""
    found = reading.to_mm(reading.holes.centres)
    there, back = cKDTree(found).query(true)[0], cKDTree(true).query(found)[0]
    assert (there < 0.4).mean() >= share
    assert (back < 0.4).mean() >= share
    assert np.median(there) <= error_mm / 2
    assert np.quantile(there, 0.95) <= error_mm


@pytest.mark.parametrize(
    ("drawn", "spoiling"),
    [
        ({}, {"dpi": 300, "angle": 2.3, "quality": 60, "paper": "buff"}),
        ({}, {"dpi": 300, "noise": 0.05, "shade": 0.5}),
        ({}, {"dpi": 600, "angle": 0.8, "blur_mm": 0.06}),
        ({"draw": "circles", "diameter_mm": 0.9}, {"dpi": 300, "paper": "buff", "angle": 1.2}),
        ({"diameter_mm": 0.4}, {"dpi": 300}),
        ({"draw": "circles", "diameter_mm": 0.7}, {"dpi": 300, "noise": 0.03}),
        ({"diameter_mm": 0.35}, {"dpi": 300, "noise": 0.03, "angle": 1.3}),
        ({}, {"dpi": 300, "noise": 0.08, "shade": 0.5, "paper": "buff"}),
    ],
    ids=[
        "JPEG on buff, askew",
        "noise and shade",
        "600 dpi",
        "circles",
        "small dots",
        "circles as large as the loops of numerals",
        "dots hardly larger than dust",
        "heavy noise",
    ],
)
def test_holes_of_spoiled_scans_are_found(tmp_path, drawn, spoiling):
    made = scan(sheet(**drawn), rng=np.random.default_rng(SEED), **spoiling)
    assert_all_found(read(tmp_path, made), made.sheet.holes, 0.995, 0.05)


@pytest.mark.parametrize("spoiling", [{"quality": 60}, {"noise": 0.05, "angle": -1.7}])
def test_holes_at_150_dpi_are_found(tmp_path, spoiling):
    made = scan(sheet(), 150, np.random.default_rng(SEED), **spoiling)
    assert_all_found(read(tmp_path, made), made.sheet.holes, 0.98, 0.1)


def test_holes_on_arcs_are_found(tmp_path, rng):
    made = scan(fan_sheet(rng), 300, rng)
    assert_all_found(read(tmp_path, made, turn_degrees=0.0), made.sheet.holes, 0.995, 0.05)


def test_pricked_holes_are_lighter_than_the_card(tmp_path, rng):
    places = [(8 + 2 * c + r % 2, 10 + 2 * r) for r in range(12) for c in range(12)]
    made = scan(pricked(Sheet(42, 42, np.array(places, float))), 300, rng)
    reading = read(tmp_path, made, turn_degrees=0.0)
    assert_all_found(reading, made.sheet.holes, 0.995, 0.05)


def test_a_hole_that_stands_in_no_line_is_doubtful_and_not_dropped(tmp_path, rng):
    places = [(8.0 + 2 * c + r % 2, 10.0 + 2 * r) for r in range(14) for c in range(14)]
    stray = (8.0 + 2 * 7.2, 10.0 + 2 * 6.55)
    made = scan(sheet_of([*places, stray]), 300, rng)
    holes = read(tmp_path, made, turn_degrees=0.0)
    at = cKDTree(holes.to_mm(holes.holes.centres)).query(stray)
    assert at[0] < 0.1
    assert np.flatnonzero(~holes.holes.sure).tolist() == [at[1]]


def sheet_of(places):
    made = Sheet(46, 46, np.array(places, float))
    made.dots(0.6)
    return made


def test_a_scalloped_edge_beside_a_straight_ground_is_found(tmp_path, rng):
    ground = [(22.0 + 2 * c + r % 2, 10.0 + 2 * r) for r in range(14) for c in range(9)]
    angles = np.radians(np.linspace(95, 265, 13))
    edge = np.column_stack([20 + 9 * np.cos(angles), 23 + 13 * np.sin(angles)])
    made = scan(sheet_of([*ground, *edge]), 300, rng)
    reading = read(tmp_path, made, turn_degrees=0.0)
    assert_all_found(reading, made.sheet.holes, 1.0, 0.05)
    assert reading.holes.sure.all()


def test_holes_where_plaits_cross_are_doubtful_and_not_dropped(tmp_path, rng):
    rails = [(x, 8.0 + 2.5 * r) for r in range(12) for x in (8.0, 13.0, 29.0, 34.0)]
    crossings = [(21.0, 13.0), (21.0, 23.0), (21.0, 33.0)]
    made = scan(sheet_of([*rails, *crossings]), 300, rng)
    reading = read(tmp_path, made, turn_degrees=0.0)
    assert_all_found(reading, made.sheet.holes, 1.0, 0.05)
    doubtful = reading.to_mm(reading.holes.centres[~reading.holes.sure])
    assert doubtful == pytest.approx(np.array(crossings), abs=0.1)


def test_centres_agree_with_scikit_image(tmp_path, rng):
    """Regions under Otsu's threshold, weighted by darkness, and maxima of its Laplacian filter."""
    places = [(6.0 + 2.5 * c + 1.25 * (r % 2), 6.0 + 2.5 * r) for r in range(8) for c in range(8)]
    made = scan(sheet_of(places), 300, rng, shade=0.0, angle=3.1)
    dark = 1 - np.asarray(made.image.convert("L"), float) / 255
    labels = measure.label(dark > filters.threshold_otsu(dark))
    regions = measure.regionprops(labels, dark - np.median(dark))
    weighted = np.array([r.centroid_weighted[::-1] for r in regions if r.area > 8])
    blobs = feature.blob_log(dark, min_sigma=2, max_sigma=4, num_sigma=3, threshold=0.2)
    found = read(tmp_path, made).holes.centres
    assert len(found) == len(weighted) == len(blobs) == len(places)
    assert cKDTree(found).query(weighted)[0].max() < 0.15
    assert cKDTree(found).query(blobs[:, 1::-1])[0].max() < 1.0
