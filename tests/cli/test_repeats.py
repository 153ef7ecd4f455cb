"""Asking for more than one repeat, in all commands that can be asked for it."""

import pytest

ENDINGS = {
    "preview": "png",
    "thumbnail": "png",
    "threads": "json",
    "sheet": "pdf",
    "estimate": None,
}
commands = pytest.mark.parametrize("command", ENDINGS)


@pytest.fixture
def ask(call, net, tmp_path):
    """Return a function that calls a command on a net that repeats so many mm away."""

    def run(command, *words, step="0,12"):
        text = net.read_text("utf-8")
        if step:
            text = text.replace("<svg ", f'<svg data-repeat="{step}" ', 1)
        pattern = tmp_path / "edging.svg"
        pattern.write_text(text, "utf-8")
        target = ("-o", tmp_path / f"out.{ENDINGS[command]}") if ENDINGS[command] else ()
        result = call(command, pattern, *target, *words)
        assert "Traceback" not in result.output
        return result

    return run


@commands
@pytest.mark.parametrize(
    ("words", "status", "message"),
    [
        (("--repeats", "0"), 2, "1<=x<=10000"),
        (("--repeats", "-3"), 2, "1<=x<=10000"),
        (("--repeats", "1000000"), 2, "1<=x<=10000"),
        (("--repeats", "two"), 2, "not a valid integer"),
        (("--length", "0"), 2, "not above zero"),
        (("--length", "-4"), 2, "not above zero"),
        (("--length", "long"), 2, "long"),
        (("--length", "3"), 1, "less than one repeat of edging, which is 12 mm"),
        (("--length", "9000000"), 1, "repeats are not between 1 and 10000"),
        (("--repeats", "2", "--length", "100"), 2, "not both"),
        (("--length", "100", "--repeats", "2"), 2, "not both"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_message(
    ask, tmp_path, command, words, status, message
):
    result = ask(command, *words)
    assert result.exit_code == status
    assert message in result.output
    assert not list(tmp_path.glob("out*"))


@commands
@pytest.mark.parametrize("words", [("--repeats", "2"), ("--length", "20")])
def test_a_pattern_that_does_not_repeat_is_told_how_to_say_so(ask, tmp_path, command, words):
    result = ask(command, *words, step=None)
    assert result.exit_code == 1
    assert "edging does not say by how much it repeats: give it data-repeat" in result.output
    assert not list(tmp_path.glob("out*"))


@commands
def test_once_may_be_asked_of_any_pattern(ask, command):
    assert ask(command, "--repeats", "1", step=None).exit_code == 0


@commands
def test_repeats_that_fit_are_worked_without_a_word(ask, command):
    result = ask(command, "--length", "40")
    assert (result.exit_code, result.stderr) == (0, "")


@commands
@pytest.mark.parametrize(
    ("step", "message"),
    [
        ("2,12", "hole 17 at 9.0, 17.0 mm: repeats do not fit each other"),
        ("0,24", "hole 19 at 5.0, 29.0 mm: the repeat before this one ends 12.0 mm away"),
    ],
)
def test_repeats_that_do_not_fit_are_worked_and_the_place_is_told(ask, command, step, message):
    result = ask(command, "--repeats", "3", step=step)
    assert result.exit_code == 0
    assert message in result.stderr


def test_check_tells_it_without_being_asked_for_repeats(call, net):
    text = net.read_text("utf-8").replace("<svg ", '<svg data-repeat="2,12" ', 1)
    net.write_text(text, "utf-8")
    result = call("check", net)
    assert result.exit_code == 0
    assert "repeats every 12.2 mm" in result.output
    doubtful = result.output.partition("doubtful: 1\n")[2]
    assert "17.0 mm: repeats do not fit each other" in doubtful.splitlines()[0]


@commands
def test_why_every_repeat_is_worked_by_itself_is_told(ask, command):
    result = ask(command, "--repeats", "7", step="12,0")
    assert result.exit_code == 0
    assert "every repeat is worked by itself, as repeats lie side by side" in result.stderr
