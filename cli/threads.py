"""The command that writes the threads of a pattern."""

from pathlib import Path

import click

from cli.options import density_option, gauge_option, pattern_argument, state_option
from render import Asked, Wishes, list_threads, work, write_threads


@click.command()
@pattern_argument
@click.option(
    "-o",
    "--output",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The file, a .json. Default: standard output.",
)
@gauge_option
@density_option
@state_option
def threads(
    pattern: Path, output: Path | None, gauge_mm: Asked, density: float, state: str
) -> None:
    """Write where every thread of PATTERN runs and what it crosses, as JSON."""
    wishes = Wishes(gauge_mm=gauge_mm, density=density, state=state)
    if output is None:
        for part in list_threads(work(pattern, wishes).paths):
            click.echo(part, nl=False)
    else:
        click.echo(f"{output}: {write_threads(pattern, output, wishes)} threads")
