"""Say how large what a picture shows really is; never guess it."""

import re
from dataclasses import replace

import numpy as np

from render.errors import PatternError, Remark, SettingError, did_you_mean
from render.scan.model import Between, Picture, Settings
from render.scan.picture import LEAST_DPI, MOST_DPI, rescaled
from render.units import NUMBER, parse_length_mm

# Holes are looked for at about 300 dpi: finer tells no more, coarser is enlarged.
WORKING_PER_MM = 300 / 25.4
COARSEST_PER_MM = 9.0
# ISO 216 for A and B sizes, ANSI/ASME Y14.1 and custom for the others; width, height in mm.
PAPERS_MM = {
    "a2": (420.0, 594.0), "a3": (297.0, 420.0), "a4": (210.0, 297.0), "a5": (148.0, 210.0),
    "a6": (105.0, 148.0), "b4": (250.0, 353.0), "b5": (176.0, 250.0),
    "letter": (215.9, 279.4), "legal": (215.9, 355.6), "tabloid": (279.4, 431.8),
}  # fmt: skip
POINT = re.compile(rf"\s*({NUMBER})\s*,\s*({NUMBER})\s*")
WAYS = (
    "give --dpi, or --pitch with the distance from hole to hole, or --between with two points "
    "whose distance you know (the ends of a ruler on the sheet will do), or --paper with the "
    "size of a sheet that is seen whole"
)


def parse_between(text: str) -> Between:
    """Read ``x1,y1 x2,y2 = 50mm``.

    Raises
    ------
    SettingError
        Where it is not two points in pixels and a length above zero.
    """
    points, equals, length = text.partition("=")
    found = POINT.findall(points)
    if not equals or len(found) != 2 or POINT.sub("", points).strip():
        raise SettingError(
            f'"{text}" is not two points and a length; write it as "120,80 1310,80 = 100mm"'
        )
    length_mm = parse_length_mm(length)
    (x1, y1), (x2, y2) = ((float(x), float(y)) for x, y in found)
    if length_mm <= 0 or np.hypot(x2 - x1, y2 - y1) < 2:
        raise SettingError(f'"{text}": the two points and the length must be more than nothing')
    return Between((x1, y1), (x2, y2), length_mm)


def parse_corners(text: str) -> tuple[tuple[float, float], ...]:
    """Read ``x1,y1 x2,y2 x3,y3 x4,y4``, the corners of a sheet in pixels.

    Raises
    ------
    SettingError
        Where it is not four points.
    """
    found = POINT.findall(text)
    if len(found) != 4 or POINT.sub("", text).strip():
        raise SettingError(
            f'"{text}" is not four corners; write them in pixels, as '
            '"90,70 1900,85 1920,2700 60,2690"'
        )
    return tuple((float(x), float(y)) for x, y in found)


def parse_paper_mm(text: str) -> tuple[float, float]:
    """Read the name of a paper size, or ``210x297mm``; width and height in mm.

    Raises
    ------
    SettingError
        Where it is neither.
    """
    name = text.strip().lower()
    if name in PAPERS_MM:
        return PAPERS_MM[name]
    width, times, height = re.sub("[×*]", "x", name).partition("x")
    if not times:
        raise SettingError(
            f'"{text}" is not a paper size; {did_you_mean(name, PAPERS_MM)}, or write 210x297mm'
        )
    unit = re.sub(r"[\d.\s]", "", height) or "mm"
    size = parse_length_mm(width, default_unit=unit), parse_length_mm(height, default_unit=unit)
    if not all(10 <= side <= 3000 for side in size):
        raise SettingError(f'"{text}" is not a paper size; its sides must be 10 to 3000 mm')
    return size


def check_settings(settings: Settings) -> None:
    """Refuse settings that contradict each other or make no sense.

    Raises
    ------
    SettingError
        Naming the options.
    """
    ways = {
        "--dpi": settings.dpi, "--between": settings.between, "--pitch": settings.pitch_mm,
        "--paper": settings.paper_mm,
    }  # fmt: skip
    given = [name for name, value in ways.items() if value is not None]
    if len(given) > 1:
        raise SettingError(f"{' and '.join(given)} both set the scale; give one of them")
    if settings.corners is not None and settings.paper_mm is None:
        raise SettingError("--corners needs --paper, the size of the sheet they belong to")
    if settings.dpi is not None and not LEAST_DPI / 4 <= settings.dpi <= MOST_DPI:
        raise SettingError(f"--dpi {settings.dpi:g} is not the resolution of a scan")
    if settings.pitch_mm is not None and not 0.3 <= settings.pitch_mm <= 100:
        raise SettingError(f"--pitch {settings.pitch_mm:g} mm is not the distance between holes")


def scaled(picture: Picture, settings: Settings) -> Picture:
    """Give a picture the scale that is asked for.

    Parameters
    ----------
    picture
        As opened, at the file's own resolution.

    Returns
    -------
    The picture with `per_mm` set; with None where only the pitch of the holes can tell.

    Raises
    ------
    PatternError
        Where nothing tells the scale.
    SettingError
        Where what is to tell it cannot be.
    """
    per_mm = picture.per_mm
    if settings.dpi is not None:
        per_mm = settings.dpi / 25.4
    elif settings.between is not None:
        ends = np.array([settings.between.first, settings.between.second]) * picture.stretch
        height, width = picture.pixels.shape[:2]
        if (ends < -1).any() or (ends > [width, height]).any():
            raise SettingError(
                f"--between has a point outside the picture, which has {width} × {height} pixels"
            )
        per_mm = float(np.hypot(*(ends[1] - ends[0]))) / settings.between.length_mm
        if not LEAST_DPI / 4 <= per_mm * 25.4 <= MOST_DPI:
            raise SettingError(f"--between makes {per_mm * 25.4:.0f} dpi, which no scan has")
    elif settings.pitch_mm is not None:
        per_mm = None
    elif per_mm is None:
        message = f"the scale of the picture is not known: {picture.dpi_doubt}; {WAYS}"
        raise PatternError(picture.source, (Remark(message),))
    return replace(picture, per_mm=per_mm, dpi_doubt=None)


def at_working_scale(picture: Picture) -> Picture:
    """Bring a picture to a resolution at which holes are some ten pixels wide."""
    if picture.per_mm is None:
        longest = max(picture.pixels.shape[:2])
        return rescaled(picture, 1 / max(1, -(-longest // 5000)))
    if picture.per_mm >= 1.5 * WORKING_PER_MM:
        return rescaled(picture, 1 / round(picture.per_mm / WORKING_PER_MM))
    if picture.per_mm < COARSEST_PER_MM:
        return rescaled(picture, min(np.ceil(COARSEST_PER_MM / picture.per_mm), 4.0))
    return picture
