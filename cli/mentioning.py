"""What several commands say beside their result."""

from collections.abc import Iterable

import click

from render import Remark


def mention(remarks: Iterable[Remark]) -> None:
    """Say where a piece is not to be trusted, and why repeats are not as they were meant."""
    for text in dict.fromkeys(str(r) for r in remarks if r.kind in ("tangle", "repeat")):
        click.echo(text, err=True)
