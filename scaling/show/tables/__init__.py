"""The tables as data, a module each for what they tell: terminal, CSV files and reports only render them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scaling.show.table import Table
    from scaling.study.results import Study


def all_tables(study: Study) -> list[Table]:
    """Every table that a study writes as CSV."""
    from scaling.show.tables.drift import drift_table, quantities_table, worst_first
    from scaling.show.tables.freed import changes_table, prices_table, restored_table
    from scaling.show.tables.groups import groups_table
    from scaling.show.tables.laws import laws_table
    from scaling.show.tables.mass import closure_table, mass_table, swaps_table
    from scaling.show.tables.problems import problems_table
    from scaling.show.tables.sizes import holes_table, stock_effect_table, stock_table
    from scaling.show.tables.throws import throws_table
    from scaling.show.tables.unknown import designs_of, estimates_table, only_table, study_absent_table

    drift = drift_table(study, worst_first(study))
    makers = (
        laws_table, quantities_table, mass_table, closure_table, swaps_table, holes_table, stock_table,
        stock_effect_table, groups_table, problems_table, throws_table,
    )
    unknown = [estimates_table(designs_of(study)), study_absent_table(study), only_table(study)]
    freed = [table for make in (changes_table, restored_table, prices_table) if (table := make(study)).rows]
    return [drift, *(make(study) for make in makers), *freed, *unknown]
