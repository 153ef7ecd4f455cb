"""Which colour each thread is dyed."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from render.colour.srgb import parse_colour
from render.errors import SettingError, did_you_mean
from render.geometry.polygon import contains
from render.plan.model import ROLES, WorkingPlan
from render.pricking.model import Area
from render.threads.model import ThreadPaths

Colour = tuple[float, float, float]
Chosen = NDArray[np.bool_]

_CLOTH = ("whole", "double")
# A worker has so many times the crossings of any other; with three passives it has thrice.
_STANDS_OUT = 1.5


def dye(
    paths: ThreadPaths,
    areas: Sequence[Area],
    thread: Colour,
    dyed: Mapping[str, Colour],
    drawn: Mapping[int, NDArray[np.float64]] = MappingProxyType({}),
) -> NDArray[np.float64]:
    """Return the colour of each thread.

    Parameters
    ----------
    paths
        The threads; a colour follows its thread wherever it is worked.
    areas
        The areas they were hung for. One that brings its own colour gives it to its threads.
    thread
        sRGB of all other threads, 0 to 1.
    dyed
        sRGB by whom it is for: a role (``worker``), an area (``area:shell``) or a pair as the list
        of threads numbers it (``pair:3``). An area goes before a role, and a pair before both.
    drawn
        sRGB of threads laid for lines that bring their own colour; they go before roles.

    Returns
    -------
    (T, 3) sRGB, 0 to 1.

    Raises
    ------
    SettingError
        Where no thread is meant.
    """
    colours = np.tile(np.asarray(thread, np.float64), (len(paths.radius), 1))
    roles, named, pairs = (
        [who for who in dyed if _kind(who) == kind] for kind in ("role", "area", "pair")
    )
    worn = roles_of(paths, areas) if roles else paths.role
    for who in roles:
        colours[_of_role(worn, who)] = dyed[who]
    for thread_number, brought in drawn.items():
        colours[thread_number] = brought
    for number, area in enumerate(areas):
        if "colour" in area.options:
            colours[paths.region == number] = parse_colour(area.options["colour"])
    for who in named:
        colours[_of_area(paths, areas, who)] = dyed[who]
    for who in pairs:
        colours[_of_pair(paths, who)] = dyed[who]
    return colours


def line_colours(plan: WorkingPlan) -> dict[int, NDArray[np.float64]]:
    """Return the sRGB of each thread that was laid for a line with a colour of its own."""
    of_threads = [hung.run for hung in plan.hangings for _ in range(2)]
    of_threads += [gimp.run for gimp in plan.gimps]
    asked = [run.options.get("colour") for run in plan.pricking.runs]
    return {
        thread: parse_colour(colour)
        for thread, run in enumerate(of_threads)
        if run >= 0 and (colour := asked[run]) is not None
    }


def roles_of(paths: ThreadPaths, areas: Sequence[Area]) -> NDArray[np.int64]:
    """Return the (T,) role of each thread, an index into ROLES.

    It is what a thread was hung for, but for workers: a plan hangs pairs before one of them becomes
    the worker. In cloth that is the pair that crosses all others, row after row. In half stitch one
    thread does; the other of its pair parts from it in the first stitch and wanders.
    """
    roles = paths.role.copy()
    for area in areas:
        if area.stitch in (*_CLOTH, "half"):
            roles[_worker_of(paths, area)] = ROLES.index("worker")
    return roles


def _worker_of(paths: ThreadPaths, area: Area) -> Chosen:
    """Return which threads are an area's worker; none where nobody stands out."""
    crossings = paths.crossings
    inside = contains(area.contours, crossings.at)
    met = np.concatenate([crossings.over[inside], crossings.under[inside]])
    met = met[paths.pair[met] >= 0]
    count = np.bincount(paths.pair[met] if area.stitch in _CLOTH else met, minlength=2)
    second, most = np.sort(count)[-2:]
    if most < _STANDS_OUT * max(second, 1):
        return np.zeros(len(paths.pair), np.bool_)
    worker = int(count.argmax())
    pair = worker if area.stitch in _CLOTH else paths.pair[worker]
    return np.asarray(paths.pair == pair)


def _kind(who: str) -> str:
    """Return whether a role, an area or a pair is meant."""
    kind, colon, _ = who.partition(":")
    if not colon:
        return "role"
    if kind not in ("area", "pair"):
        raise SettingError(
            f'"{who}" is nobody; write a role such as worker, area:NAME or pair:NUMBER'
        )
    return kind


def _of_role(worn: NDArray[np.int64], who: str) -> Chosen:
    if who not in ROLES:
        raise SettingError(f'unknown role "{who}"; {did_you_mean(who, ROLES)}')
    there = ", ".join(ROLES[k] for k in np.unique(worn))
    message = f"no thread of this piece serves as {who}; its threads are: {there}"
    return _some(worn == ROLES.index(who), message)


def _of_area(paths: ThreadPaths, areas: Sequence[Area], who: str) -> Chosen:
    name = who.partition(":")[2]
    items = [area.place.item for area in areas]
    meant = [k for k, item in enumerate(items) if item in (name, f'region "{name}"')]
    if not meant:
        known = ", ".join(items) or "none"
        raise SettingError(f'there is no area "{name}"; the areas are: {known}')
    return _some(
        np.isin(paths.region, meant),
        f'no thread was hung for the area "{name}": the ground lends it its pairs; colour those '
        "by their numbers (pair:3)",
    )


def _of_pair(paths: ThreadPaths, who: str) -> Chosen:
    number = who.partition(":")[2]
    most = int(paths.pair.max(initial=-1))
    if not (number.isascii() and number.isdigit() and len(number) < 10):
        raise SettingError(f'"{number}" is no number of a pair; they run from 0 to {most}')
    return _some(paths.pair == int(number), f"there is no pair {number}; they run from 0 to {most}")


def _some(found: Chosen, message: str) -> Chosen:
    if not found.any():
        raise SettingError(message)
    return found
