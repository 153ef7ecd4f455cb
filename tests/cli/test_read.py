"""`read` as a maker calls it: what it prints and writes, and what it refuses."""

import struct
import zlib

import numpy as np
import pytest
from PIL import Image, ImageDraw
from scipy import ndimage

from render import read_pattern

DPI = 200
PEN = (150, 200, 245)


def sheet(coloured=True, pen=PEN):
    """Draw 10 by 10 holes 2.5 mm apart, a square of them coloured."""
    image = Image.new("RGB", (300, 300), "white")
    brush = ImageDraw.Draw(image)
    places = [(50 + 19.685 * c, 50 + 19.685 * r) for r in range(10) for c in range(10)]
    if coloured:
        (left, top), (right, bottom) = places[22], places[66]
        brush.rectangle((left + 2, top + 2, right - 2, bottom - 2), pen)
    for x, y in places:
        brush.ellipse((x - 3, y - 3, x + 3, y + 3), (20, 20, 20))
    return image


@pytest.fixture
def copy(tmp_path):
    path = tmp_path / "copy.png"
    sheet().save(path, dpi=(DPI, DPI))
    return path


def contents(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()}


def png(width, height):
    """Return a PNG that claims a size and holds next to nothing (its specification, ISO 15948)."""

    def chunk(kind, data):
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1_000_000))
        + chunk(b"IEND", b"")
    )


def saved(image, ending, **options):
    def make(path):
        image.save(path, ending, **options)

    return make


def part(ending, share, **options):
    def make(path):
        sheet().save(path, ending, **options)
        path.write_bytes(path.read_bytes()[: int(path.stat().st_size * share)])

    return make


def clouds(width, seed=0):
    """Return noise whose spots are some pixels wide, as in a picture of anything."""
    noise = np.random.default_rng(seed).normal(0, 1, (260, 260))
    soft = ndimage.gaussian_filter(noise, width) if width else noise
    return Image.fromarray((255 * (soft - soft.min()) / np.ptp(soft)).astype(np.uint8))


FRAMES = {"save_all": True, "append_images": [sheet(coloured=False)]}
AT_SCALE = {"dpi": (DPI, DPI)}
BAD = {
    "cut.png": (part("PNG", 0.5, **AT_SCALE), "damaged or cut short"),
    "cut.jpg": (part("JPEG", 0.6, **AT_SCALE), "damaged or cut short"),
    "cut.tif": (part("TIFF", 0.5, **AT_SCALE), "damaged or cut short"),
    "cut.webp": (part("WEBP", 0.5), "damaged or cut short"),
    "cut at the end.jpg": (part("JPEG", 0.97, **AT_SCALE), "damaged or cut short"),
    "bomb.png": (lambda path: path.write_bytes(png(60_000, 60_000)), "too many pixels"),
    "large.png": (lambda path: path.write_bytes(png(16_000, 12_000)), "too many pixels"),
    "blank.png": (saved(Image.new("RGB", (300, 300), "white"), "PNG", **AT_SCALE), "is blank"),
    "black.png": (saved(Image.new("RGB", (300, 300)), "PNG", **AT_SCALE), "black all over"),
    "moving.webp": (saved(sheet(), "WEBP", **FRAMES), "moving picture of 2 frames"),
    "moving.png": (saved(sheet(), "PNG", **FRAMES), "moving picture of 2 frames"),
    "moving.gif": (saved(sheet(), "GIF", **FRAMES), "not a picture that can be read"),
    "photo.png": (saved(sheet(), "JPEG", **AT_SCALE), 'rename it to "photo.jpg"'),
    "photo.jpg": (saved(sheet(), "PNG", **AT_SCALE), 'rename it to "photo.png"'),
    "words.png": (lambda path: path.write_text("a pricking\n" * 99), "not a picture"),
    "empty.png": (lambda path: path.write_bytes(b""), "is empty"),
    "folder.png": (lambda path: path.mkdir(), "directory"),
    "small.png": (saved(Image.new("RGB", (9, 9)), "PNG", **AT_SCALE), "only 9 × 9 pixels"),
    "noise.png": (saved(clouds(0), "PNG", dpi=(300, 300)), "no holes can be read"),
    "clouds.png": (saved(clouds(2), "PNG", **AT_SCALE), "does not look like a pricking"),
    "skies.png": (saved(clouds(4), "PNG", **AT_SCALE), "does not look like a pricking"),
    "screen.png": (saved(sheet(), "PNG", dpi=(96, 96)), "the scale of the picture is not known"),
    "missing.png": (lambda path: None, "does not exist"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_scan_is_refused_with_its_reason(call, tmp_path, name):
    make, message = BAD[name]
    make(tmp_path / name)
    before = contents(tmp_path)
    result = call(
        "read", tmp_path / name, "-o", tmp_path / "out.svg", "--review", tmp_path / "look.png"
    )
    assert result.exit_code == 1
    assert message in result.output
    assert name in result.output
    assert contents(tmp_path) == before


def test_a_copy_becomes_a_pattern_that_other_commands_take(call, copy, tmp_path):
    result = call("read", copy, "--pen", "blue=half", "--review", tmp_path / "look.png")
    assert result.exit_code == 0, result.output
    assert "100 holes, 0 of them doubtful; 1 areas, 0 lines" in result.output
    assert "the file's own scale is taken: 200 dpi" in result.output
    pattern = read_pattern(copy.with_suffix(".svg"))
    assert len(pattern.holes) == 100
    assert [region.stitch for region in pattern.regions] == ["half"]
    with Image.open(tmp_path / "look.png") as review:
        assert review.width >= 300
    assert call("check", copy.with_suffix(".svg")).exit_code == 0


def test_pens_that_nobody_named_are_listed_and_only_the_review_is_written(call, copy, tmp_path):
    result = call("read", copy, "--review", tmp_path / "look.png")
    assert result.exit_code == 1
    assert "pen 1  #" in result.output
    assert "1 area: ?" in result.output
    assert 'say what pen 1 stands for, as in --pen "1=half"' in result.output
    assert sorted(contents(tmp_path)) == ["copy.png", "look.png"]


def test_a_key_of_ones_own_names_the_pens(call, copy, tmp_path):
    key = tmp_path / "key.toml"
    key.write_text('[stitch]\ndouble = "#96c8f5"\n')
    result = call("read", copy, "--key", key)
    assert result.exit_code == 0, result.output
    assert "double (by the colour key)" in result.output
    assert [r.stitch for r in read_pattern(copy.with_suffix(".svg")).regions] == ["double"]


MISUSED = [
    ("--dpi", "200", "--pitch", "2.5mm"),
    ("--dpi", "5"),
    ("--between", "1,1 9,9"),
    ("--between", "900,900 990,990 = 9mm"),
    ("--pitch", "far"),
    ("--paper", "napkin"),
    ("--corners", "1,1 2,2"),
    ("--corners", "1,1 90,1 90,90 1,90"),
    ("--pen", "blue"),
    ("--pen", "blue=cloth of gold"),
    ("--pen", "blurple=half"),
    ("--pen", "1=half", "--pen", "1=whole"),
    ("--page", "0"),
    ("--turn", "1000"),
    ("--holes", "grey"),
    ("--key", "no such file.json"),
    ("-o", "copy.pdf"),
    ("--review", "look.jpg"),
]


@pytest.mark.parametrize("words", MISUSED, ids=" ".join)
def test_what_the_options_get_wrong_ends_with_status_2(call, copy, monkeypatch, words):
    monkeypatch.chdir(copy.parent)
    before = contents(copy.parent)
    result = call("read", copy, *words)
    assert result.exit_code == 2, result.output
    assert len(result.output) > 20
    assert contents(copy.parent) == before


def test_a_pen_that_is_not_there_is_the_copys_matter(call, copy):
    before = contents(copy.parent)
    result = call("read", copy, "--pen", "7=half")
    assert result.exit_code == 1
    assert "there is no pen 7; the pens are\n  pen 1  #" in result.output
    assert contents(copy.parent) == before


def test_the_scan_is_never_written_to(call, copy):
    before = contents(copy.parent)
    for words in (("-o", copy), ("--review", copy)):
        assert call("read", copy, "--pen", "1=half", *words).exit_code in (1, 2)
        assert contents(copy.parent) == before


def test_marks_of_all_kinds_are_read_where_a_person_insists(call, tmp_path):
    clouds(4).save(tmp_path / "skies.png", dpi=(DPI, DPI))
    result = call("read", tmp_path / "skies.png", "--holes", "dark")
    assert result.exit_code == 0, result.output
    assert "is this a pricking?" in result.output


def test_keep_leaves_a_hand_corrected_hole(call, copy):
    target = copy.with_suffix(".svg")
    call("read", copy, "--pen", "1=half")
    text = target.read_text("utf-8")
    first = text.index("<circle")
    target.write_text(text[:first] + '<circle cx="4" cy="4" r="0.4"/>' + text[first:])
    refused = call("read", copy, "--pen", "1=half")
    assert (refused.exit_code, "--keep" in refused.output) == (1, True)
    kept = call("read", copy, "--pen", "1=half", "--keep")
    assert kept.exit_code == 0, kept.output
    assert "kept as corrected by hand: holes: 1 drawn by hand" in kept.output
    assert (4, 4) in map(tuple, read_pattern(target).holes)
