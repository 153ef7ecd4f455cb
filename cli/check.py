"""The command that says what was understood of a pattern."""

from collections.abc import Iterable
from pathlib import Path

import click

from cli.options import density_option, gauge_option, pattern_argument
from render import Asked, understand


@click.command()
@pattern_argument
@gauge_option
@density_option
@click.pass_context
def check(ctx: click.Context, pattern: Path, gauge_mm: Asked, density: float) -> None:
    """Say what is understood of PATTERN, what is doubtful and what is wrong.

    The exit status is 1 if anything is wrong.
    """
    found = understand(pattern, gauge_mm=gauge_mm, density=density)
    click.echo(f"{pattern}")
    _list("understood", found.understood)
    _list("doubtful", found.doubtful)
    _list("pairs that come and go on the way", found.changes)
    _list("wrong", found.wrong)
    if found.wrong:
        ctx.exit(1)


def _list(heading: str, entries: Iterable[object]) -> None:
    lines = [str(entry) for entry in entries]
    click.echo(f"{heading}: {len(lines) or 'nothing'}")
    for line in lines:
        click.echo(f"  {line}")
