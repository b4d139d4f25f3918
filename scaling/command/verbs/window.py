"""The verb ``window``: at which factors every limit holds."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import ForceFlag, JsonFlag, OutFlag, print_json, print_table, say, wrapped
from scaling.command.flags import check_writing
from scaling.files.errors import InputError, nearest

ORDER = 40
EXAMPLE = "window brief.toml"


def window(
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="The brief.")],
    only: Annotated[
        list[str] | None,
        typer.Option("--only", metavar="LIMIT", help="Limit to show, by its name or label; may be repeated.")
    ] = None,
    out: OutFlag = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Show at which factors every limit holds, what binds, and how a workshop opens an empty window.

    A limit that holds at all the factors is only counted, unless it is asked for.
    """
    from scaling.decide import window as feasible
    from scaling.files.folder import check_folder, write_folder
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.show.tables.choice import window_table
    from scaling.show.window_json import as_json as window_json

    check_writing(out, force, as_json)
    brief = load_brief(path)
    design = load_design(brief.design_file)
    if out is not None:
        check_folder(out, force)
    found = feasible.windows(design, brief)
    names = _named(only or [], {band.name: band.label for each in found for band in each.bands})
    if as_json:
        print_json(window_json(found, names))
        return
    written: list[str] = []
    if out is not None:  # before the printing, which a closed pipe may end early
        from scaling.show.figures.window import write_windows

        written = write_folder(out, force, lambda folder: write_windows(found, design.name, folder))
    if not found:
        wrapped("The brief asks for no law, so no factor is free: scaling study judges its drawing.", "  ")
    for each in found:
        print_table(window_table(each, names), 4)
        for line in feasible.sentences(each):
            wrapped(line, "  ")
    if brief.closure:
        wrapped(
            "The bands are of the parts as they follow the factor: the levers under [[closure]], which may bring a "
            "given length to the mass limit, are the study's.",
            "  ",
        )
    if written:
        say(f"\nWritten to {out}: {', '.join(written)}")


def _named(only: list[str], had: dict[str, str]) -> list[str]:
    """The names of the limits that ``--only`` gives by name or label."""
    found: list[str] = []
    for text in only:
        plain = text.casefold()
        names = [name for name, label in had.items()
                 if plain in (name, name.replace("_", " ")) or label.casefold().startswith(f"{plain} at ")]  # fmt: skip
        if not names:
            raise InputError("there is no such limit here", None, "--only", text, "a limit's name or label",
                             nearest(plain, [*had, *had.values()]))
        found += names
    return found
