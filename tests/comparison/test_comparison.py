"""Sheets on which choices are compared."""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from render.colour.contrast import contrast_ratio
from render.comparison import make
from render.comparison.layout import PAPER, cell_name, lay_out, shared_name
from render.comparison.make import make_comparison
from render.comparison.model import Cell, Choices, Variant
from render.errors import OutputError, SettingError
from render.image.background import Card, Flat
from render.lettering import shortened, text_width, wrapped
from render.wishes import Wishes

RED, WHITE = ("red", (1.0, 0.0, 0.0)), ("white", (1.0, 1.0, 1.0))
CARD, NIGHT = ("card", Card()), ("midnightblue", Flat((0.1, 0.1, 0.44)))


def test_every_choice_meets_every_other_once():
    choices = Choices((RED, WHITE), (CARD, NIGHT), (0.2, 0.3), (Variant(), Variant("b")))
    cells = choices.cells
    assert len(cells) == len(set(cells)) == 16
    assert choices.columns == 2
    assert [cell.thread for cell in cells[:4]] == [0, 1, 0, 1]


def test_with_one_thread_the_longest_choice_runs_across():
    choices = Choices((RED,), (CARD, NIGHT), (0.2, 0.3, 0.4))
    assert choices.columns == 3
    assert [cell.gauge for cell in choices.cells] == [0, 1, 2, 0, 1, 2]


def test_what_differs_is_said_below_and_the_rest_above():
    choices = Choices((RED, WHITE), (CARD, NIGHT))
    assert cell_name(Cell(0, 0, 1, 1), choices, [0.3]) == "on midnightblue, thread white"
    assert shared_name(choices, [0.3]) == "as marked, 0.30 mm thick"


@pytest.mark.parametrize("threads", [(), (RED,) * 101])
def test_sheets_of_nothing_or_too_much_are_refused(threads):
    with pytest.raises(SettingError):
        Choices(threads)


def test_pictures_stand_on_the_sheet_in_order_and_unchanged():
    choices = Choices((RED, WHITE))
    images = [Image.new("RGB", (300, 200), colour) for colour in ("red", "lime")]
    rows = np.asarray(lay_out("net", images, choices, [0.3]))
    red, lime = ((rows == colour).all(axis=2) for colour in ((255, 0, 0), (0, 255, 0)))
    assert red.sum() == lime.sum() == 300 * 200
    assert np.argwhere(red)[:, 1].max() < np.argwhere(lime)[:, 1].min()


def test_each_picture_has_legible_letters_beneath_it():
    """WCAG 2.2, criterion 1.4.3: text is read at a contrast of 4.5."""
    choices = Choices((RED, WHITE))
    images = [Image.new("RGB", (300, 200), "red")] * 2
    rows = np.asarray(lay_out("net", images, choices, [0.3]))
    beneath = int(np.flatnonzero((rows == (255, 0, 0)).all(axis=2).any(axis=1)).max()) + 1
    dark = contrast_ratio(rows[beneath:] / 255, np.array(PAPER) / 255) >= 4.5
    columns = [np.flatnonzero(half.any(axis=0)) for half in np.array_split(dark, 2, axis=1)]
    for found, name in zip(columns, ("thread red", "thread white"), strict=True):
        assert np.ptp(found) + 1 == pytest.approx(text_width(name, 15), abs=4)


def test_on_a_clear_background_light_and_dark_threads_show():
    clear = Image.new("RGBA", (300, 200), (255, 255, 255, 0))
    clear.paste((255, 255, 255, 255), (0, 0, 10, 200))
    rows = np.asarray(lay_out("net", [clear], Choices((WHITE,)), [0.3]))
    white = np.argwhere((rows == 255).all(axis=2))
    assert len(white) == 10 * 200
    row, column = white.max(axis=0)
    beside = rows[row - 100 : row, column + 1 : column + 100] / 255
    for thread in (np.ones(3), np.zeros(3)):
        assert contrast_ratio(beside, thread).min() > 2


def test_lines_of_text_keep_to_their_width():
    text = "half worked as whole, on midnightblue, thread white, " + "M" * 90
    assert all(text_width(line, 16) <= 200 for line in wrapped(text, 16, 200))
    assert shortened("navy", 16, 200) == "navy"


def test_one_settling_serves_all_threads_and_backgrounds(net, tmp_path, monkeypatch):
    settled = []

    def counted(pattern, wishes, really=make.work_out):
        settled.append(wishes.gauge_mm)
        return really(pattern, wishes)

    monkeypatch.setattr(make, "work_out", counted)
    choices = Choices((RED, WHITE), (CARD, NIGHT), (0.2, 0.3, 0.2))
    made = make_comparison(net, tmp_path / "s.png", choices, Wishes(), pixels=60)
    assert settled == [0.2, 0.3]
    assert (made.cells, made.settlings) == (12, 2)
    with Image.open(made.path) as image:
        assert image.size == (made.width, made.height)


def test_the_same_question_gives_the_same_bytes(net, tmp_path):
    sheets = [tmp_path / "a.png", tmp_path / "b.png"]
    for sheet in sheets:
        make_comparison(net, sheet, Choices((RED, WHITE)), Wishes(), pixels=60)
    assert sheets[0].read_bytes() == sheets[1].read_bytes()


def test_a_cell_shows_its_thread_and_another_ground_looks_otherwise(net, tmp_path, monkeypatch):
    drawn = []

    def kept(scene, really=make.picture):
        drawn.append((scene, really(scene)))
        return drawn[-1][1]

    monkeypatch.setattr(make, "picture", kept)
    plain, other = Variant(), Variant("point ground", ground="point")
    choices = Choices((RED, WHITE), variants=(plain, other))
    make_comparison(net, tmp_path / "s.png", choices, Wishes(), pixels=80, close_mm=8)
    assert [tuple(scene.colours[0]) for scene, _ in drawn] == [RED[1], WHITE[1]] * 2
    assert len({scene.window_mm for scene, _ in drawn}) == 1
    assert (drawn[0][1] != drawn[2][1]).any()


def test_what_cannot_be_written_leaves_nothing_behind(net, tmp_path):
    before = sorted(tmp_path.iterdir())
    with pytest.raises(OutputError):
        make_comparison(net, tmp_path / "s.gif", Choices((RED,)), Wishes())
    small = replace(Wishes(), largest_megapixels=0.1)
    with pytest.raises(SettingError, match="megapixels"):
        make_comparison(net, tmp_path / "s.png", Choices((RED, WHITE)), small)
    swapped = Choices((RED,), variants=(Variant(), Variant("x", {"half": "whole"})))
    with pytest.raises(SettingError, match="no area in half"):
        make_comparison(net, tmp_path / "s.png", swapped, Wishes())
    assert sorted(tmp_path.iterdir()) == before
