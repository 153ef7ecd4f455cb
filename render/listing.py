"""Write settled threads as JSON, one thread after another."""

import json
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from scipy.spatial import cKDTree

from render.files import LISTING_HEAD
from render.plan.model import ROLES
from render.threads.model import ThreadPaths

# A tenth of a micrometre is finer than any thread is known.
DECIMALS = 4


def list_threads(paths: ThreadPaths) -> Iterator[str]:
    """Yield the pieces of a JSON text with every thread and its crossings.

    Parameters
    ----------
    paths
        Settled threads.

    Yields
    ------
    Text; joined it is ``{"unit": "mm", "threads": [...]}``. Every crossing stands on both of its
    threads, in the order along each.
    """
    yield LISTING_HEAD
    for t, met in enumerate(_crossings_of_each(paths)):
        separator = ",\n" if t else "\n"
        yield separator + json.dumps(_thread(paths, t, met), separators=(",", ":"))
    yield "\n]}\n"


def _crossings_of_each(paths: ThreadPaths) -> list[np.ndarray]:
    """Return for each thread the numbers of its crossings, unordered."""
    crossings = paths.crossings
    threads = len(paths.radius)
    owner = np.concatenate([crossings.over, crossings.under])
    number = np.tile(np.arange(len(crossings.at)), 2)
    order = np.argsort(owner, kind="stable")
    bounds = np.searchsorted(owner[order], np.arange(threads + 1))
    return [number[order[a:b]] for a, b in pairwise(bounds)]


def _thread(paths: ThreadPaths, t: int, met: np.ndarray) -> dict[str, object]:
    points = paths.thread(t)
    crossings = paths.crossings
    along = cKDTree(points[:, :2]).query(crossings.at[met])[1] if len(met) else met
    met = met[np.argsort(along, kind="stable")]
    over = crossings.over[met] == t
    other = np.where(over, crossings.under[met], crossings.over[met])
    at = np.round(crossings.at[met], DECIMALS)
    return {
        "id": t,
        "pair": int(paths.pair[t]),
        "role": ROLES[paths.role[t]],
        "gauge_mm": round(2 * float(paths.radius[t]), DECIMALS),
        "points": np.round(points, DECIMALS).tolist(),
        "crossings": [
            {"at": place, "with": who, "over": above}
            for place, who, above in zip(at.tolist(), other.tolist(), over.tolist(), strict=True)
        ],
    }
