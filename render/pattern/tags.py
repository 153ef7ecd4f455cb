"""Regions from holes that are tagged themselves."""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import Delaunay

from render.pattern.check import edge_or_inside, local_spacing
from render.pattern.concave import outline_of
from render.pattern.findings import Findings
from render.pattern.marks import Marks
from render.pattern.model import Region

Points = NDArray[np.float64]
Rows = NDArray[np.int64]

# Holes with the same tag and no name of an area belong together up to this many spacings apart,
# which bridges the width of a trail; a name bridges any width.
WIDEST = 6.0
# Holes this many spacings apart follow each other along an edge.
ROW = 1.25
FLAT = 1e-6


def regions_from_tags(marks: Marks, findings: Findings) -> list[Region]:
    """Find the regions that neighbouring holes with the same tag form.

    Holes that lie in a drawn region, or on its edge, belong to it whatever their tag.

    Parameters
    ----------
    marks
        Checked, duplicates merged.
    findings
        Takes a remark for holes that are tagged to no avail.
    """
    holes = marks.points
    spacing = local_spacing(holes)
    tagged = np.array([stitch is not None for stitch in marks.stitches], bool)
    for region in marks.regions:
        tagged &= ~edge_or_inside(region, holes, spacing)
    if not tagged.any():
        return []
    names = [
        (stitch, area) if used else None
        for stitch, area, used in zip(marks.stitches, marks.areas, tagged, strict=True)
    ]
    kinds = sorted({name for name in names if name}, key=str)
    kind = np.array([kinds.index(name) if name else -1 for name in names])
    named = np.array([area is not None for area in marks.areas])
    clusters = _clusters(holes, spacing, kind, named)
    alone = tagged.copy()
    regions: list[Region] = []
    for rows in clusters:
        alone[rows] = False
        regions.append(
            _region(rows, marks, spacing, len(marks.regions) + len(regions) + 1, findings)
        )
    for name in kinds:
        left = np.flatnonzero(alone & (kind == kinds.index(name))).tolist()
        if left:
            more = f" and so are {len(left) - 1} more" if len(left) > 1 else ""
            findings.remark(
                f'it is tagged "{name[0]}"{more}, but without neighbours of the same tag to form '
                "a region with, so the tag was left out",
                findings.place(f"hole {left[0] + 1}", *holes[left[0]].tolist()),
            )
    return regions


def _clusters(
    holes: Points, spacing: NDArray[np.float64], kind: Rows, named: NDArray[np.bool_]
) -> list[Rows]:
    """Return the holes of each region: neighbours of the same kind, in a row or in triangles."""
    if _flat(holes):
        return []
    corners = Delaunay(holes).simplices
    same = (kind[corners] == kind[corners[:, :1]]).all(axis=1) & (kind[corners[:, 0]] >= 0)
    sides = holes[corners] - holes[np.roll(corners, 1, axis=1)]
    size = np.hypot(sides[..., 0], sides[..., 1]).max(axis=1)
    near = size <= WIDEST * spacing[corners].mean(axis=1)
    joined = corners[same & (near | named[corners[:, 0]])]
    edges = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    alike = (kind[edges[:, 0]] == kind[edges[:, 1]]) & (kind[edges[:, 0]] >= 0)
    length = np.hypot(*(holes[edges[:, 0]] - holes[edges[:, 1]]).T)
    in_row = edges[alike & (length <= ROW * spacing[edges].mean(axis=1))]
    ends = np.concatenate([joined[:, [0, 1]], joined[:, [1, 2]], in_row])
    links = coo_array((np.ones(len(ends)), ends.T), shape=(len(holes), len(holes)))
    _, label = connected_components(links, directed=False)
    linked = np.unique(ends)
    _, first = np.unique(label[linked], return_index=True)
    parts = [linked[label[linked] == part] for part in label[linked][np.sort(first)]]
    return [rows for rows in parts if not _flat(holes[rows])]


def _flat(points: Points) -> bool:
    """Tell whether points lie on one line."""
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return len(points) < 3 or bool(spread[-1] <= FLAT * spread[0])


def _region(
    rows: Rows, marks: Marks, spacing: NDArray[np.float64], number: int, findings: Findings
) -> Region:
    """Draw a region round its holes."""
    holes = marks.points
    area, stitch = marks.areas[rows[0]], marks.stitches[rows[0]]
    if stitch is None:
        raise ValueError("an untagged hole has no region")
    others = np.delete(holes, rows, axis=0)
    loops = outline_of(holes[rows], spacing[rows], others, pinned_inside=stitch == "ground")
    contours = tuple(holes[rows[loop]] for loop in loops)
    x, y = (contours[0].min(axis=0) + contours[0].max(axis=0)) / 2
    place = findings.place(f'region "{area}"' if area else f"region {number}", float(x), float(y))
    options = {"area": area} if area else {}
    return Region(contours, stitch, place, options, marks.shades[rows[0]])
