"""Areas and pen lines of spoiled scans, against what cairo drew (overlaps by shapely)."""

import numpy as np
import pytest
import shapely

from render import copy_scan, parse_pen, read_pattern
from tests.scan.conftest import guipure_sheet, neighbours_sheet, scan, torchon_sheet

STITCHES = {"yellow": "half", "blue": "whole", "pink": "ground", "green": "double"}


def saved(tmp_path, made):
    path = tmp_path / "copy.png"
    made.image.convert("RGB").save(path, dpi=(made.dpi, made.dpi), compress_level=1)
    return path


def polygon(contours):
    return shapely.Polygon(contours[0], contours[1:]).buffer(0)


def overlap(a, b):
    return shapely.intersection(a, b).area / shapely.union(a, b).area


@pytest.mark.parametrize("spoiling", [{"dpi": 300, "paper": "buff"}, {"dpi": 150, "quality": 60}])
def test_every_area_has_its_stitch_and_its_outline(tmp_path, rng, spoiling):
    made = scan(torchon_sheet(rng), rng=rng, angle=1.1, **spoiling)
    pens = [parse_pen(f"{colour}={word}") for colour, word in STITCHES.items()]
    copy_scan(saved(tmp_path, made), tmp_path / "copy.svg", pens=pens)
    regions = read_pattern(tmp_path / "copy.svg").regions
    assert len(regions) == len(made.sheet.areas)
    for colour, contours in made.sheet.areas:
        best = max(regions, key=lambda r: overlap(polygon(r.contours), polygon(contours)))
        assert overlap(polygon(best.contours), polygon(contours)) >= 0.9
        assert best.stitch == STITCHES[colour]
        assert len(best.contours) == len(contours), "a ring keeps its opening"


def test_neighbours_of_one_pen_are_two_areas_even_in_a_coarse_jpeg(tmp_path, rng):
    made = scan(neighbours_sheet(rng), 150, rng, quality=75)
    path = saved(tmp_path, made)
    asked = copy_scan(path, tmp_path / "copy.svg", key=None)
    pens = [parse_pen(f"{k}=whole") for k in range(1, 1 + len(asked.pens))]
    copy_scan(path, tmp_path / "copy.svg", pens=pens)
    found = [polygon(r.contours) for r in read_pattern(tmp_path / "copy.svg").regions]
    for _, contours in made.sheet.areas:
        assert max(overlap(polygon(contours), one) for one in found) >= 0.9


def test_pen_strokes_become_lines_from_hole_to_hole(tmp_path, rng):
    made = scan(guipure_sheet(rng), 300, rng)
    words = ("green=whole", "blue=whole", "#dc403a=line:plait", "pink=line:gimp")
    copied = copy_scan(
        saved(tmp_path, made), tmp_path / "copy.svg", pens=[parse_pen(w) for w in words]
    )
    assert (copied.areas, copied.lines) == (2, len(made.sheet.strokes))
    lines = read_pattern(tmp_path / "copy.svg").lines
    for colour, points in made.sheet.strokes:
        true = shapely.LineString(points)
        best = min(lines, key=lambda one: shapely.hausdorff_distance(shapely.LineString(
            one.points), true))  # fmt: skip
        assert shapely.hausdorff_distance(shapely.LineString(best.points), true) < 0.6
        assert best.word == {"red": "plait", "pink": "gimp"}[colour]


def test_the_written_drawing_has_its_parts_in_named_groups(tmp_path, rng):
    made = scan(guipure_sheet(rng), 300, rng)
    words = ("green=whole", "blue=whole", "#dc403a=line:plait", "pink=ignore")
    copy_scan(saved(tmp_path, made), tmp_path / "copy.svg", pens=[parse_pen(w) for w in words])
    text = (tmp_path / "copy.svg").read_text("utf-8")
    for part in ("holes", "regions", "notes", "doubtful"):
        assert f'id="{part}"' in text
    assert np.isclose(len(read_pattern(tmp_path / "copy.svg").holes), len(made.sheet.holes))
