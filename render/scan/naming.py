"""Say what each pen stands for: as a person names it, else by the colour key."""

from collections.abc import Mapping, Sequence
from colorsys import rgb_to_hsv
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.colour.difference import ciede2000
from render.colour.lab import lab_from_srgb
from render.colour.srgb import parse_colour
from render.errors import PatternError, Remark, SettingError
from render.pattern.key import ColourKey
from render.pattern.words import check_ground, check_line, check_stitch
from render.scan.model import Pen, Reading

NEAR = 20.0  # CIEDE2000 within which a colour is a pen's very own
NEAR_HUE = 50.0  # degrees within which "blue" is still this pale blue pen
PLAINLY_NEARER = 0.6  # of the distance to any other pen


@dataclass(frozen=True)
class Meaning:
    """What a pen stands for.

    Attributes
    ----------
    word
        A stitch, a line, or ``ignore``.
    line
        Whether `word` is a line.
    ground
        For the stitch ``ground``, which; None for the pattern's own key of grounds.
    from_key
        Whether the colour key said so rather than a person.
    """

    word: str
    line: bool = False
    ground: str | None = None
    from_key: bool = False

    def __str__(self) -> str:
        if self.line:
            return f"line:{self.word}"
        return self.word if self.ground is None else f"ground:{self.ground}"


@dataclass(frozen=True, eq=False)
class PenName:
    """One ``--pen``: a pen's number or a colour (3,) sRGB, and what it means."""

    text: str
    pen: int | NDArray[np.float64]
    meaning: Meaning


def parse_pen(text: str) -> PenName:
    """Read ``COLOUR=half``, ``1=whole``, ``2=line:plait``, ``3=ground:rose`` or ``4=ignore``.

    Raises
    ------
    SettingError
        Where the colour or the word is unknown.
    """
    left, equals, right = (part.strip() for part in text.partition("="))
    if not equals or not left or not right:
        raise SettingError(
            f'"{text}" does not name a pen; write it as "#d9c36a=half", "yellow=half", '
            '"1=whole", "2=line:plait" or "3=ignore"'
        )
    pen: int | NDArray[np.float64] = int(left) if left.isdecimal() else parse_colour(left)
    return PenName(text, pen, _meaning(right))


def _meaning(text: str) -> Meaning:
    """Read the right side of a pen's name."""
    kind, colon, word = (part.strip() for part in text.partition(":"))
    if kind == "line" and colon:
        check_line(word)
        return Meaning(word, line=True)
    if kind == "ground" and colon:
        check_ground(word)
        return Meaning("ground", ground=word)
    if text == "ignore":
        return Meaning("ignore")
    check_stitch(text)
    return Meaning(text)


def name_pens(
    reading: Reading, given: Sequence[PenName], key: ColourKey
) -> dict[int, Meaning | None]:
    """Give every pen of a reading its meaning.

    Returns
    -------
    Meanings by the pens' numbers; None where neither a person nor the key says.

    Raises
    ------
    PatternError
        Where a name fits no pen, or two.
    SettingError
        Where one pen is given two meanings.
    """
    meanings: dict[int, Meaning | None] = {pen.number: None for pen in reading.pens}
    for name in given:
        number = _pen_named(reading, name)
        other = meanings[number]
        if other is not None and other != name.meaning:
            raise SettingError(
                f'--pen "{name.text}": pen {number} is already named {other}; name it once'
            )
        meanings[number] = name.meaning
    for pen in reading.pens:
        if meanings[pen.number] is None:
            meanings[pen.number] = _by_key(pen, key)
    return meanings


def _pen_named(reading: Reading, name: PenName) -> int:
    """Return the number of the pen that a name means."""
    numbers = [pen.number for pen in reading.pens]
    if isinstance(name.pen, int):
        if name.pen in numbers:
            return name.pen
        raise _unknown(reading, name, f"there is no pen {name.pen}")
    if not numbers:
        raise _unknown(reading, name, "no pen was found")
    colours = np.array([parse_colour(pen.hex) for pen in reading.pens])
    away = ciede2000(lab_from_srgb(colours), lab_from_srgb(name.pen))
    own = _plainly_nearest(away, NEAR)
    # The name of a colour means its vivid shade, and pens are pale: then hue alone must tell.
    turns = np.array([_hue_degrees(colour) for colour in colours]) - _hue_degrees(name.pen)
    nearest = own if own is not None else _plainly_nearest(
        np.abs((turns + 180) % 360 - 180), NEAR_HUE
    )  # fmt: skip
    if nearest is None:
        raise _unknown(reading, name, "no pen is plainly the nearest to that colour; use a number")
    return numbers[nearest]


def _plainly_nearest(away: NDArray[np.float64], most: float) -> int | None:
    """Return the index of the least distance if it is below `most` and far below the others."""
    order = np.argsort(away, kind="stable")
    best = away[order[0]]
    rivals = away[order[1:2]]
    plain = best <= most and (not len(rivals) or best <= PLAINLY_NEARER * rivals[0])
    return int(order[0]) if plain else None


def _hue_degrees(srgb: NDArray[np.float64]) -> float:
    """Return the hue of a colour on the wheel of red, green and blue."""
    red, green, blue = srgb.tolist()
    return 360 * rgb_to_hsv(red, green, blue)[0]


def _unknown(reading: Reading, name: PenName, why: str) -> PatternError:
    """Return an error with the pens there are."""
    message = f'--pen "{name.text}": {why}'
    if reading.pens:
        message += "; the pens are\n" + pen_list(reading.pens, {})
    return PatternError(reading.picture.source, (Remark(message),))


def _by_key(pen: Pen, key: ColourKey) -> Meaning | None:
    """Return what the key says of a pen's colour, if it is near one of its shades."""
    colour = parse_colour(pen.hex)
    line = pen.strokes > 0 and pen.areas == 0
    match = key.line_of(colour) if line else key.stitch_of(colour)
    if match is None or not match.close:
        return None
    return Meaning(match.word, line=line, from_key=True)


def pen_rows(
    pens: Sequence[Pen], meanings: Mapping[int, Meaning | None]
) -> tuple[tuple[str, str], ...]:
    """Return, for each pen, its colour and a line: number, what was drawn with it, meaning."""
    rows = []
    for pen in pens:
        shapes = [f"{pen.areas} area{'s' * (pen.areas != 1)}"] if pen.areas else []
        if pen.strokes:
            shapes.append(
                f"{pen.strokes} line{'s' * (pen.strokes != 1)}, {pen.width_mm:.1f} mm wide"
            )
        meaning = meanings.get(pen.number)
        said = "?" if meaning is None else str(meaning)
        if meaning is not None and meaning.from_key:
            said += " (by the colour key)"
        drawn = " and ".join(shapes)
        row = f"pen {pen.number}  {pen.hex}  {pen.area_mm2:.0f} mm², {drawn}: {said}"
        rows.append((pen.hex, row))
    return tuple(rows)


def pen_list(pens: Sequence[Pen], meanings: Mapping[int, Meaning | None]) -> str:
    """Return the pens as lines of text."""
    return "\n".join(f"  {row}" for _, row in pen_rows(pens, meanings))
