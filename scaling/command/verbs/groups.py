"""The verb ``groups``: dimensionless groups and their values."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import JsonFlag, print_json, print_table, progress

ORDER = 80
EXAMPLE = "groups brief.toml"


def groups(
    path: Annotated[
        Path | None,
        typer.Argument(metavar="[BRIEF_OR_DESIGN]", help="Show values of this design, or of a brief's ports."),
    ] = None,
    as_json: JsonFlag = False,
) -> None:
    """Print the dimensionless groups of each stated set, with values where a design is given."""
    from scaling.show.tables.groups import design_groups_table, groups_json, groups_table, sets_table

    if path is None:
        table = sets_table()
    else:
        from scaling.port.brief import load_both
        from scaling.study.run import run_study

        design, brief = load_both(path)
        table = design_groups_table(design) if brief is None else groups_table(run_study(design, brief, progress()))
    if as_json:
        print_json(groups_json(table))
        return
    print_table(table, 4)
