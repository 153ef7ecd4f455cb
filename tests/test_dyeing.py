"""Which threads take which colour."""

import numpy as np
import pytest

from render.dyeing import dye, roles_of
from render.errors import Place, SettingError
from render.plan.model import ROLES
from render.pricking.model import Area
from render.threads.model import Crossings, ThreadPaths

WHITE, RED, BLUE = (1.0, 1.0, 1.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], float)


def area(stitch="whole", **options):
    none = np.zeros(0, np.int64)
    return Area((SQUARE,), stitch, Place('region "shell"'), (none,), none, options)


@pytest.fixture
def paths():
    """Eight threads in four pairs; pair 2 (threads 4, 5) crosses all others three times over."""
    rows = [(w, p, 2 + 3 * r) for r in range(3) for w in (4, 5) for p in (0, 1, 2, 3, 6, 7)]
    over, under, y = (np.array(column) for column in zip(*rows, strict=True))
    return ThreadPaths(
        points=np.zeros((16, 3)),
        starts=np.arange(9) * 2,
        radius=np.full(8, 0.1),
        pair=np.arange(8) // 2,
        role=np.array([ROLES.index("passive")] * 6 + [ROLES.index("ground")] * 2),
        region=np.array([0] * 6 + [-1] * 2),
        crossings=Crossings(over, under, np.column_stack([under + 1.0, y]).astype(float)),
    )


def reds(colours):
    return np.flatnonzero((colours == RED).all(axis=1)).tolist()


@pytest.mark.parametrize(
    ("who", "threads"),
    [("passive", [0, 1, 2, 3]), ("ground", [6, 7]), ("worker", [4, 5]), ("pair:1", [2, 3]),
     ("area:shell", [0, 1, 2, 3, 4, 5])],
)  # fmt: skip
def test_a_colour_goes_to_those_it_is_for(paths, who, threads):
    assert reds(dye(paths, [area()], WHITE, {who: RED})) == threads


def test_a_pair_goes_before_an_area_and_an_area_before_a_role(paths):
    dyed = {"pair:0": RED, "area:shell": BLUE, "ground": RED, "passive": RED}
    assert reds(dye(paths, [area()], WHITE, dyed)) == [0, 1, 6, 7]


def test_an_area_brings_its_own_colour_unless_told_otherwise(paths):
    areas = [area(colour="red")]
    assert reds(dye(paths, areas, WHITE, {})) == [0, 1, 2, 3, 4, 5]
    assert reds(dye(paths, areas, WHITE, {"area:shell": BLUE})) == []


def test_half_stitch_has_no_worker_that_stays(paths):
    assert ROLES.index("worker") not in roles_of(paths, [area("half")])


@pytest.mark.parametrize(
    ("who", "said"),
    [("wroker", 'did you mean "worker"'), ("gimp", "serves as gimp"), ("pair:9", "from 0 to 3"),
     ("pair:x", "no number"), ("area:sail", 'region "shell"'), ("leaf:1", "is nobody")],
)  # fmt: skip
def test_a_colour_for_nobody_is_refused(paths, who, said):
    with pytest.raises(SettingError, match=said):
        dye(paths, [area()], WHITE, {who: RED})
