"""Lengths and thread counts as people write them, in millimetres and tex."""

import math
import re
from dataclasses import dataclass

from render.errors import SettingError, did_you_mean

MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "px": 25.4 / 96,
    "q": 0.25,
}

# Constants of the indirect systems: tex = constant / count (ASTM D2260, which follows ISO 2947).
TEX_TIMES_COUNT = {"Ne": 590.541, "NeL": 1653.52, "Nm": 1000.0}
# Direct systems: tex = constant × count (ISO 1144).
TEX_PER_COUNT = {"tex": 1.0, "dtex": 0.1, "den": 1 / 9}
SYSTEM_NAMES = {
    "ne": "Ne", "nec": "Ne", "neb": "Ne",
    "nel": "NeL", "lea": "NeL",
    "nm": "Nm",
    "tex": "tex", "dtex": "dtex", "den": "den", "denier": "den", "td": "den",
}  # fmt: skip

COTTON_DENSITY_G_CM3 = 1 / 1.1
THINNEST_MM, THICKEST_MM = 0.01, 5.0

NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
LENGTH = re.compile(rf"({NUMBER})\s*([a-zA-Z%]*)")
COUNT = re.compile(
    rf"(?P<resultant>R\s*)?(?P<first>{NUMBER})(?:\s*/\s*(?P<second>{NUMBER}))?"
    rf"\s*(?P<system>[a-zA-Z]+)(?:\s*(?P<sign>[/x×])\s*(?P<plies>{NUMBER}))?"
)
SYSTEM_FIRST = re.compile(r"(?P<system>[a-zA-Z]{2,6})\s*(?P<count>[\d./\s]+)")


@dataclass(frozen=True)
class ThreadCount:
    """How heavy a thread is.

    Attributes
    ----------
    tex
        Mass of the whole folded thread in g/km.
    plies
        How many singles are folded into it.
    text
        The count as it was written.
    """

    tex: float
    plies: int
    text: str


def parse_length_mm(text: str, *, default_unit: str = "mm") -> float:
    """Read a length.

    Parameters
    ----------
    text
        A number and, unless it is in `default_unit`, one of mm, cm, in, pt, pc, px (1/96 in), q.

    Returns
    -------
    Millimetres; may be zero or negative.

    Raises
    ------
    SettingError
        Where the text is not a finite length.

    References
    ----------
    .. W3C, CSS Values and Units Module Level 3, section 6.2 "Absolute lengths"

    Examples
    --------
    >>> parse_length_mm("1in"), parse_length_mm("2.5")
    (25.4, 2.5)
    """
    match = LENGTH.fullmatch(text.strip())
    if match is None:
        raise SettingError(f'"{text}" is not a length; write a number and a unit, such as 12.5mm')
    unit = match[2].lower() or default_unit
    if unit not in MM_PER_UNIT:
        raise SettingError(
            f'"{text}" has the unknown unit "{match[2]}"; {did_you_mean(unit, MM_PER_UNIT)}'
        )
    length = float(match[1]) * MM_PER_UNIT[unit]
    if not math.isfinite(length):
        raise SettingError(f'"{text}" is too large to be a length')
    return length


def parse_thread(text: str) -> ThreadCount:
    """Read a thread count.

    Parameters
    ----------
    text
        Such as ``60/2 NeL``, ``Ne 50/2``, ``120/2 Nm``, ``2/80 Ne``, ``20 tex``, ``20 tex x 2``,
        ``R 40 tex/2``, ``9 den``. Of ``a/b`` the larger is the count of the single and the
        smaller says how many are folded, as both orders are in use; after ``R`` the number is
        that of the folded thread.

    Raises
    ------
    SettingError
        Where the text is not a count, or the thread is thinner than a fibre or thicker than cord.

    References
    ----------
    .. ASTM D2260-03(2013), Standard Tables of Conversion Factors and Equivalent Yarn Numbers
       Measured in Various Numbering Systems
    .. ISO 1139, Textiles - Designation of yarns

    Examples
    --------
    >>> parse_thread("20 tex x 2")
    ThreadCount(tex=40.0, plies=2, text='20 tex x 2')
    """
    written = " ".join(text.split())
    swapped = SYSTEM_FIRST.fullmatch(written)
    match = COUNT.fullmatch(f"{swapped['count']} {swapped['system']}" if swapped else written)
    if match is None:
        raise SettingError(
            f'"{text}" is not a thread count; write it as 60/2 NeL, 50/2 Ne, 120/2 Nm or 20 tex'
        )
    system = SYSTEM_NAMES.get(match["system"].lower())
    if system is None:
        raise SettingError(
            f'"{text}" has the unknown numbering system "{match["system"]}"; '
            f"{did_you_mean(match['system'], [*TEX_TIMES_COUNT, *TEX_PER_COUNT])}"
        )
    count, plies = _count_and_plies(match, text)
    single = TEX_TIMES_COUNT[system] / count if system in TEX_TIMES_COUNT else (
        TEX_PER_COUNT[system] * count
    )  # fmt: skip
    thread = ThreadCount(single if match["resultant"] else single * plies, plies, written)
    _check_thickness(diameter_mm(thread.tex), text)
    return thread


def diameter_mm(tex: float, *, density_g_cm3: float = COTTON_DENSITY_G_CM3) -> float:
    """Return the diameter of a round thread of this mass.

    Parameters
    ----------
    tex
        Mass of the thread in g/km.
    density_g_cm3
        Of the thread with the air in it; 1/1.1 for cotton.

    References
    ----------
    .. F. T. Peirce, "The geometry of cloth structure", Journal of the Textile Institute 28 (1937)
       T45-T96: specific volume 1.1 cm³/g, whence 1 / (28 √Ne) inch
    """
    return math.sqrt(4e-3 * tex / (math.pi * density_g_cm3))


def parse_gauge_mm(text: str) -> float:
    """Read how thick a thread is, from its diameter or its count.

    Parameters
    ----------
    text
        Millimetres (``0.25``), a length with its unit (``0.25mm``) or a count (``60/2 NeL``).

    Returns
    -------
    The diameter in mm.

    Raises
    ------
    SettingError
        Where the text is neither, or the thread is thinner than a fibre or thicker than cord.
    """
    match = LENGTH.fullmatch(text.strip())
    if match is None or match[2].lower() not in {"", *MM_PER_UNIT}:
        if re.search("[a-zA-Z]", text) is None:
            raise SettingError(
                f'"{text}" is not a gauge; write a diameter such as 0.25mm or a count such as '
                "60/2 NeL"
            )
        return diameter_mm(parse_thread(text).tex)
    gauge = parse_length_mm(text)
    _check_thickness(gauge, text)
    return gauge


def _count_and_plies(match: re.Match[str], text: str) -> tuple[float, int]:
    """Return the count and how many singles are folded."""
    if match["second"] and match["plies"]:
        raise SettingError(f'"{text}" says twice how many singles are folded; say it once')
    first = float(match["first"])
    other = float(match["second"] or match["plies"] or 1)
    count, plies = (max(first, other), min(first, other)) if match["second"] else (first, other)
    if not math.isfinite(count) or count <= 0:
        raise SettingError(f'"{text}" is not a thread count; the count must be above zero')
    if plies < 1 or plies != int(plies):
        raise SettingError(
            f'"{text}" folds {plies:g} singles; the number of singles must be a whole number'
        )
    return count, int(plies)


def _check_thickness(gauge_mm: float, text: str) -> None:
    """Refuse what cannot be a thread."""
    if not THINNEST_MM <= gauge_mm <= THICKEST_MM:
        raise SettingError(
            f'"{text}" is a thread {gauge_mm:.3g} mm thick; '
            f"it must be between {THINNEST_MM} and {THICKEST_MM:g} mm"
        )
