"""Where taut threads come to rest: iterated force densities."""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

# A fixed node is held this many times as hard as its threads pull.
FIXED = 1e7
# Over-relaxation of force per length: Weiszfeld's iteration converges faster with steps > 1.
STEP = 1.5


def rest(
    points: Points,
    edges: Indices,
    tension: NDArray[np.float64],
    hold: NDArray[np.float64],
    target: Points,
    *,
    group: Indices | None = None,
    shortest: float = 1e-4,
    rounds: int = 10,
) -> Points:
    """Move nodes to where all pulls balance.

    Parameters
    ----------
    points
        (N, 2) first positions in mm.
    edges
        (E, 2) nodes joined by a piece of thread.
    tension
        (E,) pull of each piece, all in one unit.
    hold
        (N,) how hard a node is held at its target, as a multiple of the force per length of
        its threads; FIXED for nodes that do not move.
    target
        (N, 2) in mm; rows that are not held are ignored.
    group
        (E,) pieces with one number share one force per length, so that nodes between them spread
        evenly; None for each piece its own.
    shortest
        Length in mm below which a piece pulls no harder per length.
    rounds
        How often force per length follows from the lengths found.

    Returns
    -------
    (N, 2) positions in mm, a new array.

    References
    ----------
    .. H.-J. Schek, "The force density method for form finding and computation of general
       networks", Computer Methods in Applied Mechanics and Engineering 3 (1974) 115-134
    .. K. Fresl, P. Gidak, S. Vrančić, "Generalized minimal nets in form finding of prestressed
       cable nets", Građevinar 65 (2013) 707-720
    """
    together = np.arange(len(edges)) if group is None else group
    fixed = hold >= FIXED
    found = np.where(fixed[:, None], target, points)
    total = np.bincount(together, tension)
    for turn in range(rounds):
        length = np.hypot(*(found[edges[:, 0]] - found[edges[:, 1]]).T)
        length = np.sqrt(length**2 + shortest**2)
        share = total / np.maximum(np.bincount(together, length), 1e-12)
        # Pieces of one group differ only by their own pull.
        mean = total / np.maximum(np.bincount(together), 1)
        pull = share[together] * tension / np.maximum(mean[together], 1e-12)
        solved = balance(edges, pull, hold, target)
        found = found + (STEP if 0 < turn < rounds - 1 else 1.0) * (solved - found)
        found[fixed] = target[fixed]
    return found


def balance(
    edges: Indices, pull: NDArray[np.float64], hold: NDArray[np.float64], target: Points
) -> Points:
    """Solve for the positions at which pulls of given force per length balance."""
    count = len(target)
    a, b = edges.T
    load = np.bincount(a, pull, count) + np.bincount(b, pull, count)
    spring = hold * load
    rows = np.concatenate([a, b, np.arange(count)])
    columns = np.concatenate([b, a, np.arange(count)])
    # A trace of holding keeps loose pieces from making the system singular.
    values = np.concatenate([-pull, -pull, load * (1 + 1e-9) + spring + 1e-12])
    matrix = coo_array((values, (rows, columns)), shape=(count, count)).tocsc()
    factor = splu(
        matrix,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    pulled = (spring + 1e-9 * load + 1e-12)[:, None] * target
    return np.asarray(factor.solve(pulled))
