"""Candidate motors from CSV files: the builder's own catalogue, read and checked."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from scaling.files import units
from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, nearest
from scaling.files.sentence import listed
from scaling.files.text import check_kind, read_text, split_row

LARGEST_FILE, MOST_MOTORS = BOUNDS["motor catalogue"], BOUNDS["motors of a catalogue"]
LONGEST_NAME = 60

COLUMNS = {
    "kv_rpm_per_V": ("kv", "rad/s/V", "rpm/V"),
    "resistance_mohm": ("resistance", "ohm", "mohm"),
    "no_load_current_A": ("no_load_current", "A", "A"),
    "current_limit_A": ("current_limit", "A", "A"),
    "diameter_mm": ("diameter", "m", "mm"),
    "mass_g": ("mass", "kg", "g"),
}
"""Column: key under the motor's table, SI unit, unit of the column."""

PRICE = "price"
"""A column that may stand beside them: what one motor costs, a number or text such as "38.50 EUR"."""


@dataclass(frozen=True)
class Motor:
    """One motor of a catalogue: its name, its numbers by key, SI, and its price as the catalogue has it."""

    name: str
    numbers: dict[str, float]
    price: str = ""


def load_motors(path: Path) -> tuple[Motor, ...]:
    """Return the motors of the CSV file at ``path``; raises InputError with the line of the first mistake.

    Lines that start with # are comments. The header names ``name`` and every column of COLUMNS, and may name a price.
    """
    header: list[str] = []
    motors: dict[str, Motor] = {}
    for number, line in enumerate(read_text(path, LARGEST_FILE, "a CSV file").split("\n"), 1):
        place = f"{path}, line {number}"
        text = line.strip(' \t\r,"')  # a spreadsheet pads comments and empty lines with commas and quotes
        if not text or text.startswith("#"):
            continue
        cells = split_row(line, place)
        if not header:
            _check_header(cells, place)
            header = cells
            continue
        motor = _motor(header, cells, place)
        if motor.name in motors:
            raise InputError("two motors have the same name", place, "name", motor.name, hint="give one another name")
        motors[motor.name] = motor
        MOST_MOTORS.check(len(motors), place)
    if not header:
        raise InputError("the file has no rows", path, allowed=f"a header of name, {listed(COLUMNS)} and rows")
    if not motors:
        raise InputError("the file has a header but no motors", path, hint="add a row for each motor")
    return tuple(motors.values())


def _check_header(header: list[str], place: str) -> None:
    wanted = ("name", *COLUMNS)
    known = (*wanted, PRICE)
    check_kind(header, known, place)
    for column in header:
        if column not in known:
            raise InputError("unknown column", place, column, allowed=listed(known), hint=nearest(column, known))
        if header.count(column) > 1:
            raise InputError("the column stands there twice", place, column, hint="leave one of the two out")
    for column in wanted:
        if column not in header:
            raise InputError("the column is missing", place, column, allowed=f"a header of {listed(wanted)}")


def _motor(header: list[str], cells: list[str], place: str) -> Motor:
    if len(cells) != len(header):
        raise InputError(
            f"the row has {len(cells)} fields and the header {len(header)}",
            place,
            hint="a decimal comma splits a number: write a point",
        )
    row = dict(zip(header, cells, strict=True))
    name, price = row["name"], row.get(PRICE, "")
    if not (0 < len(name) <= LONGEST_NAME and name.isprintable()):
        raise InputError("not a name", place, "name", name, f"1 to {LONGEST_NAME} printable characters")
    if len(price) > LONGEST_NAME or not price.isprintable():
        raise InputError("not a price", place, PRICE, price, f"at most {LONGEST_NAME} printable characters")
    numbers: dict[str, float] = {}
    for column, (key, unit, shown) in COLUMNS.items():
        value = units.read(f"{row[column]} {shown}", unit, place, column)
        if value < 0 or (value == 0 and key != "no_load_current"):
            allowed = f"a number of {shown} above zero"
            raise InputError("the value must be above zero", place, column, row[column], allowed)
        numbers[key] = value
    return Motor(name, numbers, price)


_PRICE = re.compile(r"(\D*)(\d+(?:\.\d+)?)(\D*)")
"""What stands before a number, the number, and what stands behind."""


def total_price(bought: Sequence[tuple[Motor, int]]) -> str:
    """Return what motors cost together, each so many times: a sum where all prices are of one currency, else a list.

    Nothing where a price is not known.

    >>> low, high, lent = (Motor(name, {}, name) for name in ("9.50 EUR", "31 EUR", "on loan"))
    >>> total_price([(high, 1), (low, 2)]), total_price([(lent, 1), (low, 2)])
    ('50 EUR', 'on loan + 2 x 9.50 EUR')
    """
    if not bought or not all(motor.price for motor, _ in bought):
        return ""
    read = [_PRICE.fullmatch(motor.price) for motor, _ in bought]
    prices = [match.groups() for match in read if match is not None]
    if len(prices) < len(bought) or len({(before, after) for before, _, after in prices}) > 1:
        return " + ".join(f"{count} x {motor.price}" if count > 1 else motor.price for motor, count in bought)
    total = sum(count * float(number) for (_, count), (_, number, _) in zip(bought, prices, strict=True))
    return f"{prices[0][0]}{f'{total:.2f}'.removesuffix('.00')}{prices[0][2]}"
