"""What a pattern says of itself as a whole."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from render.errors import SettingError
from render.pattern.document import Element
from render.pattern.findings import Findings
from render.pattern.words import (
    MOST_TWISTS,
    ROOT_WORDS,
    check_ground,
    misspelt,
    parse_number,
    whole_number,
)
from render.units import parse_gauge_mm, parse_length_mm, parse_thread

FORMAT = "1"


@dataclass(frozen=True)
class Heading:
    """The fields of a Pattern that its root or its table's first lines give."""

    title: str = ""
    maker: str = ""
    notes: str = ""
    down_degrees: float = 90.0
    ground: str = "torchon"
    thread: str | None = None
    gauge_mm: float | None = None
    repeat: tuple[float, float] | None = None
    leg_twists: int = 0


def root_words(root: Element, findings: Findings) -> dict[str, str]:
    """Return the root's words, the drawing's own title among them."""
    words = root.words
    for name, meant in misspelt(words, ROOT_WORDS).items():
        findings.fault(f'unknown word data-{name}; did you mean "data-{meant}"?')
    title = next((child.text.strip() for child in root.children if child.tag == "title"), "")
    return {"title": title, **words} if title else words


def read_heading(words: Mapping[str, str], findings: Findings, prefix: str = "") -> Heading:
    """Check the words that stand above a pattern.

    Parameters
    ----------
    words
        Values by the names of ROOT_WORDS.
    findings
        Takes the faults.
    prefix
        What stands before a name in the file, for messages.
    """
    values: dict[str, object] = {
        name: words[name] for name in ("title", "maker", "notes") if name in words
    }
    readers = {
        "down": ("down_degrees", _down),
        "ground": ("ground", _ground),
        "thread": ("thread", _thread),
        "gauge-mm": ("gauge_mm", _gauge),
        "repeat": ("repeat", _repeat),
        "leg-twists": ("leg_twists", _leg_twists),
    }
    for name, (field, reader) in readers.items():
        if name not in words:
            continue
        try:
            values[field] = reader(words[name].strip())
        except SettingError as error:
            findings.fault(f"{prefix}{name}: {error}")
    if words.get("format", FORMAT) != FORMAT:
        findings.fault(
            f'{prefix}format is "{words["format"]}", and this version reads {FORMAT}; '
            "update the program, or save the pattern for this one"
        )
    return Heading(**values)  # type: ignore[arg-type]  # each reader gives its field's type


def _down(text: str) -> float:
    """Read a direction in degrees."""
    degrees = parse_number(text)
    if degrees is None or abs(degrees) > 360:
        raise SettingError(f'"{text}" is not a direction; write degrees clockwise, such as 90')
    return degrees


def _ground(text: str) -> str:
    """Read a ground."""
    check_ground(text)
    return text


def _thread(text: str) -> str:
    """Read a thread count and keep it as written."""
    parse_thread(text)
    return text


def _gauge(text: str) -> float:
    """Read a thread diameter in mm."""
    parse_length_mm(text)
    return parse_gauge_mm(text)


def _repeat(text: str) -> tuple[float, float]:
    """Read a vector in mm."""
    parts = [parse_number(part) for part in text.split(",")]
    if len(parts) != 2 or parts[0] is None or parts[1] is None:
        raise SettingError(f'"{text}" is not a vector; write dx,dy in mm, such as 0,24')
    if not 1 <= math.hypot(parts[0], parts[1]) <= 5000:
        raise SettingError(f'"{text}" is no length for a repeat; it must be from 1 to 5000 mm')
    return parts[0], parts[1]


def _leg_twists(text: str) -> int:
    """Read a small number of twists."""
    try:
        whole_number(0, MOST_TWISTS)(text)
    except SettingError as error:
        raise SettingError(f"it {error}") from error
    return int(text)
