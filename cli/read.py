"""The command that reads a coloured copy on paper."""

from pathlib import Path
from typing import Any

import click

from cli.options import INPUT_FILE, output_option
from render import (
    ColourKey,
    Copied,
    ScanSettings,
    SettingError,
    copy_scan,
    parse_between,
    parse_corners,
    parse_length_mm,
    parse_paper_mm,
    parse_pen,
    read_colour_key,
)

PARSERS = {
    "between": parse_between,
    "corners": parse_corners,
    "key": lambda text: read_colour_key(Path(text)),
    "paper_mm": parse_paper_mm,
    "pens": parse_pen,
    "pitch_mm": parse_length_mm,
}


def _parse(ctx: click.Context, param: click.Parameter, text: Any) -> Any:
    """Read an option by the library's own parser."""
    parser = PARSERS[str(param.name)]
    try:
        if isinstance(text, tuple):
            return tuple(parser(one) for one in text)
        return None if text is None else parser(text)
    except SettingError as error:
        raise click.BadParameter(str(error), ctx, param) from error


@click.command()
@click.argument("scan", type=INPUT_FILE)
@output_option(
    "The pattern, an SVG. Default: beside the scan, under its name. Only a pattern that was "
    "read from a copy, and not changed by hand since, is ever replaced.",
)
@click.option(
    "--pen",
    "pens",
    multiple=True,
    callback=_parse,
    metavar="PEN=MEANING",
    help="What a pen stands for; once for each pen. PEN is its number in the list or its colour, "
    "MEANING a stitch (half, whole, double, open), ground:honeycomb, line:plait or ignore.",
)
@click.option(
    "--review",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Draw what was understood over the scan: a PNG with every hole ringed and every area "
    "tinted and numbered.",
)
@click.option(
    "--keep", is_flag=True, help="Leave what was corrected by hand in the pattern as it is."
)
@click.option(
    "--key",
    callback=_parse,
    metavar="FILE",
    help="Your own colour key, by which pens are known that are not named.",
)
@click.option(
    "--dpi",
    type=float,
    help="Pixels per inch of paper, where the file's is wrong; pages of a PDF are drawn at 300.",
)
@click.option(
    "--pitch",
    "pitch_mm",
    callback=_parse,
    metavar="MM",
    help="Sets the scale by the distance from a hole to the nearest next.",
)
@click.option(
    "--between",
    callback=_parse,
    metavar='"X,Y X,Y = 50mm"',
    help="Sets the scale by two points, in pixels, whose distance is known; the ends of a "
    "ruler on the sheet, for example.",
)
@click.option(
    "--paper",
    "paper_mm",
    callback=_parse,
    metavar="A4|letter|WxHmm",
    help="Squares up a photograph of a whole sheet of this size.",
)
@click.option(
    "--corners",
    callback=_parse,
    metavar='"X,Y X,Y X,Y X,Y"',
    help="The sheet's corners in the photograph, in pixels, where they are not found.",
)
@click.option(
    "--turn",
    "turn_degrees",
    type=click.FloatRange(-360, 360),
    metavar="DEGREES",
    help="Turn what was read clockwise. Default: until the holes stand straight.",
)
@click.option(
    "--holes",
    "polarity",
    type=click.Choice(["dark", "light"]),
    help="Whether holes are darker or lighter than the paper. Default: what is found.",
)
@click.option("--page", type=click.IntRange(min=1), help="Which page of a PDF or TIFF file.")
def read(
    scan: Path,
    output: Path | None,
    *,
    review: Path | None,
    pens: Any,
    keep: bool,
    key: ColourKey | None,
    **known: Any,
) -> None:
    """Turn SCAN, a scanned or photographed pricking, into a pattern.

    Print or copy the pricking, colour it with pens just inside the holes, and scan it (PNG, JPEG,
    TIFF, WebP or PDF). Dots become holes, colours become areas, pen lines become lines. Pens are
    known by --pen, else by the colour key; while one is not, the pens are listed and nothing but
    the review is written. Look at the review, and mend the pattern in any drawing program.
    """
    try:
        copied = copy_scan(
            scan,
            output or scan.with_suffix(".svg"),
            settings=ScanSettings(**known),
            pens=pens,
            review=review,
            key=key,
            keep=keep,
        )
    except SettingError as error:
        raise click.UsageError(str(error)) from error
    for remark in copied.remarks:
        click.echo(str(remark), err=True)
    if copied.kept:
        click.echo(f"kept as corrected by hand: {copied.kept}", err=True)
    for colour, row in copied.pens:
        click.echo(f"{_swatch(colour)} {row}")
    if copied.path is None:
        raise click.ClickException(copied.asks)
    click.echo(_closing_line(copied))


def _swatch(colour: str) -> str:
    """Return a spot of a colour, which is left out where nobody sees it."""
    red, green, blue = bytes.fromhex(colour[1:])
    return click.style("  ", bg=(red, green, blue))


def _closing_line(copied: Copied) -> str:
    return (
        f"{copied.path}: {copied.holes} holes, {copied.doubtful} of them doubtful; "
        f"{copied.areas} areas, {copied.lines} lines"
    )
