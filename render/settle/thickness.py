"""Which threads are thicker than the others."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.threads.network import Kind, LaidThreads

Indices = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Thickness:
    """By how much gimps are thicker than the threads of pairs, in mm.

    Attributes
    ----------
    more
        (V,) of the thread of each visit.
    at_node
        (N,) of the thickest thread at each node.
    met
        (V,) of the other thread at each crossing.
    """

    more: NDArray[np.float64]
    at_node: NDArray[np.float64]
    met: NDArray[np.float64]

    def crossed(self, visit: Indices) -> NDArray[np.float64]:
        """Return by how much the way from each visit to the next is longer for what it crosses."""
        return np.asarray((self.met[visit] + self.met[visit + 1]) / 2)


def gauges_of(laid: LaidThreads, gauge_mm: float) -> NDArray[np.float64]:
    """Return the (T,) diameters of threads in mm, those of pairs being as given."""
    return np.where(np.isnan(laid.gauge_mm), gauge_mm, laid.gauge_mm)


def find_thickness(laid: LaidThreads, gauge_mm: float, room: float) -> Thickness:
    """Return by how much gimps are thicker.

    Parameters
    ----------
    laid
        The threads.
    gauge_mm
        Diameter of those of pairs.
    room
        How much room a thread takes, in its own thickness.
    """
    extra = room * np.maximum(gauges_of(laid, gauge_mm) - gauge_mm, 0.0)
    node, thread = laid.visits, laid.thread
    other = np.where(laid.left[node] == thread, laid.right[node], laid.left[node])
    crossing = laid.kind[node] == Kind.CROSSING
    at_node = np.zeros(len(laid.kind))
    np.maximum.at(at_node, node, extra[thread])
    return Thickness(extra[thread], at_node, np.where(crossing, extra[other], 0.0))
