"""What several commands are asked, and how it is read from the command line."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import click

from render import (
    AUTO,
    BACKGROUNDS,
    MATERIALS,
    MOST_REPEATS,
    STATES,
    TENSIONS,
    THREAD,
    USUAL,
    Asked,
    Background,
    Flat,
    SettingError,
    parse_colour,
    parse_gauge_mm,
    parse_length_mm,
)

Colour = tuple[float, float, float]
Command = TypeVar("Command", bound=Callable[..., Any])


class InputPath(click.Path):
    """What is to be read: where it is missing, the input is at fault, not the command line."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the path, which is there and can be read."""
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter as error:
            raise click.ClickException(error.message) from error


INPUT_FILE = InputPath(exists=True, dir_okay=False, readable=True, path_type=Path)
INPUT_FOLDER = InputPath(exists=True, file_okay=False, readable=True, path_type=Path)


def read_gauge(ctx: click.Context, param: click.Parameter, text: str | None) -> Asked:
    """Read a thread's diameter or count, or ``auto``."""
    if text is None or text == AUTO:
        return None if text is None else AUTO
    try:
        return parse_gauge_mm(text)
    except SettingError as error:
        raise click.BadParameter(str(error), ctx, param) from error


def read_colour(ctx: click.Context, param: click.Parameter, text: str) -> Colour:
    """Read a colour."""
    try:
        return _three(text)
    except SettingError as error:
        raise click.BadParameter(str(error), ctx, param) from error


def read_background(ctx: click.Context, param: click.Parameter, text: str) -> Background:
    """Read what the lace lies on: a word, or a colour."""
    try:
        return BACKGROUNDS.get(text.lower()) or Flat(_three(text))
    except SettingError as error:
        words = ", ".join(BACKGROUNDS)
        raise click.BadParameter(f"{error} (or {words})", ctx, param) from error


def _only_one(ctx: click.Context, param: click.Parameter, value: Any) -> Any:
    """Refuse a number of repeats and a length together."""
    (other,) = {"repeats", "length_mm"} - {param.name}
    if value is not None and ctx.params.get(other) is not None:
        raise click.UsageError("say how many --repeats or what --length, not both", ctx)
    return value


def read_length(ctx: click.Context, param: click.Parameter, text: str | None) -> float | None:
    """Read the length of a piece, above zero."""
    if text is None:
        return None
    try:
        length = parse_length_mm(text)
    except SettingError as error:
        raise click.BadParameter(str(error), ctx, param) from error
    if length <= 0:
        raise click.BadParameter(f"{text} is not above zero", ctx, param)
    _only_one(ctx, param, length)
    return length


def read_named_colours(noun: str, example: str) -> Callable[..., dict[str, Colour]]:
    """Return what reads ``NAME=COLOUR``, however often it is given.

    Parameters
    ----------
    noun, example
        What a text without a colour fails to be, and one that does.
    """

    def read(
        ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
    ) -> dict[str, Colour]:
        found: dict[str, Colour] = {}
        for text in texts:
            name, equals, colour = text.partition("=")
            if not equals:
                raise click.BadParameter(f'"{text}" {noun}; write {example}', ctx, param)
            found[_once(name.strip(), found, ctx, param)] = read_colour(ctx, param, colour)
        return found

    return read


def read_densities(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> dict[str, float]:
    """Read ``shell=1.3``."""
    densities: dict[str, float] = {}
    for text in texts:
        name, equals, factor = text.rpartition("=")
        try:
            density = float(factor)
        except ValueError:
            equals = ""
        if not equals:
            raise click.BadParameter(f'"{text}" is no density; write shell=1.3', ctx, param)
        densities[_once(name.strip(), densities, ctx, param)] = density
    return densities


def _once(
    name: str, earlier: Mapping[str, object], ctx: click.Context, param: click.Parameter
) -> str:
    """Return a name that was not given before."""
    if name in earlier:
        raise click.BadParameter(f'"{name}" is given twice; give it once', ctx, param)
    return name


def _three(text: str) -> Colour:
    red, green, blue = parse_colour(text)
    return float(red), float(green), float(blue)


def settings_path() -> Path:
    """Return where a person's settings are kept."""
    return Path(click.get_app_dir("laceproof")) / "settings.json"


BACKGROUND_WORDS = "card|cloth|linen|lawn|felt|velvet|clear|shadow|COLOUR"


def background_option(usual: str) -> Callable[[Command], Command]:
    """Return the option for what the lace lies on, with what it is unless asked."""
    return click.option(
        "--on",
        "background",
        callback=read_background,
        default=usual,
        show_default=True,
        metavar=BACKGROUND_WORDS,
        help="What the lace lies on; clear is nothing, shadow is nothing but the lace's shadow.",
    )


def output_option(what: str, *, required: bool = False) -> Callable[[Command], Command]:
    """Return the option for the file that is to be written, with what it is."""
    return click.option(
        "-o",
        "--output",
        type=click.Path(dir_okay=False, path_type=Path),
        required=required,
        help=what,
    )


thread_option = click.option(
    "--thread",
    callback=read_colour,
    default=THREAD,
    show_default=True,
    metavar="COLOUR",
    help="Colour of the thread; areas with a colour of their own keep it.",
)
pattern_argument = click.argument("pattern", type=INPUT_FILE)
gauge_option = click.option(
    "--gauge",
    "gauge_mm",
    callback=read_gauge,
    metavar="MM|COUNT|auto",
    help="Thread: its diameter (0.25), its count (60/2 NeL), or auto for one that suits the cloth. "
    "Default: the pattern's own, else one that suits the spacing of the holes.",
)
density_option = click.option(
    "--density",
    type=click.FloatRange(0.1, 10),
    default=1.0,
    show_default=True,
    help="More is closer: a factor on the pairs of areas without ground around them.",
)
density_of_option = click.option(
    "--density-of",
    callback=read_densities,
    multiple=True,
    metavar="AREA=FACTOR",
    help="Density of one area (shell=1.3) instead of the pattern's; may be given several times.",
)
leg_twists_option = click.option(
    "--leg-twists",
    type=click.IntRange(0, 9),
    help="Twists that legs of ground get beyond those of their stitch. Default: the pattern's own, "
    "else none.",
)
tension_option = click.option(
    "--tension",
    type=click.Choice(tuple(TENSIONS)),
    default=USUAL,
    show_default=True,
    help="How hard stitches are pulled up.",
)
state_option = click.option(
    "--state",
    type=click.Choice(STATES),
    default=STATES[0],
    show_default=True,
    help="On the pillow with the pins holding, or finished with the pins out.",
)
dyed_option = click.option(
    "--colour",
    "dyed",
    callback=read_named_colours("names no colour", "worker=plum"),
    multiple=True,
    metavar="WHO=COLOUR",
    help="Colour of some threads: of a role (worker, passive, ground, edge, plait, gimp), an area "
    "(area:shell) or a pair by its number (pair:3); may be given several times.",
)
material_option = click.option(
    "--material",
    type=click.Choice(tuple(MATERIALS)),
    default="cotton",
    show_default=True,
    help="What the thread is made of.",
)
plies_option = click.option(
    "--plies",
    type=click.IntRange(1, 12),
    help="Strands twisted together in the thread. Default: as usual for the material.",
)
twist_option = click.option(
    "--twist",
    type=click.Choice(("S", "Z"), case_sensitive=False),
    help="Which way the thread is twisted. Default: as usual for the material.",
)
repeats_option = click.option(
    "--repeats",
    type=click.IntRange(1, MOST_REPEATS),
    callback=_only_one,
    help="Work the pattern so many times, one after another; it needs data-repeat.",
)
length_option = click.option(
    "--length",
    "length_mm",
    callback=read_length,
    metavar="MM",
    help="Work as many repeats as this length takes (800, 80cm, 12in).",
)


def _together(*options: Callable[[Command], Command]) -> Callable[[Command], Command]:
    """Return options as one, to be shown in this order."""

    def add(command: Command) -> Command:
        for option in reversed(options):
            command = option(command)
        return command

    return add


# How a piece is worked: whatever tells of it has to be asked the same.
working_options = _together(
    gauge_option, density_option, density_of_option, leg_twists_option, tension_option
)
# How much of it is worked.
amount_options = _together(repeats_option, length_option)
