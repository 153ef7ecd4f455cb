"""The command that says what a pattern takes."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from cli.mentioning import mention
from cli.options import (
    INPUT_FILE,
    amount_options,
    settings_path,
    working_options,
)
from render import Wishes, figure, wording


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
@working_options
@amount_options
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
    swaps: dict[str, str],
    ground: str | None,
    as_json: bool,
    **wished: Any,
) -> None:
    """Say what PATTERN takes: pairs, stitches, thread, hours, and whether the thread suits.

    Several patterns are shown side by side.
    """
    wishes, settings = Wishes(**wished), settings_path()
    pieces = [
        figure(path, wishes, settings=settings, swaps=swaps, ground=ground) for path in patterns
    ]
    for piece in pieces:
        mention(piece.remarks)
    if as_json:
        tables = [wording.as_table(piece) for piece in pieces]
        click.echo(json.dumps(tables[0] if len(tables) == 1 else {"pieces": tables}))
        return
    if len(pieces) == 1 and (swaps or ground):
        marked = figure(patterns[0], wishes, settings=settings)
        named = [replace(marked, name="as marked"), replace(pieces[0], name="as asked")]
        click.echo(wording.in_columns(named))
        click.echo()
    click.echo(wording.in_words(pieces[0]) if len(pieces) == 1 else wording.in_columns(pieces))
