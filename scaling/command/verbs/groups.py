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
        from scaling.port.brief import is_brief, load_brief
        from scaling.robot.design import load_design
        from scaling.study.run import run_study

        if is_brief(path):
            brief = load_brief(path)
            table = groups_table(run_study(load_design(brief.design_file), brief, progress()))
        else:
            table = design_groups_table(load_design(path))
    if as_json:
        print_json(groups_json(table))
        return
    print_table(table, 4)
