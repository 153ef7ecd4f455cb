"""What several commands are asked, and how it is read from the command line."""

from pathlib import Path

import click

from render import (
    AUTO,
    CLOTH,
    MATERIALS,
    STATES,
    TENSIONS,
    USUAL,
    Asked,
    Background,
    Card,
    Clear,
    Flat,
    SettingError,
    parse_colour,
    parse_gauge_mm,
    parse_length_mm,
)

Colour = tuple[float, float, float]


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
    words: dict[str, Background] = {"card": Card(), "cloth": CLOTH, "clear": Clear()}
    try:
        return words.get(text.lower()) or Flat(_three(text))
    except SettingError as error:
        raise click.BadParameter(f"{error} (or card, cloth, clear)", ctx, param) from error


def read_length(ctx: click.Context, param: click.Parameter, text: str | None) -> float | None:
    """Read a length above zero."""
    if text is None:
        return None
    try:
        length = parse_length_mm(text)
    except SettingError as error:
        raise click.BadParameter(str(error), ctx, param) from error
    if length <= 0:
        raise click.BadParameter(f"{text} is not above zero", ctx, param)
    return length


def read_dyed(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> dict[str, Colour]:
    """Read ``worker=COLOUR``."""
    dyed = {}
    for text in texts:
        who, equals, colour = text.partition("=")
        if not equals:
            raise click.BadParameter(f'"{text}" names no colour; write worker=plum', ctx, param)
        dyed[who.strip()] = read_colour(ctx, param, colour)
    return dyed


def read_densities(
    ctx: click.Context, param: click.Parameter, texts: tuple[str, ...]
) -> dict[str, float]:
    """Read ``shell=1.3``."""
    densities = {}
    for text in texts:
        name, equals, factor = text.rpartition("=")
        try:
            densities[name.strip()] = float(factor)
        except ValueError:
            equals = ""
        if not equals:
            raise click.BadParameter(f'"{text}" is no density; write shell=1.3', ctx, param)
    return densities


def _three(text: str) -> Colour:
    red, green, blue = parse_colour(text)
    return float(red), float(green), float(blue)


def settings_path() -> Path:
    """Return where a person's settings are kept."""
    return Path(click.get_app_dir("laceproof")) / "settings.json"


pattern_argument = click.argument(
    "pattern", type=click.Path(exists=True, dir_okay=False, readable=True, path_type=Path)
)
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
    callback=read_dyed,
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
    type=click.IntRange(1, 10_000),
    help="Work the pattern so many times, one after another; it needs data-repeat.",
)
length_option = click.option(
    "--length",
    "length_mm",
    callback=read_length,
    metavar="MM",
    help="Work as many repeats as this length takes (800, 80cm, 12in).",
)
