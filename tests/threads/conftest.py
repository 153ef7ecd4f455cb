"""Pairs on a pillow without any pattern around them."""

from collections.abc import Callable

import numpy as np
import pytest

from render.plan.model import WorkingPlan
from render.plan.pillow import Pillow
from render.plan.stitches import Stitch
from render.pricking.model import Pricking

Words = tuple[str, ...]


def bare_pricking(holes: np.ndarray) -> Pricking:
    count = len(holes)
    return Pricking(
        name="trial", holes=holes, spacing=np.full(count, 4.0), down=np.array([0.0, 1.0]),
        areas=(), runs=(), ground=("torchon",) * count, owners=((),) * count,
        interior=np.full(count, -1), gauge_mm=0.3,
    )  # fmt: skip


@pytest.fixture
def work_two_pairs() -> Callable[[Words], WorkingPlan]:
    """Return a maker who works two pairs in one stitch after another."""

    def work(words: Words) -> WorkingPlan:
        pillow = Pillow()
        left = pillow.hang((-1.0, -4.0), -1, start=True)
        right = pillow.hang((1.0, -4.0), left, start=True)
        for row, moves in enumerate(words):
            left, right = pillow.stitch(
                Stitch(moves), left, right, (0.0, 4.0 * row), technique="trial"
            )
        pillow.throw(left, end=True)
        pillow.throw(right, end=True)
        pricking = bare_pricking(np.array([[0.0, 0.0], [0.0, 4.0]]))
        return pillow.plan(pricking, np.tile(pricking.down, (2, 1)))

    return work
