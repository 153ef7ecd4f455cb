"""What a catalogue knows of each pattern."""

from collections.abc import Mapping
from dataclasses import dataclass, field

# Raise it whenever the same pattern and the same wishes would give another picture or figure.
OUTPUT_VERSION = 26
SMALL_PIXELS, LARGE_PIXELS = 200, 400
# What becomes of a pattern: a picture; a message for its maker; a message for ours.
WORKED, BROKEN, FAULT = "worked", "broken", "fault"


@dataclass(frozen=True)
class Facts:
    """What a maker chooses a pattern by.

    Attributes
    ----------
    size_mm
        Width and height from hole to hole.
    holes, pairs, most_pairs
        Holes; pairs to wind; pairs on the pillow at once.
    stitches
        By technique, the most frequent first.
    hours
        At the usual pace, winding included.
    mostly
        The technique with the most stitches; every ground counts as ``ground``.
    ground
        The ground with the most stitches, ``none`` where there is none.
    gauge_mm, thread
        Diameter of the thread and where it was taken from.
    doubts
        What was doubtful, a sentence each.
    """

    size_mm: tuple[float, float]
    holes: int
    pairs: int
    most_pairs: int
    stitches: Mapping[str, int]
    hours: float
    mostly: str
    ground: str
    gauge_mm: float
    thread: str
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Entry:
    """One pattern of a catalogue.

    Attributes
    ----------
    id
        Stays the same while the file keeps its name; names the pictures.
    path
        Below the folder, with forward slashes.
    fingerprint
        Of the file, the wishes and the program's output; another one means the pictures are old.
    outcome
        ``worked``, ``broken`` (see `message`) or ``fault`` (of ours, see `message`).
    message
        Why there is no picture.
    pictures
        File names by what they show: ``small``, ``large``, ``whole``, ``pricking``.
    whole_pixels
        Width and height of the whole view.
    """

    id: str
    path: str
    fingerprint: str
    outcome: str
    title: str
    maker: str = ""
    notes: str = ""
    message: str = ""
    figures: Facts | None = None
    pictures: Mapping[str, str] = field(default_factory=dict)
    whole_pixels: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class CatalogueRun:
    """What a run did.

    Attributes
    ----------
    entries
        All patterns in the order of their paths.
    made, kept, removed
        How many were drawn, found unchanged, and no longer there.
    led_out
        Links that lead out of the folder and were left alone.
    stopped
        Whether the run was interrupted before its end.
    traces
        Of faults of ours, for those who can mend them.
    """

    entries: tuple[Entry, ...]
    made: int
    kept: int
    removed: int
    led_out: tuple[str, ...] = ()
    stopped: bool = False
    traces: tuple[str, ...] = ()

    @property
    def troubled(self) -> tuple[Entry, ...]:
        """The patterns without a picture."""
        return tuple(entry for entry in self.entries if entry.outcome != WORKED)
