"""What the reader tells without stopping."""


def test_words_out_of_place_are_told(remarks_of, grid):
    body = (
        '<path id="s" d="M9 9H19V19H9Z" data-stitch="half" data-picots="left"/>'
        '<path id="t" d="M10 10H18" data-line="plait" data-density="1"/>'
    )
    assert remarks_of(grid + body) == [
        'region "s" at 14.0, 14.0 mm: data-picots says nothing about a region and was left out',
        'line "t" at 10.0, 10.0 mm: data-density says nothing about a line and was left out',
    ]


def test_a_ground_region_without_its_ground_is_told(remarks_of, grid):
    assert remarks_of(grid + '<path d="M9 9H19V19H9Z" data-stitch="ground"/>') == [
        "region 1 at 14.0, 14.0 mm: no data-ground says which ground it is, so it is worked in "
        "the pattern's own"
    ]


def test_pictures_are_left_out_and_never_fetched(remarks_of, grid):
    body = '<image href="http://example.org/scan.png" width="9" height="9"/>'
    assert remarks_of(grid + body) == ["1 picture in the drawing was left out"]
    assert remarks_of(grid + body + body) == ["2 pictures in the drawing were left out"]


def test_style_rules_that_are_not_understood_are_told(remarks_of, grid):
    style = "@import url(x.css); circle:hover{fill:red} .a{fill:red} @media print{a{b:c}}"
    assert remarks_of(f"<style>{style}</style>{grid}") == [
        'the style rule "@import url(x.css)" is not understood and was left out',
        'the style rule "circle:hover" is not understood and was left out',
        'the style rule "@media print" is not understood and was left out',
    ]
