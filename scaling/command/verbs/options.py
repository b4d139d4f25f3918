"""The verb ``options``: every combination of candidates, ranked."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import ForceFlag, JsonFlag, OnlyFlag, print_json, print_table, progress, wrapped
from scaling.files.errors import InputError

ORDER = 50
EXAMPLE = "options brief.toml"


def options(
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="A brief with a table headed [options].")],
    top: Annotated[int, typer.Option(min=1, help="How many of the best to print.")] = 12,
    every: Annotated[bool, typer.Option("--all", help="Print every option that nothing beats as well.")] = False,
    only: OnlyFlag = None,
    out: Annotated[Path | None, typer.Option("-o", "--out", help="CSV file to write the options to.")] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Try every combination of candidate motors, cells, ratios and materials, and rank them as ports are."""
    from dataclasses import replace

    from scaling.command.flags import quantities_named
    from scaling.decide import options as ranking
    from scaling.decide.option_judge import judge_of
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.show.tables.choice import front_text, legend, options_table

    brief = load_brief(path)
    design = load_design(brief.design_file)
    space = ranking.space_of(brief, design)
    judge = judge_of(design, brief)
    names = quantities_named(only, judge.reference)
    judge = replace(judge, also=tuple(names or ()))
    if out is not None and out.exists() and not force and not as_json:
        raise InputError("the file is there already", out, "--out", hint="choose another name, or --force")
    show = progress()
    bar = (lambda done, total: show(f"{done} of {total} combinations" if done < total else "")) if show else None
    found, total = ranking.rank_options(design, brief, space, top, bar, judge, every or as_json or out is not None)
    if as_json:
        from scaling.show.options_json import as_json as options_json

        print_json(options_json(found, total, judge, names))
        return
    shown = found if every else found[:top]
    if not shown:
        typer.echo(f"{total} combinations tried: none has a factor at which its mass is within the limit.")
        return
    print_table(options_table(shown, names or ()))
    wrapped(legend(shown, names or ()), "  ")
    wrapped(
        f"{total} combinations tried. Those that miss nothing stand first, then the least score: the mean drift from "
        f"the like of the reference, weighed by the preset {judge.objective.preset}, 0 is just like it.",
        "  ",
    )
    wrapped(front_text(judge.aims), "  ")
    typer.echo("")
    for option in shown:
        wrapped(f"{option.rank}. {option.text}", "   ")
    if out is not None:
        from scaling.files.write import write_text
        from scaling.show.table import as_csv
        from scaling.show.tables.choice import whole_options_table

        write_text(out, as_csv(whole_options_table(found)))
        typer.echo(f"\nWritten to {out}: {len(found)} options")
