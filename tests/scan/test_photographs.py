"""Sheets that were photographed askew, against scikit-image's projective transform."""

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage
from scipy.spatial import cKDTree
from skimage.transform import ProjectiveTransform, warp

from render import PatternError, ScanSettings
from render.scan.picture import open_picture
from render.scan.reading import read_scan
from render.scan.rectify import find_corners, homography, square_up
from tests.scan.conftest import DRAWN, PAPERS, torchon_sheet

CORNERS = np.array([(172.3, 130.8), (805.7, 98.4), (861.2, 1032.6), (108.9, 969.2)])
SIZE = 1120, 960
TABLES = {
    "white on a pale table": ("white", (0.75, 0.75, 0.72)),
    "buff on white": ("buff", (0.95, 0.95, 0.95)),
    "buff on oak": ("buff", (0.55, 0.42, 0.28)),
}


@pytest.fixture(scope="module")
def sheet():
    return torchon_sheet(np.random.default_rng(5))


def photograph(path, sheet, paper="white", table=(0.3, 0.22, 0.16), corners=CORNERS, shade=0.3):
    """Lay a sheet on a grained table under a lamp at the side, and take it from an angle."""
    rng = np.random.default_rng(8)
    drawn = sheet.drawn()
    height, width = drawn.shape[:2]
    edge = np.array([[0, 0], [width, 0], [width, height], [0, height]]) - 0.5
    way = ProjectiveTransform.from_estimate(corners, edge)
    finer = max(width / np.hypot(*(corners[1] - corners[0])), 1.0)
    drawn = ndimage.gaussian_filter(drawn, (0.45 * finer, 0.45 * finer, 0))
    on_paper = warp(drawn * np.array(PAPERS[paper]), way, output_shape=SIZE, order=1)
    inside = warp(np.ones((height, width)), way, output_shape=SIZE, order=1)[..., None]
    grain = ndimage.gaussian_filter(rng.normal(0, 1, SIZE), (1, 14))[..., None] * 0.12
    seen = on_paper + (1 - inside) * (np.array(table) + grain)
    seen = ndimage.gaussian_filter(seen, (0.9, 0.9, 0))
    y, x = np.mgrid[0 : 1 : SIZE[0] * 1j, 0 : 1 : SIZE[1] * 1j]
    seen *= (1 - shade * (0.7 * x + 0.5 * (y - 0.3) ** 2))[..., None]
    seen += rng.normal(0, 0.01, seen.shape)
    Image.fromarray((np.clip(seen, 0, 1) * 255).astype(np.uint8)).save(path, quality=85)
    return path


def test_the_map_from_corners_is_scikit_images():
    rng = np.random.default_rng(1)
    source = CORNERS
    target = np.array([[0, 0], [700, 0], [700, 990], [0, 990]], float)
    own, theirs = homography(source, target), ProjectiveTransform.from_estimate(source, target)
    points = rng.uniform(100, 900, (50, 2))
    carried = np.column_stack([points, np.ones(50)]) @ own.T
    assert carried[:, :2] / carried[:, 2:] == pytest.approx(theirs(points), abs=1e-6)


@pytest.mark.parametrize("laid", TABLES)
def test_corners_are_found_and_the_sheet_is_squared_up(tmp_path, sheet, laid):
    path = photograph(tmp_path / "photo.jpg", sheet, *TABLES[laid])
    found = find_corners(open_picture(path))
    assert cKDTree(found).query(CORNERS)[0].max() < 0.25
    reading = read_scan(path, ScanSettings(paper_mm=(sheet.width_mm, sheet.height_mm)))
    assert_holes_lie_true(reading, sheet)


def assert_holes_lie_true(reading, sheet):
    """Hold the same shares as of a scan at 300 dpi, both ways, and the same error."""
    places = reading.to_mm(reading.holes.centres)
    there, back = cKDTree(places).query(sheet.holes)[0], cKDTree(sheet.holes).query(places)[0]
    assert min((there < 0.4).mean(), (back < 0.4).mean()) >= 0.995
    assert np.quantile(there, 0.95) < 0.05


@pytest.fixture(scope="module")
def photo(sheet, tmp_path_factory):
    return open_picture(photograph(tmp_path_factory.mktemp("table") / "photo.jpg", sheet))


def test_squared_up_pixels_are_those_that_scikit_image_sees(photo, sheet):
    squared = square_up(photo, (sheet.width_mm, sheet.height_mm), CORNERS)
    own = squared.pixels.astype(float).mean(axis=2)
    size = np.array([sheet.width_mm, sheet.height_mm]) * squared.per_mm
    edge = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * size - 0.5
    way = ProjectiveTransform.from_estimate(edge, CORNERS)
    theirs = warp(photo.pixels.astype(float).mean(axis=2), way, output_shape=own.shape)
    inner = slice(20, -20)
    assert np.abs(own - theirs)[inner, inner].mean() < 1.5


def test_neither_the_order_of_corners_nor_of_the_papers_sides_matters(photo, sheet):
    size = sheet.width_mm, sheet.height_mm
    squared = square_up(photo, size, CORNERS).pixels
    assert (square_up(photo, size[::-1], CORNERS[[2, 0, 3, 1]]).pixels == squared).all()


@pytest.mark.parametrize(
    "corners",
    [CORNERS - (300, 0), CORNERS * (1.0, 1.3), 0.25 * CORNERS + (300, 300)],
    ids=["cut on the left", "cut below", "far away"],
)
def test_a_sheet_that_is_not_seen_whole_is_refused(tmp_path, sheet, corners):
    path = photograph(tmp_path / "photo.jpg", sheet, corners=corners)
    with pytest.raises(PatternError, match="four corners"):
        find_corners(open_picture(path))


def test_a_scan_without_a_table_has_no_corners(tmp_path, sheet):
    path = tmp_path / "scan.png"
    Image.fromarray((sheet.drawn() * 255).astype(np.uint8)).reduce(2).save(path)
    assert sheet.drawn().shape[1] == round(sheet.width_mm * DRAWN)
    with pytest.raises(PatternError, match=r"four corners.*--corners"):
        read_scan(path, ScanSettings(paper_mm=(sheet.width_mm, sheet.height_mm)))
