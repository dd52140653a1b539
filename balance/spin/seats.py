"""The seats of a job's bolted parts: how far each part may sit off centre."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from balance.job.model import BoltedPage
from balance.spin.planes import transfer
from balance.spin.stack import Mounting, mounting

__all__ = ["refit_gmm", "seat_of"]


def seat_of(page: BoltedPage) -> Mounting:
    """Return what run-out and clearance of a part's register amount to.

    Examples
    --------
    >>> page = BoltedPage(name="flywheel", mass="8 kg", z="316 mm", clearance="0.02 mm")
    >>> seat_of(page).refit_gmm
    80.0

    Source: as for :func:`balance.spin.stack.mounting`.
    """
    return mounting(mass_g=page.mass, tir_mm=page.run_out, clearance_mm=page.clearance)


def refit_gmm(page: BoltedPage, planes_mm: ArrayLike) -> NDArray[np.float64]:
    """Return how far a refit of a part may bring each of two planes off, at most [g mm].

    Parameters
    ----------
    page : BoltedPage
        With its place and the clearance of its register.
    planes_mm : array (2,) [mm]
        Where the planes are.

    Examples
    --------
    >>> page = BoltedPage(name="flywheel", mass="8 kg", z="300 mm", clearance="0.02 mm")
    >>> refit_gmm(page, [0.0, 200.0]).tolist()
    [40.0, 120.0]

    Source: statics; as for :func:`balance.spin.stack.mounting`.
    """
    return np.abs(transfer(seat_of(page).refit_gmm, page.z, planes_mm))
