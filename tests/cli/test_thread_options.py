"""What the thread is made of and which threads are coloured, on the command line."""

import numpy as np
import pytest
from PIL import Image

from render import BACKGROUNDS


@pytest.mark.parametrize(
    "wish",
    [
        ("--material", "silk"),
        ("--plies", "4"),
        ("--twist", "z"),
        ("--colour", "pair:1=red"),
        ("--leg-twists", "1"),
        ("--tension", "slack"),
        ("--gauge", "auto"),
    ],
)
def test_every_wish_shows(call, net, tmp_path, wish):
    call("preview", net, "-o", tmp_path / "plain.png")
    assert call("preview", net, "-o", tmp_path / "other.png", *wish).exit_code == 0
    assert (tmp_path / "plain.png").read_bytes() != (tmp_path / "other.png").read_bytes()


@pytest.mark.parametrize(
    ("wish", "status"),
    [("pair:1", 2), ("pair:1=blurple", 2), ("pair:999=red", 1), ("wroker=red", 1)],
)
def test_a_colour_for_nobody_leaves_no_picture(call, net, tmp_path, wish, status):
    target = tmp_path / "other.png"
    assert call("preview", net, "-o", target, "--colour", wish).exit_code == status
    assert not target.exists()


def test_the_picture_says_what_it_was_made_of(call, net, tmp_path):
    wishes = ("--material", "linen", "--colour", "pair:1=red")
    call("preview", net, "-o", tmp_path / "a.png", *wishes)
    with Image.open(tmp_path / "a.png") as image:
        said = image.text["Description"]
    assert said.startswith("linen thread")
    assert "pair:1 #ff0000" in said


@pytest.mark.parametrize("command", ["preview", "thumbnail", "compare"])
def test_pictures_take_the_same_thread_everywhere(call, net, tmp_path, command):
    plain, other = tmp_path / "plain.png", tmp_path / "other.png"
    size = () if command == "preview" else ("--size", "80")
    call(command, net, "-o", plain, *size)
    wishes = ("--material", "metal", "--tension", "slack", "--colour", "pair:1=red")
    assert call(command, net, "-o", other, *size, *wishes).exit_code == 0
    with Image.open(plain) as first, Image.open(other) as second:
        assert first.convert("RGB").tobytes() != second.convert("RGB").tobytes()


def alpha(path):
    with Image.open(path) as image:
        assert image.mode == "RGBA"
        return np.asarray(image)[..., 3].astype(int)


@pytest.mark.parametrize("word", BACKGROUNDS)
def test_lace_lies_on_whatever_has_a_name(call, net, tmp_path, word):
    target = tmp_path / "a.png"
    assert call("preview", net, "-o", target, "--on", word, "--dpi", "100").exit_code == 0
    with Image.open(target) as image:
        assert (image.mode == "RGBA") == (word in ("clear", "shadow"))


def test_a_shadow_darkens_what_is_clear_beside_the_threads(call, net, tmp_path):
    for word in ("clear", "shadow"):
        call("preview", net, "-o", tmp_path / f"{word}.png", "--on", word)
    clear, shadow = (alpha(tmp_path / f"{word}.png") for word in ("clear", "shadow"))
    assert (shadow >= clear).all()
    assert (shadow[clear == 0] > 20).any()
    assert (clear == 255).any()
    assert ((clear > 0) & (clear < 255)).any()
