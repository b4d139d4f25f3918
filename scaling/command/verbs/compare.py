"""The verb ``compare``: machines that have files of their own beside a reference."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import AllFlag, ClockFlag, ForceFlag, JsonFlag, OnlyFlag, OutFlag, print_json
from scaling.command.flags import check_out, check_printing, check_writing, narrowed, quantities_named
from scaling.command.study_text import show_study

ORDER = 35
EXAMPLE = "compare design.toml harrowmoth.toml"


def compare(
    reference: Annotated[Path, typer.Argument(metavar="REFERENCE", help="Design file of the robot that you know.")],
    machines: Annotated[
        list[Path], typer.Argument(metavar="MACHINE...", help="Design files of others, as built or drawn.")
    ],
    by: Annotated[str, typer.Option(metavar="KEY", help="Key of the length whose ratio is the factor.")] = "length",
    mass: Annotated[
        str | None, typer.Option(metavar="MASS", help='Mass limit, such as "1.36 kg". Default: the own mass of each.')
    ] = None,
    clock: ClockFlag = None,
    every: AllFlag = False,
    only: OnlyFlag = None,
    out: OutFlag = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Judge machines as they are built or drawn beside a reference, like any port, in the order of their dates."""
    from scaling.robot.design import load_design
    from scaling.robot.parts import positive
    from scaling.show.report.title_block import subject
    from scaling.show.study_json import as_json as study_json
    from scaling.study.as_drawn import compared

    check_printing(clock, every, only, as_json)
    check_writing(out, force, as_json)
    check_out(out, force)
    limit = None if mass is None else positive(mass, "kg", None, "--mass")
    found = compared(load_design(reference), [load_design(path) for path in machines], by, limit)
    names = quantities_named(only, found.names)
    if as_json:
        print_json(narrowed(study_json(found), names))
        return
    show_study(found, subject(found), clock, every, names, out, force)
