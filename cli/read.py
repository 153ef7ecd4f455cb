"""The command that reads a coloured copy on paper."""

from pathlib import Path

import click

from render import (
    ScanSettings,
    copy_scan,
    parse_between,
    parse_corners,
    parse_paper_mm,
)


@click.command()
@click.argument("scan", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The pattern, an SVG; beside the scan by default. Only a pattern is replaced.",
)
@click.option(
    "--dpi", type=click.FloatRange(min=1), help="Dots per inch, where the file's are wrong."
)
@click.option("--between", metavar="'X1,Y1 X2,Y2 = 50mm'", help="Two points a known way apart.")
@click.option("--pitch", "pitch_mm", type=float, metavar="MM", help="From a hole to the next.")
@click.option("--corners", metavar="'X,Y X,Y X,Y X,Y'", help="The sheet's corners in a photograph.")
@click.option("--paper", metavar="A4|letter|210x297mm", help="The sheet's size in a photograph.")
@click.option("--page", type=click.IntRange(min=1), help="Which page of a PDF or TIFF.")
@click.option(
    "--pen",
    "pens",
    multiple=True,
    metavar="COLOUR|N=MEANING",
    help="What a pen means: '#88aacc=half', 1=whole, 2=line:plait, 3=ignore. Repeat for each pen.",
)
@click.option(
    "--review",
    type=click.Path(dir_okay=False, path_type=Path),
    help="A PNG that shows what was understood.",
)
def read(  # noqa: PLR0913, PLR0917 - a parameter for every option
    scan: Path,
    output: Path | None,
    dpi: float | None,
    between: str | None,
    pitch_mm: float | None,
    corners: str | None,
    paper: str | None,
    page: int | None,
    pens: tuple[str, ...],
    review: Path | None,
) -> None:
    """Turn SCAN, a picture of a pricking, into a marked pricking.

    Dots become holes and colours become areas. Pens are known by their number, their colour or the
    colour key; where one is not known, the pens are listed and nothing but the review is written.
    """
    target = output or scan.with_suffix(".svg")
    settings = ScanSettings(
        dpi=dpi,
        between=None if between is None else parse_between(between),
        pitch_mm=pitch_mm,
        corners=None if corners is None else parse_corners(corners),
        paper_mm=None if paper is None else parse_paper_mm(paper),
        page=page,
    )
    copied = copy_scan(scan, target, settings=settings, pens=pens, review=review)
    for remark in copied.remarks:
        click.echo(str(remark), err=True)
    if copied.pens:
        click.echo(copied.pens)
    click.echo(
        f"{target}: {copied.holes} holes, {copied.doubtful} of them doubtful, {copied.areas} areas"
    )
