"""Cards that no maker would prick: any dots, any outlines, any working direction."""

from hypothesis import given, settings
from hypothesis import strategies as st

from render.errors import LaceError
from render.plan.work import plan_work
from tests.pieces import line, pricked, region
from tests.plan.verifier import replay

# Whole and half millimetres make many dots fall in line, on outlines and upon each other.
length = st.integers(0, 40).map(lambda n: n / 2)
spot = st.tuples(length, length)
dots = st.lists(spot, min_size=1, max_size=40, unique=True)
shape = st.lists(spot, min_size=3, max_size=8)
stitch = st.sampled_from(["whole", "half", "double", "ground", "open"])
areas = st.lists(st.tuples(shape, stitch), max_size=4)
feet = st.lists(st.lists(spot, min_size=2, max_size=4, unique=True), max_size=2)
ground = st.sampled_from(["torchon", "point", "honeycomb", "rose", "CTTTp"])


def worked_or_refused(pricking):
    """Return the plan of a card, which has to be sound; None where it is refused clearly."""
    try:
        plan = plan_work(pricking)
    except LaceError as refusal:
        plan = refusal
    if isinstance(plan, LaceError):
        assert "to be worked" in str(plan)
        return None
    replay(plan)
    assert len(plan.hangings) == len(plan.throwings) > 0
    assert all(r.place is not None for r in plan.remarks if r.kind == "change")
    return plan


@settings(max_examples=150, deadline=None, derandomize=True)
@given(dots, areas, feet, ground, st.sampled_from([0.0, 45.0, 90.0, 213.0]))
def test_any_card_is_worked_soundly_or_refused_clearly(dots, areas, feet, ground, degrees):
    pricking = pricked(
        dots,
        [region(points, stitch) for points, stitch in areas],
        [line(points, "footside") for points in feet],
        ground=ground,
        down_degrees=degrees,
    )
    worked_or_refused(pricking)
