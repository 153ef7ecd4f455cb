"""What the library tells a person when it cannot go on.

LaceError             anything below; ``except LaceError`` is always enough
├── PatternError      the pattern cannot be read: one or many faults, each with its place
├── PlanError         the pattern is sound but cannot be worked
├── SettingError      a thread, colour or size that was asked for makes no sense
└── OutputError       the result cannot be written
"""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True)
class Place:
    """Where in the input something stands.

    Attributes
    ----------
    item
        What a person would call it: ``hole 41``, ``region "shell"``, ``line 7``.
    x_mm, y_mm
        Its position on the pattern, None where it has none.
    """

    item: str
    x_mm: float | None = None
    y_mm: float | None = None

    def __str__(self) -> str:
        if self.x_mm is None or self.y_mm is None:
            return self.item
        return f"{self.item} at {self.x_mm:.1f}, {self.y_mm:.1f} mm"


@dataclass(frozen=True)
class Remark:
    """Something a person should know about, that does not stop the work.

    Attributes
    ----------
    message
        A sentence in a maker's words: what was found and what was done.
    place
        Where it stands, None where it concerns the whole piece.
    kind
        ``doubt`` where the reader had to choose, ``change`` where pairs are hung in or
        thrown out, ``tangle`` where threads did not settle as they were worked,
        ``repeat`` where repeats had to be worked one by one or do not fit each other, ``note``
        for anything else.
    """

    message: str
    place: Place | None = None
    kind: str = "doubt"

    def __str__(self) -> str:
        return self.message if self.place is None else f"{self.place}: {self.message}"


class LaceError(Exception):
    """Base of every error that is the input's doing and not ours."""


class PatternError(LaceError):
    """A pattern cannot be read.

    Attributes
    ----------
    faults
        Every fault of the file, in the order of the file.
    """

    def __init__(self, source: str, faults: tuple[Remark, ...]) -> None:
        super().__init__("\n".join(f"{source}: {fault}" for fault in faults))
        self.source = source
        self.faults = faults


class PlanError(LaceError):
    """A sound pattern cannot be worked."""

    def __init__(self, remark: Remark) -> None:
        super().__init__(str(remark))
        self.remark = remark


class SettingError(LaceError):
    """A thread, colour or size that was asked for makes no sense."""


class OutputError(LaceError):
    """The result cannot be written."""


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return what to say about a word that is not one of the known ones.

    Returns
    -------
    ``did you mean "whole"?`` where one is close, else ``expected one of half, whole``.
    """
    choices = list(known)
    by_lower = {choice.lower(): choice for choice in choices}
    close = get_close_matches(word.lower(), by_lower, n=1, cutoff=0.6)
    if close:
        return f'did you mean "{by_lower[close[0]]}"?'
    return f"expected one of {', '.join(choices)}"
