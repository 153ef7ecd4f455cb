"""Square up a photographed sheet from its four corners."""

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage
from scipy.spatial import ConvexHull

from render.colour.lab import lab_from_srgb
from render.errors import PatternError, Remark, SettingError
from render.scan.model import Picture, Pixels, Plane, Points
from render.scan.scale import WORKING_PER_MM

LOOK_AT = 700  # pixels along the longer side when the sheet is looked for
LEAST_SHARE = 0.12  # of the picture that a sheet must fill
PROFILES = 80
MOST_ROUNDS, SETTLED = 6, 0.02


def homography(source: Points, target: Points) -> NDArray[np.float64]:
    """Return the (3, 3) projective map that takes four points to four others.

    Parameters
    ----------
    source, target
        (4, 2), no three in line.

    References
    ----------
    .. R. Hartley, A. Zisserman, Multiple View Geometry in Computer Vision, 2nd ed., Cambridge 2003,
       section 4.1
    """
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    matrix = np.append(np.linalg.solve(np.array(rows, float), np.array(right, float)), 1.0)
    return matrix.reshape(3, 3)


def square_up(
    picture: Picture, paper_mm: tuple[float, float], corners: Points | None = None
) -> Picture:
    """Return a picture of the sheet alone, seen from straight above.

    Parameters
    ----------
    picture
        Shows the whole sheet.
    paper_mm
        Width and height; the picture decides which of them lies across.
    corners
        (4, 2) in pixels, in any order; found where None.

    Returns
    -------
    The sheet, its top left corner at the corner of the picture, its scale known.

    Raises
    ------
    PatternError
        Where the corners cannot be found.
    SettingError
        Where corners that are given do not make a sheet.
    """
    if corners is None:
        corners = find_corners(picture)
    else:
        _check_corners(corners, picture.pixels.shape[:2])
    corners = _in_order(corners)
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    across, down = (sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2
    width_mm, height_mm = sorted(paper_mm, reverse=bool(across > down))
    finest = max(sides[0] / width_mm, sides[2] / width_mm, sides[1] / height_mm,
                 sides[3] / height_mm)  # fmt: skip
    shrink = max(1, round(finest / (1.25 * WORKING_PER_MM)))
    per_mm = min(float(finest / shrink), 1.25 * WORKING_PER_MM)
    across, down = width_mm * per_mm, height_mm * per_mm
    size = round(across), round(down)
    # The sheet need not end with a whole pixel, or its far side would be off by half of one.
    target = np.array([[0, 0], [across, 0], [across, down], [0, down]])
    # Pillow asks where each pixel comes from, and counts from the corner of the first pixel.
    back = homography(target, (corners + 0.5) / shrink)
    image = Image.fromarray(picture.pixels).reduce(shrink)
    squared = image.transform(
        size,
        Image.Transform.PERSPECTIVE,
        tuple(back.ravel()[:8]),
        Image.Resampling.BICUBIC,
        fillcolor="white",
    )
    return Picture(picture.source, np.asarray(squared), per_mm, remarks=picture.remarks)


def find_corners(picture: Picture) -> Points:
    """Find the four corners of the one sheet in a photograph.

    Returns
    -------
    (4, 2) in pixels, to a fraction of one.

    Raises
    ------
    PatternError
        Where no four-sided sheet stands out from what it lies on.
    """
    step = max(1, -(-max(picture.pixels.shape[:2]) // LOOK_AT))
    small = np.asarray(Image.fromarray(picture.pixels).reduce(step))
    sheet = _sheet_mask(small)
    hull = _hull(sheet)
    rough = None if hull is None else _four_of(hull)
    if rough is None or not _looks_like_sheet(sheet, rough):
        message = (
            "the four corners of the sheet cannot be made out; photograph it whole, on something "
            'of another shade, or give --corners "x,y x,y x,y x,y"'
        )
        raise PatternError(picture.source, (Remark(message),))
    grey = picture.pixels.astype(np.float32).mean(axis=2)
    corners = (rough + 0.5) * step - 0.5
    for reach in (8.0 * step, 2.0 * step, max(0.7 * step, 1.5)):
        for _ in range(MOST_ROUNDS):
            before, corners = _in_order(corners), _refined(corners, grey, reach)
            if np.hypot(*(corners - before).T).max() < SETTLED * reach:
                break
    return np.asarray(corners, np.float64)


def _sheet_mask(small: Pixels) -> NDArray[np.bool_]:
    """Return the large thing in the middle that differs from the rim of the picture."""
    lab = ndimage.gaussian_filter(lab_from_srgb(small / 255), (1.5, 1.5, 0))
    difference = np.hypot.reduce(lab - _table(lab), axis=2)
    mask = difference > _two_kinds(difference)
    mask = ndimage.binary_opening(ndimage.binary_fill_holes(mask), np.ones((5, 5), bool))
    labels, count = ndimage.label(mask)
    if not count:
        return mask
    return ndimage.binary_fill_holes(labels == np.bincount(labels.ravel())[1:].argmax() + 1)


def _table(lab: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what the table would look like everywhere: its rim, and how the light falls off."""
    rows, columns = lab.shape[:2]
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j]
    terms = np.stack([np.ones_like(x), x, y], axis=2)
    rim = np.ones((rows, columns), bool)
    rim[4:-4, 4:-4] = False
    plain = rim
    for _ in range(4):
        fit = np.linalg.lstsq(terms[plain], lab[plain])[0]
        off = np.hypot.reduce(lab - terms @ fit, axis=2)
        plain = rim & (off <= 2.5 * np.median(off[plain]))
    return np.asarray(terms @ fit)


def _two_kinds(values: NDArray[np.float64]) -> float:
    """Return the value that best parts a set into two.

    References
    ----------
    .. N. Otsu, "A threshold selection method from gray-level histograms", IEEE Transactions on
       Systems, Man, and Cybernetics 9 (1979) 62-66
    """
    counts, edges = np.histogram(values, 128)
    middle = (edges[:-1] + edges[1:]) / 2
    below = np.cumsum(counts)
    above = below[-1] - below
    total = np.cumsum(counts * middle)
    both = (below > 0) & (above > 0)
    mean_below = total / np.maximum(below, 1)
    mean_above = (total[-1] - total) / np.maximum(above, 1)
    merit = np.where(both, below * above * (mean_below - mean_above) ** 2, 0.0)
    return float(edges[int(merit.argmax()) + 1])


def _hull(mask: NDArray[np.bool_]) -> Points | None:
    """Return the convex hull of a mask, in order."""
    rim = np.argwhere(mask & ~ndimage.binary_erosion(mask))[:, ::-1].astype(float)
    if len(rim) < 20 or np.linalg.matrix_rank(rim - rim[0]) < 2:
        return None
    hull: Points = rim[ConvexHull(rim).vertices]
    return hull


def _four_of(hull: Points) -> Points | None:
    """Drop the corner that matters least until four are left."""
    while len(hull) > 4:
        before, after = np.roll(hull, 1, axis=0) - hull, np.roll(hull, -1, axis=0) - hull
        hull = np.delete(
            hull, np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]).argmin(), 0
        )
    return hull if len(hull) == 4 else None


def _looks_like_sheet(mask: NDArray[np.bool_], corners: Points) -> bool:
    """Tell whether a mask fills its four corners, is large, and does not run out of the picture."""
    x, y = _in_order(corners).T
    area = abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2
    filled = float(mask.sum())
    rim = np.concatenate([mask[0], mask[-1], mask[:, 0], mask[:, -1]])
    return (
        filled > LEAST_SHARE * mask.size
        and 0.93 < filled / max(area, 1.0) < 1.07
        and float(rim.mean()) < 0.02
    )


def _refined(corners: Points, grey: Plane, reach: float) -> Points:
    """Fit a line to every side at full resolution and return where the lines meet."""
    corners = _in_order(corners)
    lines = []
    for k in range(4):
        a, b = corners[k], corners[(k + 1) % 4]
        along = (b - a) / np.hypot(*(b - a))
        lines.append(_edge_line(grey, a, b, np.array([-along[1], along[0]]), reach))
    met = []
    for k in range(4):
        (p, u), (q, v) = lines[k - 1], lines[k]
        t = np.linalg.solve(np.column_stack([u, -v]), q - p)
        met.append(p + t[0] * u)
    fine = np.array(met)
    return fine if np.hypot(*(fine - corners).T).max() < 4 * reach else corners


def _edge_line(
    grey: Plane, a: Points, b: Points, across: Points, reach: float
) -> tuple[Points, Points]:
    """Return a point and the direction of the edge near the line from a to b."""
    share = np.linspace(0.06, 0.94, PROFILES)[:, None]
    base = a + share * (b - a)
    steps = np.linspace(-2 * reach, 2 * reach, max(int(8 * reach), 16))
    places = base[:, None] + steps[None, :, None] * across
    values = ndimage.map_coordinates(
        grey, [places[..., 1], places[..., 0]], order=1, mode="nearest"
    )
    third = len(steps) // 4
    low, high = values[:, :third].mean(axis=1), values[:, -third:].mean(axis=1)
    level = np.clip((values - low[:, None]) / np.where(high == low, 1, high - low)[:, None], 0, 1)
    # How much of the profile is on the near side says where the edge is, whatever its blur.
    offset = steps[-1] - level.mean(axis=1) * (steps[-1] - steps[0])
    strength = np.abs(high - low)
    points = base + offset[:, None] * across
    kept = strength > 0.4 * np.median(strength)
    for _ in range(6):
        middle = points[kept].mean(axis=0)
        direction = np.linalg.svd(points[kept] - middle)[2][0]
        off = np.abs((points - middle) @ np.array([-direction[1], direction[0]]))
        kept = (strength > 0.4 * np.median(strength)) & (off < 2.5 * np.median(off[kept]) + 0.05)
    return middle, direction


def _in_order(corners: Points) -> Points:
    """Return corners clockwise on the page from the one at the top left."""
    middle = corners.mean(axis=0)
    turned = corners[np.argsort(np.arctan2(*(corners - middle).T[::-1]), kind="stable")]
    return np.roll(turned, -int(turned.sum(axis=1).argmin()), axis=0)


def _check_corners(corners: Points, size: tuple[int, ...]) -> None:
    """Refuse corners that are outside the picture or do not make a four-sided sheet."""
    height, width = size
    outside = (corners < -1).any() or (corners > [width, height]).any()
    x, y = _in_order(corners).T
    step_x, step_y = np.roll(x, -1) - x, np.roll(y, -1) - y
    bends = step_x * np.roll(step_y, -1) - step_y * np.roll(step_x, -1)
    if outside or bends.min() < 0.02 * np.abs(bends).max() or bends.max() < 100:
        raise SettingError(
            f"--corners must be the four corners of one sheet within {width} × {height} pixels"
        )
