"""Make a catalogue, or bring one up to date."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from time import monotonic

from render.catalogue.collect import Found, collect
from render.catalogue.crew import Lost, as_done
from render.catalogue.make import Made, failed, fingerprint, make
from render.catalogue.model import FAULT, CatalogueRun, Entry
from render.catalogue.page import write_page
from render.catalogue.store import Store
from render.wishes import Wishes

Progress = Callable[[int, int], None]
# A person who opens the page while it is being made sees what is done but for this long.
_PAGE_EVERY_SECONDS = 20.0
Job = tuple[Found, str]


def make_catalogue(
    folder: Path,
    out: Path,
    wishes: Wishes,
    *,
    processes: int = 2,
    longest_minutes: float = 20.0,
    progress: Progress | None = None,
) -> CatalogueRun:
    """Draw every pattern below a folder and write a page to leaf through them.

    What an earlier run made is kept where pattern, wishes and program are the same. A pattern that
    cannot be worked gets a card with the reason. Interrupted by Ctrl-C, it writes the page with
    what is done and returns; the next run goes on from there.

    Parameters
    ----------
    folder
        Where the patterns are.
    out
        The catalogue: ``index.html``, ``catalogue.json`` and two folders. Nothing is written
        outside it, nothing of another origin in it is touched.
    wishes
        How pieces are worked and shown; the resolution is the catalogue's own.
    processes
        How many patterns are worked at a time.
    longest_minutes
        A pattern that takes longer is given up.
    progress
        Called with the number of patterns done and of all there are to do.

    Raises
    ------
    LaceError
        Where the folder is none or the catalogue cannot be written.
    """
    found, led_out = collect(folder, out)
    run = _Run(folder, Store(out), wishes, found)
    tell = progress or _silent
    stopped = False
    run.write_page()
    try:
        run.draw(processes, longest_minutes, tell)
    except KeyboardInterrupt:
        stopped = True
    run.write_page()
    run.store.tidy(run.entries)
    return CatalogueRun(
        run.entries, run.made, run.kept, run.removed, led_out, stopped, tuple(run.traces)
    )


class _Run:
    """One run over a folder: what is known, and what is left to do."""

    def __init__(self, folder: Path, store: Store, wishes: Wishes, found: Sequence[Found]) -> None:
        self.folder, self.store, self.wishes = folder, store, wishes
        before = store.read()
        marks = {f.id: fingerprint(f, wishes) for f in found}
        self.known = {
            f.id: before[f.id]
            for f in found
            if f.id in before and before[f.id].fingerprint == marks[f.id]
        }
        self.jobs: list[Job] = [(f, marks[f.id]) for f in found if f.id not in self.known]
        self.kept = len(self.known)
        self.made = 0
        self.traces: list[str] = []
        self.removed = len(before.keys() - marks.keys())

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All that is known, in the order of the paths."""
        return tuple(sorted(self.known.values(), key=lambda entry: entry.path))

    def draw(self, processes: int, longest_minutes: float, tell: Progress) -> None:
        """Work what is left to do, and keep each piece as soon as it is done."""
        shown = monotonic()
        if self.jobs:
            tell(0, len(self.jobs))
        work = partial(_make, wishes=self.wishes)
        for done in as_done(work, self.jobs, processes, longest_minutes):
            made = _as_made(done)
            self.store.keep(made.entry, made.files)
            self.known[made.entry.id] = made.entry
            self.made += 1
            self.traces += [made.trace] if made.trace else []
            tell(self.made, len(self.jobs))
            if monotonic() - shown > _PAGE_EVERY_SECONDS:
                self.write_page()
                shown = monotonic()

    def write_page(self) -> None:
        """Write the page and the listing with what is known by now."""
        self.store.write_listing(self.entries, self.folder)
        write_page(self.store.out, self.folder, self.entries)


def _make(job: Job, wishes: Wishes) -> Made:
    found, mark = job
    return make(found, wishes, mark)


def _as_made(done: Made | Lost[Job]) -> Made:
    """Return a result, and for work that was lost an entry that says so."""
    if isinstance(done, Made):
        return done
    found, mark = done.job
    return Made(failed(found, mark, FAULT, f"the pattern could not be worked: {done.reason}"), {})


def _silent(done: int, of: int) -> None:
    """Take no notice of how much is done."""
