"""Effective degrees of freedom and coverage factors."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats
from solver.quantile import student

#: Two standard deviations of a normal distribution either way, to four digits (JCGM 100, table G.1).
USUAL_PROBABILITY = 0.9545


def effective_freedom(uncertainty: ArrayLike, freedom: ArrayLike) -> Floats:
    """Return the effective degrees of freedom of a combined uncertainty, not rounded.

    Parameters
    ----------
    uncertainty : (L, …) array_like
        Standard uncertainties of the L components, sensitivities included; 0 for a component that does not enter.
    freedom : (L, …) array_like
        Their degrees of freedom; inf where a standard uncertainty counts as known.

    Returns
    -------
    (…) array
        inf where no component with finite degrees of freedom enters; nan where nothing enters or a component is nan.

    Notes
    -----
    Welch-Satterthwaite, JCGM 100, G.4.1, equation (G.2b), for independent components.
    """
    square = np.asarray(uncertainty, dtype=float) ** 2
    with np.errstate(divide="ignore"):
        per_freedom = 1 / np.asarray(freedom, dtype=float)
    per_freedom = per_freedom.reshape(per_freedom.shape + (1,) * (square.ndim - per_freedom.ndim))
    total = square.sum(axis=0)
    # As shares, so that no fourth power of a small uncertainty vanishes.
    share = square / np.where(total > 0, total, 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        slack = np.where(share == 0, 0.0, share**2 * per_freedom).sum(axis=0)
        found = np.where(slack > 0, 1 / slack, np.inf)
    return np.where(total > 0, found, np.nan)


def coverage_factor(freedom: ArrayLike, probability: float = USUAL_PROBABILITY) -> Floats:
    """Return k, the two-sided quantile of Student's t; nan for nan.

    Parameters
    ----------
    freedom : array_like
        Effective degrees of freedom. Student's t has a meaning between whole numbers, so they are neither rounded nor
        cut (JCGM 100, G.4.1, note 1, lets one interpolate or cut).
    probability : float
        Coverage probability, between 0 and 1.
    """
    known = np.asarray(freedom, dtype=float)
    usable = np.where(np.isnan(known), np.inf, known)
    return np.where(np.isnan(known), np.nan, student((1 - probability) / 2, usable))


def freedom_of_judgement(relative: float) -> float:
    """Return the degrees of freedom of a standard uncertainty that is itself known to a relative uncertainty.

    Notes
    -----
    ½ (Δu/u)⁻², JCGM 100, G.4.2, equation (G.3): 25 % makes 8. A relative uncertainty of 0 makes inf.
    """
    return np.inf if relative == 0 else 0.5 / relative**2
