"""The colours command."""

import json

import pytest
from PIL import Image


def test_everything_is_rated_and_something_proposed(call, net):
    result = call("colours", net, "--thread", "navy")
    assert result.exit_code == 0
    for words in ("thread on card", "thread on it", "it on card", "proposals", "deutan"):
        assert words in result.output


def test_json_is_json_even_with_a_sheet(call, net, tmp_path):
    result = call("colours", net, "--json", "-o", tmp_path / "s.png", "--marking", "whole=plum")
    table = json.loads(result.stdout)
    assert [one["stitch"] for one in table["markings"]] == ["whole"]
    assert table["markings"][0]["colour"] == "#dda0dd"
    with Image.open(tmp_path / "s.png") as image:
        assert f"{image.width} × {image.height} pixels" in result.stderr


def test_thread_of_the_card_s_colour_is_lost(call, net):
    result = call("colours", net, "--thread", "#888888", "--card", "#888888", "--json")
    assert json.loads(result.stdout)["thread_on_card"]["verdict"] == "lost"


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("--thread", "blurple"), 2),
        (("--card", "blurple"), 2),
        (("--marking", "plum"), 2),
        (("--marking", "whole=blurple"), 2),
        (("--marking", "whole=plum", "--marking", "whole=navy"), 2),
        (("--marking", "whol=plum"), 1),
        (("-o", "s.jpg"), 1),
        (("-o", "no/such/folder/s.png"), 1),
    ],
)
def test_what_cannot_be_is_refused_in_one_message(call, net, words, status):
    before = sorted(net.parent.iterdir())
    result = call("colours", net, *words)
    assert result.exit_code == status
    assert "Error" in result.output
    assert sorted(net.parent.iterdir()) == before
