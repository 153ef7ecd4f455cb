"""The command that judges the colours of a marked copy."""

import json
from pathlib import Path

import click

from cli.options import output_option, pattern_argument, read_colour, read_named_colours
from render import (
    BUFF,
    THREAD,
    judge_colours,
    legibility_as_table,
    legibility_in_words,
    write_swatches,
)

Colour = tuple[float, float, float]


def _read_card(ctx: click.Context, param: click.Parameter, text: str | None) -> Colour:
    """Read the colour of the card."""
    return BUFF if text is None else read_colour(ctx, param, text)


@click.command()
@pattern_argument
@output_option(
    "Also write a sheet of swatches, a PNG. Only a picture made by this program is ever replaced.",
)
@click.option(
    "--thread",
    callback=read_colour,
    default=THREAD,
    show_default=True,
    metavar="COLOUR",
    help="Colour of the thread.",
)
@click.option(
    "--card", callback=_read_card, metavar="COLOUR", help="Colour of the card. Default: buff."
)
@click.option(
    "--marking",
    "pens",
    callback=read_named_colours("is no marking", "whole=plum"),
    multiple=True,
    metavar="STITCH=COLOUR",
    help="A pen of your own for areas of a stitch (whole=plum), as it looks on the card; may be "
    "given several times. Default: the colours of the drawing.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON, for other programs.")
def colours(
    pattern: Path,
    output: Path | None,
    *,
    thread: Colour,
    card: Colour,
    pens: dict[str, Colour],
    as_json: bool,
) -> None:
    """Rate the colours PATTERN is marked in, to all kinds of eyes, and propose restful ones.

    Rated are thread on card, thread on each marking colour, and marking colours on the card.
    """
    found = judge_colours(pattern, thread=thread, card=card, pens=pens)
    if output is not None:
        width, height = write_swatches(found, pattern, output)
    click.echo(json.dumps(legibility_as_table(found)) if as_json else legibility_in_words(found))
    if output is not None:
        click.echo(f"{output}: {width} × {height} pixels", err=as_json)
