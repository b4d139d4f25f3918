"""Candidate motors from CSV files: the builder's own catalogue, read and checked."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from scaling import units
from scaling.errors import InputError, nearest

LARGEST_FILE = 5_000_000

COLUMNS = {
    "kv_rpm_per_V": ("kv", "rad/s/V", "rpm/V"),
    "resistance_mohm": ("resistance", "ohm", "mohm"),
    "no_load_current_A": ("no_load_current", "A", "A"),
    "current_limit_A": ("current_limit", "A", "A"),
    "diameter_mm": ("diameter", "m", "mm"),
    "mass_g": ("mass", "kg", "g"),
}
"""Column: key under the motor's table, SI unit, unit of the column."""


@dataclass(frozen=True)
class Motor:
    """One motor of a catalogue: its name and its numbers by key, SI."""

    name: str
    numbers: dict[str, float]


def load_motors(path: Path) -> tuple[Motor, ...]:
    """Return the motors of the CSV file at ``path``; raises InputError with the line of the first mistake.

    Lines that start with # are comments. The header names ``name`` and every column of COLUMNS.
    """
    lines = [
        (number, line)
        for number, line in enumerate(_text(path).splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise InputError("the file has no rows", path, allowed=f"a header of name, {', '.join(COLUMNS)} and rows")
    header = [cell.strip() for cell in next(csv.reader([lines[0][1]]))]
    wanted = ("name", *COLUMNS)
    for column in header:
        if column not in wanted:
            raise InputError(
                "unknown column",
                f"{path}, line {lines[0][0]}",
                column,
                allowed=", ".join(wanted),
                hint=nearest(column, wanted),
            )
    for column in wanted:
        if column not in header:
            raise InputError(
                "the column is missing", f"{path}, line {lines[0][0]}", column, hint=nearest(column, header)
            )
    motors = tuple(_motor(header, line, f"{path}, line {number}") for number, line in lines[1:])
    names = [motor.name for motor in motors]
    if not motors:
        raise InputError("the file has a header but no motors", path)
    for name in names:
        if names.count(name) > 1:
            raise InputError("two motors have the same name", path, "name", name)
    return motors


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError("the file is too large", path, allowed=f"at most {LARGEST_FILE} bytes")
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("the file is not UTF-8 text", path, hint="save it as UTF-8") from None
    except OSError as error:
        raise InputError(f"the file cannot be read ({error.strerror})", path) from None


def _motor(header: list[str], line: str, place: str) -> Motor:
    cells = [cell.strip() for cell in next(csv.reader([line]))]
    if len(cells) != len(header):
        raise InputError(f"the row has {len(cells)} fields and the header {len(header)}", place, given=line)
    row = dict(zip(header, cells, strict=True))
    if not row["name"]:
        raise InputError("the motor has no name", place, "name")
    numbers: dict[str, float] = {}
    for column, (key, unit, shown) in COLUMNS.items():
        value = units.parse(f"{row[column]} {shown}", unit, place, column)
        if value < 0 or (value == 0 and key != "no_load_current"):
            raise InputError("the value must be above zero", place, column, row[column])
        numbers[key] = value
    return Motor(row["name"], numbers)
