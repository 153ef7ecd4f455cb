"""Work one pattern and make all a catalogue shows of it."""

import traceback
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from hashlib import sha256
from importlib.metadata import version
from io import BytesIO

from PIL import Image

from render.catalogue.collect import Found
from render.catalogue.figures import take_figures
from render.catalogue.model import (
    BROKEN,
    FAULT,
    LARGE_PIXELS,
    OUTPUT_VERSION,
    SMALL_PIXELS,
    WORKED,
    Entry,
)
from render.catalogue.pictures import draw_telling, draw_whole, packed
from render.errors import LaceError, PatternError
from render.files import SOFTWARE
from render.pattern.model import Pattern
from render.pattern.write import write_pattern
from render.pipeline import Worked, work
from render.wishes import Wishes


@dataclass(frozen=True)
class Made:
    """An entry and the files it names.

    Attributes
    ----------
    files
        Contents by file name.
    trace
        Where a fault of ours came up, for those who can mend it.
    """

    entry: Entry
    files: Mapping[str, bytes]
    trace: str = ""


def fingerprint(found: Found, wishes: Wishes) -> str:
    """Return what changes whenever the pictures of a pattern may change."""
    made_by = f"{SOFTWARE} {version(SOFTWARE)} {OUTPUT_VERSION}\n{asdict(wishes)!r}\n"
    digest = sha256(made_by.encode())
    digest.update(type(wishes.background).__name__.encode())
    try:
        digest.update(found.file.read_bytes())
    except OSError as error:
        digest.update(f"cannot be read: {error.errno}".encode())
    return digest.hexdigest()


def make(found: Found, wishes: Wishes, mark: str) -> Made:
    """Work a pattern and draw it; whatever goes wrong becomes the message of its entry.

    Parameters
    ----------
    found
        The pattern's file.
    wishes
        How it is worked and shown; the resolution is the catalogue's own.
    mark
        Its fingerprint.
    """
    try:
        worked = work(found.file, wishes)
        return _made(found, wishes, mark, worked)
    except PatternError as error:
        # The card names the file already.
        return Made(failed(found, mark, BROKEN, "\n".join(map(str, error.faults))), {})
    except LaceError as error:
        return Made(failed(found, mark, BROKEN, str(error)), {})
    except (Exception, RecursionError) as error:
        message = f"laceproof failed here, and the fault is its own: {error!r}"
        return Made(failed(found, mark, FAULT, message), {}, traceback.format_exc())


def failed(found: Found, mark: str, outcome: str, message: str) -> Entry:
    """Return the entry of a pattern without a picture."""
    return Entry(found.id, found.path, mark, outcome, title=found.file.stem, message=message)


def _made(found: Found, wishes: Wishes, mark: str, worked: Worked) -> Made:
    whole = draw_whole(worked, wishes)
    large = draw_telling(worked, wishes, LARGE_PIXELS)
    small = large.resize((SMALL_PIXELS, SMALL_PIXELS), Image.Resampling.LANCZOS)
    names = {
        "small": f"{found.id}-{SMALL_PIXELS}",
        "large": f"{found.id}-{LARGE_PIXELS}",
        "whole": f"{found.id}-whole.webp",
        "pricking": f"{found.id}-pricking.svg",
    }
    files = {names["whole"]: packed(whole, "webp"), names["pricking"]: _marked(worked.pattern)}
    for size, image in (("small", small), ("large", large)):
        for kind in ("webp", "png"):
            files[f"{names[size]}.{kind}"] = packed(image, kind)
    entry = Entry(
        id=found.id,
        path=found.path,
        fingerprint=mark,
        outcome=WORKED,
        title=worked.pattern.title or worked.pattern.name,
        maker=worked.pattern.maker,
        notes=worked.pattern.notes,
        figures=take_figures(worked),
        pictures=names,
        whole_pixels=whole.size,
    )
    return Made(entry, files)


def _marked(pattern: Pattern) -> bytes:
    """Draw a pattern anew in the colours of the key, without what else its file may hold."""
    file = BytesIO()
    write_pattern(replace(pattern, title="", notes=""), file)
    return file.getvalue()
