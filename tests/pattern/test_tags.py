"""Regions found from tagged holes, judged by where the holes then lie."""

import numpy as np
import pytest
from shapely import Point, Polygon

from render.pattern.findings import Findings
from render.pattern.marks import Marks
from render.pattern.tags import regions_from_tags

LATTICE = [(2.0 * c, 2.0 * r) for r in range(21) for c in range(21) if (r + c) % 2 == 0]


def regions_of(tagged, plain=(), stitch="whole", area=None):
    """Return the regions and remarks of tagged and plain holes."""
    marks, findings = Marks(), Findings("p")
    for x, y in tagged:
        marks.add_hole(float(x), float(y), stitch, area)
    for x, y in plain:
        marks.add_hole(float(x), float(y), None, None)
    regions = regions_from_tags(marks, findings)
    return regions, [str(remark) for remark in findings.remarks]


def polygon(region):
    """Return a region as shapely knows it."""
    return Polygon(region.contours[0], region.contours[1:])


def circle(radius, count=40, turn=0.0):
    """Return points of a circle about 0, 0."""
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False) + turn
    return np.column_stack([np.cos(angle), np.sin(angle)]) * radius


def test_a_diamond_in_ground_passes_through_its_edge_holes():
    """Holes only on the edge, as cloth has them."""
    away = {hole: abs(hole[0] - 20) + abs(hole[1] - 20) for hole in LATTICE}
    edge = [hole for hole in LATTICE if away[hole] == 12]
    ground = [hole for hole in LATTICE if away[hole] > 12]
    (region,), remarks = regions_of(edge, ground)
    assert polygon(region).equals(Polygon([(20, 8), (32, 20), (20, 32), (8, 20)]))
    assert sorted(map(tuple, region.contours[0].tolist())) == sorted(edge)
    assert (region.stitch, region.options, remarks) == ("whole", {}, [])
    assert str(region.place) == "region 1 at 20.0, 20.0 mm"


def test_a_patch_of_ground_keeps_its_straight_sides_and_corners():
    inside = [(x, y) for x, y in LATTICE if 8 <= x <= 24 and 8 <= y <= 20]
    outside = [hole for hole in LATTICE if hole not in inside]
    (region,), remarks = regions_of(inside, outside, "ground")
    assert polygon(region).equals(Polygon([(8, 8), (24, 8), (24, 20), (8, 20)]))
    assert remarks == []


def test_patches_apart_become_regions_of_their_own():
    edges = [hole for hole in LATTICE if 7 < abs(hole[0] - 10) + abs(hole[1] - 10) < 9]
    edges += [hole for hole in LATTICE if 7 < abs(hole[0] - 30) + abs(hole[1] - 30) < 9]
    regions, _ = regions_of(edges, [hole for hole in LATTICE if hole not in edges])
    assert len(regions) == 2
    assert [len(region.contours[0]) for region in regions] == [16, 16]


def test_a_trail_runs_between_its_rails():
    t = np.linspace(0, 1, 36)
    middle = np.column_stack([20 * np.sin(2 * np.pi * t), 60 * t])
    across = np.gradient(middle, axis=0)[:, ::-1] * (1, -1)
    across *= 3 / np.hypot(*across.T)[:, None]
    rails = [*(middle + across), *(middle - across)]
    (region,), _ = regions_of(rails)
    assert len(region.contours[0]) == len(rails)
    assert polygon(region).symmetric_difference(
        Polygon([*(middle + across), *(middle - across)[::-1]])
    ).area == pytest.approx(0, abs=1e-9)


def test_a_ring_has_an_opening_whether_or_not_it_holds_ground():
    rails = [*circle(14), *circle(9, turn=0.03)]
    ground = [(x - 20, y - 20) for x, y in LATTICE if np.hypot(x - 20, y - 20) < 7]
    for plain in ([], ground):
        (region,), _ = regions_of(rails, plain, "half")
        assert [len(contour) for contour in region.contours] == [40, 40]
        assert polygon(region).area == pytest.approx(np.pi * (14**2 - 9**2), rel=0.02)


def test_a_wide_disc_is_one_region_from_its_edge_alone():
    (region,), _ = regions_of(circle(20, 60))
    assert [len(contour) for contour in region.contours] == [60]


def test_the_scallop_of_a_printed_edging_is_followed_into_its_bends():
    """Every hole of the trail stands on its edge, the one where ground cuts deepest into it too.

    Th. de Dillmont, Encyclopedia of Needlework (1886), fig. 799.
    """
    trail = [(1, 0), (2, 1), (3, 2), (4, 3), (3, 4), (2, 5)]
    trail += [(5.1, 0.5), (5.8, 1.5), (6.5, 2.5), (6.5, 3.6), (5.8, 4.6), (5.0, 5.5)]
    ground = [(0, 1), (0, 3), (0, 5), (1, 2), (2, 3), (1, 4)]
    rows = np.array([[0, 6]]) * np.arange(4)[:, None]
    tagged, plain = (
        (np.array(part)[None] + rows[:, None]).reshape(-1, 2) * 2 for part in (trail, ground)
    )
    (region,), _ = regions_of(tagged, plain, "half")
    assert len(region.contours[0]) == 48
    assert not any(polygon(region).intersects(Point(hole)) for hole in plain)


def test_a_name_joins_across_any_width_and_is_kept():
    rails = [(x, y) for x in range(0, 40, 2) for y in (0, 30)]
    assert len(regions_of(rails)[0]) == 0
    (region,), _ = regions_of(rails, area="bed")
    assert polygon(region).area == 38 * 30
    assert (region.options, region.place.item) == ({"area": "bed"}, 'region "bed"')


def test_different_tags_side_by_side_stay_apart():
    marks = Marks()
    for x, y in LATTICE:
        marks.add_hole(x, y, "half" if x <= 20 else "whole", None)
    first, second = regions_from_tags(marks, Findings("p"))
    assert (first.stitch, second.stitch) == ("half", "whole")
    assert polygon(first).intersection(polygon(second)).area == 0


def test_tags_without_neighbours_are_told_and_left_out():
    regions, remarks = regions_of(
        [(4, 4), (30, 30)], [h for h in LATTICE if h not in [(4, 4), (30, 30)]]
    )
    assert regions == []
    assert remarks == [
        'hole 1 at 4.0, 4.0 mm: it is tagged "whole" and so are 1 more, but without neighbours of '
        "the same tag to form a region with, so the tag was left out"
    ]


@pytest.mark.parametrize("holes", [[(1, 1)], [(1, 1), (2, 2)], [(x, x) for x in range(9)]])
def test_holes_in_a_line_form_no_region(holes):
    assert regions_of(holes)[0] == []


def test_shapes_win_over_tags(read_drawing):
    circles = "".join(
        f'<circle cx="{x}" cy="{y}" r=".3" data-stitch="whole"/>'
        for y in (10, 14, 18) for x in (10, 14, 18)
    )  # fmt: skip
    square = '<path d="M9 9H19V19H9Z" data-stitch="half"/>'
    assert [region.stitch for region in read_drawing(circles + square).regions] == ["half"]
    assert [region.stitch for region in read_drawing(circles).regions] == ["whole"]
