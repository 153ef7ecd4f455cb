"""Keep what a catalogue knows between runs."""

import json
import os
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from render.catalogue.model import FAULT, WORKED, Entry, Facts
from render.errors import OutputError
from render.files import SOFTWARE, whole_file, write_text

LISTING, PAGE = "catalogue.json", "index.html"
# Both hold files named by the catalogue only, and nothing else in them is ever removed.
PICTURES, ENTRIES = "pictures", "entries"
MADE_BY = f"{SOFTWARE} catalogue"
_OUR_NAMES = re.compile(r"[0-9a-f]{16}(?:\.json|-(?:\d+\.(?:webp|png)|whole\.webp|pricking\.svg))")
# What `whole_file` leaves behind where a run is killed in the middle of a file.
_HALF_FILE = re.compile(r"\.(?P<name>[^/]{1,40})\.[A-Za-z0-9_]{8}")


class Store:
    """The folder of a catalogue.

    Parameters
    ----------
    out
        Where it is; it is made if it is not there.

    Raises
    ------
    OutputError
        Where the folder holds something else, or cannot be made.
    """

    def __init__(self, out: Path) -> None:
        self.out = out
        self._refuse_strange()
        try:
            for name in (PICTURES, ENTRIES):
                if (out / name).is_symlink():
                    raise OutputError(
                        f"{out / name} is a link: remove it, nothing is written there"
                    )
                (out / name).mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(f"{out} cannot be made: {error.strerror}") from error

    def read(self) -> dict[str, Entry]:
        """Return the entries of earlier runs by id, but those that must be tried again."""
        entries = {}
        for file in sorted((self.out / ENTRIES).glob("*.json")):
            entry = _read(file)
            if entry is not None and entry.outcome != FAULT and self._is_whole(entry):
                entries[entry.id] = entry
        return entries

    def keep(self, entry: Entry, files: Mapping[str, bytes]) -> None:
        """Write an entry, its pictures first: an entry that is there has all it names."""
        for name, data in files.items():
            with whole_file(self.out / PICTURES / name) as file:
                file.write(data)
        write_text(self.out / ENTRIES / f"{entry.id}.json", (_text(asdict(entry)), "\n"))

    def tidy(self, entries: Iterable[Entry]) -> None:
        """Remove files of patterns that are gone, and halves of files."""
        wanted = {LISTING, PAGE}
        for entry in entries:
            wanted |= {f"{entry.id}.json", *picture_files(entry)}
        for folder in (self.out, self.out / PICTURES, self.out / ENTRIES):
            for file in folder.iterdir():
                half = _HALF_FILE.fullmatch(file.name)
                name = half["name"] if half else file.name
                ours = _OUR_NAMES.fullmatch(name) or (half and name in wanted)
                if ours and (half or name not in wanted) and file.is_file():
                    file.unlink(missing_ok=True)

    def write_listing(self, entries: Iterable[Entry], folder: Path) -> None:
        """Write ``catalogue.json``, for other programs."""
        listing = {
            "made_by": MADE_BY,
            "folder": way_to(folder, self.out),
            "patterns": [public(entry) for entry in entries],
        }
        write_text(self.out / LISTING, (json.dumps(listing, indent=1), "\n"))

    def _is_whole(self, entry: Entry) -> bool:
        names = picture_files(entry)
        return all((self.out / PICTURES / name).is_file() for name in names)

    def _refuse_strange(self) -> None:
        if self.out.exists() and not self.out.is_dir():
            raise OutputError(f"{self.out} is not a folder: choose another with -o")
        if not self.out.exists() or not any(self.out.iterdir()) or self._is_ours():
            return
        raise OutputError(
            f"{self.out} holds other files than a catalogue: choose an empty folder, or a new one, "
            "with -o"
        )

    def _is_ours(self) -> bool:
        """Tell whether a run began here before: what it writes first is the listing."""
        try:
            listing = json.loads((self.out / LISTING).read_text("utf-8"))
        except (OSError, ValueError):
            only = {PICTURES, ENTRIES}
            names = {file.name for file in self.out.iterdir()}
            return names <= only or all(_HALF_FILE.fullmatch(name) for name in names - only)
        return isinstance(listing, dict) and listing.get("made_by") == MADE_BY


def way_to(folder: Path, out: Path) -> str:
    """Return the way from the catalogue to the folder of the patterns."""
    return Path(os.path.relpath(folder.resolve(), out.resolve())).as_posix()


def picture_files(entry: Entry) -> list[str]:
    """Return the names of all files that show an entry."""
    names = []
    for what, name in entry.pictures.items():
        both = what in ("small", "large")
        names += [f"{name}.webp", f"{name}.png"] if both else [name]
    return names


def public(entry: Entry) -> dict[str, Any]:
    """Return what other programs, and the page, are told of an entry."""
    told = asdict(entry)
    del told["fingerprint"]
    told["pictures"] = {
        what: f"{PICTURES}/{name}" + ("" if "." in name else ".webp")
        for what, name in entry.pictures.items()
    }
    told["worked"] = entry.outcome == WORKED
    return told


def _text(thing: object) -> str:
    return json.dumps(thing, indent=1)


def _read(file: Path) -> Entry | None:
    """Read an entry; one that is not as this version writes it is as good as none."""
    try:
        told = json.loads(file.read_text("utf-8"))
        figures = told["figures"]
        if figures is not None:
            for name in ("size_mm", "doubts"):
                figures[name] = tuple(figures[name])
            told["figures"] = Facts(**figures)
        told["whole_pixels"] = tuple(told["whole_pixels"])
        entry = Entry(**told)
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return entry if f"{entry.id}.json" == file.name else None
