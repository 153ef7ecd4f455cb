"""The command that writes the threads of a pattern."""

from pathlib import Path

import click

from cli.options import density_option, gauge_option, pattern_argument, state_option
from render import OutputError, Wishes, list_threads, work, write_text


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
    pattern: Path, output: Path | None, gauge_mm: float | None, density: float, state: str
) -> None:
    """Write where every thread of PATTERN runs and what it crosses, as JSON."""
    if output is not None and output.suffix.lower() != ".json":
        raise OutputError(f"{output} cannot be written: the threads are JSON, so name it .json")
    worked = work(pattern, Wishes(gauge_mm=gauge_mm, density=density, state=state))
    text = list_threads(worked.paths)
    if output is None:
        for part in text:
            click.echo(part, nl=False)
    else:
        write_text(output, text)
        click.echo(f"{output}: {len(worked.paths.radius)} threads")
