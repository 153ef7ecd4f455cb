"""Whatever is wrong: one message, the exact exit status, nothing written."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PIL import Image

COMMANDS = ("preview", "check", "estimate", "threads", "thumbnail")
WRITING = {"preview": "out.png", "threads": "out.json", "thumbnail": "out.webp"}
CONTENT = {
    "empty": b"",
    "binary": bytes(range(256)) * 8,
    "no-svg": b"<html></html>",
    "no-holes": b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>',
    "no-size": b'<svg xmlns="http://www.w3.org/2000/svg"><circle r="0.3"/></svg>',
}
MISUSED = [
    ("preview", "--gauge", "thick"),
    ("preview", "--gauge", "0"),
    ("preview", "--thread", "sea"),
    ("preview", "--on", "the table"),
    ("preview", "--state", "lost"),
    ("preview", "--dpi", "0"),
    ("preview", "--dpi", "many"),
    ("preview", "--density", "-1"),
    ("preview", "--density-of", "shell"),
    ("preview", "--density-of", "shell=much"),
    ("preview", "--leg-twists", "-1"),
    ("preview", "--tension", "floppy"),
    ("preview", "--nonsense"),
    ("check", "--json"),
    ("estimate", "--density", "0"),
    ("threads", "--state", "lost"),
]


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def assert_refused(result, status: int) -> None:
    assert result.exit_code == status
    assert "Traceback" not in result.output
    assert len(result.output.strip()) > 10


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("name", ["missing.svg", "."])
def test_a_pattern_that_is_not_there_or_a_folder_is_named(call, tmp_path, command, name):
    result = call(command, tmp_path / name)
    assert_refused(result, 1)
    assert str(tmp_path) in result.output
    assert contents(tmp_path) == {}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("kind", CONTENT)
def test_what_is_no_pattern_is_refused(call, tmp_path, command, kind):
    path = tmp_path / "bad.svg"
    path.write_bytes(CONTENT[kind])
    result = call(command, path)
    assert_refused(result, 1)
    assert "bad" in result.output, "the message names the file"
    assert contents(tmp_path) == {"bad.svg": CONTENT[kind]}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_pattern_cut_short_is_refused(call, net, command):
    whole = net.read_bytes()
    net.write_bytes(whole[: len(whole) // 2])
    assert_refused(call(command, net), 1)
    assert contents(net.parent) == {"net.svg": whole[: len(whole) // 2]}


@pytest.mark.parametrize("words", MISUSED, ids=" ".join)
def test_a_wrong_option_is_a_fault_of_the_command_line(call, net, words):
    before = contents(net.parent)
    assert_refused(call(words[0], net, *words[1:]), 2)
    assert contents(net.parent) == before


@pytest.mark.parametrize(("command", "name"), WRITING.items())
def test_a_folder_that_is_not_there_is_named(call, net, tmp_path, command, name):
    result = call(command, net, "-o", tmp_path / "nowhere" / name)
    assert_refused(result, 1)
    assert "nowhere" in result.output


@pytest.mark.parametrize(("command", "name"), WRITING.items())
def test_a_target_of_another_kind_is_refused(call, net, command, name):
    result = call(command, net, "-o", net.parent / "out.tiff")
    assert_refused(result, 1)
    assert Path(name).suffix in result.output
    assert set(contents(net.parent)) == {"net.svg"}


def test_pins_are_not_shown_in_a_finished_piece(call, net):
    result = call("preview", net, "--pins", "--state", "finished")
    assert_refused(result, 1)
    assert set(contents(net.parent)) == {"net.svg"}


def test_a_picture_somebody_else_made_is_never_replaced(call, net):
    photo = net.with_suffix(".png")
    Image.new("RGB", (3, 3)).save(photo)
    before = photo.read_bytes()
    result = call("preview", net)
    assert_refused(result, 1)
    assert "was not made by laceproof" in result.output
    assert photo.read_bytes() == before


def test_the_pattern_itself_is_never_replaced(call, net):
    disguised = net.rename(net.with_suffix(".png"))
    before = disguised.read_bytes()
    assert "is the pattern itself" in call("preview", disguised).output
    assert_refused(call("preview", disguised, "-o", disguised), 1)
    assert disguised.read_bytes() == before


def test_threads_never_replace_the_pattern(call, net):
    disguised = net.rename(net.with_suffix(".json"))
    before = disguised.read_bytes()
    assert call("threads", disguised, "-o", disguised).exit_code == 1
    assert disguised.read_bytes() == before


def test_a_picture_too_large_is_refused(call, net):
    text = net.read_text("utf-8").replace('"20mm"', '"900mm"')
    net.write_text(text, "utf-8")
    result = call("preview", net, "--dpi", 2400)
    assert_refused(result, 1)
    assert "--allow-huge" in call("preview", "--help").output
    assert set(contents(net.parent)) == {"net.svg"}


@pytest.mark.parametrize(("command", "name"), WRITING.items())
def test_a_write_that_fails_at_the_last_step_leaves_nothing(call, net, monkeypatch, command, name):
    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", refuse)
    result = call(command, net, "-o", net.parent / name)
    assert_refused(result, 1)
    assert "No space left on device" in result.output
    assert set(contents(net.parent)) == {"net.svg"}


@pytest.mark.parametrize(("command", "name"), WRITING.items())
def test_a_full_disk_leaves_no_half_file(net, command, name):
    """Limits the size of files to 4 kB in a process of its own."""
    script = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096));"
        "from cli.main import main; main(sys.argv[1:])"
    )
    words = [sys.executable, "-B", "-c", script, command, str(net), "-o", str(net.parent / name)]
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "cannot be written" in done.stderr
    assert "Traceback" not in done.stderr
    assert set(contents(net.parent)) == {"net.svg"}


def test_an_interrupted_preview_leaves_no_half_file(net):
    words = [sys.executable, "-B", "-c", "from cli.main import main; main()", "preview"]
    target = net.parent / "out.png"
    with subprocess.Popen(
        [*words, str(net), "--dpi", "4000", "-o", str(target)], stderr=subprocess.PIPE, text=True
    ) as running:
        while running.poll() is None and not list(net.parent.glob(".out.png*")):
            time.sleep(0.01)
        running.send_signal(signal.SIGINT)
        _, said = running.communicate()
    assert running.returncode == 1
    assert "Aborted" in said
    assert "Traceback" not in said
    assert set(contents(net.parent)) == {"net.svg"}


def test_a_picture_is_no_pattern(call, tmp_path):
    photo = tmp_path / "scan.png"
    Image.new("RGB", (3, 3)).save(photo)
    result = call("preview", photo)
    assert_refused(result, 1)
    assert "PNG picture" in result.output


def test_a_fault_of_ours_keeps_its_traceback(call, net, monkeypatch):
    def slip(*_, **__):
        raise ZeroDivisionError("a fault of ours")

    monkeypatch.setattr("cli.check.understand", slip)
    with pytest.raises(ZeroDivisionError):
        call("check", net)
