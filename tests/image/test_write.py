"""PNG files as other programs read them, and what is left when writing fails."""

import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from render.errors import OutputError
from render.image.write import write_png


def bands(rows=40, width=30, channels=3, seed=1):
    whole = np.random.default_rng(seed).integers(0, 256, (rows, width, channels), dtype=np.uint8)
    return whole, [whole[:16], whole[16:17], whole[17:]]


def chunks(data):
    """Read a PNG's chunks and check their sums, by the standard and not by a library."""
    assert data[:8] == bytes([137, 80, 78, 71, 13, 10, 26, 10])
    at = 8
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + size]
        assert struct.unpack(">I", data[at + 8 + size : at + 12 + size])[0] == zlib.crc32(
            kind + body
        )
        yield kind.decode(), body
        at += 12 + size


@pytest.mark.parametrize("channels", [3, 4])
def test_another_reader_sees_the_same_pixels(tmp_path, channels):
    whole, parts = bands(channels=channels)
    write_png(tmp_path / "a.png", parts, width=30, height=40, dpi=300)
    with Image.open(tmp_path / "a.png") as image:
        assert (np.asarray(image) == whole).all()
        assert image.mode == ("RGB" if channels == 3 else "RGBA")


def test_a_file_does_not_depend_on_its_bands(tmp_path):
    """3 MB that hardly can be squeezed: several chunks."""
    whole, _ = bands(1000, 1000)
    for name, rows in (("a", 1000), ("b", 333), ("c", 7)):
        parts = [whole[at : at + rows] for at in range(0, 1000, rows)]
        write_png(tmp_path / f"{name}.png", parts, width=1000, height=1000, dpi=300)
    first, *others = ((tmp_path / f"{name}.png").read_bytes() for name in "abc")
    assert all(other == first for other in others)
    sizes = [len(body) for kind, body in chunks(first) if kind == "IDAT"]
    assert len(sizes) > 2
    assert set(sizes[:-1]) == {2**20}


def test_the_file_says_its_scale_its_colours_and_its_settings(tmp_path):
    notes = {"Software": "laceproof", "Comment": "thread 0.25 mm, Spitze für Grüße"}
    write_png(tmp_path / "a.png", bands()[1], width=30, height=40, dpi=600, text=notes)
    found = list(chunks((tmp_path / "a.png").read_bytes()))
    kinds = [kind for kind, _ in found]
    assert kinds[0] == "IHDR"
    assert kinds[-1] == "IEND"
    assert kinds.index("sRGB") < kinds.index("IDAT")
    assert kinds.index("pHYs") < kinds.index("IDAT")
    x, y, unit = struct.unpack(">IIB", dict(found)["pHYs"])
    assert (x, y, unit) == (23622, 23622, 1)  # 600 / 0.0254 pixels per metre
    with Image.open(tmp_path / "a.png") as image:
        assert image.info["dpi"] == pytest.approx((600, 600), abs=0.01)
        assert image.text == notes


def test_an_older_file_is_replaced_only_when_the_new_one_is_whole(tmp_path):
    target = tmp_path / "a.png"
    target.write_bytes(b"old")

    def interrupted():
        yield bands()[1][0]
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_png(target, interrupted(), width=30, height=40, dpi=300)
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]
    write_png(target, bands()[1], width=30, height=40, dpi=300)
    assert target.read_bytes()[1:4] == b"PNG"


def test_a_full_disk_is_reported_and_nothing_is_left(tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("render.image.write._chunk", full)
    with pytest.raises(OutputError, match=r"a\.png cannot be written: No space left on device"):
        write_png(tmp_path / "a.png", bands()[1], width=30, height=40, dpi=300)
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_reported(tmp_path):
    with pytest.raises(
        OutputError, match=r"no/a\.png cannot be written: No such file or directory"
    ):
        write_png(tmp_path / "no" / "a.png", bands()[1], width=30, height=40, dpi=300)


def test_too_few_rows_leave_no_file(tmp_path):
    with pytest.raises(ValueError, match="17 rows were drawn, not 40"):
        write_png(tmp_path / "a.png", bands()[1][:2], width=30, height=40, dpi=300)
    assert list(tmp_path.iterdir()) == []


def test_the_file_may_be_read_by_whom_the_user_lets(tmp_path):
    (tmp_path / "usual").touch()
    write_png(tmp_path / "a.png", bands()[1], width=30, height=40, dpi=300)
    assert (tmp_path / "a.png").stat().st_mode == (tmp_path / "usual").stat().st_mode
