"""One scene, one picture, whoever draws it and in whatever order."""

from dataclasses import replace

import numpy as np
import pytest

from render.errors import SettingError
from render.image.background import Card, Clear, Felt, Flat
from render.image.draw import draw, picture
from render.image.pins import Pins
from render.shade.material import MATERIALS

HOLES = np.array([[1.0, 1.0], [3.25, 2.5], [4.6, 4.1], [-0.95, 2.0]])


def everything(scene, **settings):
    return scene(card_holes=HOLES, pins=Pins(HOLES[1:3]), **settings)


def test_the_picture_has_the_size_of_the_window(scene):
    assert picture(scene(), processes=1).shape == (59, 71, 3)
    assert picture(scene(dpi=600), processes=1).shape == (118, 142, 3)


@pytest.mark.parametrize("band_rows", [1, 7, 16, 58])
def test_the_height_of_bands_changes_no_byte(scene, band_rows):
    whole = picture(everything(scene), processes=1)
    bands = list(draw(everything(scene), processes=1, band_rows=band_rows))
    assert {len(band) for band in bands[:-1]} <= {band_rows}
    assert (np.concatenate(bands) == whole).all()


def test_two_processes_draw_what_one_draws(scene):
    one, two = (picture(everything(scene, dpi=600), processes=n) for n in (1, 2))
    assert (one == two).all()


def test_the_same_scene_twice_is_the_same_picture(scene):
    assert (picture(scene(hairs=True)) == picture(scene(hairs=True))).all()


def test_progress_rises_to_one(scene):
    done = []
    list(draw(scene(), processes=1, progress=done.append, band_rows=10))
    assert done == sorted(done)
    assert done[-1] == 1


def test_a_fault_in_a_process_reaches_the_caller(scene, monkeypatch):
    monkeypatch.setattr("render.image.draw.lit", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        picture(scene(), processes=2)


def test_an_open_card_shows_its_own_colour(scene):
    """The usual light makes a white card white; far from threads any colour is itself."""
    colour = (0.2, 0.5, 0.7)
    shown = picture(scene(background=Flat(colour), window_mm=(20, 20, 22, 22)), processes=1)
    assert (np.abs(shown - 255 * np.array(colour)) <= 1).all()


def test_threads_show_their_own_hue(scene):
    """A red thread is red in light and in shade."""
    shown = picture(scene(colours=(0.8, 0.1, 0.1), background=Clear()), processes=1)
    r, g, b = shown[shown[:, :, 3] == 255][:, :3].astype(int).T
    assert (r > g + 20).mean() > 0.97
    assert (abs(g - b) < 12).all()


def test_white_thread_stands_out_white(scene):
    """Most of a white thread is shown light, its crevices are not black."""
    shown = picture(scene(colours=(1.0, 1.0, 1.0), dpi=600, background=Clear()), processes=1)
    level = shown[shown[:, :, 3] == 255][:, 1]
    assert np.median(level) > 215
    assert np.percentile(level, 1) > 90


def test_clear_pictures_laid_on_a_colour_are_pictures_of_that_colour(scene):
    """Straight alpha over a flat colour, without its shadows, is the same scene on that colour."""
    clear = picture(scene(background=Clear()), processes=1).astype(float) / 255
    solid = picture(scene(background=Flat((0.0, 0.0, 0.0))), processes=1).astype(float) / 255

    def linear(v):
        return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)

    laid = linear(clear[:, :, :3]) * clear[:, :, 3:]
    assert laid == pytest.approx(linear(solid), abs=0.01)


def test_clear_pictures_keep_the_shadow_that_is_asked_for(scene):
    none, some = (picture(scene(background=Clear(s)), processes=1)[:, :, 3] for s in (0.0, 0.7))
    assert (some >= none).all()
    assert some.sum() > 1.05 * none.sum()
    assert none[:3].max() == 0


@pytest.mark.parametrize("dpi", [40, 75])
def test_thumbnails_hold_as_much_thread_as_large_pictures(scene, dpi):
    """Threads thinner than a pixel keep their coverage: alpha sums to the same area."""
    area = [
        picture(scene(dpi=d, background=Clear()), processes=1)[:, :, 3].sum() / 255 / d**2
        for d in (dpi, 1200)
    ]
    assert area[0] == pytest.approx(area[1], rel=0.02)


def test_finer_samples_show_the_same_cloth(scene):
    once, fine = (picture(scene(dpi=600, samples=n), processes=1).astype(float) for n in (1, 3))
    assert np.abs(once - fine).mean() < 5


def test_holes_are_dark_and_as_large_as_asked(scene):
    holes = np.array([[2.0, 2.0]])
    window = (0, 0, 4, 4)
    settings = {"window_mm": window, "dpi": 600, "background": Card(grain=0)}
    empty = scene(**settings)
    moved = replace(empty.paths, points=empty.paths.points + 100.0)
    bare, pricked = (
        picture(replace(empty, paths=moved, card_holes=h, hole_mm=0.8), processes=1)[:, :, 1]
        for h in (None, holes)
    )
    dark = pricked < 0.75 * bare  # half the light, as sRGB writes it
    assert dark.sum() / (600 / 25.4) ** 2 == pytest.approx(np.pi * 0.4**2, rel=0.05)
    down, across = np.nonzero(dark)
    assert down.mean() == pytest.approx(46.5, abs=0.7)
    assert across.mean() == pytest.approx(46.5, abs=0.7)


def test_pins_are_drawn_over_the_lace_and_cast_shadows(scene):
    without, with_pins = (
        picture(scene(pins=p, dpi=600), processes=1).astype(int) for p in (None, Pins(HOLES[1:2]))
    )
    changed = np.abs(with_pins - without).max(axis=2) > 8
    assert 0.2 < changed.sum() / (600 / 25.4) ** 2 < 4  # mm2
    scale = 600 / 25.4
    head = Pins(HOLES[1:2]).heads()[0]
    column, row = int((head[0] + 1) * scale), int((head[1] + 0.5) * scale)
    assert changed[row - 3 : row + 4, column - 3 : column + 4].all()


def test_lifted_lace_throws_its_shadow_further(scene):
    flat, lifted = (
        picture(scene(lift_mm=lift, background=Clear(1.0), colours=(1, 1, 1)), processes=1)
        for lift in (0.0, 0.8)
    )
    right_of_cloth = np.s_[10:40, 62:70, 3]
    assert lifted[right_of_cloth].mean() > flat[right_of_cloth].mean() + 20


def test_every_material_has_its_own_look(scene):
    pictures = [picture(scene(materials=(m,), dpi=600), processes=1) for m in MATERIALS.values()]
    for k, one in enumerate(pictures):
        for other in pictures[:k]:
            assert np.abs(one.astype(int) - other).mean() > 0.5


def test_threads_of_two_materials_are_each_drawn_as_their_own(scene):
    made_of = np.arange(16) % 2
    cotton, metal = MATERIALS["cotton"], MATERIALS["metal"]
    mixed = picture(scene(materials=(cotton, metal), made_of=made_of), processes=1)
    assert (mixed != picture(scene(materials=(cotton,)), processes=1)).any()
    same = picture(scene(materials=(cotton, cotton), made_of=made_of), processes=1)
    assert (same == picture(scene(materials=(cotton,)), processes=1)).all()


def test_a_scene_without_threads_is_its_background(scene):
    full = scene(background=Felt((0.3, 0.3, 0.3)))
    none = np.zeros(0, np.int64)
    paths = replace(
        full.paths,
        points=np.zeros((0, 3)),
        starts=np.zeros(1, np.int64),
        radius=np.zeros(0),
        pair=none,
        role=none,
        region=none,
    )
    shown = picture(replace(full, paths=paths, colours=np.zeros((0, 3))), processes=1)
    assert shown.mean() == pytest.approx(0.3 * 255, rel=0.1)


def test_too_large_a_picture_is_refused_with_the_dpi_that_fits(scene):
    with pytest.raises(SettingError, match=r"300 x 200 mm at 2400 dpi are 536 megapixels") as error:
        scene(window_mm=(0, 0, 300, 200), dpi=2400)
    dpi = int(str(error.value).split(";")[1].split()[0])
    assert scene(window_mm=(0, 0, 300, 200), dpi=dpi).view.width > 0
    assert scene(window_mm=(0, 0, 300, 200), dpi=2400, largest_megapixels=600).view.width == 28346


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"window_mm": (5, 0, 4, 1)}, "is empty"),
        ({"dpi": 0}, "make no picture"),
        ({"colours": (1.2, 0, 0)}, "from 0 to 1"),
        ({"materials": tuple(MATERIALS.values())}, "which thread is made of which"),
    ],
)
def test_settings_that_make_no_sense_are_named(scene, settings, words):
    with pytest.raises(SettingError, match=words):
        scene(**settings)
