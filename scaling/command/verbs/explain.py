"""The verb ``explain``: one quantity in words."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scaling.command.console import JsonFlag, print_json, wrapped

ORDER = 60
EXAMPLE = "explain gyro_margin design.toml"


def explain(
    quantity: Annotated[str, typer.Argument(metavar="QUANTITY", help="Name of a quantity, such as gyro_margin.")],
    path: Annotated[Path | None, typer.Argument(metavar="[DESIGN]", help="Design file whose numbers to show.")] = None,
    as_json: JsonFlag = False,
) -> None:
    """Print a quantity's formula, inputs, exponents, source, assumptions and range."""
    from scaling.port import explain as explaining
    from scaling.robot.design import load_design

    found = explaining.explain(quantity, load_design(path) if path is not None else None)
    if as_json:
        powers = {rule: None if power is None else str(power) for rule, power in found.exponents.items()}
        print_json({**vars(found), "inputs": [vars(row) for row in found.inputs], "exponents": powers})
        return
    for line in explaining.lines(found):
        wrapped(line, "    ")
