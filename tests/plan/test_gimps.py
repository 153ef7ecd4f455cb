"""A gimp is not laid, and not passed over in silence either."""

from render.plan.work import plan_work
from tests.pieces import lattice, line, pricked


def test_a_gimp_that_is_left_out_is_told_with_its_place():
    plan = plan_work(pricked(lattice(5, 7), lines=[line([(0, 12), (20, 12)], "gimp")]))
    (told,) = [remark for remark in plan.remarks if "gimp" in remark.message]
    assert told.place is not None
    assert told.place.item == "gimp"
