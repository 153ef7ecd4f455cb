"""Copies that lead nowhere, outside, or round in circles."""

import pytest


@pytest.mark.parametrize(
    ("element", "message"),
    [
        (
            '<use id="s" href="#none"/>',
            'use "s": it uses "#none", which is not in the drawing',
        ),
        (
            '<use id="s" href="other.svg#a"/>',
            'use "s": it uses "other.svg#a" of another file; bring that into the drawing',
        ),
        (
            '<use id="s" xlink:href="http://example.org/a.svg#a"/>',
            'use "s": it uses "http://example.org/a.svg#a" of another file; '
            "bring that into the drawing",
        ),
        (
            '<g id="a"><use id="s" href="#a"/></g>',
            'use "s": it uses "#a", which in turn uses it',
        ),
        (
            '<defs><g id="a"><use id="t" href="#b"/></g>'
            '<g id="b"><use id="s" href="#a"/></g></defs><use href="#a"/>',
            'use "s": it uses "#a", which in turn uses it',
        ),
    ],
)
def test_a_copy_that_cannot_be_drawn_is_named(faults_of, grid, element, message):
    assert faults_of(grid + element) == [message]


def test_copies_of_copies_cannot_fill_the_memory(faults_of, monkeypatch):
    monkeypatch.setattr("render.pattern.walk.MOST_ELEMENTS", 5000)
    levels = "".join(
        f'<g id="l{n}">' + f'<use href="#l{n - 1}"/>' * 10 + "</g>" for n in range(1, 12)
    )
    body = f'<defs><circle id="l0" cx="4" cy="4" r=".4"/>{levels}</defs><use href="#l11"/>'
    assert faults_of(body)[-1] == "the drawing unfolds to more than 5000 elements"
