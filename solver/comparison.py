"""The same circle measured twice: differences of its position errors, E_n, and one test of the whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from solver.closure import Floats, Ints
from solver.coverage import coverage_factor, effective_freedom
from solver.quantile import student_tail
from solver.tails import fisher_tail


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """Position errors of one circle as one session gives them, m positions, arc seconds.

    Parameters
    ----------
    error : (m,) array
        About their mean.
    cofactor : (m, m) array
        Of the errors, in units of the variance of a cell; of rank m - 1, since they sum to zero.
    deviation : float
        Standard deviation of a cell; nan where it is not determined.
    freedom : float
        Its degrees of freedom; inf where it is known, nan where there is no standard deviation.
    budget : callable or None
        Where there is a budget, its expanded uncertainties, (M,) arc seconds, of M linear functions of the errors,
        given as rows (M, m): they take the place of those of type A.
    """

    error: Floats
    cofactor: Floats
    deviation: float
    freedom: float
    budget: Callable[[Floats], Floats] | None = None

    @property
    def determined(self) -> bool:
        """Whether there are uncertainties at all."""
        return bool(self.deviation > 0 and self.freedom > 0)

    @property
    def covariance(self) -> Floats:
        """Covariance of type A, (m, m); nan where it is not determined."""
        return self.cofactor * (self.deviation**2 if self.determined else np.nan)

    @property
    def standard(self) -> Floats:
        """Standard uncertainty of type A, (m,)."""
        return self.standard_of(np.eye(len(self.error)))

    @property
    def coverage_factor(self) -> float:
        """Student's t at 95.45 % for the degrees of freedom (JCGM 100, G.3)."""
        return float(coverage_factor(self.freedom)) if self.determined else np.nan

    @property
    def expanded(self) -> Floats:
        """Expanded uncertainty, (m,): that of the budget, else coverage factor times type A."""
        return self.expanded_of(np.eye(len(self.error)))

    def standard_of(self, rows: Floats) -> Floats:
        """Return the standard uncertainty of type A, (M,), of linear functions of the errors, given as rows (M, m)."""
        variance = np.einsum("mi,mi->m", rows @ self.covariance, rows)
        return np.asarray(np.sqrt(np.maximum(variance, 0.0)))

    def expanded_of(self, rows: Floats) -> Floats:
        """Return the expanded uncertainty, (M,), of such functions."""
        return self.coverage_factor * self.standard_of(rows) if self.budget is None else self.budget(rows)

    def at(self, index: Ints, sign: int = 1) -> Measured:
        """Return the errors at some of the positions, in that order, times `sign`, about their own mean.

        Error, cofactor and budget are all of that same result: what a source does alike at those positions cancels,
        though it may not about the mean of all.
        """
        pick, budget = np.eye(len(self.error))[index], self.budget
        rows = sign * (pick - pick.mean(axis=0))
        return Measured(
            rows @ self.error,
            rows @ self.cofactor @ rows.T,
            self.deviation,
            self.freedom,
            None if budget is None else lambda functions: budget(functions @ rows),
        )


@dataclass(frozen=True, slots=True)
class WholeTest:
    """A test of many values at once.

    Parameters
    ----------
    chi_squared : float
        The quadratic form of the values in the inverse of their estimated covariance; nan: not determined.
    rank : int
        Its degrees of freedom.
    scale : float
        What chi_squared / rank is multiplied with to be compared with F; at most 1.
    freedom : float
        Effective degrees of freedom of the estimated covariance; inf where it is known.
    p_value : float
        Probability of as much or more by chance: the upper tail of F(rank, freedom) at `f`.
    """

    chi_squared: float
    rank: int
    scale: float
    freedom: float
    p_value: float

    @classmethod
    def of(
        cls, chi_squared: float, rank: int, shares: Floats, squares: Floats, freedoms: Floats
    ) -> WholeTest:
        """Test a quadratic form in the inverse of the covariance that S sessions bring.

        Parameters
        ----------
        chi_squared : float
            The form.
        rank : int
            r, that of the form.
        shares, squares : (S,) arrays
            With the covariance at hand, whiten the values: the form becomes a projection, and session s a
            diagonal block of it. The traces of the block (they add up to r) and of its square.
        freedoms : (S,) array
            Degrees of freedom of the sessions' variances.

        Notes
        -----
        With known variances Q is chi-squared with r degrees of freedom. If each variance is estimated with
        freedom nu_s, its relative variance is 2 / nu_s, and to first order in 1 / nu_s, with e and g for shares
        and squares,

            E Q = r + 2 sum g / nu,    Var Q = 2 r + 2 sum (e**2 + 6 g) / nu.

        These are the moments of Kenward and Roger, Biometrics 53 (1997) 983-997 (memory). Matching r F / scale,
        of mean r (1 + 2 / nu) / scale and variance 2 r (1 + (r + 6) / nu) / scale**2, gives

            1 / nu = sum (e**2 + 2 g) / nu_s / (r (r + 2)),
            1 / scale = 1 + 2 sum (r g - e**2) / nu_s / (r (r + 2)).

        For one common variance that is F(r, nu) exactly, as in Hotelling's test with a known correlation; for
        one value in two sessions it is the test of Welch and Satterthwaite, for one value in more sessions
        Welch's (Biometrika 38 (1951) 330-336).
        """
        nothing = float("nan")
        if rank < 1 or not (np.isfinite(shares).all() and np.isfinite(chi_squared)):
            return cls(nothing, rank, nothing, nothing, nothing)
        size = rank * (rank + 2)
        part = float(np.sum((shares**2 + 2 * squares) / freedoms)) / size
        freedom = 1 / part if part > 0 else float("inf")
        scale = 1 / (1 + 2 * max(float(np.sum((rank * squares - shares**2) / freedoms)), 0.0) / size)
        return cls(
            chi_squared, rank, scale, freedom, float(fisher_tail(scale * chi_squared / rank, rank, freedom))
        )

    @property
    def f(self) -> float:
        """What is compared with F: chi-squared over its degrees of freedom, times the scale."""
        return self.scale * self.chi_squared / self.rank if self.rank else float("nan")

    def significant(self, level: float = 0.05) -> bool:
        """Whether chance alone would bring this less often than `level`."""
        return self.p_value < level


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """New minus old at m positions, arc seconds; nan where not determined.

    Parameters
    ----------
    difference, standard : (m,) arrays
        Differences of the errors about the mean, and their standard uncertainties of type A.
    freedom : (m,) array
        Effective degrees of freedom of the standard uncertainties (Welch, Satterthwaite).
    expanded : (m,) array
        Expanded uncertainties: k from Student's t at 95.45 %; with budgets, the root of their sum of squares.
    e_n : (m,) array
        Difference over the root of the sum of squares of both expanded uncertainties.
    chance : (m,) array
        Probability that an unchanged circle has ``|e_n| > 1``, by the type A uncertainties alone.
    whole : WholeTest
        Of all differences together.
    """

    difference: Floats
    standard: Floats
    freedom: Floats
    expanded: Floats
    e_n: Floats
    chance: Floats
    whole: WholeTest

    @property
    def beyond(self) -> Ints:
        """Indices of the positions with ``|e_n| > 1``."""
        return np.flatnonzero(np.abs(self.e_n) > 1)

    @property
    def expected_beyond(self) -> float:
        """How many of them an unchanged circle would have on average."""
        return float(self.chance.sum())


def e_n(difference: Floats, expanded: Floats, reference_expanded: Floats) -> Floats:
    """Return E_n = (x - X) / sqrt(U_x**2 + U_X**2) (ISO/IEC 17043); nan where both uncertainties are zero."""
    return _ratio(difference, np.hypot(expanded, reference_expanded))


def change(old: Measured, new: Measured) -> Change:
    """Compare two measurements at the same positions.

    Parameters
    ----------
    old, new : Measured
        Independent of each other, of the same m positions in the same order.

    Notes
    -----
    The errors about the mean are correlated: the differences d have the covariance V = V_old + V_new of rank
    m - 1 with the vector of ones as its null direction, and the test of the whole is d' V+ d. For the bench's
    usual case, two complete closures, V is proportional to I - 11'/m and the form is the sum of the squared
    differences over one variance. The sessions may differ in the standard deviation of a cell, and each is
    estimated, hence the effective degrees of freedom of `WholeTest.of`.
    """
    difference = new.error - old.error
    each = np.eye(len(difference))
    standard, freedom = _standard_of_both(old, new, each)
    limit = _ratio(np.hypot(old.expanded, new.expanded), standard)
    return Change(
        difference,
        standard,
        freedom,
        expanded_of_both(old, new, each),
        e_n(difference, new.expanded, old.expanded),
        2 * student_tail(limit, freedom),
        whole_change(old, new),
    )


def expanded_of_both(old: Measured, new: Measured, rows: Floats) -> Floats:
    """Return the expanded uncertainties, (M,), of linear functions of the differences, given as rows (M, m)."""
    if old.budget is not None or new.budget is not None:
        return np.hypot(old.expanded_of(rows), new.expanded_of(rows))
    standard, freedom = _standard_of_both(old, new, rows)
    return coverage_factor(freedom) * standard


def _standard_of_both(old: Measured, new: Measured, rows: Floats) -> tuple[Floats, Floats]:
    """Return standard uncertainties of type A of such functions, and their effective degrees of freedom, (M,) each."""
    both = np.stack([old.standard_of(rows), new.standard_of(rows)])
    return np.hypot(*both), effective_freedom(both, [old.freedom, new.freedom])


def inverse_of_both(old: Measured, new: Measured) -> Floats:
    """Return the pseudo-inverse of the covariance of the differences, (m, m).

    Raises
    ------
    numpy.linalg.LinAlgError
        Where its rank is less than m - 1.
    """
    total = old.covariance + new.covariance
    # Along the ones the covariance is zero, so anything may be put there for the inverse, and taken off again.
    mean = np.trace(total) / len(total) ** 2
    return np.asarray(np.linalg.inv(total + mean) - 1 / (mean * len(total) ** 2))


def whole_change(old: Measured, new: Measured) -> WholeTest:
    """Return the test of all differences together, see `change`."""
    difference = new.error - old.error
    parts = [old.covariance, new.covariance]
    freedoms = np.array([old.freedom, new.freedom])
    rank = len(difference) - 1
    nothing = WholeTest.of(float("nan"), rank, np.full(2, np.nan), np.full(2, np.nan), freedoms)
    if rank < 1 or not (old.determined and new.determined):
        return nothing
    try:
        inverse = inverse_of_both(old, new)
    except np.linalg.LinAlgError:
        return nothing
    blocks = [inverse @ part for part in parts]
    shares = np.array([float(np.trace(block)) for block in blocks])
    squares = np.array([float(np.sum(block * block.T)) for block in blocks])
    return WholeTest.of(float(difference @ inverse @ difference), rank, shares, squares, freedoms)


def _ratio(above: Floats, below: Floats) -> Floats:
    """Return above / below, nan where below is zero."""
    above, below = np.broadcast_arrays(np.asarray(above, dtype=float), np.asarray(below, dtype=float))
    return np.asarray(np.divide(above, below, out=np.full(above.shape, np.nan), where=below != 0))
