"""The verb ``sources``: the works that a study or a design rests on, the least known first."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import JsonFlag, print_json, title, wrapped

ORDER = 65
EXAMPLE = "sources brief.toml"


def sources(
    path: Annotated[
        Path,
        typer.Argument(metavar="STUDY_OR_DESIGN", help="A brief, a design, a written study.json or its folder."),
    ],
    as_json: JsonFlag = False,
) -> None:
    """List the sources that a study or a design rests on, the least known first, and what rests on each."""
    from scaling.show.sources_listing import heading, line, uses_of

    found = uses_of(path)
    if as_json:
        print_json([vars(use) for use in found])
        return
    for status in dict.fromkeys(use.status for use in found):
        title(heading(status))
        for use in found:
            if use.status == status:
                wrapped(f"- {line(use)}", "  ")
