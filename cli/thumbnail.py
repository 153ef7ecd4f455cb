"""The command that draws one pattern small."""

from pathlib import Path
from typing import Any

import click

from cli.mentioning import mention
from cli.options import (
    amount_options,
    background_option,
    dyed_option,
    material_option,
    output_option,
    pattern_argument,
    state_option,
    thread_option,
    working_options,
)
from render import Wishes, write_thumbnail


@click.command()
@pattern_argument
@output_option(
    "The picture, a WebP or a PNG. Default: a WebP beside the pattern, under its name. Only a "
    "picture made by this program is ever replaced.",
)
@click.option(
    "--size",
    type=click.IntRange(16, 4000),
    default=400,
    show_default=True,
    metavar="PIXELS",
    help="Of the longer side.",
)
@click.option(
    "--part",
    type=click.Choice(["telling", "whole"]),
    default="telling",
    show_default=True,
    help="The square that shows most of what the piece is made of, or all of it.",
)
@thread_option
@background_option("cloth")
@dyed_option
@material_option
@working_options
@state_option
@amount_options
def thumbnail(pattern: Path, output: Path | None, size: int, part: str, **wished: Any) -> None:
    """Draw PATTERN small."""
    target = output or pattern.with_suffix(".webp")
    made = write_thumbnail(pattern, target, Wishes(**wished), pixels=size, whole=part == "whole")
    click.echo(f"{target}: {made.width} × {made.height} pixels")
    mention(made.remarks)
