"""Thread counts against printed tables.

Sources: ASTM D2260-03(2013), Standard Tables of Conversion Factors (follows ISO 2947); C. P.
Brooks, *Cotton Manufacturing* (folded counts, Ne 20 = linen 56); J. T. Taylor, *Cotton Weaving
and Designing*, 6th ed. (threads side by side in an inch); F. T. Peirce, "The geometry of cloth
structure", J. Text. Inst. 28 (1937) T45, as restated by N. Balasubramanian, *Fabric geometry*.
"""

import pytest

from render.units import diameter_mm, parse_thread

D2260_FACTORS = {"Ne": 590.541, "Nm": 1000.0, "NeL": 1653.52}
TAYLOR_PER_INCH = {15: 106.5, 26: 140.5, 32: 156, 60: 213, 78: 243, 200: 390}


@pytest.mark.parametrize(("system", "factor"), D2260_FACTORS.items())
def test_tex_times_an_indirect_count_is_the_factor_of_d2260(system, factor):
    assert parse_thread(f"40 {system}").tex * 40 == pytest.approx(factor, rel=1e-12)


def test_denier_is_nine_times_tex():
    """D2260; exact, as denier counts grams in 9 km."""
    assert parse_thread("180 den").tex == pytest.approx(parse_thread("20 tex").tex, rel=1e-12)


def test_thirty_tex_is_ne_19_7():
    assert 590.541 / parse_thread("30 tex").tex == pytest.approx(19.7, abs=0.05)


def test_linen_lea_is_2_8_times_the_cotton_count():
    assert parse_thread("20 Ne").tex == pytest.approx(parse_thread("56 NeL").tex, rel=1e-4)


def test_two_fold_eighties_are_as_heavy_as_forties():
    """Brooks."""
    assert parse_thread("2/80 Ne").tex == pytest.approx(parse_thread("40 Ne").tex, rel=1e-12)


@pytest.mark.parametrize(("count", "per_inch"), TAYLOR_PER_INCH.items())
def test_thickness_is_taylors_but_for_the_density_he_assumed(count, per_inch):
    """Peirce's 1.1 cm3/g makes threads 1.6 % thinner than Taylor's 0.95 √(840 Ne)."""
    assert 25.4 / diameter_mm(parse_thread(f"{count} Ne").tex) == pytest.approx(per_inch, rel=0.02)


@pytest.mark.parametrize("count", [10, 30, 120])
def test_cotton_is_one_28th_of_the_root_of_its_count_in_inches(count):
    """Peirce; 28 is printed with two digits (34.14 √1.1 mil gives 27.93)."""
    assert diameter_mm(590.541 / count) == pytest.approx(25.4 / (28 * count**0.5), rel=0.004)
