"""One linear program solved by HiGHS: its point, and what each of its rows and columns is worth there."""

from __future__ import annotations

from dataclasses import dataclass

import highspy
import numpy as np

from scaling.book.entry import Array

TOLERANCE = 1e-9
"""By how much a row may be missed, and a column's slope have the wrong sign."""


@dataclass(frozen=True)
class Solved:
    """The point that is least, and the change of the cost for one more of each row's end and of each column's bound."""

    point: Array
    row_prices: Array
    column_prices: Array


class _Silent(highspy.Highs):
    """HiGHS that says nothing: from 1.16 on it prints its name as it readies callbacks, before an option can be set."""

    def enableCallbacks(self) -> None:  # noqa: N802
        self.silent()


def _solver() -> _Silent:
    """A solver of its own for each program: one for all would mix up those that threads pass to it.

    The number of its threads is not set: HiGHS fails where something else in the process has set another one.
    """
    solver = _Silent()  # type: ignore[no-untyped-call]
    solver.setOptionValue("presolve", "off")  # it takes longer than it spares in programs of a hundred rows
    solver.setOptionValue("parallel", "off")
    solver.setOptionValue("primal_feasibility_tolerance", TOLERANCE)
    solver.setOptionValue("dual_feasibility_tolerance", TOLERANCE)
    return solver


def solve(costs: Array, rows: Array, row_ends: tuple[Array, Array], bounds: tuple[Array, Array]) -> Solved | None:
    """Return where ``costs`` @ x is least, ``rows`` @ x and x between their least and most; None where it fails."""
    program, (places, columns) = highspy.HighsLp(), np.nonzero(rows)
    program.num_row_, program.num_col_ = rows.shape
    program.col_cost_ = costs
    program.row_lower_, program.row_upper_ = row_ends
    program.col_lower_, program.col_upper_ = bounds
    program.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    program.a_matrix_.start_ = np.searchsorted(places, np.arange(rows.shape[0] + 1)).astype(np.int32)
    program.a_matrix_.index_ = columns.astype(np.int32)
    program.a_matrix_.value_ = rows[places, columns]
    solver = _solver()
    solver.passModel(program)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    found = solver.getSolution()
    return Solved(np.asarray(found.col_value), np.asarray(found.row_dual), np.asarray(found.col_dual))
