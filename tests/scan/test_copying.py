"""Scans drawn with Pillow, spoiled and read back."""

import numpy as np
import pytest
import shapely
from PIL import Image
from scipy.spatial import cKDTree

from render import PatternError, ScanSettings, copy_scan, read_pattern
from render.pattern.key import ColourKey
from render.scan.naming import parse_pen
from tests.scan.conftest import scan, torchon_sheet

NO_KEY = ColourKey(stitches={}, lines={})


def written(tmp_path, rng, **spoiling):
    """Save a spoiled scan of a sheet; return it and its file."""
    made = scan(torchon_sheet(rng), rng=rng, **spoiling)
    path = tmp_path / "copy.png"
    made.image.convert("RGB").save(path, dpi=(made.dpi, made.dpi))
    return made, path


def match(found, true):
    """Return the distance in mm from each true hole to the nearest found one, and back."""
    return cKDTree(found).query(true)[0], cKDTree(true).query(found)[0]


@pytest.mark.parametrize(
    ("dpi", "paper", "share", "error_mm"),
    [(300, "white", 0.995, 0.05), (300, "buff", 0.995, 0.05), (150, "white", 0.98, 0.2)],
)
def test_nearly_all_holes_are_found_where_they_are(tmp_path, rng, dpi, paper, share, error_mm):
    made, path = written(tmp_path, rng, dpi=dpi, paper=paper)
    copy_scan(path, tmp_path / "copy.svg", pens=pens_as(path, "ignore"))
    there, back = match(read_pattern(tmp_path / "copy.svg").holes, made.sheet.holes)
    assert (there < 0.4).mean() >= share
    assert (back < 0.4).mean() >= share
    assert np.median(there) <= error_mm


def pens_as(path, meaning):
    """Name every pen of a copy alike; while they are unnamed, nothing is written."""
    asked = copy_scan(path, path.with_suffix(".svg"), key=NO_KEY)
    assert asked.path is None
    assert not path.with_suffix(".svg").exists()
    return [parse_pen(f"{k}={meaning}") for k in range(1, 1 + len(asked.pens))]


def test_a_scan_without_scale_is_refused_and_nothing_written(tmp_path, rng):
    made, path = written(tmp_path, rng, dpi=150)
    made.image.convert("RGB").save(path)  # no dpi in the file
    with pytest.raises(PatternError, match="dpi"):
        copy_scan(path, tmp_path / "copy.svg")
    assert not (tmp_path / "copy.svg").exists()


@pytest.mark.parametrize("shade", [0, 255])
def test_a_sheet_without_marks_is_refused(tmp_path, shade):
    path = tmp_path / "blank.png"
    Image.new("RGB", (600, 600), (shade,) * 3).save(path, dpi=(300, 300))
    with pytest.raises(PatternError):
        copy_scan(path, tmp_path / "copy.svg", settings=ScanSettings())
    assert not (tmp_path / "copy.svg").exists()


def test_a_truncated_picture_is_refused(tmp_path, rng):
    _, path = written(tmp_path, rng, dpi=150)
    path.write_bytes(path.read_bytes()[:5000])
    with pytest.raises(PatternError):
        copy_scan(path, tmp_path / "copy.svg")


def test_areas_are_read_with_their_outlines(tmp_path, rng):
    made, path = written(tmp_path, rng, dpi=300)
    copy_scan(path, tmp_path / "copy.svg", pens=pens_as(path, "whole"))
    found = [
        shapely.Polygon(r.contours[0], r.contours[1:]).buffer(0)
        for r in read_pattern(tmp_path / "copy.svg").regions
    ]
    true = [shapely.Polygon(c[0], c[1:]).buffer(0) for _, c in made.sheet.areas]
    assert true
    for area in true:
        overlap = max(
            shapely.intersection(area, f).area / shapely.union(area, f).area for f in found
        )
        assert overlap >= 0.9
