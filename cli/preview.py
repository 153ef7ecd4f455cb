"""The command that draws a pattern as worked."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from math import inf
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
    plies_option,
    state_option,
    thread_option,
    twist_option,
    working_options,
)
from render import Preview, Wishes
from render import preview as draw_preview


@click.command()
@pattern_argument
@output_option(
    "The picture, a PNG. Default: beside the pattern, under its name. Only a picture made "
    "by this program is ever replaced.",
)
@thread_option
@dyed_option
@material_option
@plies_option
@twist_option
@working_options
@background_option("card")
@state_option
@amount_options
@click.option("--pins/--no-pins", default=False, show_default=True, help="Show the pins or not.")
@click.option(
    "--notes/--no-notes",
    default=False,
    show_default=True,
    help="Write the texts of the pattern over the picture or not.",
)
@click.option(
    "--dpi",
    type=click.FloatRange(20, 4800),
    default=300.0,
    show_default=True,
    help="Pixels per inch of lace.",
)
@click.option("--allow-huge", is_flag=True, help="Allow pictures of more than 200 megapixels.")
def preview(pattern: Path, output: Path | None, *, allow_huge: bool, **wished: Any) -> None:
    """Draw PATTERN as the lace will look, every thread worked through."""
    if allow_huge:
        wished["largest_megapixels"] = inf
    target = output or pattern.with_suffix(".png")
    with _progress() as tell:
        made = draw_preview(pattern, target, Wishes(**wished), progress=tell)
    click.echo(_closing_line(made))
    _mention_doubts(made)


@contextmanager
def _progress() -> Iterator[Callable[[float], None] | None]:
    """Show a bar where somebody sees it."""
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(length=1000, label="working", file=sys.stderr) as bar:
        yield lambda part: bar.update(round(part * 1000) - bar.pos)


def _closing_line(made: Preview) -> str:
    width, height = made.size_mm
    pairs = made.counts.pairs
    return (
        f"{made.path}: {width:.0f} × {height:.0f} mm, {made.width} × {made.height} pixels; "
        f"{made.counts.holes} holes, {pairs.total} pairs; thread {made.gauge}, "
        f"{made.suitability.in_short}; "
        f"{made.seconds:.1f} s"
    )


def _mention_doubts(made: Preview) -> None:
    mention(made.remarks)
    doubts = sum(remark.kind == "doubt" for remark in made.remarks)
    if doubts:
        things = "1 thing is" if doubts == 1 else f"{doubts} things are"
        click.echo(f"{things} doubtful: run the check command to see where", err=True)
