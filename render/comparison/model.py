"""What is compared: every choice with every other."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import product
from math import ceil, sqrt

from render.errors import SettingError
from render.estimate.suiting import Asked
from render.image.background import Background, Card, Colour

MOST_CELLS = 100


@dataclass(frozen=True)
class Variant:
    """A way to work the pattern.

    Attributes
    ----------
    name
        What it is called on the sheet.
    swaps
        The stitch to work instead, by the stitch that is marked.
    ground
        Another ground; None for the pattern's own.
    """

    name: str = "as marked"
    swaps: Mapping[str, str] = field(default_factory=dict)
    ground: str | None = None


@dataclass(frozen=True)
class Choices:
    """What is to be compared.

    Attributes
    ----------
    threads
        Name and sRGB (0 to 1) of each thread.
    backgrounds
        Name of each background, and what it is.
    gauges_mm
        Thread diameters; None for the pattern's own, AUTO for the one that suits best.
    variants
        Ways to work the pattern.
    """

    threads: tuple[tuple[str, Colour], ...]
    backgrounds: tuple[tuple[str, Background], ...] = (("card", Card()),)
    gauges_mm: tuple[Asked, ...] = (None,)
    variants: tuple[Variant, ...] = (Variant(),)

    def __post_init__(self) -> None:
        count = 1
        for number in self._counts:
            count *= number
        if count == 0:
            raise SettingError("there is nothing to compare: name a thread")
        if count > MOST_CELLS:
            raise SettingError(
                f"{count} pictures are more than one sheet holds ({MOST_CELLS}): ask for fewer "
                "threads, backgrounds, gauges or stitches at a time"
            )

    @property
    def _counts(self) -> tuple[int, int, int, int]:
        """Number of variants, gauges, backgrounds and threads."""
        return len(self.variants), len(self.gauges_mm), len(self.backgrounds), len(self.threads)

    @property
    def varied(self) -> tuple[bool, bool, bool, bool]:
        """Whether variants, gauges, backgrounds and threads differ between cells."""
        variants, gauges, backgrounds, threads = self._counts
        return variants > 1, gauges > 1, backgrounds > 1, threads > 1

    @property
    def cells(self) -> list["Cell"]:
        """Every picture of the sheet, row by row."""
        rows = [range(number) for number in self._counts]
        across = self._across
        rows[across], last = range(1), rows[across]
        return [
            Cell(*(n if axis == across else place[axis] for axis in range(4)))
            for place in product(*rows)
            for n in last
        ]

    @property
    def columns(self) -> int:
        """How many pictures stand side by side."""
        number = self._counts[self._across]
        # Where nothing else differs, rows may end anywhere.
        return ceil(sqrt(number)) if sum(self.varied) < 2 and number > 4 else number

    @property
    def _across(self) -> int:
        """Which choice runs from left to right: the thread, else the one with the most values."""
        counts = self._counts
        return 3 if counts[3] > 1 else max(range(4), key=lambda axis: counts[axis])


@dataclass(frozen=True)
class Cell:
    """One picture of the sheet, as places in the lists of `Choices`."""

    variant: int
    gauge: int
    background: int
    thread: int
