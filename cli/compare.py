"""The command that draws a pattern in several threads or stitches on one sheet."""

from pathlib import Path
from typing import Any

import click

from cli.mentioning import mention
from cli.options import (
    BACKGROUND_WORDS,
    density_of_option,
    density_option,
    dyed_option,
    leg_twists_option,
    material_option,
    output_option,
    pattern_argument,
    plies_option,
    read_background,
    read_colour,
    read_gauge,
    state_option,
    tension_option,
    twist_option,
)
from render import (
    THREAD,
    Asked,
    Background,
    Choices,
    Comparison,
    Variant,
    Wishes,
    make_comparison,
)

Colour = tuple[float, float, float]


def _read_threads(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> tuple[tuple[str, Colour], ...]:
    """Read colours and keep how they were written."""
    return tuple((text, read_colour(ctx, param, text)) for text in texts)


def _read_backgrounds(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> tuple[tuple[str, Background], ...]:
    """Read backgrounds and keep how they were written."""
    return tuple((text, read_background(ctx, param, text)) for text in texts)


def _read_gauges(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> tuple[Asked, ...]:
    """Read diameters, counts, or ``auto``."""
    return tuple(read_gauge(ctx, param, text) for text in texts)


def _read_swaps(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> tuple[Variant, ...]:
    """Read ``half=whole``, or several of them with commas between."""
    variants = []
    for text in texts:
        pairs = [part.partition("=") for part in text.split(",")]
        if not all(marked and equals and worked for marked, equals, worked in pairs):
            raise click.BadParameter(f'"{text}" is no swap; write half=whole', ctx, param)
        swaps = {marked.strip(): worked.strip() for marked, _, worked in pairs}
        name = ", ".join(f"{marked} worked as {worked}" for marked, worked in swaps.items())
        variants.append(Variant(name, swaps))
    return tuple(variants)


@click.command()
@pattern_argument
@output_option(
    "The sheet, a PNG. Only a picture made by this program is ever replaced.", required=True
)
@click.option(
    "--thread",
    "threads",
    callback=_read_threads,
    multiple=True,
    default=(THREAD,),
    show_default=True,
    metavar="COLOUR",
    help="A colour of thread; may be given several times.",
)
@click.option(
    "--on",
    "backgrounds",
    callback=_read_backgrounds,
    multiple=True,
    default=("card",),
    show_default=True,
    metavar=BACKGROUND_WORDS,
    help="What the lace lies on; may be given several times.",
)
@click.option(
    "--gauge",
    "gauges",
    callback=_read_gauges,
    multiple=True,
    metavar="MM|COUNT|auto",
    help="Thread: its diameter, its count, or auto for one that suits; may be given several times.",
)
@click.option(
    "--swap",
    "swaps",
    callback=_read_swaps,
    multiple=True,
    metavar="MARKED=WORKED",
    help="Also show the areas of one stitch worked in another (half=whole); may be given several "
    "times, and a comma joins two into one picture (half=whole,whole=half).",
)
@click.option(
    "--ground",
    "grounds",
    multiple=True,
    metavar="GROUND",
    help="Also show another ground: a name, or C, T and p; may be given several times.",
)
@click.option(
    "--size",
    "pixels",
    type=click.IntRange(60, 4000),
    default=500,
    show_default=True,
    metavar="PIXELS",
    help="Of the longer side of each picture.",
)
@click.option(
    "--close",
    "close_mm",
    type=click.FloatRange(2, 1000),
    metavar="MM",
    help="Show only a square of this side, about the edge of an area.",
)
@dyed_option
@material_option
@plies_option
@twist_option
@density_option
@density_of_option
@leg_twists_option
@tension_option
@state_option
def compare(
    pattern: Path,
    output: Path,
    *,
    threads: tuple[tuple[str, Colour], ...],
    backgrounds: tuple[tuple[str, Background], ...],
    gauges: tuple[Asked, ...],
    swaps: tuple[Variant, ...],
    grounds: tuple[str, ...],
    pixels: int,
    close_mm: float | None,
    **wished: Any,
) -> None:
    """Draw PATTERN in several threads, backgrounds or stitches, side by side at one scale.

    Every choice is shown with every other. The first picture is as marked; --swap and --ground add
    to it.
    """
    others = tuple(Variant(f"{word} ground", ground=word) for word in grounds)
    choices = Choices(threads, backgrounds, gauges or (None,), (Variant(), *swaps, *others))
    wishes = Wishes(**wished)
    made = make_comparison(pattern, output, choices, wishes, pixels=pixels, close_mm=close_mm)
    click.echo(_closing_line(made))
    mention(made.remarks)


def _closing_line(made: Comparison) -> str:
    settled = "once" if made.settlings == 1 else f"{made.settlings} times"
    pictures = "1 picture" if made.cells == 1 else f"{made.cells} pictures"
    return f"{made.path}: {made.width} × {made.height} pixels; {pictures}, settled {settled}"
