"""The command that makes a page of all patterns of a folder."""

import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import click

from cli.options import (
    INPUT_FOLDER,
    background_option,
    density_option,
    material_option,
    state_option,
    tension_option,
    thread_option,
)
from render import CatalogueRun, Wishes, make_catalogue


@click.command()
@click.argument("folder", type=INPUT_FOLDER)
@click.option(
    "-o",
    "--output",
    type=click.Path(file_okay=False, path_type=Path),
    required=True,
    help="The folder of the catalogue: a new or empty one, or one made before.",
)
@thread_option
@background_option("cloth")
@material_option
@density_option
@tension_option
@state_option
@click.option(
    "--processes",
    type=click.IntRange(1, 64),
    default=2,
    show_default=True,
    help="How many patterns are worked at a time.",
)
@click.option(
    "--longest",
    "longest_minutes",
    type=click.FloatRange(0, min_open=True),
    default=20.0,
    show_default=True,
    metavar="MINUTES",
    help="A pattern that takes longer is given up.",
)
@click.pass_context
def catalogue(
    ctx: click.Context,
    /,
    folder: Path,
    output: Path,
    *,
    processes: int,
    longest_minutes: float,
    **wished: Any,
) -> None:
    """Draw every pattern below FOLDER and make a page to leaf through them.

    Only what has changed since the last time is drawn again. The exit status is 1 if any pattern
    could not be worked; the page says why.
    """
    with _progress() as tell:
        made = make_catalogue(
            folder,
            output,
            Wishes(**wished),
            processes=processes,
            longest_minutes=longest_minutes,
            progress=tell,
        )
    _report(made, output)
    if made.stopped:
        click.echo("stopped: the same command goes on from here", err=True)
        ctx.exit(130)
    ctx.exit(1 if made.troubled else 0)


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None] | None]:
    """Show a bar where somebody sees it."""
    if not sys.stderr.isatty():
        yield None
        return
    with ExitStack() as open_bars:
        bars: list[Any] = []

        def tell(done: int, of: int) -> None:
            # How many there are to draw is known once the folder has been looked through.
            if not bars:
                bar = click.progressbar(length=of, label="patterns", show_pos=True, file=sys.stderr)
                bars.append(open_bars.enter_context(bar))
            bars[0].update(done - bars[0].pos)

        yield tell


def _report(made: CatalogueRun, output: Path) -> None:
    for path in made.led_out:
        click.echo(f"{path}: left out, the link leads out of the folder", err=True)
    for trace in made.traces:
        click.echo(trace, err=True)
    for entry in made.troubled:
        click.echo(f"{entry.path}: {entry.message}", err=True)
    click.echo(
        f"{output / 'index.html'}: {len(made.entries)} patterns; {made.made} drawn, "
        f"{made.kept} unchanged, {made.removed} removed, {len(made.troubled)} without a picture"
    )
