"""Exact powers of the factor under a pure law."""

from __future__ import annotations

from fractions import Fraction

from scaling.formulas import book
from scaling.port.explain import FULL_TRAITS
from scaling.port.rules import SPEED_RULES, pure_inputs, pure_powers
from scaling.show.table import Column, Table, columns


def pure_exponents(drive_rule: str) -> dict[str, dict[str, Fraction]]:
    """Exact powers of the factor by speed rule and quantity under a pure law.

    Parts are all solid and of one density, motors without no-load current.

    Taken for a belt-driven rotor across the machine, which has every quantity that a design can have.
    Quantities that follow no single power are left out.
    """
    found: dict[str, dict[str, Fraction]] = {}
    for rule in SPEED_RULES:
        powers = pure_powers(pure_inputs(rule, drive_rule, FULL_TRAITS), FULL_TRAITS)
        found[rule] = {name: power for name, power in powers.items() if power is not None}
    return found


def exponents_table(found: dict[str, dict[str, Fraction]]) -> Table:
    """Exact exponents: a row a quantity, a column a speed rule."""
    names = [name for name in book.quantities if any(name in row for row in found.values())]
    rows = tuple(
        (book.quantities[name].branch, name, *(str(row[name]) if name in row else "-" for row in found.values()))
        for name in names
    )
    heads = columns("branch", "quantity", *(Column(rule.replace("-", "_"), rule) for rule in found))
    return Table("exponents", "Powers of the factor, all parts solid, of one density, no no-load current", heads, rows)


def exponent_text(exponent: Fraction | float | None) -> str:
    """An exact exponent as 'p/q', a local one as a number with a tilde, nothing as a dash."""
    if exponent is None:
        return "-"
    return str(exponent) if isinstance(exponent, Fraction) else f"{exponent:.2f}~"
