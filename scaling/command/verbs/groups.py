"""The verb ``groups``: dimensionless groups, their values, and whether several can be held together."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import JsonFlag, print_json, print_table, progress, title, wrapped
from scaling.files.errors import InputError

ORDER = 80
EXAMPLE = 'groups brief.toml --hold "gyro margin" --hold "rush margin"'


def groups(
    path: Annotated[
        Path | None,
        typer.Argument(metavar="[BRIEF_OR_DESIGN]", help="Show values of this design, or of a brief's ports."),
    ] = None,
    hold: Annotated[
        list[str] | None,
        typer.Option(
            "--hold", metavar="GROUP", help="Group to hold at the ports' size, by name or label; may be repeated."
        ),
    ] = None,
    free: Annotated[
        list[str] | None,
        typer.Option(
            "--free", metavar="KEY", help="Dotted key that --hold may change besides the usual ones; may be repeated."
        ),
    ] = None,
    as_json: JsonFlag = False,
) -> None:
    """Print the dimensionless groups of each stated set, with values where a design is given.

    With --hold, say whether one set of scale factors holds these groups together, or which of them conflict.
    """
    from scaling.show.tables.groups import design_groups_table, groups_json, groups_table, sets_table

    if hold or free:
        _held(path, hold or [], free or [], as_json)
        return
    if path is None:
        table = sets_table()
    else:
        from scaling.decide.whole import whole_study
        from scaling.port.brief import load_both

        design, brief = load_both(path)
        table = design_groups_table(design) if brief is None else groups_table(whole_study(design, brief, progress()))
    if as_json:
        print_json(groups_json(table))
        return
    print_table(table, 4)


def _held(path: Path | None, hold: list[str], free: list[str], as_json: bool) -> None:
    from scaling.decide.held import freed, held_together, sentence
    from scaling.decide.whole import whole_study
    from scaling.port.brief import load_both
    from scaling.show.study_json import held_json

    if not hold:
        raise InputError("nothing is to be held", None, "--free", free[0], hint="name a group with --hold")
    design, brief = (None, None) if path is None else load_both(path)
    if design is None or brief is None:
        raise InputError("groups are held at a size, and at the reference's own every group holds", path, "--hold",
                         hint="give a brief, whose laws fix a size")  # fmt: skip
    study = whole_study(design, brief, progress())
    found = held_together(study, hold, free)
    keys = freed(study, free)
    if as_json:
        print_json(held_json(found, keys))
        return
    title("Groups held together")
    wrapped(f"Free: {', '.join(keys)}. All else is as each port has it; at factor 1 every group holds.", "")
    told: dict[tuple[str, float | None], list[str]] = {}
    for each in found:
        told.setdefault((sentence(each), each.port.factor), []).append(each.letter)
    for (text, factor), letters in told.items():
        size = "" if factor is None else f", factor {factor:.4g}"
        wrapped(f"- {' '.join(letters)}{size}: {text[0].lower()}{text[1:]}", "  ")
