"""How fast, and what finished pieces teach."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from render.errors import SettingError
from render.estimate.pace import (
    Job,
    Pace,
    Record,
    check_record,
    learn,
    minutes_of,
    parse_minutes,
    usual_rates,
    usual_seconds,
)

# C. Knight, Knowledge is Power (1855), about 3 meshes a minute; Mrs Bury Palliser, History of Lace
# (1902), p. 390: the lace schools asked for 10 pins a minute.
PROFESSIONAL = (180, 600)


def job(whole: float, torchon: float, pairs: float = 20) -> Job:
    minutes = {
        "whole": whole * usual_seconds("CTC", pinned=False) / 60,
        "torchon": torchon * usual_seconds("CTCT", pinned=True) / 60,
    }
    return Job({"whole": whole, "torchon": torchon}, minutes, pairs)


def taken(done: Job, pace: Pace) -> float:
    return sum(minutes_of(done, pace).values())


@pytest.mark.parametrize("ground", ["torchon", "point", "brussels", "honeycomb"])
def test_a_hobby_maker_sets_fewer_pins_an_hour_than_those_who_lived_by_it(ground):
    assert usual_rates()[ground] < PROFESSIONAL[0]


numbers = st.floats(1, 5000)


@given(numbers, numbers, st.floats(0.2, 5))
def test_one_record_is_met_exactly_and_so_never_worse_than_the_usual_pace(whole, torchon, factor):
    done = job(whole, torchon)
    minutes = taken(done, Pace()) * factor
    learned = learn([Record("piece", done, minutes)], Pace())
    assert taken(done, learned) == pytest.approx(minutes, rel=1e-6)


@given(st.lists(st.tuples(numbers, numbers, st.floats(0.2, 5)), min_size=1, max_size=6))
def test_the_error_over_all_records_is_never_larger_than_before(pieces):
    records = [
        Record("piece", job(a, b), taken(job(a, b), Pace()) * factor) for a, b, factor in pieces
    ]

    def loss(pace: Pace) -> float:
        return sum((taken(r.job, pace) / r.minutes - 1) ** 2 for r in records)

    assert loss(learn(records, Pace())) <= loss(Pace()) + 1e-9


def test_a_maker_who_is_quick_at_cloth_is_found_out():
    """Made-up maker: cloth in half the usual time, ground in the usual; many different pieces."""
    true = Pace({"whole": 2 * usual_rates()["whole"], "torchon": usual_rates()["torchon"]})
    rng = np.random.default_rng(7)
    records = []
    for _ in range(40):
        done = job(*rng.uniform(50, 3000, 2), rng.uniform(10, 60))
        records.append(Record("piece", done, taken(done, true)))
    learned = learn(records, Pace())
    assert learned.stitches_per_hour["whole"] == pytest.approx(
        true.stitches_per_hour["whole"], rel=0.1
    )
    assert learned.stitches_per_hour["torchon"] == pytest.approx(usual_rates()["torchon"], rel=0.1)


def test_the_range_narrows_with_pieces_that_agree():
    done = [job(100 * n, 300, 20) for n in range(1, 10)]
    records = [Record("piece", one, taken(one, Pace())) for one in done]
    widths = [np.diff(learn(records[:n], Pace()).spread)[0] for n in (1, 4, 9)]
    assert widths[0] > widths[1] > widths[2]


@pytest.mark.parametrize(
    ("text", "minutes"),
    [("6h30", 390), ("6h", 360), ("6.5h", 390), ("45min", 45), ("6:30", 390), ("1 h 5 min", 65)],
)
def test_times_are_read_as_people_write_them(text, minutes):
    assert parse_minutes(text) == minutes


@pytest.mark.parametrize("text", ["", "6", "soon", "0h", "-2h", "6h30s"])
def test_what_is_no_time_is_refused(text):
    with pytest.raises(SettingError, match="6h30"):
        parse_minutes(text)


def test_a_time_that_cannot_be_meant_is_refused():
    done = job(300, 300)
    with pytest.raises(SettingError, match="cannot be right"):
        check_record(Record("piece", done, taken(done, Pace()) * 30), Pace())
