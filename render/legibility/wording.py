"""Say in words and in figures how well colours are told apart."""

from collections.abc import Sequence
from typing import Any

from render.colour.srgb import hex_colour
from render.image.background import Colour
from render.legibility.judge import Legibility, Marking, nearest_two
from render.legibility.propose import what_tires
from render.legibility.rating import NEAR_SHADE, OTHER_SHADE, READ, SIGHTS, Rating

_WIDTH = 26
_SOURCE = {
    "drawn": "as drawn, on the card",
    "pen": "the pen asked for",
    "key": "as the colour key has it",
    "proposed": "proposed",
}


def legibility_in_words(found: Legibility) -> str:
    """Return a report for a person."""
    thread, card = hex_colour(found.thread), hex_colour(found.card)
    lines = [
        f"{found.name}: thread {thread} on card {card}",
        "in each place CIEDE2000 difference / contrast; the worst eyes decide",
        "",
        _row("", [*SIGHTS, "verdict"]),
        _rated("thread on card", found.thread_on_card),
    ]
    for heading, markings in (
        ("marking colours in use", found.markings),
        ("restful proposals", found.proposals),
    ):
        lines += ["", heading, *_marking_lines(markings, found.thread)]
    lines += ["", *_advice(found)]
    return "\n".join(lines)


def legibility_as_table(found: Legibility) -> dict[str, Any]:
    """Return the same as plain data for other programs."""
    return {
        "name": found.name,
        "thread": hex_colour(found.thread),
        "card": hex_colour(found.card),
        "thread_on_card": _figures(found.thread_on_card),
        "markings": [_marking_figures(one) for one in found.markings],
        "proposals": [_marking_figures(one) for one in found.proposals],
    }


def short_rating(rating: Rating) -> str:
    """Return a rating as the worst eyes have it, in a few words."""
    return f"{rating.verdict}: {rating.least_difference:.0f} away, {rating.least_contrast:.1f} to 1"


def _marking_lines(markings: Sequence[Marking], thread: Colour) -> list[str]:
    lines = []
    for one in markings:
        tires = what_tires(one.colour)
        doubt = f": {tires}, it tires the eyes" if tires else ""
        lines.append(f"  {one.word} {hex_colour(one.colour)}, {_SOURCE[one.source]}{doubt}")
        own = one.thread != thread
        name = f"    {hex_colour(one.thread)} on it" if own else "    thread on it"
        lines.append(_rated(name, one.under_thread))
        lines.append(_rated("    it on card", one.on_card))
    nearest = nearest_two(markings)
    if nearest is not None:
        away, first, second = nearest
        lines.append(f"  {first.word} and {second.word} are most alike: {away:.0f} away")
    return lines


def _advice(found: Legibility) -> list[str]:
    """Return what the verdicts mean, and what cannot be had."""
    lines = [
        f"thread: clear at {READ:g} to 1 and {OTHER_SHADE:g} away, soft at {OTHER_SHADE:g} away",
        f"marking: clear at {OTHER_SHADE:g} away, soft at {NEAR_SHADE:g} away",
    ]
    if found.thread_on_card.verdict != "clear":
        lines.append("the thread is not clear on this card: a darker or lighter one would help")
    if any(one.under_thread.verdict != "clear" for one in found.proposals):
        lines.append(
            "no restful colour sets this thread off fully: the proposals are the best to be had"
        )
    nearest = nearest_two(found.proposals)
    if nearest is not None and nearest[0] < OTHER_SHADE:
        lines.append("some proposals are alike to some eyes: write the stitch into the areas too")
    lines.append("colours on card differ from those on a screen: try each pen on an offcut first")
    return lines


def _rated(name: str, rating: Rating) -> str:
    pairs = zip(rating.difference, rating.contrast, strict=True)
    return _row(name, [*(f"{away:.0f} / {ratio:.1f}" for away, ratio in pairs), rating.verdict])


def _row(name: str, cells: Sequence[str]) -> str:
    return (name.ljust(_WIDTH) + "".join(cell.ljust(12) for cell in cells)).rstrip()


def _figures(rating: Rating) -> dict[str, Any]:
    return {
        "ciede2000": dict(zip(SIGHTS, (round(x, 2) for x in rating.difference), strict=True)),
        "contrast": dict(zip(SIGHTS, (round(x, 2) for x in rating.contrast), strict=True)),
        "verdict": rating.verdict,
    }


def _marking_figures(one: Marking) -> dict[str, Any]:
    return {
        "stitch": one.word,
        "colour": hex_colour(one.colour),
        "source": one.source,
        "tires": what_tires(one.colour),
        "thread": hex_colour(one.thread),
        "thread_on_it": _figures(one.under_thread),
        "it_on_card": _figures(one.on_card),
    }
