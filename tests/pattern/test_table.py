"""Patterns listed as a table."""

import pytest


def test_a_table_gives_holes_tags_and_heading(read_bytes):
    data = (
        "# title: Shell edging\n# down: 80\n# ground: rose\n# gauge_mm: 0.25\n# a free remark\n\n"
        "x_mm,y_mm,stitch,area\n1,2,,\n3.5,-4,half,wing\n# a line between\n"
        '"5",6,"whole",\n'
    )
    pattern = read_bytes(data.encode(), "edging.csv")
    assert pattern.holes.tolist() == [[1, 2], [3.5, -4], [5, 6]]
    assert pattern.hole_stitch == (None, "half", "whole")
    assert pattern.hole_area == (None, "wing", None)
    assert (pattern.name, pattern.title, pattern.ground) == ("edging", "Shell edging", "rose")
    assert (pattern.down_degrees, pattern.gauge_mm) == (80, 0.25)


def test_columns_stand_in_any_order_and_tags_may_be_absent(read_bytes):
    assert read_bytes(b"y_mm, x_mm\r\n2,1\r\n", "p.csv").holes.tolist() == [[1, 2]]


def test_a_table_and_a_drawing_of_it_give_the_same_regions(read_bytes, read_drawing):
    spots = [(x, y) for y in (10, 14, 18) for x in (10, 14, 18)]
    table = "x_mm,y_mm,stitch\n" + "".join(f"{x},{y},half\n" for x, y in spots)
    circles = (f'<circle cx="{x}" cy="{y}" r=".3" data-stitch="half"/>' for x, y in spots)
    (listed,) = read_bytes(table.encode(), "p.csv").regions
    (drawn,) = read_drawing("".join(circles)).regions
    assert listed.contours[0].tolist() == drawn.contours[0].tolist()


HEAD = "x_mm,y_mm,stitch\n"
SEMICOLONS = (
    "its columns are not parted by commas; save it with commas, and with points in its numbers"
)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (HEAD + "1,2\n", "line 2: it has 2 columns; there must be 3"),
        (HEAD + "1,two,\n", 'line 2: its y_mm "two" is not a number'),
        (HEAD + "nan,2,\n", 'line 2: its x_mm "nan" is out of range; it must be within 5000 mm'),
        (HEAD + "1,1e4,\n", 'line 2: its y_mm "1e4" is out of range; it must be within 5000 mm'),
        (HEAD + "1,2,hlf\n", 'line 2: unknown stitch "hlf"; did you mean "half"?'),
        (
            HEAD + '1,2,"half\n',
            "line 2: it cannot be read as a line of a table (unexpected end of data)",
        ),
        ("x_mm;y_mm\n1;2", SEMICOLONS),
        ("x_mm\ty_mm\n1\t2", SEMICOLONS),
        ("x_mm,stitch\n1,half", 'there is no column "y_mm"'),
        ("x_mm,y_mm,stich\n1,2,", 'unknown column "stich"; did you mean "stitch"?'),
        ("x_mm,y_mm,x_mm\n1,2,3", 'the column "x_mm" stands there twice'),
        ("# titel: a\nx_mm,y_mm\n1,2", 'unknown key "titel"; did you mean "title"?'),
        ("# ground: roze\nx_mm,y_mm\n1,2", 'ground: unknown ground "roze"; did you mean "rose"?'),
        (
            "x_mm,y_mm\n",
            "there are no holes; a hole is a circle up to 2 mm across or a line of a table",
        ),
    ],
)  # fmt: skip
def test_a_table_at_fault_is_refused_in_one_sentence(fault_of_file, text, message):
    assert fault_of_file(text.encode(), "p.csv") == f"p.csv: {message}"


def test_every_bad_line_is_told(fault_of_file):
    assert fault_of_file((HEAD + "a,2,\n1,b,\n1,2,\n1,2,x\n").encode(), "p.csv").count("\n") == 2


def test_text_that_is_not_utf_8_is_refused(fault_of_file):
    assert fault_of_file(b"# title: Caf\xe9\nx_mm,y_mm\n1,2", "p.csv") == (
        "p.csv: the file is not UTF-8 text (byte 12); save it as UTF-8"
    )
