"""The command that counts what a pattern takes."""

import json
from dataclasses import asdict
from pathlib import Path

import click

from cli.options import density_option, pattern_argument
from render import Counts
from render import estimate as count_file


@click.command()
@pattern_argument
@density_option
@click.option("--json", "as_json", is_flag=True, help="Write the figures as JSON.")
def estimate(pattern: Path, density: float, as_json: bool) -> None:
    """Count the holes, pairs and stitches of PATTERN."""
    counts = count_file(pattern, density=density)
    click.echo(json.dumps(_figures(counts)) if as_json else _words(counts))


def _figures(counts: Counts) -> dict[str, object]:
    return {
        "holes": counts.holes,
        "pairs": {**asdict(counts.pairs), "total": counts.pairs.total},
        "stitches": counts.stitches,
        "size_mm": list(counts.size_mm),
    }


def _words(counts: Counts) -> str:
    pairs = counts.pairs
    width, height = counts.size_mm
    return "\n".join(
        [
            f"size      {width:.1f} × {height:.1f} mm from hole to hole",
            f"holes     {counts.holes}",
            f"pairs     {pairs.total}: {pairs.start} to start with, {pairs.hung_in} hung in, "
            f"{pairs.thrown_out} thrown out, {pairs.most} at most",
            f"stitches  {sum(counts.stitches.values())}",
            *(f"  {word:12}{number}" for word, number in counts.stitches.items()),
        ]
    )
