"""The demo patterns, drawn by cairo as coloured paper copies, come back with their counts.

What paper cannot say (the ground of the whole, pairs, picots, what repeats) is then written into
the pattern as it stands in the original, as a maker would from the heading of a printed pattern.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree

from render import Wishes, copy_scan, parse_pen, plan_file, preview, read_pattern
from render.estimate.counts import count_work
from render.pattern.write import write_pattern
from tests.scan.conftest import PENS, Sheet, scan

DEMO = Path(__file__).parents[2] / "demo_patterns"
COPIES = ["tide_edging", "shell_net", "eelgrass_edging", "limpet_edging", "samphire_braid"]
MARGIN = 10.0


def everything(pattern):
    parts = [pattern.holes, *(line.points for line in pattern.lines)]
    return np.vstack([*parts, *(c for region in pattern.regions for c in region.contours)])


def drawable(pattern):
    """Leave out lines that run along the edge of an area: one pen would cover the other."""
    edges = shapely.unary_union([shapely.Polygon(r.contours[0]).exterior for r in pattern.regions])
    beside = [
        line for line in pattern.lines if shapely.LineString(line.points).within(edges.buffer(0.5))
    ]
    return [line for line in pattern.lines if line not in beside], beside


def meaning(thing, kind):
    ground = thing.options.get("ground")
    if kind == "line":
        return f"line:{thing.word}"
    return f"ground:{ground}" if ground else thing.stitch


def copied(name, folder, dot_mm=0.7):
    """Print a pattern, colour it, scan it a little askew and read it."""
    original = read_pattern(DEMO / f"{name}.svg")
    low, high = everything(original).min(axis=0), everything(original).max(axis=0)
    move = MARGIN - low
    spacing = float(np.median(cKDTree(original.holes).query(original.holes, 2)[0][:, 1]))
    sheet = Sheet(*(high - low + 2 * MARGIN), original.holes + move)
    sheet.dots(dot_mm)
    rng = np.random.default_rng(5)
    lines, beside = drawable(original)
    words = [*(meaning(r, "area") for r in original.regions), *(meaning(x, "line") for x in lines)]
    pens = dict(zip(dict.fromkeys(words), PENS, strict=False))
    for region in original.regions:
        contours = [contour + move for contour in region.contours]
        sheet.colour(pens[meaning(region, "area")], contours, rng, inset_mm=0.12 * spacing,
                     width_mm=0.4 * spacing, slope=rng.uniform(-1.5, 1.5))  # fmt: skip
    for line in lines:
        sheet.stroke(pens[meaning(line, "line")], line.points + move, 0.25 * spacing)
    made = scan(sheet, 300, rng, angle=0.8, quality=85)
    path = folder / f"{name}.png"
    made.image.convert("RGB").save(path, dpi=(300, 300), compress_level=1)
    names = []
    for word, pen in pens.items():
        shade = "".join(f"{round(255 * part):02x}" for part in PENS[pen])
        names.append(parse_pen(f"#{shade}={word}"))
    target = path.with_suffix(".svg")
    copy_scan(path, target, pens=names)
    return original, move, beside, target


def as_the_heading_says(original, move, beside, target):
    """Write into a pattern that was read what its paper could not say."""
    read = read_pattern(target)

    def outline(region, by=0.0):
        return shapely.Polygon([tuple(p) for p in region.contours[0] + by]).buffer(0)

    def like(region):
        return max(
            original.regions,
            key=lambda o: shapely.intersection(outline(o, move), outline(region)).area,
        )

    def beside_which(line):
        path = shapely.LineString(line.points)
        return min(
            original.lines,
            key=lambda o: shapely.hausdorff_distance(shapely.LineString(o.points + move), path),
        )

    heading = {
        word: getattr(original, word)
        for word in ("ground", "gauge_mm", "thread", "repeat", "down_degrees", "leg_twists")
    }
    full = replace(
        read,
        regions=tuple(replace(r, options=like(r).options) for r in read.regions),
        lines=(
            *(replace(x, options=beside_which(x).options) for x in read.lines),
            *(replace(x, points=x.points + move) for x in beside),
        ),
        **heading,
    )
    write_pattern(full, target.with_name("full.svg"))
    return target.with_name("full.svg")


def counts(path):
    """Return holes, pairs and stitches of a pattern as it is worked."""
    found = count_work(plan_file(path))
    return found.holes, found.pairs, found.stitches


def assert_lines_run_where_drawn(found, drawn, move):
    """Hold them against each other however they are parted; an end goes to its last hole."""
    ways, true = (
        shapely.union_all([shapely.LineString(line.points + by) for line in lines])
        for lines, by in ((found, 0.0), (drawn, move))
    )
    assert shapely.difference(ways, true.buffer(0.35)).length == 0
    assert shapely.difference(true, ways.buffer(0.35)).length <= 0.25 * true.length


@pytest.mark.parametrize("name", COPIES)
def test_a_demo_pattern_comes_back_from_paper_with_its_counts(tmp_path, name):
    original, move, beside, target = copied(name, tmp_path)
    read = read_pattern(target)
    assert len(read.holes) == len(original.holes)
    assert cKDTree(read.holes).query(original.holes + move)[0].max() < 0.25
    assert len(read.regions) == len(original.regions)
    drawn = [line for line in original.lines if line not in beside]
    assert_lines_run_where_drawn(read.lines, drawn, move)
    full = as_the_heading_says(original, move, beside, target)
    assert counts(full) == counts(DEMO / f"{name}.svg")


def test_a_preview_is_drawn_from_what_was_read(tmp_path):
    target = copied("tide_edging", tmp_path)[-1]
    preview(target, tmp_path / "lace.png", Wishes(dpi=60))
    assert (tmp_path / "lace.png").stat().st_size > 10_000


def test_dots_that_do_not_touch_are_read_on_the_tightest_bend(tmp_path):
    """Read the kelp trail, whose closest holes are 0.7 mm apart, from dots of 0.45 mm."""
    original, move, _, target = copied("kelp_trail", tmp_path, dot_mm=0.45)
    read = read_pattern(target)
    assert len(read.holes) == len(original.holes)
    assert [region.stitch for region in read.regions] == ["whole"]
    full = as_the_heading_says(original, move, [], target)
    assert counts(full) == counts(DEMO / "kelp_trail.svg")
