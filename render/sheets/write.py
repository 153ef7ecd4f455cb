"""Write a sheet as one PDF, or page by page as SVG or PNG."""

import io
import re
from collections.abc import Iterator, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any, Protocol

import numpy as np

from render.errors import OutputError
from render.files import SOFTWARE, refuse_to_replace, whole_file
from render.image.write import write_png
from render.sheets.front import FrontPage
from render.sheets.ink import GREY, PT_PER_MM, WHITE, Ink, drawing_library
from render.sheets.model import Sheet
from render.sheets.paper import PAPERS, spread
from render.sheets.reading import reading_pages, spelt_out
from render.sheets.working_copy import TilePage

ENDINGS = (".pdf", ".svg", ".png")
PNG_DPI = 300.0
# The same sheet gives the same bytes: the date does not tell when it was printed.
_DATE = "2000-01-01T00:00:00Z"
_SVG_NOTE = f"<!-- a sheet by {SOFTWARE} -->\n".encode()


class Page(Protocol):
    """Something that can be drawn on one sheet of paper."""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in mm."""

    @property
    def place(self) -> str:
        """What part of the whole it is."""

    def draw(self, ink: Ink) -> None:
        """Draw it."""


def write_sheet(
    sheet: Sheet,
    target: Path,
    *,
    source: Path,
    paper: str = "a4",
    mono: bool = False,
    mirror: bool = False,
) -> tuple[Path, ...]:
    """Write a sheet and return its files.

    Parameters
    ----------
    target
        Its ending says how: ``.pdf`` for one file; ``.svg`` and ``.png`` for a file a page, its
        number put before the ending.
    source
        The pattern, which is never replaced.
    paper
        ``a4`` or ``letter``.
    mono
        Leave the areas white, to be coloured by hand.
    mirror
        Show the working copy from the back.

    Raises
    ------
    OutputError
        Where the drawing library is missing, or a file cannot be written or is not ours.
    """
    ending = check_target(target)
    pages = pages_of(sheet, paper=paper, mono=mono, mirror=mirror)
    if ending == ".pdf":
        _refuse(target, source)
        _save(target, _pdf(sheet, pages))
        return (target,)
    names = [target.with_stem(f"{target.stem}-{n}") for n in range(1, len(pages) + 1)]
    for name in names:
        _refuse(name, source)
    for n, name in enumerate(names):
        if ending == ".svg":
            _save(name, _svg(pages, n))
        else:
            _write_pixels(name, pages, n, sheet.title)
    return tuple(names)


def check_target(target: Path) -> str:
    """Return the ending of a sheet's file; refuse any other."""
    ending = target.suffix.lower()
    if ending not in ENDINGS:
        raise OutputError(f"{target} cannot be written: its name must end in {', '.join(ENDINGS)}")
    return ending


def pages_of(sheet: Sheet, *, paper: str, mono: bool, mirror: bool) -> tuple[Page, ...]:
    """Return the pages of a sheet in their order."""
    size = PAPERS[paper]
    words = spelt_out(sheet)
    library = drawing_library()
    measure = Ink(library.PDFSurface(None, 10, 10), PT_PER_MM, size)
    drawing = sheet.drawing.mirrored() if mirror else sheet.drawing
    spreading = spread(drawing.bounds, paper)
    return (
        FrontPage(sheet, size, mono, words),
        *reading_pages(sheet, size, measure, mono=mono),
        *(
            TilePage(drawing, spreading, tile, sheet.title, mono, mirror, words)
            for tile in spreading.tiles
        ),
    )


def _draw(surface: Any, per_mm: float, pages: Sequence[Page], n: int) -> None:
    """Draw a page, and at its foot its place in the whole."""
    page = pages[n]
    ink = Ink(surface, per_mm, page.size)
    page.draw(ink)
    foot = f"page {n + 1} of {len(pages)} · {page.place}"
    ink.text(page.size[0] / 2, page.size[1] - 6, foot, size=2.6, colour=GREY, align=0.5)


def _pdf(sheet: Sheet, pages: Sequence[Page]) -> bytes:
    library = drawing_library()
    out = io.BytesIO()
    surface = library.PDFSurface(out, *(PT_PER_MM * side for side in pages[0].size))
    surface.set_metadata(library.PDF_METADATA_TITLE, sheet.title)
    surface.set_metadata(library.PDF_METADATA_CREATOR, f"{SOFTWARE} {version(SOFTWARE)}")
    surface.set_metadata(library.PDF_METADATA_CREATE_DATE, _DATE)
    for n, page in enumerate(pages):
        surface.set_size(*(PT_PER_MM * side for side in page.size))
        _draw(surface, PT_PER_MM, pages, n)
        surface.show_page()
    surface.finish()
    return out.getvalue()


def _svg(pages: Sequence[Page], n: int) -> bytes:
    library = drawing_library()
    out = io.BytesIO()
    surface = library.SVGSurface(out, *(PT_PER_MM * side for side in pages[n].size))
    _draw(surface, PT_PER_MM, pages, n)
    surface.finish()
    head, end, rest = _numbered_afresh(out.getvalue()).partition(b"?>\n")
    return head + end + _SVG_NOTE + rest


def _numbered_afresh(svg: bytes) -> bytes:
    """Give what is referred to numbers from 0; the library counts on from file to file."""
    names = dict.fromkeys(re.findall(rb'id="([a-z]+\d+)"', svg))
    fresh = {name: b"part%d" % n for n, name in enumerate(names)}

    def name(match: re.Match[bytes]) -> bytes:
        return match[1] + fresh.get(match[2], match[2]) + match[3]

    return re.sub(rb'(id="|"#|url\(#)([a-z]+\d+)("|\))', name, svg)


def _write_pixels(target: Path, pages: Sequence[Page], n: int, title: str) -> None:
    library = drawing_library()
    per_mm = PNG_DPI / 25.4
    width, height = (round(per_mm * side) for side in pages[n].size)
    surface = library.ImageSurface(library.FORMAT_RGB24, width, height)
    ink = Ink(surface, 1.0, (width, height))
    ink.shape([np.array([(0, 0), (width, 0), (width, height), (0, height)], float)], fill=WHITE)
    _draw(surface, per_mm, pages, n)
    surface.flush()
    rows = np.frombuffer(bytes(surface.get_data()), np.uint8)
    rows = rows.reshape(height, surface.get_stride() // 4, 4)[:, :width, 2::-1]
    notes = {"Software": f"{SOFTWARE} {version(SOFTWARE)}", "Title": title}
    bands: Iterator[Any] = iter([np.ascontiguousarray(rows)])
    write_png(target, bands, width=width, height=height, dpi=PNG_DPI, text=notes)


def _save(target: Path, content: bytes) -> None:
    with whole_file(target) as file:
        file.write(content)


def _refuse(target: Path, source: Path) -> None:
    """Let no file that somebody else made be replaced."""
    if not (target.is_file() and _is_ours(target.read_bytes())):
        refuse_to_replace(target, source)


def _is_ours(content: bytes) -> bool:
    if content.startswith(b"%PDF"):
        return f"/Creator ({SOFTWARE} ".encode() in content[-20_000:]
    return _SVG_NOTE in content[:500]
