"""Lengths and counts as people write them."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from render.errors import SettingError
from render.units import ThreadCount, diameter_mm, parse_gauge_mm, parse_length_mm, parse_thread


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("12.5", 12.5), ("12.5mm", 12.5), (" 2 cm ", 20), ("1in", 25.4), ("72pt", 25.4),
        ("6pc", 25.4), ("96px", 25.4), ("4Q", 1), ("-3mm", -3), ("1e1 MM", 10), (".5mm", 0.5),
    ],
)  # fmt: skip
def test_a_length_is_read_in_its_unit(text, mm):
    """CSS Values and Units 3, section 6.2: 1in = 2.54cm = 96px = 72pt = 6pc, 1Q = 1/40 cm."""
    assert parse_length_mm(text) == pytest.approx(mm, rel=1e-12)


def test_a_bare_number_takes_the_unit_it_is_told():
    assert parse_length_mm("96", default_unit="px") == pytest.approx(25.4)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", '"" is not a length; write a number and a unit, such as 12.5mm'),
        ("nan", '"nan" is not a length; write a number and a unit, such as 12.5mm'),
        ("3 mmm", '"3 mmm" has the unknown unit "mmm"; did you mean "mm"?'),
        ("10%", '"10%" has the unknown unit "%"; expected one of mm, cm, in, pt, pc, px, q'),
        ("1e999mm", '"1e999mm" is too large to be a length'),
    ],
)
def test_what_is_no_length_is_refused_in_one_sentence(text, message):
    with pytest.raises(SettingError) as caught:
        parse_length_mm(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("text", "tex", "plies"),
    [
        ("60/2 NeL", 2 * 1653.52 / 60, 2), ("2/60 nel", 2 * 1653.52 / 60, 2),
        ("50/2 Ne", 2 * 590.541 / 50, 2), ("Ne 50/2", 2 * 590.541 / 50, 2),
        ("120/2Nm", 2 * 1000 / 120, 2), ("20 tex", 20, 1), ("R 20 tex", 20, 1),
        ("R20 tex/2", 20, 2), ("20 tex x 2", 40, 2), ("20 tex × 2", 40, 2),
        ("200 dtex", 20, 1), ("90 den", 10, 1), ("90 denier", 10, 1),
    ],
)  # fmt: skip
def test_a_count_is_read_in_its_system(text, tex, plies):
    """ISO 1139 for the ways of writing; the factors are checked in tests/published."""
    thread = parse_thread(text)
    assert isinstance(thread, ThreadCount)
    assert (thread.tex, thread.plies) == (pytest.approx(tex), plies)
    assert thread.text == text


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "thin",
            '"thin" is not a thread count; write it as 60/2 NeL, 50/2 Ne, 120/2 Nm or 20 tex',
        ),
        (
            "60/2",
            '"60/2" is not a thread count; write it as 60/2 NeL, 50/2 Ne, 120/2 Nm or 20 tex',
        ),
        ("20 texx", '"20 texx" has the unknown numbering system "texx"; did you mean "tex"?'),
        (
            "20 ounces",
            '"20 ounces" has the unknown numbering system "ounces"; '
            "expected one of Ne, NeL, Nm, tex, dtex, den",
        ),
        ("0 tex", '"0 tex" is not a thread count; the count must be above zero'),
        (
            "60/1.5 Ne",
            '"60/1.5 Ne" folds 1.5 singles; the number of singles must be a whole number',
        ),
        ("R 20/2 tex x 2", '"R 20/2 tex x 2" says twice how many singles are folded; say it once'),
        (
            "1e6 tex",
            '"1e6 tex" is a thread 37.4 mm thick; it must be between 0.01 and 5 mm',
        ),
    ],
)
def test_what_is_no_count_is_refused_in_one_sentence(text, message):
    with pytest.raises(SettingError) as caught:
        parse_thread(text)
    assert str(caught.value) == message


def test_a_gauge_is_a_diameter_or_a_count():
    assert parse_gauge_mm("0.25") == parse_gauge_mm("0.25mm") == parse_gauge_mm("0.025cm") == 0.25
    assert parse_gauge_mm("60/2 NeL") == diameter_mm(2 * 1653.52 / 60)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("0", '"0" is a thread 0 mm thick; it must be between 0.01 and 5 mm'),
        ("-1mm", '"-1mm" is a thread -1 mm thick; it must be between 0.01 and 5 mm'),
        (
            "1/4",
            '"1/4" is not a gauge; write a diameter such as 0.25mm or a count such as 60/2 NeL',
        ),
        ("60 Nex", '"60 Nex" has the unknown numbering system "Nex"; did you mean "Ne"?'),
    ],
)
def test_what_is_no_gauge_is_refused_in_one_sentence(text, message):
    with pytest.raises(SettingError) as caught:
        parse_gauge_mm(text)
    assert str(caught.value) == message


@given(st.floats(1, 500), st.integers(1, 12))
def test_folding_adds_the_mass_and_thickness_grows_with_its_root(tex, plies):
    assert diameter_mm(tex * plies) == pytest.approx(diameter_mm(tex) * plies**0.5)


@given(st.text(max_size=12) | st.from_regex(r"R?[0-9]{1,3}(/[0-9])? ?(Ne|NeL|tex|mm|xx)"))
def test_any_text_is_a_thread_of_sensible_thickness_or_a_setting_error(text):
    with suppress(SettingError):
        assert 0.01 <= parse_gauge_mm(text) <= 5
