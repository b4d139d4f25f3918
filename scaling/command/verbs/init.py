"""The verb ``init``: write starter files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import ForceFlag, JsonFlag, print_json, say
from scaling.command.flags import check_writing

ORDER = 10
EXAMPLE = "init my_robot"


def init(
    folder: Annotated[Path, typer.Argument(metavar="[FOLDER]", help="Folder for design.toml and brief.toml.")] = Path(),
    kind: Annotated[
        str, typer.Option(metavar="KIND", help="Which starter: spinner (with a rotor) or pusher.")
    ] = "spinner",
    short: Annotated[
        bool, typer.Option("--short", help="Only what scale, calliper and shops' pages give; the rest is estimated.")
    ] = False,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Write commented starter files: a design to fill in and a brief."""
    from scaling.files.write import write_together
    from scaling.robot.starters import starter_files

    files = starter_files(kind, short)
    if as_json:
        check_writing(None, force, as_json)
        print_json(files)
        return
    write_together({folder / name: text for name, text in files.items()}, force)
    for name in files:
        say(f"Written: {folder / name}")
    say(f"Fill in design.toml, then: scaling check {folder / 'design.toml'} {folder / 'brief.toml'}")
