"""Colours as people with a colour vision deficiency see them."""

import numpy as np
from numpy.typing import ArrayLike

from render.colour.srgb import Colours, linear_from_srgb, srgb_from_linear

# Rows give linear red, green and blue; severity 1.0 of the tables of Machado et al.
SEEN_WITHOUT = {
    "protan": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritan": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def seen_without(cone: str, srgb: ArrayLike) -> Colours:
    """Return colours as a dichromat sees them.

    Parameters
    ----------
    cone
        ``protan``, ``deutan`` or ``tritan``: the long, middle or short wave cones are missing.
    srgb
        (..., 3), 0 to 1.

    Returns
    -------
    (..., 3) sRGB, 0 to 1.

    References
    ----------
    .. G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for
       simulation of color vision deficiency", IEEE Transactions on Visualization and Computer
       Graphics 15 (2009) 1291-1298, doi:10.1109/TVCG.2009.113
    """
    return srgb_from_linear(np.clip(linear_from_srgb(srgb) @ SEEN_WITHOUT[cone].T, 0, 1))
