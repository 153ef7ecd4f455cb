"""What a run makes, keeps, removes and survives."""

import json
import os
import signal
import time

import pytest

from render import THREAD, OutputError, SettingError, Wishes, make_catalogue, parse_colour
from render.catalogue import run as run_module
from render.catalogue.make import Made

QUICK = Wishes()
# What the command wishes for unless told otherwise, but for the card.
USUAL = Wishes(thread=tuple(float(part) for part in parse_colour(THREAD)))


@pytest.fixture
def folder(tmp_path, draw_lattice):
    """Return a folder of three small patterns."""
    home = tmp_path / "patterns"
    home.mkdir()
    for name, stitch in (("a", None), ("b", "whole"), ("c", "half")):
        (home / f"{name}.svg").write_text(draw_lattice(5, 5, 2, stitch), "utf-8")
    return home


PIECES = 4


def listed(out):
    told = json.loads((out / "catalogue.json").read_text("utf-8"))["patterns"]
    return {one["path"]: one for one in told}


def test_every_pattern_is_there_with_its_figures(collection):
    """W columns of ground take W + 1 pairs (common practice, no source)."""
    told = listed(collection[1])
    assert list(told) == sorted(told)
    assert set(told) == {
        "cockle.svg", "whelk.svg", "deep/er/net #1 é.svg", "deep/spite.svg", "torn.svg",
    }  # fmt: skip
    net = told["deep/er/net #1 é.svg"]["figures"]
    assert (net["pairs"], net["ground"], net["mostly"]) == (6, "twisted", "ground")
    assert told["whelk.svg"]["figures"]["gauge_mm"] == 0.25
    assert "half" in told["whelk.svg"]["figures"]["stitches"]


def test_one_bad_pattern_has_its_message_and_no_figures(collection):
    torn = listed(collection[1])["torn.svg"]
    assert torn["outcome"] == "broken"
    assert len(torn["message"]) > 20
    assert torn["figures"] is None


def test_a_second_run_draws_nothing_and_changes_nothing(folder, tmp_path, read_all):
    out = tmp_path / "out"
    assert make_catalogue(folder, out, QUICK).made == 3
    before = read_all(out)
    again = make_catalogue(folder, out, QUICK)
    assert (again.made, again.kept, again.removed) == (0, 3, 0)
    assert read_all(out) == before


def test_only_what_changed_is_drawn_again(folder, tmp_path, draw_lattice, monkeypatch):
    out = tmp_path / "out"
    make_catalogue(folder, out, QUICK)
    (folder / "b.svg").write_text(draw_lattice(7, 5), "utf-8")
    assert make_catalogue(folder, out, QUICK).made == 1
    assert make_catalogue(folder, out, Wishes(state="finished")).made == 3
    monkeypatch.setattr("render.catalogue.make.OUTPUT_VERSION", 1_000_000)
    assert make_catalogue(folder, out, Wishes(state="finished")).made == 3


def test_a_picture_that_was_lost_is_made_again(folder, tmp_path, read_all):
    out = tmp_path / "out"
    make_catalogue(folder, out, QUICK)
    before = read_all(out)
    next((out / "pictures").glob("*-400.png")).unlink()
    assert make_catalogue(folder, out, QUICK).made == 1
    assert read_all(out) == before


def test_removed_patterns_disappear(folder, tmp_path, read_all):
    out = tmp_path / "out"
    make_catalogue(folder, out, QUICK)
    files = len(read_all(out))
    gone = listed(out)["a.svg"]["id"]
    (folder / "a.svg").unlink()
    assert make_catalogue(folder, out, QUICK).removed == 1
    assert not [name for name in read_all(out) if gone in name]
    assert len(read_all(out)) == files - 7, "four small pictures, two large ones and an entry"
    assert gone not in (out / "index.html").read_text("utf-8")


def test_files_of_others_in_the_catalogue_stay(folder, tmp_path):
    out = tmp_path / "out"
    make_catalogue(folder, out, QUICK)
    for place in (out, out / "pictures", out / "entries"):
        (place / "mine.png").write_bytes(b"mine")
        (place / ".mine.abcdefgh").write_bytes(b"mine")
    (folder / "a.svg").unlink()
    make_catalogue(folder, out, QUICK)
    for place in (out, out / "pictures", out / "entries"):
        assert (
            (place / "mine.png").read_bytes() == (place / ".mine.abcdefgh").read_bytes() == b"mine"
        )


def test_a_folder_that_is_no_catalogue_is_refused(folder, tmp_path, read_all):
    before = read_all(tmp_path)
    for out in (folder, tmp_path, folder / "a.svg"):
        with pytest.raises(OutputError, match="choose"):
            make_catalogue(folder, out, QUICK)
    assert read_all(tmp_path) == before
    with pytest.raises(SettingError, match="is not a folder"):
        make_catalogue(folder / "nowhere", tmp_path / "out", QUICK)


def test_nothing_is_written_through_a_link(folder, tmp_path, read_all):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    out = tmp_path / "out"
    out.mkdir()
    (out / "pictures").symlink_to(elsewhere, target_is_directory=True)
    with pytest.raises(OutputError, match="is a link"):
        make_catalogue(folder, out, QUICK)
    assert read_all(elsewhere) == {}


def test_nothing_outside_the_catalogue_is_touched(folder, tmp_path, read_all):
    before = read_all(folder)
    make_catalogue(folder, folder / "lace" / "out", QUICK)
    assert make_catalogue(folder, folder / "lace" / "out", QUICK).kept == 3
    assert {k: v for k, v in read_all(folder).items() if not k.startswith("lace/")} == before


def test_links_do_not_lead_out_of_the_folder(folder, tmp_path, draw_lattice):
    secret = tmp_path / "secret.svg"
    secret.write_text(draw_lattice(5, 5), "utf-8")
    (folder / "out.svg").symlink_to(secret)
    (folder / "in.svg").symlink_to(folder / "a.svg")
    (folder / "round").symlink_to(folder, target_is_directory=True)
    made = make_catalogue(folder, tmp_path / "out", QUICK)
    assert made.led_out == ("out.svg",)
    assert [entry.path for entry in made.entries] == ["a.svg", "b.svg", "c.svg", "in.svg"]


def _slip(found, wishes, mark):
    raise ZeroDivisionError("a fault of ours")


def _die(job, wishes):
    if job[0].path == "b.svg":
        os.kill(os.getpid(), signal.SIGKILL)
    return run_module.make(*job[:1], wishes, job[1])


def _linger(job, wishes) -> Made:
    if job[0].path == "b.svg":
        time.sleep(60)
    return run_module.make(*job[:1], wishes, job[1])


def test_a_fault_of_ours_is_told_and_tried_again(folder, tmp_path, monkeypatch):
    with monkeypatch.context() as patch:
        patch.setattr("render.catalogue.make.take_figures", _slip)
        made = make_catalogue(folder, tmp_path / "out", QUICK)
    assert [entry.outcome for entry in made.entries] == ["fault"] * 3
    assert len(made.traces) == 3
    assert make_catalogue(folder, tmp_path / "out", QUICK).troubled == ()


@pytest.mark.parametrize(("how", "reason"), [(_die, "ended before"), (_linger, "longer than")])
def test_a_process_that_dies_or_lingers_takes_no_other_with_it(
    folder, tmp_path, monkeypatch, how, reason
):
    monkeypatch.setattr(run_module, "_make", how)
    made = make_catalogue(folder, tmp_path / "out", QUICK, longest_minutes=0.1)
    (lost,) = made.troubled
    assert lost.path == "b.svg"
    assert reason in lost.message


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory, draw_lattice, read_all):
    """Return a folder of six patterns, and what an undisturbed run makes of it."""
    home = tmp_path_factory.mktemp("undisturbed")
    (home / "patterns").mkdir()
    for k in range(PIECES):
        words = f'data-title="piece {k}"'
        text = draw_lattice(9, 9, 3, ("whole", "half")[k % 2], words)
        (home / "patterns" / f"{k}.svg").write_text(text, "utf-8")
    make_catalogue(home / "patterns", home / "out", USUAL)
    return home / "patterns", read_all(home / "out")


@pytest.mark.parametrize("pieces", [1, 2, 3])
def test_killed_at_any_moment_the_next_run_completes(undisturbed, command, read_all, pieces):
    """Kills the run when a number of pieces is done, wherever it is in the next one."""
    folder, whole = undisturbed
    out = folder.parent / f"out{pieces}"
    process = command("catalogue", folder, "-o", out, "--on", "card")
    _wait_for(out, pieces)
    process.kill()
    process.communicate()
    assert "<!DOCTYPE html>" in (out / "index.html").read_text("utf-8")
    done = make_catalogue(folder, out, USUAL)
    assert done.kept >= pieces
    assert done.made + done.kept == PIECES
    assert read_all(out) == whole


def test_stopped_by_hand_it_leaves_a_page_with_what_is_done(undisturbed, command, read_all):
    folder, whole = undisturbed
    out = folder.parent / "stopped"
    process = command("catalogue", folder, "-o", out, "--on", "card")
    _wait_for(out, 1)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=30)
    assert process.returncode == 130, errors
    assert "goes on from here" in errors
    assert "Traceback" not in errors
    assert 1 <= len(listed(out)) < PIECES
    make_catalogue(folder, out, USUAL)
    assert read_all(out) == whole


def _wait_for(out, pieces):
    limit = time.monotonic() + 60
    while len(list((out / "entries").glob("*.json"))) < pieces:
        assert time.monotonic() < limit, "nothing was made"
        time.sleep(0.01)
