"""Volume and first moment of a radial hole under a cylindrical rim, unchecked arrays.

The hole's axis is x, the crank's axis z, the rim x^2 + y^2 = R^2. A drill of radius a has its full
diameter down to x = q = R - h and its tip at q - t. At distance rho from its axis it has cut down
to the level b(rho) = q - t (1 - rho / a).
"""

from typing import Any

import numpy as np

from balance.metal._quadrature import NODES

Array = Any  # floats or arrays: every formula here is for both


def sagitta(a: Array, R: Array) -> Array:
    """Return how far the rim falls away across the drill: ``R - sqrt(R^2 - a^2)``."""
    return a * a / (R + np.sqrt(R * R - a * a))


def _drop_series(terms: int) -> tuple[float, ...]:
    """Return the coefficients of ``1 - 2F1(-1/2, 1/2; 2; k) = k/8 + k^2/64 + ...`` from k^1 on."""
    coefficients, c = [], 1.0
    for n in range(terms):
        c *= (n - 0.5) * (n + 0.5) / ((n + 2) * (n + 1))
        coefficients.append(-c)
    return tuple(coefficients)


SERIES_UP_TO = 0.1  # (a / R)^2; beyond it the elliptic integrals cancel no digits that matter
DROP_SERIES = _drop_series(12)  # the next term is below 1e-17 there


def mean_drop(a: Array, R: Array) -> Array:
    """Return how far the rim falls away on average over the drill.

    The mean height is ``4 R ((1 + k) E(k) - (1 - k) K(k)) / (3 pi k)``, parameter
    ``k = (a / R)^2``; for small drills its series, which leaves no difference of large numbers.
    """
    k = (a / R) ** 2
    drop = k * DROP_SERIES[-1]
    for c in DROP_SERIES[-2::-1]:
        drop = k * (drop + c)
    drop = np.asarray(drop)
    wide = k > SERIES_UP_TO
    if wide.any():
        from scipy.special import ellipe, ellipk

        w = k[wide]
        drop[wide] = 1 - 4 / (3 * np.pi * w) * ((1 + w) * ellipe(w) - (1 - w) * ellipk(w))
    return R * drop


def full_volume(a: Array, h: Array, R: Array, t: Array) -> Array:
    """Return the volume once the full diameter is below the rim."""
    return np.pi * a * a * (h - mean_drop(a, R) + t / 3)


def full_moment(a: Array, h: Array, R: Array, t: Array) -> Array:
    """Return the first moment once the full diameter is below the rim; no elliptic integral."""
    q = R - h
    # (R^2 - q^2) / 2 written as h (R - h / 2): a shallow hole loses no digits
    return np.pi * a * a * (h * (R - h / 2) - a * a / 8 + t / 3 * (q - t / 4))


def rim_meeting(a: Array, h: Array, R: Array, t: Array) -> Array:
    """Return the distance from the axis at which a shallow spot first meets the rim."""
    m, c = t / a, R - h - t
    rise = (h + t) * (R + c)  # R^2 - c^2
    root = np.sqrt(m * m * R * R + rise)
    # the two forms of the quadratic's root: each is used where it does not cancel
    return np.where(c >= 0, rise / (c * m + root), (root - c * m) / (1 + m * m))


def shallow(a: Array, h: Array, R: Array, t: Array) -> tuple[Array, Array, Array]:
    """Return volume, first moment and d(moment)/d(depth) while the full diameter leaves the rim.

    Inside the radius where the cone first meets the rim the spot is a whole smaller hole. Outside
    it each ring of the drill is in metal only over the angles with
    ``|sin phi| < sqrt(R^2 - b^2) / rho``; over those the height is an incomplete elliptic integral.
    """
    from scipy.special import ellipeinc

    r0 = rim_meeting(a, h, R, t)
    inner_t, inner_h = t * r0 / a, h + t * (1 - r0 / a)
    volume = full_volume(r0, inner_h, R, inner_t)
    moment = full_moment(r0, inner_h, R, inner_t)
    slope = np.pi * r0 * r0 * (R - inner_h - inner_t / 3)
    for low, high, weight in NODES:
        rho, drop = r0 + (a - r0) * low, h + t * (a - r0) / a * high
        b, rise = R - drop, drop * (2 * R - drop)  # rise = R^2 - b^2
        sine = np.minimum(1.0, np.sqrt(rise) / rho)
        phi = np.arcsin(sine)
        ring = 4 * weight * (a - r0) * rho
        volume = volume + ring * (R * ellipeinc(phi, (rho / R) ** 2) - phi * b)
        across = rho * rho * (phi - sine * np.sqrt(1 - sine * sine)) / 2
        moment = moment + ring * (rise * phi - across) / 2
        slope = slope + ring * phi * b
    return volume, moment, slope


def radial_moments(a: Array, h: Array, R: Array, t: Array) -> tuple[Any, Any]:
    """Return volume and first moment of holes of any depth."""
    volume, moment = full_volume(a, h, R, t), full_moment(a, h, R, t)
    spot = h < sagitta(a, R)
    if spot.any():
        volume, moment = np.array(volume), np.array(moment)
        a, h, R, t = np.broadcast_arrays(a, h, R, t)
        volume[spot] = moment[spot] = 0.0  # stays so where a flat cutter just touches
        cut = spot & (h + t > 0)
        volume[cut], moment[cut], _ = shallow(a[cut], h[cut], R[cut], t[cut])
    return volume, moment


def shallow_depth(moment: Array, a: Array, R: Array, t: Array) -> Array:
    """Return the depth of spots whose first moment lies between depth 0 and the sagitta.

    Newton's steps, halving whenever one would leave the bracket: the moment rises all the way.
    """
    low, high = np.zeros(a.shape), sagitta(a, R)
    h, left = high / 2, np.arange(a.size)
    for _ in range(60):
        at = h[left]
        _, reached, slope = shallow(a[left], at, R[left], t[left])
        under = reached < moment[left]
        low[left], high[left] = np.where(under, at, low[left]), np.where(under, high[left], at)
        step = at + (moment[left] - reached) / slope
        inside = (step > low[left]) & (step < high[left])
        h[left] = np.where(inside, step, (low[left] + high[left]) / 2)
        left = left[np.abs(h[left] - at) > 1e-14 * R[left]]  # far below a hair, above rounding
        if not left.size:
            break
    return h
