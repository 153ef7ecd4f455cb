"""Figures in words for people and as JSON for programs."""

from collections.abc import Sequence
from dataclasses import asdict
from itertools import groupby, zip_longest

from render.estimate.figures import Figures, Wound
from render.estimate.hanging import Spot
from render.estimate.shares import is_ground
from render.estimate.winding import MORE_BY, TO_HOLD_BY_MM

# Pins an hour of people who lived by it: about 3 meshes a minute (C. Knight, Knowledge is Power,
# 1855) to the 10 pins a minute of the lace schools (Mrs Bury Palliser, History of Lace, 1902).
PROFESSIONAL = (180, 600)
# So many places where pairs come, or go, are named one by one.
_MOST_NAMED = 24
_NAMES = {"whole": "whole stitch", "half": "half stitch", "double": "double stitch"}


def headline(figures: Figures) -> str:
    """Return the line a maker reads first: what the hours go into."""
    parts: dict[str, float] = {}
    for word, share in figures.techniques.items():
        name = "ground" if is_ground(word) else _NAMES.get(word, word)
        parts[name] = parts.get(name, 0.0) + share.of_hours
    (first, most), *others = sorted(parts.items(), key=lambda item: -item[1])
    if "ground" in parts and first != "ground":
        others = [(first, most), *(other for other in others if other[0] != "ground")]
        first, most = "ground", parts["ground"]
    rest = "".join(f", {100 * part:.0f} % {name}" for name, part in others)
    return f"{100 * most:.0f} % of the hours are {first}{rest}"


def in_words(figures: Figures) -> str:
    """Return the figures of one piece, a line a thing."""
    return "\n".join(
        [
            headline(figures),
            *_summary(figures),
            *_stitches(figures),
            *_places(figures),
            *_thread(figures),
        ]
    )


def in_short(figures: Figures) -> tuple[str, ...]:
    """Return the figures that fit beside a picture."""
    return (headline(figures), *_summary(figures), *_stitches(figures), *_thread(figures))


def in_columns(pieces: Sequence[Figures]) -> str:
    """Return several pieces side by side."""
    tables = [_table(figures) for figures in pieces]
    rows = list(dict.fromkeys(key for table in tables for key in table))
    cells = [[row, *(table.get(row, "–") for table in tables)] for row in rows]
    widths = [max(len(cell) for cell in column) for column in zip_longest(*cells, fillvalue="")]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in cells
    )


def as_table(figures: Figures) -> dict[str, object]:
    """Return the figures as JSON has them; lengths in the units of their names."""
    low, high = figures.hours
    return {
        "name": figures.name,
        "repeats": figures.repeats,
        "holes": figures.counts.holes,
        "pins": figures.pins,
        "pairs": {**asdict(figures.counts.pairs), "total": figures.counts.pairs.total},
        "bobbins": _bobbins(figures),
        "stitches": figures.counts.stitches,
        "size_mm": [round(side, 2) for side in figures.counts.size_mm],
        "techniques": {word: asdict(share) for word, share in figures.techniques.items()},
        "hours": {
            "least": low,
            "likely": figures.minutes / 60,
            "most": high,
            "pins_per_hour": figures.pins_per_hour,
            "learned_from": figures.pace.pieces,
        },
        "places": asdict(figures.places),
        "thread": {
            "gauge_mm": figures.gauge.diameter_mm,
            "reason": figures.gauge.reason,
            "suits": asdict(figures.suitability),
            "roles": {role: asdict(wound) for role, wound in figures.winding.items()},
            "bobbins": [asdict(bobbin) for bobbin in figures.bobbins],
            "allowance": {"more_by": MORE_BY, "to_hold_by_mm": TO_HOLD_BY_MM},
        },
    }


def hours_in_words(figures: Figures) -> str:
    """Return the hours and what they are reckoned with."""
    low, high = figures.hours
    pieces = figures.pace.pieces
    source = (
        f"your pace, learned from {pieces} piece{'s' * (pieces > 1)}"
        if pieces
        else "a usual hobby pace, common practice; teach it yours with the pace command"
    )
    return f"{_number(low)} to {_number(high)} ({source})"


def speed_in_words(figures: Figures) -> str:
    """Return pins an hour against those who lived by it."""
    rate = figures.pins_per_hour
    low, high = PROFESSIONAL
    where = "below" if rate < low else "above" if rate > high else "within"
    return f"about {rate:.0f} pins an hour, {where} the {low} to {high} of those who lived by it"


def _summary(figures: Figures) -> list[str]:
    pairs = figures.counts.pairs
    width, height = figures.counts.size_mm
    again = f", {figures.repeats} repeats" if figures.repeats > 1 else ""
    return [
        f"size      {width:.1f} × {height:.1f} mm from hole to hole{again}",
        f"holes     {figures.counts.holes}",
        f"pins      {figures.pins}",
        f"pairs     {pairs.total}: {pairs.start} to start with, {pairs.hung_in} hung in, "
        f"{pairs.thrown_out} thrown out, {pairs.most} at most; {_bobbins(figures)} bobbins",
        f"hours     {hours_in_words(figures)}",
        f"speed     {speed_in_words(figures)}",
    ]


def _stitches(figures: Figures) -> list[str]:
    lines = [f"stitches  {sum(figures.counts.stitches.values())}"]
    for word, share in figures.techniques.items():
        of = f"{100 * share.of_hours:3.0f} % of the hours"
        if word == "winding":
            lines.append(f"  {word:12}{'':31}{of}")
        else:
            lines.append(
                f"  {word:12}{share.stitches:6} {share.pins:5} pins {share.area_mm2 / 100:7.1f} cm²"
                f"  {of}"
            )
    return lines


def _places(figures: Figures) -> list[str]:
    places = figures.places
    lines = ["to hang, from the left"]
    for number, those in groupby(places.start, key=lambda spot: spot.pairs):
        holes = [str(spot.hole) for spot in those]
        several = len(holes) > 1
        lines.append(f"  {number}{' each' * several} at hole{'s' * several} {', '.join(holes)}")
    for heading, spots in (("hung in", places.hung_in), ("thrown out", places.thrown_out)):
        if spots:
            lines.append(heading)
            named = spots[:_MOST_NAMED]
            lines += [f"  {_spot(spot)}, after {spot.after} stitches" for spot in named]
            if len(spots) > len(named):
                lines.append(f"  and at {len(spots) - len(named)} more places: --json has them all")
    return lines


def _thread(figures: Figures) -> list[str]:
    roles = figures.winding
    whole = sum(wound.wind_mm for wound in roles.values()) / 1000
    settled = sum(wound.settled_mm for wound in roles.values()) / 1000
    weight = sum(wound.grams for wound in roles.values())
    shortest = min(wound.shortest_mm for wound in roles.values()) / 1000
    longest = max(wound.longest_mm for wound in roles.values()) / 1000
    return [
        f"thread    {settled:.1f} m in the lace, {whole:.1f} m to wind, {weight:.1f} g",
        *(f"  {role:10}{_wound(wound)}" for role, wound in roles.items()),
        f"  a bobbin takes {shortest:.2f} m at least, {longest:.2f} m at most: settled length, "
        f"{100 * MORE_BY:.0f} % more, {TO_HOLD_BY_MM / 1000:.1f} m to tie on and hold by",
        f"suits     {figures.suitability}",
    ]


def _wound(wound: Wound) -> str:
    each = f"{wound.shortest_mm / 1000:.2f}"
    if f"{wound.longest_mm / 1000:.2f}" != each:
        each += f" to {wound.longest_mm / 1000:.2f}"
    return f"{wound.bobbins:4} bobbins {wound.settled_mm / 1000:7.2f} m in the lace, wind {each} m"


def _table(figures: Figures) -> dict[str, str]:
    pairs = figures.counts.pairs
    low, high = figures.hours
    width, height = figures.counts.size_mm
    winding = figures.winding.values()
    return {
        "": figures.name,
        "size, mm": f"{width:.1f} × {height:.1f}",
        "holes": str(figures.counts.holes),
        "pairs": f"{pairs.total}, {pairs.most} at most",
        "hours": f"{_number(low)} to {_number(high)}",
        **{
            f"{word}, % of the hours": f"{100 * share.of_hours:.0f}"
            for word, share in figures.techniques.items()
        },
        "stitches": str(sum(figures.counts.stitches.values())),
        "thread to wind, m": f"{sum(wound.wind_mm for wound in winding) / 1000:.1f}",
        "thread, g": f"{sum(wound.grams for wound in winding):.1f}",
        "thread, mm": f"{figures.gauge.diameter_mm:.2f}, {figures.suitability.verdict}",
    }


def _spot(spot: Spot) -> str:
    return f"{spot.pairs} at hole {spot.hole} ({spot.at[0]:.1f}, {spot.at[1]:.1f} mm)"


def _bobbins(figures: Figures) -> int:
    return sum(wound.bobbins for wound in figures.winding.values())


def _number(hours: float) -> str:
    return f"{hours:.1f}" if hours < 10 else f"{hours:.0f}"
