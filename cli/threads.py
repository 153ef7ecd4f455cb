"""The command that writes the threads of a pattern."""

from pathlib import Path
from typing import Any

import click

from cli.options import (
    density_option,
    gauge_option,
    length_option,
    output_option,
    pattern_argument,
    repeats_option,
    state_option,
)
from render import Wishes, list_threads, work, write_threads


@click.command()
@pattern_argument
@output_option(
    "The file, a .json. Default: standard output.",
)
@gauge_option
@density_option
@state_option
@repeats_option
@length_option
def threads(pattern: Path, output: Path | None, **wished: Any) -> None:
    """Write where every thread of PATTERN runs and what it crosses, as JSON."""
    wishes = Wishes(**wished)
    if output is None:
        for part in list_threads(work(pattern, wishes).paths):
            click.echo(part, nl=False)
    else:
        click.echo(f"{output}: {write_threads(pattern, output, wishes)} threads")
