"""The same circle over several sessions: do they agree, and does the circle drift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from solver.closure import Floats
from solver.comparison import Measured, WholeTest
from solver.coverage import coverage_factor, effective_freedom


@dataclass(frozen=True, slots=True, eq=False)
class Drift:
    """Change per year of the m position errors about their mean, arc seconds per year.

    Parameters
    ----------
    per_year, standard, expanded : (m,) arrays
        Drift, its standard uncertainty of type A, and the expanded one (k from Student's t at 95.45 %).
    freedom : (m,) array
        Effective degrees of freedom.
    whole : WholeTest
        Whether there is any drift.
    rest : WholeTest or None
        Whether the sessions lie on straight lines in time; None for two sessions.
    """

    per_year: Floats
    standard: Floats
    expanded: Floats
    freedom: Floats
    whole: WholeTest
    rest: WholeTest | None


def agreement(sessions: tuple[Measured, ...]) -> WholeTest:
    """Test whether all sessions may have measured the same errors.

    Parameters
    ----------
    sessions : tuple of Measured
        S of them, independent, of the same m positions.

    Returns
    -------
    WholeTest
        Of rank (S - 1)(m - 1): weighted squares about the errors that fit all sessions best.
    """
    if not all(session.determined for session in sessions):
        return _nothing(sessions, len(sessions) - 1)
    return _Lines(sessions, np.ones((len(sessions), 1))).left()


def drift(sessions: tuple[Measured, ...], years: Floats) -> Drift:
    """Fit a straight line in time to the errors at each position.

    Parameters
    ----------
    sessions : tuple of Measured
        S of them, independent, of the same m positions.
    years : (S,) array
        When, in years from any origin; not all the same.

    Notes
    -----
    Generalized least squares with the covariance of each session, and Kenward and Roger's allowance for weights
    that are themselves estimated (Biometrics 53 (1997) 983-997, memory).
    """
    more = len(sessions) > 2
    if not all(session.determined for session in sessions):
        blank = np.full(len(sessions[0].error), np.nan)
        return Drift(
            blank,
            blank,
            blank,
            blank,
            _nothing(sessions, 1),
            _nothing(sessions, len(sessions) - 2) if more else None,
        )
    lines = _Lines(sessions, np.stack([np.ones(len(sessions)), years - years.mean()], axis=1))
    value, variance, parts = lines.slope()
    freedom = effective_freedom(np.sqrt(parts), lines.freedoms)
    standard = np.sqrt(variance)
    return Drift(
        value,
        standard,
        coverage_factor(freedom) * standard,
        freedom,
        lines.any_slope(),
        lines.left() if more else None,
    )


def _nothing(sessions: tuple[Measured, ...], times: int) -> WholeTest:
    blank = np.full(len(sessions), np.nan)
    return WholeTest.of(float("nan"), times * (len(sessions[0].error) - 1), blank, blank, blank)


class _Lines:
    """A line, or a constant, fitted to each of m - 1 coordinates in which covariances can be inverted.

    Parameters
    ----------
    sessions : tuple of Measured
        S of them, with uncertainties.
    design : (S, q) array
        What stands before each coefficient.
    """

    def __init__(self, sessions: tuple[Measured, ...], design: Floats) -> None:
        self.freedoms = np.array([session.freedom for session in sessions])
        self._design = design
        self._basis = _without_mean(len(sessions[0].error))
        self._value = [self._basis.T @ session.error for session in sessions]
        self._weight = [
            np.linalg.inv(self._basis.T @ session.covariance @ self._basis) for session in sessions
        ]
        self._normal = [
            np.kron(np.outer(row, row), weight) for row, weight in zip(design, self._weight, strict=True)
        ]
        self._cofactor = np.asarray(np.linalg.inv(sum(self._normal)))
        right = sum(
            np.ravel(np.outer(row, weight @ value))
            for row, weight, value in zip(design, self._weight, self._value, strict=True)
        )
        self._fitted = (self._cofactor @ right).reshape(design.shape[1], -1)

    def left(self) -> WholeTest:
        """Test what the lines leave."""
        form, blocks = 0.0, []
        size, columns = self._basis.shape[1], self._design.shape[1]
        cofactor = self._cofactor.reshape(columns, size, columns, size)
        for row, weight, value in zip(self._design, self._weight, self._value, strict=True):
            residual = value - row @ self._fitted
            form += float(residual @ weight @ residual)
            blocks.append(np.eye(size) - np.einsum("i,iajb,j->ab", row, cofactor, row) @ weight)
        return self._test(form, (len(self._design) - columns) * size, blocks)

    def slope(self) -> tuple[Floats, Floats, Floats]:
        """Return the last coefficients at the (m,) positions, their variances, and these by session, (S, m)."""
        parts = np.array([self._spread(self._last(self._by_session(normal))) for normal in self._normal])
        return self._basis @ self._fitted[-1], self._spread(self._last(self._adjusted())), parts

    def any_slope(self) -> WholeTest:
        """Test the last coefficients together."""
        value, size = self._fitted[-1], self._basis.shape[1]
        form = float(value @ np.linalg.solve(self._last(self._adjusted()), value))
        inverse = np.linalg.inv(self._last(self._cofactor))
        return self._test(
            form, size, [inverse @ self._last(self._by_session(normal)) for normal in self._normal]
        )

    def _by_session(self, normal: Floats) -> Floats:
        """Return what the scatter of a session adds to the covariance of the coefficients."""
        return np.asarray(self._cofactor @ normal @ self._cofactor)

    def _adjusted(self) -> Floats:
        """Return the covariance of the coefficients, allowing for the weights being estimated."""
        extra = sum(
            (4 / freedom) * (normal - normal @ self._cofactor @ normal)
            for normal, freedom in zip(self._normal, self.freedoms, strict=True)
        )
        return np.asarray(self._cofactor + self._cofactor @ extra @ self._cofactor)

    def _last(self, covariance: Floats) -> Floats:
        size = self._basis.shape[1]
        return covariance[-size:, -size:]

    def _spread(self, covariance: Floats) -> Floats:
        """Return the variances at the (m,) positions."""
        return np.asarray(np.sum((self._basis @ covariance) * self._basis, axis=1))

    def _test(self, form: float, rank: int, blocks: list[Floats]) -> WholeTest:
        shares = np.array([float(np.trace(block)) for block in blocks])
        squares = np.array([float(np.sum(block * block.T)) for block in blocks])
        return WholeTest.of(form, rank, shares, squares, self.freedoms)


def _without_mean(count: int) -> Floats:
    """Return an orthonormal basis of all vectors of sum zero, (count, count - 1): Helmert's contrasts."""
    basis = np.triu(np.ones((count, count - 1)))
    column = np.arange(1, count)
    basis[column, column - 1] = -column
    return np.asarray(basis / np.sqrt(column * (column + 1)))
