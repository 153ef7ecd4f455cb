"""Figures of whole pieces, against what can be counted otherwise."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from render.deciding import figure_pattern
from render.errors import Place, SettingError
from render.estimate.changes import swap_stitches
from render.estimate.counts import count_work
from render.estimate.pace import Pace
from render.estimate.wording import as_table, headline, in_columns, in_words
from render.pattern.model import Line, Pattern, Region
from render.pattern.repeat import repeats_in, work_again
from render.pipeline import work_out
from render.wishes import Wishes
from tests.trails import lone_ring

STEP = 2.5


def diamond(stitch: str = "whole", *, footside: bool = False) -> Pattern:
    """Return a ground with a diamond six steps to each side, that repeats every 24 rows."""
    spots = [(c, r) for r in range(25) for c in range(13) if (c + r) % 2 == 0]
    spots = [(c, r) for c, r in spots if abs(c - 6) + abs(r - 12) >= 6]
    outline = np.array([(6, 6), (12, 12), (6, 18), (0, 12)], float) * STEP
    nothing = (None,) * len(spots)
    region = Region((outline,), stitch, Place("diamond"))
    lines = ()
    if footside:
        points = np.array([(12, 0), (12, 24)], float) * STEP
        lines = (Line(points, "footside", Place("edge")),)
    return Pattern(
        "diamond", np.array(spots, float) * STEP, nothing, nothing,
        regions=(region,), lines=lines, repeat=(0.0, 24 * STEP),
    )  # fmt: skip


def net(rows: int = 9) -> Pattern:
    spots = [(c, r) for r in range(rows) for c in range(7) if (c + r) % 2 == 0]
    nothing = (None,) * len(spots)
    repeat = (0.0, (rows - 1) * STEP)
    return Pattern("net", np.array(spots, float) * STEP, nothing, nothing, repeat=repeat)


@pytest.fixture(scope="module")
def figures():
    return figure_pattern(diamond(), Wishes(), Pace())


def test_the_parts_of_the_hours_make_the_whole(figures):
    assert sum(share.of_hours for share in figures.techniques.values()) == pytest.approx(1)
    assert sum(share.pins for share in figures.techniques.values()) == figures.counts.holes


def test_stitches_of_the_shares_are_the_counted_ones(figures):
    shares = {word: share.stitches for word, share in figures.techniques.items()}
    assert {word: n for word, n in shares.items() if word != "winding"} == figures.counts.stitches


def test_areas_add_up_to_the_piece(figures):
    """Its hull, by an independent library; the sides between edge holes are straight."""
    hull = ConvexHull(diamond().holes).volume
    assert figures.techniques["whole"].area_mm2 == pytest.approx(2 * (6 * STEP) ** 2)
    assert sum(s.area_mm2 for s in figures.techniques.values()) == pytest.approx(hull, rel=0.05)


def test_pairs_hung_make_all_pairs_and_go_from_left_to_right(figures):
    places = figures.places
    assert sum(spot.pairs for spot in places.start) == figures.counts.pairs.start
    assert sum(spot.pairs for spot in (*places.end, *places.thrown_out)) == (
        figures.counts.pairs.total
    )
    across = [spot.at[0] for spot in places.start]
    assert across == sorted(across)


def test_bobbins_are_two_a_pair_and_hold_what_the_roles_say(figures):
    assert len(figures.bobbins) == 2 * figures.counts.pairs.total
    wound = sum(role.wind_mm for role in figures.winding.values())
    assert wound == pytest.approx(sum(bobbin.wind_mm for bobbin in figures.bobbins))
    assert all(bobbin.wind_mm > 1.1 * bobbin.settled_mm for bobbin in figures.bobbins)


def test_the_first_line_says_what_the_hours_go_into(figures):
    assert in_words(figures).splitlines()[0] == headline(figures)
    assert headline(figures).split("% of the hours are")[1].startswith(" ground")


def test_hours_are_a_range_round_the_likely_ones(figures):
    low, high = figures.hours
    assert low < figures.minutes / 60 < high
    assert "below the 180 to 600" in in_words(figures)


def test_the_table_keeps_what_programs_read(figures):
    table = as_table(figures)
    assert {"holes", "pairs", "stitches", "size_mm", "pins", "techniques", "hours"} <= set(table)
    assert table["thread"]["allowance"] == {"more_by": 0.1, "to_hold_by_mm": 400.0}


def test_a_swap_changes_the_stitch_and_nothing_else():
    swapped = swap_stitches(diamond("half"), {"half": "whole"})
    assert [region.stitch for region in swapped.regions] == ["whole"]
    counts = figure_pattern(swapped, Wishes(), Pace()).counts
    assert (
        counts.stitches["whole"]
        == figure_pattern(diamond(), Wishes(), Pace()).counts.stitches["whole"]
    )


@pytest.mark.parametrize("swaps", [{"whole": "hole"}, {"double": "half"}])
def test_a_swap_that_cannot_be_is_refused(swaps):
    with pytest.raises(SettingError, match=r"hole|no area in double"):
        swap_stitches(diamond(), swaps)


def test_another_ground_takes_its_own_time():
    quick = figure_pattern(net(), Wishes(), Pace())
    slow = figure_pattern(swap_stitches(net(), {}, "brussels"), Wishes(), Pace())
    assert slow.minutes > quick.minutes
    assert "brussels" in slow.techniques


def test_repeats_are_laid_hole_on_hole():
    """Nine rows of ground, five times: forty-one rows."""
    laid, whole = work_again(net(9), 5), net(41)
    assert np.array_equal(
        laid.holes[np.lexsort(laid.holes.T)], whole.holes[np.lexsort(whole.holes.T)]
    )


def test_a_line_goes_on_through_all_repeats():
    (line,) = work_again(diamond(footside=True), 3).lines
    assert line.points[:, 1].min() == 0
    assert line.points[:, 1].max() == 3 * 24 * STEP


def test_a_length_takes_whole_repeats():
    assert repeats_in(diamond(), 24 * STEP * 3) == 3
    assert repeats_in(diamond(), 24 * STEP * 3 + 1) == 4


def test_a_piece_that_does_not_repeat_is_told_how_to_say_so():
    with pytest.raises(SettingError, match="data-repeat"):
        figure_pattern(replace(net(), repeat=None), Wishes(repeats=2), Pace())


TAPE = 'path "tape"'


@pytest.mark.parametrize(
    ("pattern", "wishes", "changed"),
    [
        (net(), Wishes(leg_twists=2), "thread"),
        (net(), Wishes(tension="slack"), "thread"),
        (net(), Wishes(gauge_mm=0.35), "thread"),
        (lone_ring(name=TAPE), Wishes(density_of={"tape": 1.5}), "pairs"),
        (lone_ring(name=TAPE), Wishes(density=0.7), "pairs"),
    ],
    ids=["leg twists", "tension", "gauge", "density of an area", "density"],
)
def test_figures_are_those_of_the_picture(pattern, wishes, changed):
    """Counted and measured on the very threads that would be drawn, not on the pattern's usual."""
    asked, usual = (figure_pattern(pattern, w, Pace()) for w in (wishes, Wishes()))
    worked = work_out(pattern, wishes)
    step = np.diff(worked.paths.points, axis=0)
    joined = np.ones(len(step), bool)
    joined[worked.paths.starts[1:-1] - 1] = False
    drawn = np.sqrt((step[joined] ** 2).sum(axis=1)).sum()
    assert settled(asked) == pytest.approx(drawn, rel=1e-6)
    assert asked.counts == count_work(worked.plan)
    if changed == "pairs":
        assert asked.counts.pairs.total != usual.counts.pairs.total
        assert asked.minutes != usual.minutes
    else:
        assert abs(settled(asked) / settled(usual) - 1) > 1e-3


def settled(figures):
    return sum(wound.settled_mm for wound in figures.winding.values())


def test_two_pieces_stand_side_by_side(figures):
    lines = in_columns([figures, replace(figures, name="other")]).splitlines()
    assert lines[0].split() == ["diamond", "other"]
    assert all(len(set(line.split()[-2:])) == 1 for line in lines[2:3])


@pytest.mark.parametrize(("gauge_mm", "verdict"), [(0.1, "thin"), (0.25, "suits"), (0.5, "thick")])
def test_a_thread_is_judged_by_the_holes(gauge_mm, verdict):
    assert figure_pattern(net(), Wishes(gauge_mm=gauge_mm), Pace()).suitability.verdict == verdict
