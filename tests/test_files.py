"""Files are whole or not there, and nobody's work is replaced."""

import os

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from render.errors import OutputError
from render.files import is_our_own, refuse_to_replace, whole_file, write_text


def test_a_file_appears_when_it_is_complete(tmp_path):
    target = tmp_path / "list.json"
    with whole_file(target) as file:
        file.write(b"half")
        file.flush()
        assert not target.exists()
    assert target.read_bytes() == b"half"


@pytest.mark.parametrize("stop", [KeyboardInterrupt, ValueError])
def test_whatever_stops_the_writing_leaves_the_old_file(tmp_path, stop):
    target = tmp_path / "list.json"
    target.write_bytes(b"old")

    def parts():
        yield "new"
        raise stop

    with pytest.raises(stop):
        write_text(target, parts())
    assert [path.read_bytes() for path in tmp_path.iterdir()] == [b"old"]


def test_a_new_file_has_the_permissions_of_any_other(tmp_path):
    write_text(tmp_path / "ours", ["x"])
    (tmp_path / "other").write_text("x", "utf-8")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "other").stat().st_mode


def test_devices_are_not_replaced():
    with pytest.raises(OutputError, match="not an ordinary file"):
        write_text(os.devnull, ["x"])


def test_a_folder_that_is_missing_is_an_output_error(tmp_path):
    with pytest.raises(OutputError, match="nowhere"):
        write_text(tmp_path / "nowhere" / "x", ["x"])


@pytest.mark.parametrize(("maker", "ours"), [("laceproof 9", True), ("a camera", False)])
def test_a_picture_tells_who_made_it(tmp_path, maker, ours):
    notes = PngInfo()
    notes.add_itxt("Software", maker)
    notes.add_text("Comment", "laceproof")
    path = tmp_path / "picture.png"
    Image.new("RGB", (2, 2)).save(path, pnginfo=notes)
    assert is_our_own(path) is ours


@pytest.mark.parametrize(
    "content", [b"", b"\x89PNG\r\n\x1a\n", b"\x89PNG\r\n\x1a\n\0\0\0", b"text"]
)
def test_what_is_no_picture_is_not_ours(tmp_path, content):
    path = tmp_path / "x.png"
    path.write_bytes(content)
    assert not is_our_own(path)
    with pytest.raises(OutputError, match="not made by"):
        refuse_to_replace(path, tmp_path / "pattern.svg")
