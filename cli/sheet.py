"""The command that writes a sheet to keep beside the pillow."""

from pathlib import Path
from typing import Any

import click

from cli.mentioning import mention
from cli.options import (
    amount_options,
    dyed_option,
    material_option,
    output_option,
    pattern_argument,
    settings_path,
    thread_option,
    working_options,
)
from render import PAPERS, Wishes, make_sheet


@click.command()
@pattern_argument
@output_option(
    "A .pdf, .svg or .png; the last two get a file a page. Default: a PDF beside the "
    "pattern. Only a sheet made by this program is ever replaced.",
)
@thread_option
@dyed_option
@material_option
@working_options
@amount_options
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
    pattern: Path, output: Path | None, *, paper: str, mono: bool, mirror: bool, **wished: Any
) -> None:
    """Write a sheet for PATTERN: picture, figures, signs, and the pricking at true size."""
    written = make_sheet(
        pattern,
        output or pattern.with_suffix(".pdf"),
        Wishes(**wished),
        settings=settings_path(),
        paper=paper,
        mono=mono,
        mirror=mirror,
    )
    for path in written.files:
        click.echo(f"{path}")
    mention(written.remarks)
