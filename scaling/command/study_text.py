"""A study as the verbs print it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from scaling.command.console import print_table, title, wrapped

if TYPE_CHECKING:
    from scaling.study.results import Study


def print_study(found: Study, heading: str, clock: str | None, every: bool, only: list[str] | None) -> None:
    """Print a study under its heading: its headline drifts, ``every`` one by branch, or those ``only`` and no more."""
    from scaling.decide.throws import farthest_lines
    from scaling.decide.verdicts import cautions, give_way_lines, verdicts
    from scaling.show.tables.drift import drift_table, headline, worst_first
    from scaling.show.tables.laws import laws_table
    from scaling.show.tables.mass import closure_table, swaps_table
    from scaling.show.tables.problems import brief_problems_table, problems_table
    from scaling.show.tables.throws import throws_table
    from scaling.show.tables.unknown import absent_summary, designs_of, estimates_table, study_absent_table

    title(heading)
    print_table(laws_table(found), 4)
    order = worst_first(found, clock)
    if only is not None:
        print_table(drift_table(found, only, clock))
        return
    if every:
        from scaling.formulas import book

        for branch in book.titles:
            names = [name for name in order if book.quantities[name].branch == branch]
            if names:
                print_table(drift_table(found, names, clock))
    else:
        print_table(drift_table(found, headline(found, clock), clock))
        typer.echo(f"What drifts most of handling, survival and budget; --all prints all {len(order)}.")
    title("What each port gives up")
    for line in verdicts(found):
        wrapped(f"- {line}", "  ")
    thrown = throws_table(found)
    if thrown.rows:
        print_table(thrown)
        for line in farthest_lines(found):
            wrapped(f"- {line}", "  ")
    for table in (closure_table(found), swaps_table(found)):
        if table.rows:
            print_table(table)
    if give_way_lines(found):
        title("If the rotor stops dead, what gives way first (margin; below 1 it gives way)")
        for line in give_way_lines(found):
            wrapped(f"- {line}", "  ")
    problems = problems_table(found) if every else brief_problems_table(found)
    if problems.rows:
        print_table(problems)
    designs = designs_of(found)
    estimated, missing = estimates_table(designs), study_absent_table(found)
    if estimated.rows:
        print_table(estimated)
    if every and missing.rows:
        print_table(missing)
    elif missing.rows:
        typer.echo("")
        wrapped(absent_summary(missing, "--all"), "")
    for design in designs:
        for note in design.notes:
            wrapped(f"Noted of {design.name}: {note}.", "  ")
        for doubt in design.doubts:
            wrapped(f"Doubted of {design.name}: {doubt.sentence}.", "  ")
    title("Cautions")
    for line in cautions(found):
        wrapped(f"- {line}", "  ")
