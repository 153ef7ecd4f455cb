"""The command that learns how fast a maker works."""

from pathlib import Path

import click

from cli.options import INPUT_FILE, settings_path
from render import (
    Memory,
    SettingError,
    learn_pace,
    parse_minutes,
    recall_pace,
    unlearn_pace,
    usual_rates,
)


def _read_minutes(ctx: click.Context, param: click.Parameter, text: str | None) -> float | None:
    """Read a time."""
    try:
        return None if text is None else parse_minutes(text)
    except SettingError as error:
        raise click.BadParameter(str(error), ctx, param) from error


@click.command()
@click.argument(
    "pattern",
    required=False,
    type=INPUT_FILE,
)
@click.option(
    "--took",
    callback=_read_minutes,
    metavar="TIME",
    help="Learn from the finished PATTERN, which took so long, winding included (6h30, 45min).",
)
@click.option(
    "--repeats",
    type=click.IntRange(1, 10_000),
    default=1,
    show_default=True,
    help="How often the pattern was worked, one after another.",
)
@click.option("--undo", is_flag=True, help="Forget the piece learned from last.")
def pace(pattern: Path | None, took: float | None, repeats: int, *, undo: bool) -> None:
    """Show the pace that hours are reckoned with, or learn it from a finished PATTERN."""
    settings = settings_path()
    if (pattern is None) != (took is None):
        raise click.UsageError("to learn, name the finished PATTERN and what it took: --took 6h30")
    if undo and pattern is not None:
        raise click.UsageError("learn or undo, one at a time")
    before = recall_pace(settings)
    if undo:
        after = unlearn_pace(settings)
        click.echo(f"forgot {before.records[-1].piece}")
    elif pattern is not None and took is not None:
        after = learn_pace(pattern, took, settings=settings, repeats=repeats)
        click.echo(f"learned from {after.records[-1].piece}, {took / 60:.1f} hours")
    else:
        after = before
    click.echo(_words(before, after))
    click.echo(f"kept in {settings}" if after.records or undo else f"would be kept in {settings}")


def _words(before: Memory, after: Memory) -> str:
    old, new = before.pace, after.pace
    usual = usual_rates()
    rates = {**{word: rate / new.others for word, rate in usual.items()}, **new.stitches_per_hour}
    then = {**{word: rate / old.others for word, rate in usual.items()}, **old.stitches_per_hour}
    low, high = new.spread
    return "\n".join(
        [
            f"finished pieces: {len(after.records)}; {100 * new.others:.0f} % of the usual time"
            if after.records
            else "nothing learned yet: a cautious hobby pace, common practice",
            "stitches an hour",
            *(f"  {word:14}{_change(then.get(word, rate), rate)}" for word, rate in rates.items()),
            f"minutes to wind a pair: {_change(old.minutes_per_pair, new.minutes_per_pair)}",
            f"hours are given as {100 * low:.0f} to {100 * high:.0f} % of what this makes",
        ]
    )


def _change(old: float, new: float) -> str:
    was = f"{old:.3g}" if old < 10 else f"{old:.0f}"
    now = f"{new:.3g}" if new < 10 else f"{new:.0f}"
    return now if was == now else f"{now} (was {was})"
