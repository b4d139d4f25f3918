"""The verb ``study``: carry a reference to a heavier class and show what drifts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scaling.command.console import AllFlag, ClockFlag, ForceFlag, JsonFlag, OnlyFlag, OutFlag, print_json, progress
from scaling.command.flags import check_out, check_printing, check_writing, narrowed, quantities_named
from scaling.command.study_text import show_study
from scaling.files.errors import InputError
from scaling.files.sentence import listed

if TYPE_CHECKING:
    from scaling.port.brief import Brief
    from scaling.study.results import Study

ORDER = 30
EXAMPLE = "study brief.toml -o OUT"
DECIDED = {
    "--mass": "mass_limit", "--margin": "mass_margin", "--length": "laws.length.target",
    "--motor-diameter": "laws.motor-diameter.target",
    "--speed-rule": "laws.speed_rules", "--drive-rule": "laws.drive_rule",
}  # fmt: skip
"""By each flag that stands in for a brief the brief's key."""


def study(
    path: Annotated[Path, typer.Argument(metavar="BRIEF_OR_DESIGN", help="A brief, or a design with --mass.")],
    mass: Annotated[
        str | None, typer.Option(metavar="MASS", help='Mass limit, such as "1.36 kg"; tries the mass law.')
    ] = None,
    margin: Annotated[
        str | None, typer.Option(metavar="MASS", help="Builder's mass margin under the limit. Default none.")
    ] = None,
    length: Annotated[
        str | None, typer.Option(metavar="LENGTH", help='Length of the port, such as "240 mm"; tries the length law.')
    ] = None,
    motor_diameter: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Diameter of the port's motor; tries the motor-diameter law.")
    ] = None,
    speed_rule: Annotated[
        list[str] | None,
        typer.Option(metavar="RULE", help="Speed rule to try; may be repeated. Default hold-tip-speed."),
    ] = None,
    drive_rule: Annotated[
        str | None,
        typer.Option(metavar="RULE", help="Drive rule: as-bought, hold-speed or gravity-similar. Default as-bought."),
    ] = None,
    clock: ClockFlag = None,
    every: AllFlag = False,
    only: OnlyFlag = None,
    out: OutFlag = None,
    force: ForceFlag = False,
    as_json: JsonFlag = False,
) -> None:
    """Carry a reference to a heavier class by each law and show what drifts."""
    from scaling.decide.whole import whole_study
    from scaling.port.brief import load_both
    from scaling.port.rules import USUAL_DRIVE_RULE, USUAL_SPEED_RULE

    check_printing(clock, every, only, as_json)
    check_writing(out, force, as_json)
    design, brief = load_both(path)
    if brief is None:
        brief = _brief_of_flags(
            path, mass, "0 g" if margin is None else margin, length, motor_diameter, speed_rule or [USUAL_SPEED_RULE],
            drive_rule or USUAL_DRIVE_RULE,
        )  # fmt: skip
    else:
        given = (mass, margin, length, motor_diameter, speed_rule, drive_rule)
        for (flag, key), value in zip(DECIDED.items(), given, strict=True):
            if value or value == "":
                mend = f"leave the flag out, or change {key} in it"
                told = ", ".join(value) if isinstance(value, list) else value
                raise InputError("the brief says this already", path, flag, told, hint=mend)
    check_out(out, force)
    found = whole_study(design, brief, progress())
    names = quantities_named(only, found.names)
    if as_json:
        from scaling.show.study_json import as_json as study_json

        print_json(narrowed(study_json(found), names))
        return
    show_study(found, _heading(found), clock, every, names, out, force)


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
    from scaling.files.units import read
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
            raise InputError("this rule is not known", None, flag, rule, f"one of {listed(known)}")
    limit = positive(mass, "kg", path, "--mass")
    spare = read(margin, "kg", path, "--margin")
    if not 0 <= spare < limit:
        raise InputError("the margin cannot be this", path, "--margin", margin, "from zero to less than --mass")
    laws: list[tuple[str, float | None]] = [("mass", None)]
    if length is not None:
        laws.append(("length", positive(length, "m", path, "--length")))
    if motor_diameter is not None:
        laws.append(("motor-diameter", positive(motor_diameter, "m", path, "--motor-diameter")))
    requests = tuple(LawRequest(law, rule, drive, None, target) for law, target in laws for rule in rules)
    return Brief(path.stem, path, None, limit, spare, requests)


def _heading(found: Study) -> str:
    from scaling.files.units import format_value

    brief, own = found.brief, found.design.variables["mass"]
    limit, margin = format_value(brief.mass_limit, "kg", 4), format_value(brief.mass_margin, "kg", 3)
    return f"{found.design.name}: {format_value(own, 'kg', 4)} to a limit of {limit}, margin {margin}"
