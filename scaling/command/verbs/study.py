"""The verb ``study``: carry a reference to a heavier class and show what drifts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scaling.command.console import ForceFlag, JsonFlag, OutFlag, print_json, print_table, progress, title, wrapped
from scaling.files.errors import InputError

if TYPE_CHECKING:
    from scaling.port.brief import Brief
    from scaling.study.results import Study

ORDER = 30
EXAMPLE = "study brief.toml -o OUT"


def study(
    path: Annotated[Path, typer.Argument(metavar="BRIEF_OR_DESIGN", help="A brief, or a design with --mass.")],
    mass: Annotated[str | None, typer.Option(help='Mass limit, such as "1.36 kg"; tries the mass law.')] = None,
    margin: Annotated[str, typer.Option(help="Builder's mass margin under the limit.")] = "0 g",
    length: Annotated[
        str | None, typer.Option(help='Length of the port, such as "240 mm"; tries the length law.')
    ] = None,
    motor_diameter: Annotated[
        str | None, typer.Option(help="Diameter of the port's motor; tries the motor-diameter law.")
    ] = None,
    speed_rule: Annotated[
        list[str] | None, typer.Option(help="Speed rule to try; may be repeated. Default hold-tip-speed.")
    ] = None,
    drive_rule: Annotated[
        str, typer.Option(help="Drive rule: as-bought, hold-speed or gravity-similar.")
    ] = "as-bought",
    clock: Annotated[
        str | None,
        typer.Option(help="Whose time counts in the printed drift: gravity or driver. Default: each quantity's own."),
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Print the drift of every quantity, by branch.")] = False,
    out: OutFlag = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Carry a reference to a heavier class by each law and show what drifts."""
    from scaling.port.brief import load_both
    from scaling.study.run import run_study

    flags = {"--mass": mass, "--length": length, "--motor-diameter": motor_diameter}
    if clock not in (None, "gravity", "driver"):
        raise InputError("this clock is not known", None, "--clock", clock, "gravity or driver")
    design, brief = load_both(path)
    if brief is None:
        brief = _brief_of_flags(
            path, mass, margin, length, motor_diameter, speed_rule or ["hold-tip-speed"], drive_rule
        )
    else:
        for name, value in flags.items():
            if value is not None:
                raise InputError("the brief says this already", path, name, value, hint="leave the flag out")
    if out is not None and not as_json:
        from scaling.show.output import check_folder

        check_folder(out, force)
    found = run_study(design, brief, progress())
    if as_json:
        from scaling.show.study_json import as_json as study_json

        print_json(study_json(found))
        return
    written: list[str] = []
    if out is not None:  # before the printing, which a closed pipe may end early
        from scaling.show.output import write_study

        written = write_study(found, out, force, progress())
    _print_study(found, clock, every)
    if written:
        typer.echo(f"\nWritten to {out}: {', '.join(written)}")


def _brief_of_flags(
    path: Path,
    mass: str | None,
    margin: str,
    length: str | None,
    motor_diameter: str | None,
    rules: list[str],
    drive: str,
) -> Brief:
    """The brief that the flags of ``scaling study DESIGN.toml`` amount to."""
    from scaling.files.units import parse
    from scaling.port.brief import Brief, LawRequest
    from scaling.port.rules import DRIVE_RULES, SPEED_RULES
    from scaling.robot.parts import positive

    if mass is None:
        raise InputError(
            "a design without a brief needs its target", path, "--mass", allowed='such as --mass "1.36 kg"'
        )
    for flag, rule, known in [
        *(("--speed-rule", rule, tuple(SPEED_RULES)) for rule in rules),
        ("--drive-rule", drive, tuple(DRIVE_RULES)),
    ]:
        if rule not in known:
            raise InputError("this rule is not known", None, flag, rule, f"one of {', '.join(known)}")
    limit = positive(mass, "kg", path, "--mass")
    spare = parse(margin, "kg", path, "--margin")
    if not 0 <= spare < limit:
        raise InputError("the margin cannot be this", path, "--margin", margin, "from zero to less than --mass")
    laws: list[tuple[str, float | None]] = [("mass", None)]
    if length is not None:
        laws.append(("length", positive(length, "m", path, "--length")))
    if motor_diameter is not None:
        laws.append(("motor-diameter", positive(motor_diameter, "m", path, "--motor-diameter")))
    requests = tuple(LawRequest(law, rule, drive, None, target) for law, target in laws for rule in rules)
    return Brief(path.stem, path, None, limit, spare, requests)


def _print_study(found: Study, clock: str | None, every: bool) -> None:
    from scaling.decide.verdicts import cautions, give_way_lines, verdict
    from scaling.show.tables.drift import drift_table, headline, worst_first
    from scaling.show.tables.laws import laws_table
    from scaling.show.tables.mass import closure_table, swaps_table
    from scaling.show.tables.problems import brief_problems_table, problems_table

    design, brief = found.design, found.brief
    from scaling.files.units import format_value

    title(
        f"{design.name}: {format_value(design.variables['mass'], 'kg', 4)} to a limit of "
        f"{format_value(brief.mass_limit, 'kg', 4)}, margin {format_value(brief.mass_margin, 'kg', 3)}"
    )
    print_table(laws_table(found), 4)
    order = worst_first(found, clock)
    if every:
        from scaling.formulas import book

        for branch in book.titles:
            names = [name for name in order if book.quantities[name].branch == branch]
            if names:
                print_table(drift_table(found, names, clock))
    else:
        print_table(drift_table(found, headline(found, clock), clock))
        typer.echo(f"What drifts most of handling, survival and budget; --all prints all {len(order)}.")
    title("What each port gives up")
    for port in found.ports:
        wrapped(f"- {verdict(port)}", "  ")
    for table in (closure_table(found), swaps_table(found)):
        if table.rows:
            print_table(table)
    if give_way_lines(found):
        title("If the rotor stops dead, what gives way first (margin; below 1 it gives way)")
        for line in give_way_lines(found):
            wrapped(f"- {line}", "  ")
    problems = problems_table(found) if every else brief_problems_table(found)
    if problems.rows:
        print_table(problems)
    for note in design.notes:
        wrapped(f"Noted: {note}.", "  ")
    title("Cautions")
    for line in cautions(found):
        wrapped(f"- {line}", "  ")
