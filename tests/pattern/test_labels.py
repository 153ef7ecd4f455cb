"""Texts of a drawing, where SVG 2 has them: https://www.w3.org/TR/SVG2/text.html."""

from dataclasses import replace

import numpy as np
import pytest

from render.pattern.read import read_pattern
from render.pattern.repeat import lay_again
from render.pattern.write import write_pattern
from tests.pieces import net_text


@pytest.fixture
def read(tmp_path):
    def read(extra):
        (tmp_path / "net.svg").write_text(net_text(extra), "utf-8")
        return read_pattern(tmp_path / "net.svg")

    return read


def said(pattern):
    return [label.text for label in pattern.labels]


def test_a_text_has_its_place_size_and_anchor(read):
    """One unit is a millimetre; the page begins at -5, -5."""
    (label,) = read('<text x="1" y="2" font-size="3" text-anchor="end">whelk</text>').labels
    assert (label.text, label.anchor) == ("whelk", "end")
    assert label.at == pytest.approx((6, 7))
    assert label.size_mm == pytest.approx(3)


@pytest.mark.parametrize("role", ["", ' data-role="notes"'])
def test_size_and_anchor_are_inherited_and_transforms_are_applied(read, role):
    (label,) = read(
        f'<g{role} style="font-size: 2px; text-anchor: middle" transform="translate(4 0)">'
        '<g transform="scale(2)"><text x="1" y="1">shell</text></g></g>'
    ).labels
    assert label.at == pytest.approx((5 + 4 + 2, 5 + 2))
    assert label.size_mm == pytest.approx(4)
    assert label.anchor == "middle"


def test_parts_of_a_text_go_on_but_where_they_have_a_place_of_their_own(read):
    labels = read(
        '<text x="1" y="1">first <tspan>line</tspan><tspan x="1" dy="4">second</tspan></text>'
    ).labels
    assert [label.text for label in labels] == ["first line", "second"]
    assert np.diff([label.at for label in labels], axis=0)[0] == pytest.approx((0, 4))


@pytest.mark.parametrize("extra", [
    "<defs><text>unused</text></defs>", "<text>  </text>", "<title>net</title>",
    '<text transform="spin(3)">lost</text>', "",
])  # fmt: skip
def test_what_is_shown_nowhere_is_no_label(read, extra):
    assert said(read(extra)) == []


def test_texts_are_written_and_read_back(read, tmp_path):
    before = read('<text x="1" y="1" font-size="2">6 &lt; 7</text>')
    write_pattern(before, tmp_path / "again.svg")
    write_pattern(read_pattern(tmp_path / "again.svg"), tmp_path / "twice.svg")
    (label,) = read_pattern(tmp_path / "twice.svg").labels
    assert label == before.labels[0]


def test_each_repeat_has_its_texts(read):
    pattern = replace(read('<text x="1" y="1">crab</text>'), repeat=(0.0, 14.0))
    labels = lay_again(pattern, 3).pattern.labels
    assert [label.at[1] - labels[0].at[1] for label in labels] == [0, 14, 28]
