"""Words and values that a pattern may not use."""

import pytest

SQUARE = '<path id="s" d="M9 9H19V19H9Z" {}/>'
LINE = '<path id="s" d="M10 10H18" {}/>'
REGION_AT = 'region "s" at 14.0, 14.0 mm: '
LINE_AT = 'line "s" at 10.0, 10.0 mm: '


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ('data-stitch="hole"', 'unknown stitch "hole"; did you mean "whole"?'),
        ('data-stitch="Whole"', 'unknown stitch "Whole"; did you mean "whole"?'),
        (
            'data-stitch="xyz"',
            'unknown stitch "xyz"; expected one of whole, half, double, ground, open',
        ),
        (
            'data-stitch="ground" data-ground="torchn"',
            'data-ground: unknown ground "torchn"; did you mean "torchon"?',
        ),
        (
            'data-stitch="ground" data-ground="CTX"',
            'data-ground: unknown ground "CTX"; expected one of torchon, twisted, doubled, point, '
            "honeycomb, rose, brussels, valenciennes, spider, or letters C, T, p",
        ),
        (
            'data-stitch="ground" data-ground="CTpCTp"',
            'data-ground: the ground "CTpCTp" cannot be worked; it needs a C, and at most one p, '
            "after it",
        ),
        (
            'data-stitch="ground" data-ground="TpT"',
            'data-ground: the ground "TpT" cannot be worked; it needs a C, and at most one p, '
            "after it",
        ),
        (
            'data-stitch="whole" data-pairs="many"',
            'data-pairs is "many"; it must be a whole number from 1 to 500',
        ),
        (
            'data-stitch="whole" data-pairs="0"',
            'data-pairs is "0"; it must be a whole number from 1 to 500',
        ),
        (
            'data-stitch="whole" data-density="-1"',
            'data-density is "-1"; it must be a number from 0.1 to 10',
        ),
        (
            'data-stitch="whole" data-density="nan"',
            'data-density is "nan"; it must be a number from 0.1 to 10',
        ),
        (
            'data-stitch="whole" data-colour="lnen"',
            'data-colour: "lnen" is not a colour; did you mean "linen"?',
        ),
        (
            'data-stitch="whole" data-tie="1.5"',
            'data-tie is "1.5"; it must be a whole number from 0 to 9',
        ),
        (
            'data-stitch="whole" data-area=""',
            "data-area is empty; write something or leave it out",
        ),
    ],
)
def test_a_region_says_which_of_its_words_is_wrong(faults_of, grid, words, message):
    assert faults_of(grid + SQUARE.format(words)) == [REGION_AT + message]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ('data-line="plat"', 'unknown line "plat"; did you mean "plait"?'),
        (
            'data-line="qqq"',
            'unknown line "qqq"; expected one of plait, leaf, square-leaf, gimp, footside, '
            "headside, direction, join",
        ),
        (
            'data-line="plait" data-twists="few"',
            'data-twists is "few"; it must be a whole number from 0 to 9',
        ),
        ('data-line="plait" data-picots="lft"', 'data-picots is "lft"; did you mean "left"?'),
        (
            'data-line="footside" data-passives="99"',
            'data-passives is "99"; it must be a whole number from 0 to 50',
        ),
        (
            'data-line="gimp" data-gauge-mm="9"',
            'data-gauge-mm: "9" is a thread 9 mm thick; it must be between 0.01 and 5 mm',
        ),
        (
            'data-line="footside" data-stitch="duble"',
            'data-stitch: unknown stitch "duble"; did you mean "double"?',
        ),
        (
            'data-stitch="whole"',
            "it has data-stitch but is open; close the shape, or add data-line if it is a line",
        ),
    ],
)
def test_a_line_says_which_of_its_words_is_wrong(faults_of, grid, words, message):
    assert faults_of(grid + LINE.format(words)) == [LINE_AT + message]


@pytest.mark.parametrize(
    ("circle", "message"),
    [
        (
            '<circle cx="3" cy="4" r="1" data-stitch="haf"/>',
            'hole 1 at 3.0, 4.0 mm: unknown stitch "haf"; did you mean "half"?',
        ),
        (
            '<circle id="c" cx="3" cy="4" r="1" data-line="gimp"/>',
            'hole "c" at 3.0, 4.0 mm: a circle up to 2 mm across is a hole and cannot be a line; '
            "draw it larger",
        ),
    ],
)
def test_a_hole_says_which_of_its_words_is_wrong(faults_of, circle, message):
    assert faults_of(circle) == [message]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (
            'data-down="down"',
            'data-down: "down" is not a direction; write degrees clockwise, such as 90',
        ),
        ('data-ground="roze"', 'data-ground: unknown ground "roze"; did you mean "rose"?'),
        (
            'data-thread="60/2"',
            'data-thread: "60/2" is not a thread count; write it as 60/2 NeL, 50/2 Ne, 120/2 Nm or '
            "20 tex",
        ),
        (
            'data-gauge-mm="thick"',
            'data-gauge-mm: "thick" is not a length; write a number and a unit, such as 12.5mm',
        ),
        ('data-repeat="24"', 'data-repeat: "24" is not a vector; write dx,dy in mm, such as 0,24'),
        (
            'data-repeat="0,0"',
            'data-repeat: "0,0" is no length for a repeat; it must be from 1 to 5000 mm',
        ),
        ('data-titel="Fan"', 'unknown word data-titel; did you mean "data-title"?'),
    ],
)  # fmt: skip
def test_the_root_says_which_of_its_words_is_wrong(faults_of, grid, words, message):
    assert faults_of(grid, f'width="60mm" height="60mm" viewBox="0 0 60 60" {words}') == [message]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ('data-stich="whole"', 'unknown word data-stich; did you mean "data-stitch"?'),
        ('data-pair="4"', 'unknown word data-pair; did you mean "data-pairs"?'),
        ('data-role="note"', 'unknown data-role "note"; did you mean "notes"?'),
    ],
)
def test_a_misspelt_word_is_not_passed_over(faults_of, grid, words, message):
    assert faults_of(f"<g id='s' {words}>{grid}</g>") == [f'g "s": {message}']


def test_every_fault_is_told_at_once_in_the_order_of_the_file(faults_of, grid):
    body = (
        '<path id="a" d="M9 9H19V19H9Z" data-stitch="whole" data-pairs="x" data-tie="y"/>'
        '<path id="b" d="M10 10H40" data-line="plait"/>'
        '<path id="c" d="M9 9H19V19H9Z" data-stitch="haf"/>'
        '<path id="d" d="M40 40h9v9z" data-stitch="half"/>'
    )
    assert [fault.split(":")[0] for fault in faults_of(grid + body)] == [
        'region "a" at 14.0, 14.0 mm', 'region "a" at 14.0, 14.0 mm', 'line "b" at 10.0, 10.0 mm',
        'region "c" at 14.0, 14.0 mm', 'region "d" at 44.5, 44.5 mm',
    ]  # fmt: skip
