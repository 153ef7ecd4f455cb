"""The estimate command."""

import json
import math
from itertools import pairwise

import pytest

# Marks an area over the ground that the fixture `net` draws.
AREA = '<path data-stitch="half" d="M2 2 L6 2 L6 10 L2 10 Z"/></svg>'
# What other programs may rely on.
KEYS = {
    "": "name repeats holes pins pairs bobbins stitches size_mm techniques hours places thread",
    "pairs": "start hung_in thrown_out most total",
    "hours": "least likely most pins_per_hour learned_from",
    "places": "start hung_in thrown_out end",
    "thread": "gauge_mm reason suits roles bobbins allowance",
}


@pytest.fixture
def marked(net, tmp_path):
    """Return the same ground with an area in half stitch."""
    path = tmp_path / "marked.svg"
    path.write_text(net.read_text("utf-8").replace("</svg>", AREA), "utf-8")
    return path


def test_the_json_has_the_keys_the_readme_names(call, net):
    figures = json.loads(call("estimate", net, "--json").output)
    for name, keys in KEYS.items():
        assert set(figures[name] if name else figures) == set(keys.split())
    assert set(figures["techniques"]) == {"torchon", "winding"}
    assert set(figures["techniques"]["torchon"]) == {
        "stitches", "pins", "area_mm2", "minutes", "of_hours",
    }  # fmt: skip
    assert set(figures["thread"]["roles"]["ground"]) == {
        "bobbins", "settled_mm", "wind_mm", "shortest_mm", "longest_mm", "grams",
    }  # fmt: skip


def test_the_first_line_is_what_the_hours_go_into(call, net):
    first = call("estimate", net).output.splitlines()[0]
    assert "% of the hours are ground" in first


def test_a_swap_is_shown_beside_the_pattern_as_marked(call, marked):
    result = call("estimate", marked, "--swap", "half=whole")
    assert result.exit_code == 0
    assert result.output.splitlines()[0].split() == ["as", "marked", "as", "asked"]
    swapped = json.loads(call("estimate", marked, "--swap", "half=whole", "--json").output)
    assert "half" not in swapped["stitches"]


def test_another_ground_is_worked(call, net):
    figures = json.loads(call("estimate", net, "--ground", "CTCTpCT", "--json").output)
    assert set(figures["stitches"]) == {"CTCTpCT"}


@pytest.mark.parametrize(
    "wish", [("--leg-twists", "2"), ("--tension", "slack"), ("--gauge", "0.3")]
)
def test_the_thread_is_that_of_the_piece_as_asked(call, net, wish):
    """The lists of threads that `threads` writes are measured beside it."""
    thread = json.loads(call("estimate", net, *wish, "--json").output)["thread"]
    listed = json.loads(call("threads", net, *wish).output)["threads"]
    drawn = sum(math.dist(a, b) for t in listed for a, b in pairwise(t["points"]))
    wound = sum(role["settled_mm"] for role in thread["roles"].values())
    assert wound == pytest.approx(drawn, rel=2e-3)  # listed to 0.1 µm


def test_two_patterns_stand_side_by_side(call, net, marked):
    lines = call("estimate", net, marked).output.splitlines()
    assert lines[0].split() == ["net", "marked"]
    both = json.loads(call("estimate", net, marked, "--json").output)["pieces"]
    assert [piece["name"] for piece in both] == ["net", "marked"]


def test_repeats_and_length_say_the_same(call, net):
    text = net.read_text("utf-8").replace("<svg ", '<svg data-repeat="0,12" ', 1)
    net.write_text(text, "utf-8")
    by_number = call("estimate", net, "--repeats", 5).output
    assert by_number == call("estimate", net, "--length", "6cm").output
    assert "5 repeats" in by_number


@pytest.mark.parametrize(
    ("words", "status", "message"),
    [
        (("--swap", "half"), 2, "write half=whole"),
        (("--swap", "half=hole"), 1, "did you mean"),
        (("--swap", "half=whole"), 1, "no area in half"),
        (("--ground", "tortion"), 1, "torchon"),
        (("--gauge", "thick"), 2, "gauge"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_message(call, net, words, status, message):
    result = call("estimate", net, *words)
    assert result.exit_code == status
    assert message in result.output
    assert "Traceback" not in result.output
