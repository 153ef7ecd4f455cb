"""The command line: options in, one library call, words out."""

import click

from cli.catalogue import catalogue
from cli.check import check
from cli.colours import colours
from cli.compare import compare
from cli.estimate import estimate
from cli.pace import pace
from cli.preview import preview
from cli.read import read
from cli.sheet import sheet
from cli.threads import threads
from cli.thumbnail import thumbnail
from render import LaceError


class LaceGroup(click.Group):
    """Show an error of the input as one message.

    Exit status: 0 done, 1 the input is at fault, 2 the command line is at fault (click's own).
    Anything else is a fault of ours and keeps its traceback.
    """

    def invoke(self, ctx: click.Context) -> object:
        """Run the command; only our own errors become a message."""
        try:
            return super().invoke(ctx)
        except LaceError as error:
            raise click.ClickException(str(error)) from error


@click.group(cls=LaceGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="laceproof")
def main() -> None:
    """See a bobbin lace pricking worked, thread by thread, before you wind a bobbin."""


for command in (
    read,
    preview,
    check,
    estimate,
    pace,
    sheet,
    threads,
    catalogue,
    thumbnail,
    compare,
    colours,
):
    main.add_command(command)
