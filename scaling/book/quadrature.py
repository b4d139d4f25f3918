"""Nodes and weights of Gauss and Legendre's rule, for the numeric models' integrals."""

from __future__ import annotations

import numpy as np

from scaling.book.entry import Array


def gauss_legendre(count: int) -> tuple[Array, Array]:
    """Return the nodes in (-1, 1), rising, and the weights of the rule with ``count`` nodes.

    The nodes are the roots of the Legendre polynomial P_n, by Newton's method from cos(pi (i - 1/4) / (n + 1/2)); the
    weights 2 / ((1 - x^2) P_n'(x)^2). It is exact for polynomials of degree 2 n - 1.

    >>> nodes, weights = gauss_legendre(2)
    >>> nodes * np.sqrt(3), weights
    (array([-1.,  1.]), array([1., 1.]))

    Source: W. H. Press et al., Numerical Recipes, 2nd ed., sec. 4.5, from memory.
    """
    at = -np.cos(np.pi * (np.arange(1, count + 1) - 0.25) / (count + 0.5))
    for _ in range(6):
        before, value = np.ones(count), at
        for degree in range(2, count + 1):
            before, value = value, ((2 * degree - 1) * at * value - (degree - 1) * before) / degree
        slope = count * (at * value - before) / (at * at - 1)
        at = at - value / slope
    return at, 2 / ((1 - at * at) * slope**2)
