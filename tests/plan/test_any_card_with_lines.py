"""Lines that no maker would draw: between any dots, across anything, over and over."""

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.pieces import line, pricked, region
from tests.plan.test_any_card import worked_or_refused
from tests.plan.verifier import lines_left_out, lines_worked

# Whole and half millimetres make many dots fall in line, on outlines and upon each other.
length = st.integers(0, 30).map(lambda n: n / 2)
spot = st.tuples(length, length)
dots = st.lists(spot, min_size=1, max_size=30, unique=True)
shape = st.lists(spot, min_size=3, max_size=7)
areas = st.lists(st.tuples(shape, st.sampled_from(["whole", "half", "double", "open"])), max_size=3)
path = st.lists(spot, min_size=2, max_size=4)
word = st.sampled_from(["plait", "leaf", "square-leaf", "headside", "footside", "gimp"])
picots = st.sampled_from([{}, {"picots": "left"}, {"picots": "both", "twists": "3"}])
drawn = st.lists(st.tuples(path, word, picots), min_size=1, max_size=6)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(dots, areas, drawn, st.sampled_from([0.0, 90.0, 213.0]), st.sampled_from([0.1, 0.3, 2.0]))
def test_any_lines_are_worked_soundly_or_told(dots, areas, drawn, degrees, gauge_mm):
    pricking = pricked(
        dots,
        [region(points, stitch) for points, stitch in areas],
        [line(points, name, **options) for points, name, options in drawn],
        down_degrees=degrees,
        gauge_mm=gauge_mm,
    )
    plan = worked_or_refused(pricking)
    if plan is None:
        return
    joining = {k for k, r in enumerate(plan.pricking.runs) if r.word.endswith(("plait", "leaf"))}
    gimps = {k for k, r in enumerate(plan.pricking.runs) if r.word == "gimp"}
    told = {r.place.item for r in plan.remarks if r.place is not None and "left out" in r.message}
    assert gimps == {gimp.run for gimp in plan.gimps} or "gimp" in told
    assert joining - lines_worked(plan) <= lines_left_out(plan)
