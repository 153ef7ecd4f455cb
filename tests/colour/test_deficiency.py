"""What the simulation of dichromats must obey."""

import numpy as np
import pytest

from render.colour.deficiency import SEEN_WITHOUT, seen_without
from render.colour.difference import ciede2000
from render.colour.lab import lab_from_srgb
from render.colour.srgb import parse_colour


@pytest.mark.parametrize("cone", SEEN_WITHOUT)
def test_greys_stay_as_they_are(cone):
    greys = np.linspace(0, 1, 9)[:, None] * np.ones(3)
    assert seen_without(cone, greys) == pytest.approx(greys, abs=1e-5)


@pytest.mark.parametrize("cone", ["protan", "deutan"])
def test_two_cones_see_two_dimensions(cone):
    """Machado et al. 2009: a dichromat's matrix has no inverse; digits are printed to 1e-6."""
    assert np.linalg.det(SEEN_WITHOUT[cone]) == pytest.approx(0, abs=2e-6)


@pytest.mark.parametrize(
    ("cone", "pair"),
    [
        ("protan", ("#b5805c", "#7f8c5a")),
        ("deutan", ("#b5805c", "#7f8c5a")),
        ("tritan", ("#7fb0d0", "#80b8a0")),
    ],
)
def test_colours_told_apart_by_the_missing_cone_draw_together(cone, pair):
    """Red from green without long or middle cones, blue from green without the short ones."""
    colours = np.array([parse_colour(text) for text in pair])
    before = ciede2000(*lab_from_srgb(colours))
    after = ciede2000(*lab_from_srgb(seen_without(cone, colours)))
    assert after < before / 2
