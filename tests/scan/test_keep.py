"""What a hand corrected in a pattern outlasts a second reading of the same copy."""

from xml.etree import ElementTree

import numpy as np
import pytest
from scipy.spatial import cKDTree

from render import OutputError, PatternError, copy_scan, parse_pen, read_pattern
from tests.scan.conftest import Sheet, scan

PITCH = 2.5
PENS = [parse_pen("yellow=half"), parse_pen("blue=whole")]
MOVED, DELETED, ADDED = (11.0, 8.5), (16.0, 8.5), (9.7, 32.0)


def copy_of(folder, shift=0.0):
    """Draw, colour and scan a small ground; return its file."""
    rng = np.random.default_rng(7)
    places = [(6 + PITCH * c, 6 + PITCH * r) for r in range(11) for c in range(8)]
    sheet = Sheet(34 + shift, 44, np.add(places, (shift, 0)))
    sheet.dots(0.7)
    for pen, low, high in (("yellow", (11, 11), (18.5, 16)), ("blue", (6, 21), (16, 26))):
        corners = [low, (high[0], low[1]), high, (low[0], high[1])]
        sheet.colour(pen, [np.add(corners, (shift, 0.0))], rng)
    path = folder / "copy.png"
    scan(sheet, 150, rng).image.save(path, dpi=(150, 150))
    return path


@pytest.fixture
def copied(tmp_path):
    """Return a copy and the pattern that was read from it."""
    path = copy_of(tmp_path)
    copy_scan(path, tmp_path / "copy.svg", pens=PENS)
    return path, tmp_path / "copy.svg"


def circle_at(text, place):
    """Return the circle in a drawing that stands at a place."""
    root = ElementTree.fromstring(text)
    circles = [e for e in root.iter("{http://www.w3.org/2000/svg}circle")]
    at = [(float(c.get("cx")), float(c.get("cy"))) for c in circles]
    away, nearest = cKDTree(at).query(place)
    assert away < 0.1
    return '<circle cx="{cx}" cy="{cy}" r="{r}"/>'.format(**circles[nearest].attrib)


def correct(path):
    """Do what a maker does in a drawing program."""
    text = path.read_text("utf-8")
    text = text.replace(circle_at(text, MOVED), '<circle cx="11.5" cy="8.2" r="0.4"/>')
    text = text.replace(circle_at(text, DELETED), f'<circle cx="{ADDED[0]}" cy="32" r="0.4"/>')
    text = text.replace('data-stitch="half"', 'data-stitch="double"')
    text = text.replace(
        '<g id="notes" data-role="notes" font-size="4">',
        '<path id="eye" data-stitch="open" d="M8.5,21 11,21 11,26 8.5,26 Z"/>'
        '<g id="notes" data-role="notes" font-size="4">'
        '<text id="mine" x="3" y="3">wind <tspan>two</tspan> more</text>',
    )
    path.write_text(text.replace("<svg ", '<svg data-notes="ask Ines" ', 1), "utf-8")


def distance(pattern, place):
    return cKDTree(pattern.holes).query(place)[0]


def test_corrections_outlast_a_second_and_a_third_reading(copied):
    path, target = copied
    was = read_pattern(target)
    correct(target)
    copy_scan(path, target, pens=PENS, keep=True)
    text = target.read_text("utf-8")
    copied = copy_scan(path, target, pens=PENS, keep=True)
    assert target.read_text("utf-8") == text
    assert copied.kept
    now = read_pattern(target)
    assert len(now.holes) == len(was.holes)
    assert distance(now, (11.5, 8.2)) == distance(now, ADDED) == 0
    assert distance(now, MOVED) > 0.3
    assert distance(now, DELETED) > PITCH / 2
    assert sorted(r.stitch for r in now.regions) == ["double", "open", "whole"]
    assert now.notes == "ask Ines"
    note = ElementTree.fromstring(text).find(".//*[@id='mine']")
    assert "".join(note.itertext()).strip() == "wind two more"


def test_a_reshaped_area_is_kept_and_the_others_are_read_anew(copied):
    path, target = copied
    text = target.read_text("utf-8")
    first = read_pattern(target).regions
    half = next(r for r in first if r.stitch == "half")
    corner = "{:g},{:g}".format(*half.contours[0][0])
    assert text.count(f"M{corner}") == 1
    target.write_text(text.replace(f"M{corner}", "M8.5,8.5"), "utf-8")
    copy_scan(path, target, pens=[parse_pen("yellow=half"), parse_pen("blue=double")], keep=True)
    regions = {r.stitch: r for r in read_pattern(target).regions}
    assert set(regions) == {"half", "double"}
    assert (8.5, 8.5) in map(tuple, regions["half"].contours[0])


def test_a_hole_drawn_close_to_another_leaves_it_in_place(copied):
    path, target = copied
    text = target.read_text("utf-8")
    circle = circle_at(text, MOVED)
    target.write_text(text.replace(circle, f'{circle}<circle cx="11.9" cy="8.6" r="0.4"/>'))
    was = read_pattern(target)
    copy_scan(path, target, pens=PENS, keep=True)
    now = read_pattern(target)
    assert len(now.holes) == len(was.holes)
    assert max(distance(now, MOVED), distance(now, (11.9, 8.6))) < 0.1


def test_a_hole_drawn_off_the_page_does_not_make_all_others_corrections(copied):
    path, target = copied
    text = target.read_text("utf-8")
    circle = circle_at(text, MOVED)
    target.write_text(text.replace(circle, f'{circle}<circle cx="-1.5" cy="8.6" r="0.4"/>'))
    for _ in range(2):
        copied = copy_scan(path, target, pens=PENS, keep=True)
        assert copied.kept == "holes: 1 drawn by hand, 0 taken away"


def test_a_pattern_that_was_corrected_is_not_replaced_unasked(copied, tmp_path):
    path, target = copied
    correct(target)
    text = target.read_text("utf-8")
    with pytest.raises(OutputError, match=r"corrected by hand.*--keep"):
        copy_scan(path, target, pens=PENS, review=tmp_path / "look.png")
    assert target.read_text("utf-8") == text
    assert not (tmp_path / "look.png").exists()


def test_a_note_alone_counts_as_a_correction(copied):
    path, target = copied
    text = target.read_text("utf-8")
    note = '<g id="notes" data-role="notes" font-size="4">'
    target.write_text(text.replace(note, note + '<text x="3" y="3">mine</text>'))
    with pytest.raises(OutputError, match="notes"):
        copy_scan(path, target, pens=PENS)


def test_what_was_not_corrected_is_read_anew_unasked(copied):
    path, target = copied
    copy_scan(path, target, pens=[parse_pen("yellow=double"), parse_pen("blue=ignore")])
    assert [r.stitch for r in read_pattern(target).regions] == ["double"]


def test_another_copy_is_refused_and_leaves_no_review(copied, tmp_path):
    _, target = copied
    correct(target)
    text = target.read_text("utf-8")
    rng = np.random.default_rng(3)
    angles = np.arange(60) * 2 * np.pi / 60
    ring = np.stack([20 + 15 * np.cos(angles), 20 + 15 * np.sin(angles)], axis=1)
    other = Sheet(40, 40, ring)
    other.dots(0.7)
    scan(other, 150, rng).image.save(tmp_path / "other.png", dpi=(150, 150))
    with pytest.raises(PatternError, match="same copy"):
        copy_scan(tmp_path / "other.png", target, keep=True, review=tmp_path / "look.png")
    assert target.read_text("utf-8") == text
    assert not (tmp_path / "look.png").exists()


def test_a_copy_that_lay_otherwise_on_the_glass_falls_on_the_corrected_pattern(copied, tmp_path):
    _, target = copied
    correct(target)
    (tmp_path / "again").mkdir()
    copy_scan(copy_of(tmp_path / "again", shift=6.0), target, pens=PENS, keep=True)
    now = read_pattern(target)
    assert len(now.holes) == 88
    assert distance(now, ADDED) == 0
    assert max(distance(now, place) for place in ((6, 6), (23.5, 31), (13.5, 21))) < 0.1
    assert sorted(r.stitch for r in now.regions) == ["double", "open", "whole"]


@pytest.mark.parametrize("role", ["pattern", "review"])
def test_files_that_somebody_made_are_never_replaced(copied, tmp_path, role):
    path, _ = copied
    own = tmp_path / {"pattern": "mine.svg", "review": "mine.png"}[role]
    content = b"<svg/>" if role == "pattern" else path.read_bytes()
    own.write_bytes(content)
    target = own if role == "pattern" else tmp_path / "new.svg"
    review = own if role == "review" else tmp_path / "look.png"
    with pytest.raises(OutputError, match="mine"):
        copy_scan(path, target, pens=PENS, review=review, keep=True)
    assert own.read_bytes() == content
    assert not {"new.svg", "look.png"} & {p.name for p in tmp_path.iterdir()}
