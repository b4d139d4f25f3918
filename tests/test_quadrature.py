"""The rule of Gauss and Legendre has the nodes and weights that numpy works out by eigenvalues."""

from __future__ import annotations

import numpy as np
import pytest

from scaling.book.quadrature import gauss_legendre


@pytest.mark.parametrize("count", [1, 2, 6, 16])
def test_nodes_and_weights_are_numpy_s(count: int) -> None:
    for found, expected in zip(gauss_legendre(count), np.polynomial.legendre.leggauss(count), strict=True):
        np.testing.assert_allclose(found, expected, rtol=1e-13, atol=1e-15)
