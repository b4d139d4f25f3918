"""A study as the verbs print it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from scaling.command.console import print_table, progress, say, title, width, wrapped

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from scaling.decide.risks import Risk
    from scaling.study.results import Port, Study


def show_study(
    found: Study, heading: str, clock: str | None, every: bool, only: list[str] | None, out: Path | None, force: bool
) -> None:
    """Write a study to the folder ``out`` where one is named, then print it."""
    written: list[str] = []
    sought: Sequence[Risk] | None = None
    if out is not None:  # before the printing, which a closed pipe may end early
        from scaling.show.output import write_study
        from scaling.show.report.answer import answered

        written = write_study(found, out, force, progress())
        sought = answered(found).risks
    print_study(found, heading, clock, every, only, sought)
    if written:
        say(f"\nWritten to {out}: {', '.join(written)}")


def print_study(
    found: Study, heading: str, clock: str | None, every: bool, only: list[str] | None,
    sought: Sequence[Risk] | None = None,
) -> None:
    """Print a study's first screen, behind it ``every`` number by branch, or under its heading those ``only``.

    ``sought`` are the told port's risks where their mends have been sought; else those that are shown are.
    """
    if only is None:
        print_first_screen(found, sought)
        if not every:
            return
    from scaling.decide.throws import farthest_lines
    from scaling.decide.verdicts import cautions, give_way_lines, verdicts
    from scaling.formulas import book
    from scaling.show.tables.drift import drift_table, worst_first
    from scaling.show.tables.freed import changes_table, prices_table, restored_table
    from scaling.show.tables.laws import laws_table
    from scaling.show.tables.mass import closure_table, swaps_table
    from scaling.show.tables.problems import problems_table
    from scaling.show.tables.throws import throws_table
    from scaling.show.tables.unknown import designs_of, estimates_table, only_table, study_absent_table

    freed_tables = (changes_table, restored_table, prices_table)
    title(heading)
    print_table(laws_table(found), 4)
    order = worst_first(found, clock)
    if only is not None:
        print_table(drift_table(found, only, clock))
        return
    for branch in book.titles:
        names = [name for name in order if book.quantities[name].branch == branch]
        if names:
            print_table(drift_table(found, names, clock))
    title("What each port gives up")
    for line in verdicts(found):
        wrapped(f"- {line}", "  ")
    thrown = throws_table(found)
    if thrown.rows:
        print_table(thrown)
        for line in farthest_lines(found):
            wrapped(f"- {line}", "  ")
    for table in (closure_table(found), swaps_table(found), *(make(found) for make in freed_tables)):
        if table.rows:
            print_table(table)
    if give_way_lines(found):
        title("If the rotor stops dead, what gives way first (margin; below 1 it gives way)")
        for line in give_way_lines(found):
            wrapped(f"- {line}", "  ")
    designs = designs_of(found)
    for table in (problems_table(found), estimates_table(designs), study_absent_table(found), only_table(found)):
        if table.rows:
            print_table(table)
    for design in designs:
        for note in design.notes:
            wrapped(f"Noted of {design.name}: {note}.", "  ")
        for doubt in design.doubts if design is not found.design else ():  # the reference's stand on the first screen
            wrapped(f"Doubted of {design.name}: {doubt.sentence}.", "  ")
    title("Cautions")
    for line in cautions(found):
        wrapped(f"- {line}", "  ")


def print_first_screen(found: Study, sought: Sequence[Risk] | None) -> None:
    """Print at most thirty lines: which port, why not the others, what feels other, what breaks, what to do."""
    from scaling.decide.mends import Mended
    from scaling.decide.verdict import decided
    from scaling.show.first_screen import first_screen

    decision = decided(found)
    told = decision.told
    mended = sought
    if mended is None:
        mended = Mended(found, told.port, told.risks) if told is not None else ()
    ask = asked_next(found, None if told is None else told.port, mended)
    for line in first_screen(found, decision, mended, ask, width()):
        say(line)


def _first_mend(told: Port | None, mended: Sequence[Risk], again: str) -> str:
    """What to do to a machine that is there, by the mend of what is likeliest to fail."""
    mend = next((risk.mend for risk in mended if risk.stands and risk.mend is not None), None)
    if told is None or told.machine is None or mend is None:
        return f"test it as it is, record the creep test in its file, then {again}"
    from scaling.port.changes import value_of

    name = told.machine.file.name
    if len(mend.changes) > 1:
        return f"{mend.text}: write that into {name}, then {again}"
    ((key, text),) = mend.changes.items()
    return f"write {key} = {json.dumps(value_of(text))} into {name}, then {again}"


def asked_next(found: Study, told: Port | None = None, mended: Sequence[Risk] = ()) -> list[str]:
    """Commands that answer what a builder asks next; of a machine that is there the first of the mends, to be made."""
    brief = found.brief.file
    if found.compares:
        again = "compare again" if brief is None else f"scaling study {brief.name} again"
        first = _first_mend(told, mended, again)
        return ["with --all every number, with -o FOLDER report, tables and study.json", first]
    if brief is None:
        return ["scaling init writes a brief, where motors, pack and parts of the port are named"]
    name = brief.name
    window, options = f"scaling window {name}: where it holds", f"scaling options {name}: which real motors"
    return [options if found.brief.options else window, f"scaling study {name} --all: every number"]
