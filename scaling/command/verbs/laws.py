"""The verb ``laws``: the laws, the rules and the exponents of a pure law."""

from __future__ import annotations

from typing import Annotated

import typer

from scaling.command.console import JsonFlag, print_json, print_table, say, title, wrapped
from scaling.files.errors import InputError
from scaling.files.sentence import listed

ORDER = 70
EXAMPLE = "laws"


def laws(
    drive_rule: Annotated[
        str, typer.Option(metavar="RULE", help="Drive rule: as-bought, hold-speed or gravity-similar.")
    ] = "as-bought",
    as_json: JsonFlag = False,
) -> None:
    """Print the laws, the rules and the exact exponents of a pure law.

    All parts are solid and of one density, motors without no-load current.
    """
    from scaling.port.laws import ASKED, SIMILAR_MACHINE, law_of
    from scaling.port.rules import DRIVE_RULES, SPEED_RULES
    from scaling.show.tables.exponents import exponents_table, pure_exponents

    if drive_rule not in DRIVE_RULES:
        raise InputError("this rule is not known", None, "--drive-rule", drive_rule, f"one of {listed(DRIVE_RULES)}")
    found = pure_exponents(drive_rule)
    if as_json:
        texts = {rule: {name: str(power) for name, power in row.items()} for rule, row in found.items()}
        print_json({"drive_rule": drive_rule, "speed_rules": texts})
        return
    laws = {name: law_of(name) for name in ASKED}
    for heading, rows in (("Laws", laws), ("Speed rules", SPEED_RULES), ("Drive rules", DRIVE_RULES)):
        title(heading)
        for name, text in rows.items():
            wrapped(f"{name}: {text}.", "  ")
    say("")
    wrapped(SIMILAR_MACHINE, "")
    print_table(exponents_table(found))
    wrapped(
        "For a belt-driven rotor across the machine with every table of the design file stated; a design without some "
        "of them may follow another formula of the same name, and a study prints its own.",
        "",
    )
