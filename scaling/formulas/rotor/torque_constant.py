"""Torque over current of a motor: 1 over its speed constant unless it is stated, and how far catalogues part from that.

By theory torque constant times speed constant is 1. Published tables of motors give 0.67 to 1.25 of it, 0.87 in the
middle: no-load friction within the stated torque, iron that saturates, and speed constants measured at part of the
voltage. What a builder measures or a data sheet says goes into ``torque_constant``.
"""

from __future__ import annotations

from scaling.book.algebra import symbols
from scaling.book.entry import Quantity, Validity, Variable
from scaling.formulas.rotor.similar_motor import similar

PRODUCT_BAND = (0.67, 0.87, 1.25)
"""Torque constant times speed constant of small motors as sold, low, median and high: 1 by theory. From published
tables of motors: common practice, no source."""


def variable(table: str, symbol: str, whose: str) -> Variable:
    """Return the key of the torque constant of the motor under ``table``."""
    return Variable(f"{table}.torque_constant", symbol, "N m/A",
                    f"torque of {whose} over its current; 1 over its speed constant where not stated",
                    *similar("torque_constant"), optional=True)


def constants(table: str, name: str, label: str, branch: str) -> tuple[Quantity, ...]:
    """Return the entries of the torque constant of the motor under ``table``, and of its product with kv.

    Their names begin with ``name``, their labels with ``label``.
    """
    stated, kv, constant = symbols(f"{table}.torque_constant {table}.kv {name}_torque_constant")
    product = f"{name}_constant_product"
    face = (f"{name}_torque_constant", f"{label} torque constant", "K_t", "N m/A", branch)
    return (
        Quantity(
            *face, "higher", stated,
            source="definition: the design's stated torque constant",
            assumes="every push, spin-up and current goes with it; what it falls short of 1/K_v is lost in the motor",
        ),
        Quantity(
            *face, "higher", 1 / kv,
            source="drela2007: K_t = 1 / K_v; common-practice: 0.67 to 1.25 of that in published tables of motors, the "
            "median 0.87",
            assumes="torque_constant not stated: every push, spin-up and current goes with it",
        ),
        Quantity(
            product, f"{label} torque over speed constant", "K_t K_v", "1", branch, "higher", constant * kv,
            source="definition",
            valid=(
                Validity(product, "torque constant and speed constant do not seem to be of one motor: published tables "
                         "have 0.67 to 1.25", low=PRODUCT_BAND[0], high=PRODUCT_BAND[2],
                         source="common-practice: published tables of motors"),
            ),
        ),
    )
