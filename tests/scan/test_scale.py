"""The scale of a picture: from the file, from a hand, never from a guess."""

import numpy as np
import pytest

from render import ScanSettings, SettingError, parse_between, parse_corners, parse_paper_mm
from render.scan.reading import read_scan
from tests.scan.conftest import Sheet, scan

PITCH = 2.4


@pytest.fixture(scope="module")
def ruled(tmp_path_factory):
    """Return a scan at 300 dpi, whose file says nothing of it, with a ruler of 20 mm."""
    rng = np.random.default_rng(4)
    places = [
        (6 + PITCH * c + PITCH / 2 * (r % 2), 6 + PITCH * r) for r in range(9) for c in range(9)
    ]
    sheet = Sheet(34, 36, np.array(places))
    sheet.dots(0.6)
    sheet.line([(6, 30), (26, 30)], 0.15)
    for k in range(21):
        sheet.line([(6 + k, 30), (6 + k, 30.8 + 0.6 * (k % 5 == 0))], 0.1)
    path = tmp_path_factory.mktemp("ruled") / "copy.png"
    scan(sheet, 300, rng).image.save(path)
    return path, sheet


@pytest.mark.parametrize(
    "known",
    [
        ScanSettings(dpi=300),
        # The ends of the ruler, as read off in a picture viewer: whole pixels.
        ScanSettings(between=parse_between("71,354 307,354 = 20mm")),
        ScanSettings(between=parse_between("307, 354 71, 354 = 2cm")),
        ScanSettings(pitch_mm=PITCH),
    ],
    ids=["dpi", "ruler", "ruler from the right, in cm", "pitch"],
)
def test_every_way_to_tell_the_scale_gives_true_distances(ruled, known):
    """Whole pixels at both ends of 20 mm are up to 0.4 % off."""
    path, sheet = ruled
    reading = read_scan(path, known)
    found = reading.to_mm(reading.holes.centres)
    assert len(found) == len(sheet.holes)
    assert np.ptp(found, axis=0) == pytest.approx(np.ptp(sheet.holes, axis=0), rel=0.005)


@pytest.mark.parametrize(
    "known",
    [
        {"dpi": 300.0, "pitch_mm": 2.0},
        {"between": parse_between("1,1 90,1 = 9mm"), "dpi": 300.0},
        {"paper_mm": (210.0, 297.0), "pitch_mm": 2.0},
        {"dpi": 300.0, "between": parse_between("1,1 90,1 = 9mm"), "pitch_mm": 2.0},
    ],
)
def test_two_scales_are_refused_even_where_they_agree(ruled, known):
    with pytest.raises(SettingError, match=r"and --.* both set the scale"):
        read_scan(ruled[0], ScanSettings(**known))


@pytest.mark.parametrize(
    ("known", "message"),
    [
        ({"dpi": 3.0}, "--dpi 3 is not"),
        ({"dpi": float("nan")}, "--dpi nan is not"),
        ({"pitch_mm": 0.0}, "--pitch 0 mm is not"),
        ({"between": parse_between("5000,1 5090,1 = 9mm")}, "outside the picture"),
        ({"between": parse_between("1,1 90,1 = 90cm")}, "no scan has"),
        ({"corners": parse_corners("1,1 90,1 90,90 1,90")}, "--corners needs --paper"),
        (
            {"corners": parse_corners("1,1 900,1 900,900 1,900"), "paper_mm": (50.0, 50.0)},
            "--corners must be the four corners",
        ),
        (
            {"corners": parse_corners("1,1 90,90 200,200 1,90"), "paper_mm": (50.0, 50.0)},
            "--corners must be the four corners",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_the_name_of_its_option(ruled, known, message):
    with pytest.raises(SettingError, match=message):
        read_scan(ruled[0], ScanSettings(**known))


@pytest.mark.parametrize(
    ("parse", "text"),
    [
        (parse_between, "1,1 90,1"),
        (parse_between, "1,1 = 9mm"),
        (parse_between, "1,1 1,1 = 9mm"),
        (parse_between, "1,1 90,1 = -9mm"),
        (parse_between, "1,1 90,1 = long"),
        (parse_between, "1,1 to 90,1 = 9mm"),
        (parse_corners, "1,1 9,1 9,9"),
        (parse_corners, "a,b c,d e,f g,h"),
        (parse_paper_mm, "A9"),
        (parse_paper_mm, "2x2mm"),
        (parse_paper_mm, "nanxnanmm"),
    ],
)
def test_what_is_not_so_written_is_refused(parse, text):
    with pytest.raises(SettingError):
        parse(text)


def test_paper_sizes_are_those_of_iso_216_and_of_north_america():
    """ISO 216:2007, table 1; ASME Y14.1 calls letter size A: 8.5 by 11 inches."""
    assert parse_paper_mm("A4") == (210, 297)
    assert parse_paper_mm("b5") == (176, 250)
    assert parse_paper_mm("Letter") == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert parse_paper_mm("210 x 297 mm") == (210, 297)
