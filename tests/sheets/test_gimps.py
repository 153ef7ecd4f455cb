"""What a sheet says of gimps."""

from dataclasses import replace

from render.plan.work import plan_work
from render.sheets.gimps import gimps_in_words
from render.sheets.reading import entries_of
from tests.gimped_pieces import gimp_in_ground
from tests.pieces import diamond, diamond_corners, line, spots


def test_it_says_how_a_gimp_is_laid_and_where_it_is_begun():
    """Hole 1 of the ground stands at 0, 0 and the second row begins with hole 6."""
    plan = plan_work(gimp_in_ground([(0, 1), (44, 1)], gauge_mm=0.3))
    assert gimps_in_words(plan) == (
        "gimp: 1.2 mm thick, past 10 pairs, begun near hole 1 on 1 bobbin",
    )


def test_one_that_goes_both_ways_is_on_two_bobbins():
    """It is begun at the top of its diamond."""
    corners = spots(diamond_corners(4, off=0.5))
    plan = plan_work(diamond(4, lines=[line(corners, "gimp", **{"gauge-mm": "0.9"})]))
    top = (plan.pricking.holes == corners[0] + (0, 2.5)).all(axis=1).argmax() + 1
    (words,) = gimps_in_words(plan)
    assert words == (
        f"gimp: 0.9 mm thick, past 18 pairs, begun near hole {top} on 2 bobbins, from there both "
        "ways"
    )


def test_only_a_sheet_with_gimps_speaks_of_them(sheet):
    gimped = replace(sheet, gimps=("ring: 0.9 mm thick",))
    said = [[entry.words for entry in entries_of(one, mono=False)] for one in (sheet, gimped)]
    assert "Gimps" not in said[0]
    assert said[1][said[1].index("Gimps") + 1] == "ring: 0.9 mm thick"
