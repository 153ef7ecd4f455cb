"""The command that says what a pattern takes."""

import json
from dataclasses import replace
from pathlib import Path

import click

from cli.options import (
    INPUT_FILE,
    density_option,
    gauge_option,
    length_option,
    repeats_option,
    settings_path,
)
from render import Asked, Changes, figure, wording


def _read_swaps(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> dict[str, str]:
    """Read ``half=whole``."""
    swaps = dict(text.partition("=")[::2] for text in texts)
    for text in texts:
        if "=" not in text:
            raise click.BadParameter(f'"{text}" is no swap; write half=whole', ctx, param)
    return swaps


@click.command()
@click.argument(
    "patterns",
    nargs=-1,
    required=True,
    metavar="PATTERN...",
    type=INPUT_FILE,
)
@gauge_option
@density_option
@repeats_option
@length_option
@click.option(
    "--swap",
    "swaps",
    callback=_read_swaps,
    multiple=True,
    metavar="MARKED=WORKED",
    help="Work areas in another stitch than marked, such as half=whole; shown beside the "
    "pattern as marked.",
)
@click.option("--ground", help="Work another ground (a name, or letters such as CTpCT).")
@click.option("--json", "as_json", is_flag=True, help="Write the figures as JSON.")
def estimate(
    patterns: tuple[Path, ...],
    *,
    gauge_mm: Asked,
    density: float,
    repeats: int | None,
    length_mm: float | None,
    swaps: dict[str, str],
    ground: str | None,
    as_json: bool,
) -> None:
    """Say what PATTERN takes: pairs, stitches, thread, hours, and whether the thread suits.

    Several patterns are shown side by side.
    """
    settings = settings_path()
    changes = Changes(gauge_mm, density, repeats, length_mm, swaps, ground)
    pieces = [figure(path, changes, settings=settings) for path in patterns]
    if as_json:
        tables = [wording.as_table(piece) for piece in pieces]
        click.echo(json.dumps(tables[0] if len(tables) == 1 else {"pieces": tables}))
        return
    if len(pieces) == 1 and (swaps or ground):
        marked = figure(patterns[0], replace(changes, swaps={}, ground=None), settings=settings)
        named = [replace(marked, name="as marked"), replace(pieces[0], name="as asked")]
        click.echo(wording.in_columns(named))
        click.echo()
    click.echo(wording.in_words(pieces[0]) if len(pieces) == 1 else wording.in_columns(pieces))
