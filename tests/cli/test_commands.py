"""What the commands do when all is well."""

import json

import pytest
from PIL import Image

HOLES, PAIRS = 18, 6  # W columns take W + 1 pairs (columns of the ground, handbook practice)


def test_preview_writes_beside_the_pattern_and_says_what_it_made(call, net):
    result = call("preview", net)
    assert result.exit_code == 0
    with Image.open(net.with_suffix(".png")) as image:
        width, height = image.size
        assert image.text["Software"].startswith("laceproof")
    (line,) = result.output.splitlines()
    for figure in (f"{width} × {height} pixels", f"{HOLES} holes", f"{PAIRS} pairs", " s"):
        assert figure in line


def test_preview_says_why_it_chose_a_thread(call, net):
    assert "as the pattern names none" in call("preview", net).output
    assert "0.25 mm (as asked)" in call("preview", net, "--gauge", "0.25").output


def test_preview_replaces_its_own_picture(call, net):
    assert call("preview", net, "--dpi", 100).exit_code == 0
    small = net.with_suffix(".png").stat().st_size
    assert call("preview", net, "--dpi", 200).exit_code == 0
    assert net.with_suffix(".png").stat().st_size > small


def test_the_same_wishes_give_the_same_bytes(call, net, tmp_path):
    call("preview", net, "-o", tmp_path / "a.png")
    call("preview", net, "-o", tmp_path / "b.png")
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()


@pytest.mark.parametrize(
    "wish",
    [
        ("--thread", "navy"),
        ("--on", "cloth"),
        ("--on", "#804020"),
        ("--state", "finished"),
        ("--pins",),
        ("--gauge", "60/2 NeL"),
    ],
)
def test_every_wish_shows_in_the_picture(call, net, tmp_path, wish):
    call("preview", net, "-o", tmp_path / "plain.png")
    assert call("preview", net, "-o", tmp_path / "other.png", *wish).exit_code == 0
    with Image.open(tmp_path / "plain.png") as plain, Image.open(tmp_path / "other.png") as other:
        assert plain.convert("RGB").tobytes() != other.convert("RGB").tobytes()


def test_a_clear_picture_is_see_through_between_the_threads(call, net):
    call("preview", net, "--on", "clear")
    with Image.open(net.with_suffix(".png")) as image:
        assert image.mode == "RGBA"
        assert image.getchannel("A").getextrema() == (0, 255)


def test_estimate_counts(call, net):
    figures = json.loads(call("estimate", net, "--json").output)
    assert figures["holes"] == HOLES
    assert figures["pairs"] == {
        "start": PAIRS, "hung_in": 0, "thrown_out": 0, "most": PAIRS, "total": PAIRS,
    }  # fmt: skip
    assert figures["stitches"] == {"torchon": HOLES}
    assert figures["size_mm"] == [8, 12]


def test_estimate_in_words_gives_the_same_figures(call, net):
    words = call("estimate", net).output.split()
    assert words[words.index("holes", 6) + 1] == str(HOLES)
    assert words[words.index("pairs") + 1] == f"{PAIRS}:"


def test_threads_list_every_crossing_on_both_threads(call, net, tmp_path):
    assert call("threads", net, "-o", tmp_path / "net.json").exit_code == 0
    listed = json.loads((tmp_path / "net.json").read_text())
    assert listed["unit"] == "mm"
    assert len(listed["threads"]) == 2 * PAIRS
    seen = {}
    for thread in listed["threads"]:
        for crossing in thread["crossings"]:
            both = (*sorted((thread["id"], crossing["with"])), *crossing["at"])
            seen.setdefault(both, []).append(crossing["over"])
    assert seen
    assert all(sorted(sides) == [False, True] for sides in seen.values())


def test_threads_go_to_standard_output(call, net, tmp_path):
    call("threads", net, "-o", tmp_path / "net.json")
    assert call("threads", net).output == (tmp_path / "net.json").read_text()


def test_check_says_what_is_understood(call, net):
    result = call("check", net)
    assert result.exit_code == 0
    assert f"{HOLES} holes on 8.0 × 12.0 mm" in result.output
    assert "wrong: nothing" in result.output
