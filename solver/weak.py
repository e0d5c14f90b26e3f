"""Directions that the normal equations cannot settle, examined through the design itself."""

from __future__ import annotations

import numpy as np

from solver.closure import Floats
from solver.equations import Equations

#: Eigenvalues of the normal matrix below this part of the largest are examined: rounding, some 1e-15 of the
#: largest, still leaves nine digits of the others.
WEAK_EIGENVALUE = 1e-6

#: A singular value of the design below this part of the largest belongs to an undetermined direction.
#: Measured against exact ranks: undetermined directions give less than 1e-14, and a chain of runs of three
#: steps with drift, the worst set found, 12/n³, which is 4e-9 for 1440 positions.
NEGLIGIBLE_SINGULAR_VALUE = 1e-12


def examine(equations: Equations, definite: Floats) -> tuple[Floats, Floats, Floats]:
    """Separate what is well determined, weakly determined and not determined.

    Forming a normal matrix squares the singular values of the design, so that an eigenvalue of 1e-12 of the
    largest, which a long chain of readings can have, is lost in its rounding, though the design holds it with
    ten digits. The eigenvectors of small eigenvalues therefore only span the space that is looked at again:
    they are freed from the others by one Newton step with the rows themselves, and the singular values of the
    design among them decide.

    Parameters
    ----------
    equations : Equations
        In p unknowns.
    definite : (p, p) array
        Their normal matrix, made definite along the means of the circles.

    Returns
    -------
    strong : (p, p) array
        Inverse along the well determined directions.
    weak : (p, w) array
        Factor of the inverse along the weakly determined ones, weak weak'.
    null : (p, d) array
        Orthonormal undetermined directions.
    """
    eigenvalue, vector = np.linalg.eigh(definite)
    well = eigenvalue > WEAK_EIGENVALUE * eigenvalue[-1]
    strong: Floats = (vector[:, well] / eigenvalue[well]) @ vector[:, well].T
    rest = vector[:, ~well]
    rest = rest - strong @ equations.gradient(rest)
    negligible = NEGLIGIBLE_SINGULAR_VALUE * np.sqrt(eigenvalue[-1])
    triangle = _triangle(equations, rest, negligible)
    if not len(triangle):
        return strong, rest[:, :0], rest
    _, singular, turn = np.linalg.svd(triangle)
    rest = rest @ turn.T
    singular = singular[singular > negligible]
    return strong, rest[:, : len(singular)] / singular, rest[:, len(singular) :]


def _triangle(equations: Equations, vectors: Floats, negligible: float) -> Floats:
    """Return the triangle R of M V = Q R, shape (d, d) or less, without rows where all of M V is negligible."""
    triangle = np.zeros((0, vectors.shape[1]))
    for _, part in equations.blocks(vectors):
        if np.linalg.norm(part) > negligible:
            triangle = np.linalg.qr(np.vstack([triangle, part])).R
    return triangle
