"""Which holes a line passes, on a ground drawn with a ruler and on one pricked by hand."""

import numpy as np

from tests.pieces import line, pricked

EDGE = [(0.0, 4.33 * row) for row in range(10)]


def sixty_degrees(unevenness_mm):
    """Return a ground at 60 degrees whose columns stand half a step apart."""
    holes = [(2.5 * c + 1.25 * (r % 2), 2.165 * r) for r in range(20) for c in range(8)]
    rng = np.random.default_rng(60)
    return np.array(holes) + rng.normal(0, unevenness_mm, (len(holes), 2))


def test_uneven_holes_do_not_change_what_a_footside_passes():
    """A line is drawn over its holes, not half way between columns (common practice, no source)."""
    for unevenness_mm in (0.0, 0.001, 0.02, 0.05):
        piece = pricked(sixty_degrees(unevenness_mm), lines=[line([EDGE[0], EDGE[-1]], "footside")])
        assert len(piece.runs[0].holes) == len(EDGE)
