"""The verb ``options``: every combination of candidates, ranked."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import ForceFlag, JsonFlag, OnlyFlag, print_json, print_table, progress, say, wrapped
from scaling.files.errors import InputError

ORDER = 50
EXAMPLE = "options brief.toml"
USUAL_TOP, MOST_PRINTED = 12, 1_000_000


def options(
    path: Annotated[Path, typer.Argument(metavar="BRIEF", help="A brief with a table headed [options].")],
    top: Annotated[
        int | None, typer.Option(metavar="COUNT", help="How many of the best to print. Default 12.")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Print every option that nothing beats as well.")] = False,
    only: OnlyFlag = None,
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="CSV", help="CSV file to write the options to.")
    ] = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Try every combination of candidate motors, cells, ratios and materials, and rank them as ports are."""
    from dataclasses import replace

    from scaling.command.flags import check_within, check_writing, quantities_named
    from scaling.decide import options as ranking
    from scaling.decide.option_judge import judge_of
    from scaling.files.write import check_file
    from scaling.port.brief import load_brief
    from scaling.robot.design import load_design
    from scaling.show.tables.choice import front_text, legend, options_table

    check_writing(out, force, as_json)
    if every and (as_json or top is not None):
        beside = "--json" if as_json else "--top"
        raise InputError(f"{beside} says how many already", None, "--all", hint="leave out one of the two flags")
    most = USUAL_TOP if top is None else top
    check_within("--top", most, 1, MOST_PRINTED)
    brief = load_brief(path)
    design = load_design(brief.design_file)
    space = ranking.space_of(brief, design)
    judge = judge_of(design, brief)
    names = quantities_named(only, judge.reference)
    judge = replace(judge, also=tuple(names or ()))
    if out is not None:
        check_file(out, force, "--out")
    show = progress()
    bar = (lambda done, total: show(f"{done} of {total} combinations" if done < total else "")) if show else None
    found, total = ranking.rank_options(design, brief, space, most, bar, judge, every or as_json or out is not None)
    if as_json:
        from scaling.show.options_json import as_json as options_json

        print_json(options_json(found, total, judge, names))
        return
    if out is not None:  # before the printing, which a closed pipe may end early
        from scaling.files.write import write_text
        from scaling.show.table import as_csv
        from scaling.show.tables.choice import whole_options_table

        write_text(out, as_csv(whole_options_table(found)), force, "--out")
    shown = found if every else found[:most]
    if not shown:
        say(f"{total} combinations tried: none has a factor at which its mass is within the limit.")
        return
    print_table(options_table(shown, names or ()))
    wrapped(legend(shown, names or ()), "  ")
    wrapped(
        f"{total} combinations tried. Those that miss nothing stand first, then the least score: the mean drift from "
        f"the like of the reference, weighed by the preset {judge.objective.preset}, 0 is just like it.",
        "  ",
    )
    wrapped(front_text(judge.aims), "  ")
    say("")
    for option in shown:
        wrapped(f"{option.rank}. {option.text}", "   ")
    if out is not None:
        say(f"\nWritten to {out}: {len(found)} options")
