"""The commands for collections: a page of all, and one pattern small."""

import json

import pytest
from PIL import Image


@pytest.fixture
def collection(net):
    """Return a folder with one pattern that can be worked and one that cannot."""
    folder = net.parent / "patterns"
    folder.mkdir()
    net.rename(folder / "net.svg")
    (folder / "torn.svg").write_text("<svg", "utf-8")
    return folder


def test_a_bad_pattern_is_listed_and_the_status_tells(call, collection, tmp_path):
    result = call("catalogue", collection, "-o", tmp_path / "out")
    assert result.exit_code == 1
    assert "torn.svg: " in result.output
    assert "2 patterns; 2 drawn, 0 unchanged, 0 removed, 1 without a picture" in result.output
    assert (tmp_path / "out" / "index.html").is_file()


def test_a_sound_collection_is_no_fault(call, collection, tmp_path):
    (collection / "torn.svg").unlink()
    assert call("catalogue", collection, "-o", tmp_path / "out").exit_code == 0
    again = call("catalogue", collection, "-o", tmp_path / "out")
    assert "0 drawn, 1 unchanged" in again.output
    told = json.loads((tmp_path / "out" / "catalogue.json").read_text("utf-8"))
    assert [one["path"] for one in told["patterns"]] == ["net.svg"]


def test_a_link_that_leads_out_is_mentioned(call, collection, tmp_path):
    (tmp_path / "other.svg").write_bytes((collection / "net.svg").read_bytes())
    (collection / "link.svg").symlink_to(tmp_path / "other.svg")
    result = call("catalogue", collection, "-o", tmp_path / "out")
    assert "link.svg: left out" in result.output
    assert "2 patterns" in result.output


@pytest.mark.parametrize(
    ("words", "status"),
    [
        ((), 2),
        (("--processes", "0"), 2),
        (("--longest", "0"), 2),
        (("--on", "the table"), 2),
        (("--state", "lost"), 2),
    ],
)
def test_a_wrong_option_is_a_fault_of_the_command_line(call, collection, tmp_path, words, status):
    target = ("-o", tmp_path / "out") if words else ()
    assert call("catalogue", collection, *target, *words).exit_code == status
    assert not (tmp_path / "out").exists()


def test_a_folder_of_something_else_is_refused(call, collection, tmp_path):
    result = call("catalogue", collection, "-o", tmp_path)
    assert result.exit_code == 1
    assert "holds other files than a catalogue" in result.output
    assert sorted(p.name for p in tmp_path.iterdir()) == ["patterns"]


@pytest.mark.parametrize("name", ["small.webp", "small.png"])
@pytest.mark.parametrize("part", ["telling", "whole"])
def test_a_thumbnail_has_the_size_asked_for(call, net, tmp_path, name, part):
    result = call("thumbnail", net, "-o", tmp_path / name, "--size", 120, "--part", part)
    assert result.exit_code == 0
    with Image.open(tmp_path / name) as image:
        assert image.format == name.split(".")[1].upper()
        assert max(image.size) == 120
        assert image.getextrema()[0][0] < image.getextrema()[0][1] - 50, "something is drawn"
    assert call("thumbnail", net, "-o", tmp_path / name).exit_code == 0, "its own is replaced"


@pytest.mark.parametrize("name", ["photo.webp", "photo.png"])
def test_a_picture_somebody_else_made_is_never_replaced(call, net, tmp_path, name):
    Image.new("RGB", (3, 3)).save(tmp_path / name)
    before = (tmp_path / name).read_bytes()
    result = call("thumbnail", net, "-o", tmp_path / name)
    assert result.exit_code == 1
    assert "was not made by laceproof" in result.output
    assert (tmp_path / name).read_bytes() == before


def test_a_thumbnail_of_another_kind_is_refused(call, net, tmp_path):
    result = call("thumbnail", net, "-o", tmp_path / "small.gif")
    assert result.exit_code == 1
    assert ".webp or .png" in result.output
