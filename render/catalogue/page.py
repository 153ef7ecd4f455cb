"""Write the page: one file that needs no network and no server."""

import json
from base64 import b64encode
from collections.abc import Callable, Iterable, Iterator
from hashlib import sha256
from html import escape
from importlib.resources import files
from pathlib import Path
from string import Template
from urllib.parse import quote

from render.catalogue.figures import kind_of
from render.catalogue.model import LARGE_PIXELS, SMALL_PIXELS, WORKED, Entry, Facts
from render.catalogue.store import PAGE, PICTURES, public, way_to
from render.files import write_text

TECHNIQUES = {
    "whole": "whole stitch",
    "half": "half stitch",
    "double": "double stitch",
    "ground": "ground",
    "footside": "footside",
    "headside": "headside",
}


def write_page(out: Path, folder: Path, entries: Iterable[Entry]) -> None:
    """Write ``index.html``.

    Parameters
    ----------
    out
        The catalogue.
    folder
        Where the patterns are; the page links to them.
    entries
        In the order of the page.

    Raises
    ------
    OutputError
        Where it cannot be written.
    """
    entries = tuple(entries)
    where = way_to(folder, out)
    script = _part("page.js")
    worked = [entry for entry in entries if entry.outcome == WORKED]
    page = Template(_part("page.html")).substitute(
        style=_part("page.css"),
        script=script,
        script_hash=_hash(script),
        data=_data(entries, where),
        cards="\n".join(_card(entry) for entry in entries),
        folder=escape(folder.resolve().name),
        technique_options="".join(_technique_options(worked)),
        ground_options=_options(_figures(worked), lambda f: f.ground),
        thread_options=_options(_figures(worked), thread_label),
    )
    write_text(out / PAGE, (page,))


def thread_label(figures: Facts) -> str:
    """Return the thickness a thread is chosen by."""
    return f"{figures.gauge_mm:.2f} mm"


def mostly(figures: Facts) -> str:
    """Return what a piece is made of for the most part, in words."""
    if figures.mostly == "ground" and figures.ground != "none":
        return f"mostly {figures.ground} ground"
    return f"mostly {TECHNIQUES.get(figures.mostly, figures.mostly)}"


def _card(entry: Entry) -> str:
    """Return a card of the grid; all that comes from a pattern is escaped."""
    title, path = escape(entry.title), escape(entry.path)
    if entry.figures is None:
        shown = '<span class="no-picture" aria-hidden="true">no picture</span>'
        facts = f'<p class="message">{escape(entry.message)}</p>'
    else:
        shown = _picture(entry)
        facts = _facts(entry.figures)
    return (
        f'<li class="card {entry.outcome}" id="card-{entry.id}">'
        f'<a class="open" href="#{entry.id}" aria-haspopup="dialog">{shown}'
        f'<span class="title">{title}</span></a>{facts}<p class="path">{path}</p></li>'
    )


def _picture(entry: Entry) -> str:
    small, large = (f"{PICTURES}/{entry.pictures[size]}" for size in ("small", "large"))
    return (
        f'<picture><source type="image/webp" sizes="200px" '
        f'srcset="{small}.webp {SMALL_PIXELS}w, {large}.webp {LARGE_PIXELS}w">'
        f'<img src="{small}.png" srcset="{large}.png 2x" width="{SMALL_PIXELS}" '
        f'height="{SMALL_PIXELS}" loading="lazy" decoding="async" alt=""></picture>'
    )


def _facts(figures: Facts) -> str:
    width, height = figures.size_mm
    return (
        f'<p class="facts">{figures.pairs} pairs · {figures.hours:g} h</p>'
        f'<p class="facts">{width:.0f} × {height:.0f} mm</p>'
        f'<p class="facts">{escape(mostly(figures))}</p>'
    )


def _data(entries: Iterable[Entry], where: str) -> str:
    """Return what the script needs to know, as JSON that cannot end its element."""
    told = []
    for entry in entries:
        one = public(entry)
        one["file"] = _link(where, entry.path)
        if entry.figures is not None:
            figures = entry.figures
            one["figures"]["kinds"] = sorted({kind_of(word) for word in figures.stitches})
            one["figures"]["thread_label"] = thread_label(figures)
            one["figures"]["mostly_label"] = mostly(figures)
        told.append(one)
    text = json.dumps(told, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _link(where: str, path: str) -> str:
    """Return a link from the page to a pattern."""
    parts = (*where.split("/"), *path.split("/"))
    link = "/".join(quote(part.encode("utf-8", "surrogateescape")) for part in parts)
    # A first part with a colon would be taken for a scheme.
    return f"./{link}"


def _technique_options(worked: Iterable[Entry]) -> Iterator[str]:
    worked = tuple(worked)
    chief = {f.mostly for f in _figures(worked)}
    held = {kind_of(word) for f in _figures(worked) for word in f.stitches}
    for group, words in (("mostly", chief), ("with some", held)):
        options = "".join(
            f'<option value="{group}:{escape(word)}">{group} {TECHNIQUES[word]}</option>'
            for word in TECHNIQUES
            if word in words
        )
        if options:
            yield f'<optgroup label="{group}">{options}</optgroup>'


def _options(figures: Iterable[Facts], label: Callable[[Facts], str]) -> str:
    words = sorted({label(f) for f in figures})
    return "".join(f"<option>{escape(word)}</option>" for word in words)


def _figures(entries: Iterable[Entry]) -> Iterator[Facts]:
    return (entry.figures for entry in entries if entry.figures is not None)


def _hash(script: str) -> str:
    """Return the hash by which the page's policy allows its one script and no other."""
    return "sha256-" + b64encode(sha256(script.encode()).digest()).decode()


def _part(name: str) -> str:
    return files("render.catalogue").joinpath(name).read_text("utf-8")
