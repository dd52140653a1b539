"""Volume and first moment of a hole parallel to the crank, whole or cutting the rim; unchecked.

The hole's axis stands at radius r; a drill of radius a has cut to the depth h + t (1 - rho / a) at
distance rho from that axis. The rim is a circle of radius R about the crank.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from balance.metal._quadrature import NODES

Array = NDArray[np.float64]


def whole(a: Array, h: Array, t: Array, r: Array) -> tuple[Any, Any]:
    """Return volume and first moment of a hole that stays inside the rim."""
    volume = np.pi * a * a * (h + t / 3) * np.ones(np.shape(r))
    return volume, volume * r


def cut_by_rim(a: Array, h: Array, t: Array, r: Array, R: Array) -> tuple[Any, Any]:
    """Return volume and first moment of what lies inside the rim of a hole that may cross it.

    Inside the largest whole circle, rho <= R - r, the sum is closed. Each ring beyond it lies in
    metal over the angles with ``cos psi >= (r^2 + rho^2 - R^2) / (2 r rho)``, counted from the
    direction of the crank's axis.
    """
    inner = np.clip(R - r, 0.0, a)
    volume, moment = whole(inner, h + t * (1 - inner / a), t * inner / a, r)
    start = np.minimum(np.abs(R - r), a)
    width = a - start
    for low, high, weight in NODES:
        rho = start + width * low
        # r^2 + rho^2 - R^2 and 2 r rho; a ring that fills no width asks for no angle
        cosine = np.clip(((r - R) * (r + R) + rho * rho) / np.maximum(2 * r * rho, 1e-300), -1, 1)
        psi = np.arccos(cosine)
        ring = 2 * weight * width * rho * (h + t * width / a * high)
        volume = volume + ring * psi
        moment = moment + ring * (r * psi - rho * np.sqrt(1 - cosine * cosine))
    return volume, moment
