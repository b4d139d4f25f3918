"""The verb ``check``: validate files and print each reference's own numbers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from scaling.command.console import AllAbsentFlag, JsonFlag, OnlyFlag, print_json, print_table, say, title, wrapped
from scaling.command.flags import check_printing, quantities_named

if TYPE_CHECKING:
    from scaling.port.asked import Brief
    from scaling.robot.design import Design

ORDER = 20
EXAMPLE = "check design.toml brief.toml"


def check(
    paths: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Design files and briefs.")],
    only: OnlyFlag = None,
    every: AllAbsentFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Validate design files and briefs and print each reference's own numbers."""
    from scaling.robot.design import Design, load_design
    from scaling.show.doubts_json import doubts_json
    from scaling.show.tables.design import body_table, reference_table
    from scaling.show.tables.unknown import absent_rows, absent_summary, absent_table, estimate_rows, estimates_table
    from scaling.study.absent import absent
    from scaling.study.beside import reference_values

    check_printing(None, every, only if as_json else None, as_json)
    results: list[dict[str, Any]] = []
    known: dict[Path, Design] = {}
    for path in paths:
        found = known.get(path) or _read(path)
        brief = None if isinstance(found, Design) else found
        design = found if isinstance(found, Design) else known.get(found.design_file) or load_design(found.design_file)
        known[design.file] = design
        if brief is not None:
            _agreed(design, brief)
        values = reference_values(design)
        lacking = absent(design, design.variables, values)
        names = quantities_named(only, values)
        values = values if names is None else {name: values[name] for name in names}
        results.append(
            {
                "file": str(path),
                "name": design.name,
                "variables": design.variables,
                "quantities": values,
                "notes": list(design.notes),
                "estimates": estimate_rows(design),
                "absent": absent_rows(lacking),
                "doubts": doubts_json(design),
            }
        )
        if not as_json:
            what, doubted = "a brief and its design" if brief else "a design", len(design.doubts)
            found_out = f"no mistakes found, {doubted} doubtful" if doubted else "no mistakes found"
            title(f"{path}: {design.name}, {what}, {found_out}")
            print_table(reference_table(design, values))
            if design.body is not None:
                print_table(body_table(design.body))
            estimated, missing = estimates_table([design]), absent_table([(design.name, lacking)])
            if estimated.rows:
                print_table(estimated)
            if every and missing.rows:
                print_table(missing)
            elif missing.rows:
                say("")
                wrapped(absent_summary(missing, "--all"), "")
            for note in design.notes:
                wrapped(f"Noted: {note}.", "  ")
            for doubt in design.doubts:
                wrapped(f"Doubted: {doubt.sentence}.", "  ")
    if as_json:
        print_json(results)


def _read(path: Path) -> Brief | Design:
    """Read a design without loading what only briefs need."""
    from scaling.files.toml import read
    from scaling.port.kind import is_brief
    from scaling.robot.design import read_design

    tables = read(path)
    if not is_brief(tables):
        return read_design(tables, path)
    from scaling.port.brief import read_brief

    return read_brief(tables, path)


def _agreed(design: Design, brief: Brief) -> None:
    from scaling.study.run import agreed

    agreed(design, brief)
