"""A sheet of a pricking nobody worked, large enough to measure."""

import numpy as np
import pytest

from render.errors import Place
from render.pricking.model import Area, Pricking
from render.sheets.model import Mark, Sheet, draw_up

# Two holes 200 mm apart down the page and two 150 mm apart across it, at odd places.
FAR_HOLES = np.array([(10.3, 5.7), (10.3, 205.7), (160.3, 105.7)])


def sheet_of(holes: np.ndarray, *, figures=("63 % of the hours are ground",)) -> Sheet:
    """Return a sheet with an area in the middle of the holes."""
    count = len(holes)
    middle = holes.mean(axis=0)
    outline = middle + np.array([(-20, -20), (20, -20), (20, 20), (-20, 20)], float)
    none = np.zeros(0, np.int64)
    area = Area((outline,), "half", Place('region "shoal"', *middle.tolist()), (none,), none)
    pricking = Pricking(
        "far", holes, np.full(count, 5.0), np.array([0.0, 1.0]), (area,), (),
        ("torchon",) * count, ((),) * count, np.full(count, -1), 0.3,
    )  # fmt: skip
    marks = (
        Mark("start", 2, tuple(holes[0]), 1, 0),
        Mark("in", 1, tuple(middle), 2, 7),
        Mark("out", 1, tuple(middle), 3, 9),
        Mark("end", 2, tuple(holes[-1]), 3, 12),
    )
    picture = np.full((30, 20, 3), (200, 40, 40), np.uint8)
    drawing = draw_up(pricking, (0,), marks)
    return Sheet("far shoal", "A. Maker", drawing, ("torchon",), picture, tuple(figures))


@pytest.fixture
def sheet() -> Sheet:
    return sheet_of(FAR_HOLES)


@pytest.fixture
def large_sheet() -> Sheet:
    """Return one that takes several pages."""
    grid = np.stack(np.meshgrid(np.arange(0, 400, 20), np.arange(0, 500, 20)), axis=-1)
    return sheet_of(grid.reshape(-1, 2).astype(float))
