"""The command that writes a sheet to keep beside the pillow."""

from pathlib import Path

import click

from cli.options import density_option, gauge_option, pattern_argument, read_colour, settings_path
from render import PAPERS, THREAD, Asked, Wishes, make_sheet

Colour = tuple[float, float, float]


@click.command()
@pattern_argument
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    help="A .pdf, .svg or .png; the last two get a file a page. Default: a PDF beside the "
    "pattern. Only a sheet made by this program is ever replaced.",
)
@click.option(
    "--thread",
    callback=read_colour,
    default=THREAD,
    show_default=True,
    metavar="COLOUR",
    help="Colour of the thread in the picture.",
)
@gauge_option
@density_option
@click.option(
    "--paper",
    type=click.Choice(tuple(PAPERS)),
    default="a4",
    show_default=True,
    help="The paper it is printed on.",
)
@click.option("--mono", is_flag=True, help="Leave the areas white, to be coloured by hand.")
@click.option("--mirror", is_flag=True, help="Show the working copy from the back.")
def sheet(
    pattern: Path,
    output: Path | None,
    *,
    thread: Colour,
    gauge_mm: Asked,
    density: float,
    paper: str,
    mono: bool,
    mirror: bool,
) -> None:
    """Write a sheet for PATTERN: picture, figures, signs, and the pricking at true size."""
    written = make_sheet(
        pattern,
        output or pattern.with_suffix(".pdf"),
        Wishes(gauge_mm=gauge_mm, density=density, thread=thread),
        settings=settings_path(),
        paper=paper,
        mono=mono,
        mirror=mirror,
    )
    for path in written:
        click.echo(f"{path}")
