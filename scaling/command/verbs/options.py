"""The verb ``options``: every combination of candidates, ranked."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import ForceFlag, JsonFlag, print_json, print_table, progress, wrapped
from scaling.files.errors import InputError

ORDER = 50
EXAMPLE = "options brief.toml"


def options(
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="A brief with a table headed [options].")],
    top: Annotated[int, typer.Option(min=1, help="How many of the best to print.")] = 12,
    every: Annotated[bool, typer.Option("--all", help="Print every option that nothing beats as well.")] = False,
    out: Annotated[Path | None, typer.Option("-o", "--out", help="CSV file to write the options to.")] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Try every combination of candidate motors, cells, ratios and materials, and rank them."""
    from scaling.decide import options as ranking
    from scaling.files.write import write_text
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.show.table import as_csv
    from scaling.show.tables.choice import options_table

    brief = load_brief(path)
    design = load_design(brief.design_file)
    space = ranking.space_of(brief, design)
    if out is not None and out.exists() and not force and not as_json:
        raise InputError("the file is there already", out, "--out", hint="choose another name, or --force")
    show = progress()
    bar = (lambda done, total: show(f"{done} of {total} combinations" if done < total else "")) if show else None
    found, total = ranking.rank_options(design, brief, space, top, bar)
    if as_json:
        print_json({"tried": total, "score": ranking.SCORE, "options": [vars(option) for option in found]})
        return
    shown = found if every else found[:top]
    print_table(options_table(shown), 4)
    typer.echo(f"{total} combinations tried.")
    wrapped(ranking.SCORE[0].upper() + ranking.SCORE[1:] + ".", "  ")
    typer.echo("")
    for option in shown:
        wrapped(f"{option.rank}. {option.reason}.", "   ")
    if out is not None:
        write_text(out, as_csv(options_table(found)))
        typer.echo(f"\nWritten to {out}: {len(found)} options")
