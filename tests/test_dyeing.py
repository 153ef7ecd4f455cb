"""Which threads take which colour."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from render.dyeing import dye, line_colours, roles_of
from render.errors import Place, SettingError
from render.image.background import Flat
from render.image.draw import picture
from render.image.scene import Scene
from render.plan.model import ROLES
from render.plan.work import plan_work
from render.pricking.model import Area
from render.settle.settle import settle
from render.threads.model import Crossings, ThreadPaths
from render.threads.replay import lay_threads
from tests.pieces import line, pricked, strip

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


def test_half_stitch_has_no_worker_where_no_thread_stands_out(paths):
    assert ROLES.index("worker") not in roles_of(paths, [area("half")])


def dyed_lace(pricking, dyed, gauge_mm=0.4):
    """Work and settle a piece; return its paths and which of its threads are red."""
    plan = plan_work(pricking, gauge_mm=gauge_mm)
    paths = settle(lay_threads(plan), gauge_mm=gauge_mm)
    brought = line_colours(plan)
    return paths, reds(dye(paths, pricking.areas, WHITE, dyed, brought))


def spread(paths, thread):
    """Return how far across a thread goes, and how often it changes direction on the way."""
    x = paths.thread(thread)[:, 0]
    turns = np.diff(np.sign(np.diff(x[np.abs(np.gradient(x)) > 1e-3])))
    return np.ptp(x), int((turns != 0).sum())


def test_a_coloured_worker_stays_the_worker_in_whole_stitch():
    """Both its threads go to and fro over the full width, row after row; no other thread does.

    In whole stitch the pairs change places and stay together (READ in Dillmont, p. 481: CTC).
    """
    paths, red = dyed_lace(strip("whole"), {"worker": RED})
    assert len(red) == 2
    assert paths.pair[red[0]] == paths.pair[red[1]]
    width = np.ptp(paths.points[:, 0])
    for thread in range(len(paths.radius)):
        across, turns = spread(paths, thread)
        assert (across > 0.85 * width and turns > 20) == (thread in red)


@pytest.mark.parametrize("rows", [10, 14])
def test_one_thread_of_a_coloured_worker_runs_on_in_half_stitch(rows):
    """It lies across every row and the other drifts away: CT leaves the worker one thread."""
    paths, red = dyed_lace(strip("half", rows=rows), {"worker": RED})
    assert len(red) == 2
    assert paths.pair[red[0]] == paths.pair[red[1]]
    length = np.array([np.linalg.norm(np.diff(paths.thread(k), axis=0), axis=1).sum() for k in
                       range(len(paths.radius))])  # fmt: skip
    (running,) = np.flatnonzero(length > 2.5 * np.median(length))
    (other,) = set(red) - {running}
    assert spread(paths, running)[0] > 0.75 * np.ptp(paths.points[:, 0])
    assert length[other] < 1.6 * np.median(length)


def test_threads_of_a_pair_wander_in_half_stitch():
    """Half stitch splits its pairs (CT): the two of a coloured pair part and go their own ways."""
    paths, red = dyed_lace(strip("half"), {"pair:3": RED})
    first, second = (paths.thread(k)[:, :2] for k in red)
    apart, _ = cKDTree(second).query(first)
    width = np.ptp(paths.points[:, 0])
    assert apart.max() > 0.3 * width
    cloth, pair = dyed_lace(strip("whole"), {"pair:3": RED})
    apart, _ = cKDTree(cloth.thread(pair[1])[:, :2]).query(cloth.thread(pair[0])[:, :2])
    assert apart.max() < 0.25 * width


def test_the_picture_is_red_where_the_worker_runs():
    """In every row of pixels between the first and the last pin there is some red."""
    paths, red = dyed_lace(strip("whole", rows=10), {"worker": RED})
    colours = np.tile(WHITE, (len(paths.radius), 1))
    colours[red] = RED
    low, high = paths.points[:, :2].min(axis=0), paths.points[:, :2].max(axis=0)
    scene = Scene(paths, colours, (*low, *high), dpi=100, background=Flat(BLUE))
    rows = picture(scene, processes=1)[10:-20].astype(int)
    reddish = (rows[..., 0] > 80) & (rows[..., 0] > 2 * rows[..., 1])
    assert reddish.any(axis=1).mean() > 0.95
    assert 0.05 < reddish.mean() < 0.5


def test_a_plait_brings_the_colour_of_its_line():
    ends = [(0, 0), (0, 20)], [(8, 0), (8, 20)]
    lines = [line(ends[0], "plait", colour="red"), line(ends[1], "plait")]
    paths, red = dyed_lace(pricked([*ends[0], *ends[1]], (), lines), {})
    assert len(red) == 4
    assert max(paths.thread(k)[:, 0].max() for k in red) < 4
    assert (paths.role == ROLES.index("plait")).all()


@pytest.mark.parametrize(
    ("who", "said"),
    [("wroker", 'did you mean "worker"'), ("gimp", "serves as gimp"), ("pair:9", "from 0 to 3"),
     ("pair:x", "no number"), ("area:sail", 'region "shell"'), ("leaf:1", "is nobody")],
)  # fmt: skip
def test_a_colour_for_nobody_is_refused(paths, who, said):
    with pytest.raises(SettingError, match=said):
        dye(paths, [area()], WHITE, {who: RED})
