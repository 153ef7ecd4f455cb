"""The pace command, and the file it keeps."""

import json

import pytest


@pytest.fixture
def kept(own_settings):
    """Return where the settings are kept, on the systems tests run on."""
    return own_settings / "laceproof" / "settings.json"


def likely_hours(call, net) -> float:
    return json.loads(call("estimate", net, "--json").output)["hours"]["likely"]


def test_nothing_is_written_by_looking(call, kept):
    result = call("pace")
    assert result.exit_code == 0
    assert "common practice" in result.output
    assert not kept.exists()


def test_a_finished_piece_teaches_its_own_hours(call, net, kept):
    result = call("pace", net, "--took", "2h30")
    assert result.exit_code == 0
    assert "was" in result.output, "it shows what it learned"
    assert str(kept) in result.output
    assert likely_hours(call, net) == pytest.approx(2.5)


def test_what_was_learned_can_be_undone(call, net, kept):
    usual = likely_hours(call, net)
    call("pace", net, "--took", "2h30")
    one = kept.read_bytes()
    call("pace", net, "--took", "5h")
    assert call("pace", "--undo").exit_code == 0
    assert kept.read_bytes() == one
    call("pace", "--undo")
    assert likely_hours(call, net) == pytest.approx(usual)
    result = call("pace", "--undo")
    assert (result.exit_code, "nothing to undo" in result.output) == (1, True)


def test_a_piece_of_many_repeats_teaches_as_well(call, net):
    net.write_text(net.read_text("utf-8").replace("<svg ", '<svg data-repeat="0,12" ', 1), "utf-8")
    assert call("pace", net, "--took", "20h", "--repeats", 8).exit_code == 0
    figures = json.loads(call("estimate", net, "--repeats", 8, "--json").output)
    assert figures["hours"]["likely"] == pytest.approx(20)


def test_a_pace_set_by_hand_is_used_and_other_settings_are_left_alone(call, net, kept):
    kept.parent.mkdir()
    current = {"stitches_per_hour": {"torchon": 18}, "minutes_per_pair": 10}
    kept.write_text(json.dumps({"version": 1, "pace": {"current": current}, "paper": "letter"}))
    assert likely_hours(call, net) == pytest.approx(1 + 6 * 10 / 60)
    call("pace", net, "--took", "1h")
    call("pace", "--undo")
    assert json.loads(kept.read_text())["paper"] == "letter"
    assert likely_hours(call, net) == pytest.approx(1 + 6 * 10 / 60)


BAD = {
    "broken": "{ not json",
    "no object": "[]",
    "no version": "{}",
    "newer": '{"version": 99}',
    "no figure": '{"version": 1, "pace": {"current": {"minutes_per_pair": "four"}}}',
    "below zero": '{"version": 1, "pace": {"current": {"stitches_per_hour": {"half": -1}}}}',
    "no list": '{"version": 1, "pace": {"records": 3}}',
}


@pytest.mark.parametrize("kind", BAD)
@pytest.mark.parametrize("words", [("pace",), ("estimate",), ("pace", "--took", "2h")])
def test_bad_settings_are_named_and_never_overwritten(call, net, kept, kind, words):
    kept.parent.mkdir()
    kept.write_text(BAD[kind])
    command, *rest = words
    result = call(command, *([net] if command == "estimate" or rest else []), *rest)
    assert result.exit_code == 1
    assert str(kept) in result.output
    assert "Traceback" not in result.output
    assert kept.read_text() == BAD[kind]
    if kind == "newer":
        assert "newer" in result.output


def test_settings_that_cannot_be_written_are_named(call, net, kept):
    kept.parent.write_text("a file where the folder should be")
    result = call("pace", net, "--took", "2h")
    assert result.exit_code == 1
    assert str(kept) in result.output


@pytest.mark.parametrize("words", [("--took", "2h"), ("NET",), ("NET", "--took", "2")])
def test_half_a_question_is_a_fault_of_the_command_line(call, net, words):
    assert call("pace", *(net if word == "NET" else word for word in words)).exit_code == 2


def test_a_slip_of_the_pen_is_not_learned(call, net, kept):
    result = call("pace", net, "--took", "900h")
    assert (result.exit_code, "cannot be right" in result.output) == (1, True)
    assert not kept.exists()
