"""The command that writes the threads of a pattern."""

from pathlib import Path
from typing import Any

import click

from cli.mentioning import mention
from cli.options import (
    amount_options,
    output_option,
    pattern_argument,
    state_option,
    working_options,
)
from render import Wishes, list_threads, work, write_threads


@click.command()
@pattern_argument
@output_option(
    "The file, a .json. Default: standard output.",
)
@working_options
@state_option
@amount_options
def threads(pattern: Path, output: Path | None, **wished: Any) -> None:
    """Write where every thread of PATTERN runs and what it crosses, as JSON."""
    wishes = Wishes(**wished)
    if output is None:
        worked = work(pattern, wishes)
        for part in list_threads(worked.paths):
            click.echo(part, nl=False)
    else:
        worked = write_threads(pattern, output, wishes)
        click.echo(f"{output}: {len(worked.paths.radius)} threads")
    mention(worked.remarks)
