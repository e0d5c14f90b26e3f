"""Least squares with a handful of parameters: a mean, a straight line, a sine over a turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from solver.closure import Floats
from solver.coverage import coverage_factor
from solver.quantile import student
from solver.refused import Refused


@dataclass(frozen=True, slots=True)
class SmallFit:
    """A linear model of p parameters fitted to N values of equal weight.

    Parameters
    ----------
    coefficient : (p,) array
        The parameters.
    cofactor : (p, p) array
        Their covariance in units of the variance of one value.
    residual, leverage : (N,) arrays
        Value minus fitted value, and the diagonal of the hat matrix.
    degrees_of_freedom : int
        N - p.
    standard_deviation : float
        Of one value about the fit; nan with no degree of freedom.
    """

    coefficient: Floats
    cofactor: Floats
    residual: Floats
    leverage: Floats
    degrees_of_freedom: int
    standard_deviation: float

    @property
    def covariance(self) -> Floats:
        """Covariance of the parameters, (p, p); nan with no degree of freedom."""
        return self.standard_deviation**2 * self.cofactor

    def expanded(self, uncertainty: float, coverage: float) -> float:
        """Return a standard uncertainty of this fit times Student's t (JCGM 100, G.3); nan without freedom."""
        if self.degrees_of_freedom < 1:
            return np.nan
        return uncertainty * float(coverage_factor(self.degrees_of_freedom, coverage))

    def apart(self, level: float = 0.05, least: float = 0.0) -> int | None:
        """Return the value that does not go with the others, None where they all go together.

        Parameters
        ----------
        level : float
            Probability of a false alarm over all values.
        least : float
            How far from what the others say it must lie at least. Readings rounded to a coarse resolution may agree
            but for one step, which is no slip.

        Notes
        -----
        The largest studentized deleted residual against Student's t, with Bonferroni over the N values. For a
        mean this is the test of Grubbs, two-sided (Cook and Weisberg 1982, 2.2.2: memory).
        """
        freedom = self.degrees_of_freedom - 1
        if freedom < 1 or not self.standard_deviation > 0:
            return None
        free = 1 - self.leverage
        usable = free > 1e-9
        squares = self.residual[usable] ** 2 / free[usable]
        rest = self.standard_deviation**2 * self.degrees_of_freedom - squares
        tiny = 1e-12 * self.standard_deviation**2
        deleted = np.sqrt(squares / np.maximum(rest / freedom, tiny))
        worst = int(deleted.argmax())
        if deleted[worst] <= float(student(level / (2 * len(self.residual)), freedom)):
            return None
        index = int(np.flatnonzero(usable)[worst])
        away = abs(float(self.residual[index] / free[index]))
        return index if away >= least else None


def small_fit(design: ArrayLike, value: ArrayLike) -> SmallFit:
    """Fit a linear model.

    Parameters
    ----------
    design : (N, p) array_like
        One row for each value.
    value : (N,) array_like
        What was read.

    Raises
    ------
    Refused
        Where the values do not determine the parameters.

    Notes
    -----
    Solved by the QR factors of the design, so that its condition does not count twice.
    """
    rows = np.asarray(design, dtype=float)
    read = np.asarray(value, dtype=float)
    count, parameters = rows.shape
    if count < parameters:
        raise Refused(f"{count} readings do not determine {parameters} values", remedy="take more readings")
    q, r = np.linalg.qr(rows)
    edge = np.abs(np.diag(r))
    if edge.min() <= 1e-10 * edge.max():
        raise Refused("the readings do not tell the values apart", remedy="read at other places as well")
    inverse = np.linalg.inv(r)
    coefficient = inverse @ (q.T @ read)
    residual = read - rows @ coefficient
    # What rounding leaves of readings that fit exactly is no scatter.
    residual[np.abs(residual) <= 1e-13 * np.abs(read).max(initial=0.0)] = 0.0
    freedom = count - parameters
    return SmallFit(
        coefficient=coefficient,
        cofactor=inverse @ inverse.T,
        residual=residual,
        leverage=np.sum(q**2, axis=1),
        degrees_of_freedom=freedom,
        standard_deviation=float(np.sqrt(residual @ residual / freedom)) if freedom else np.nan,
    )
