"""Reading a brief's ``[options]``: candidate motors, cells, ratios, materials, and how each is fitted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from scaling.files import toml as tomlfile
from scaling.files import units
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.port.asked import AXES, FITS, OptionSpace
from scaling.port.rules import DRIVE_RULES, SPEED_RULES
from scaling.robot.parts import count
from scaling.shop import materials
from scaling.shop.motors import load_motors

KEYS = (*AXES, "materials", "fits", "speed_rule", "drive_rule")


def read_options(table: dict[str, Any], file: Path) -> OptionSpace:
    """Return what a brief's ``[options]`` lets vary; raises InputError for a bad list."""
    for key in table:
        if key not in KEYS:
            raise tomlfile.unknown(f"options.{key}", [f"options.{known}" for known in KEYS], file)
    path_of = Choice(None, "path of a CSV file")
    paths = {
        key: file.parent / tomlfile.choice(path_of, table[key], file, f"options.{key}")
        for key in ("rotor_motors", "drive_motors")
        if key in table
    }
    catalogues = {path: load_motors(path) for path in dict.fromkeys(paths.values())}
    return OptionSpace(
        rotor_motors=catalogues[paths["rotor_motors"]] if "rotor_motors" in paths else (),
        drive_motors=catalogues[paths["drive_motors"]] if "drive_motors" in paths else (),
        cells=tuple(count(value, file, "options.cells") for value in _listed(table, "cells", file)),
        rotor_ratios=_numbers(table, "rotor_ratios", file),
        drive_ratios=_numbers(table, "drive_ratios", file),
        materials=_read_materials(table.get("materials", {}), file),
        fits=tuple(
            dict.fromkeys(tomlfile.choice(Choice(FITS, "fit"), fit, file, "options.fits")
                          for fit in _listed(table, "fits", file))
        ),
        speed_rule=tomlfile.choice(
            Choice(tuple(SPEED_RULES), "speed rule"), table.get("speed_rule", "as-motored"), file, "options.speed_rule"
        ),
        drive_rule=tomlfile.choice(
            Choice(tuple(DRIVE_RULES), "drive rule"), table.get("drive_rule", "as-bought"), file, "options.drive_rule"
        ),
    )


def _check_list(value: object, file: Path, key: str) -> None:
    if not isinstance(value, list) or not value:
        raise InputError("this must be a list with something in it", file, key, value)


def _listed(table: dict[str, Any], key: str, file: Path) -> list[Any]:
    if key in table:
        _check_list(table[key], file, f"options.{key}")
    return list(table.get(key, []))


def _numbers(table: dict[str, Any], key: str, file: Path) -> tuple[float, ...]:
    found = tuple(units.parse(value, "1", file, f"options.{key}") for value in _listed(table, key, file))
    for value in found:
        if value <= 0:
            raise InputError("a ratio must be above zero", file, f"options.{key}", value)
    return found


def _read_materials(table: object, file: Path) -> dict[str, tuple[str, ...]]:
    if not isinstance(table, dict):
        raise InputError("this must be a table", file, "options.materials", table, "part names with lists of materials")
    found: dict[str, tuple[str, ...]] = {}
    for name, values in table.items():
        where = f"options.materials.{name}"
        _check_list(values, file, where)
        found[name] = tuple(materials.material(str(value), file, where).name for value in values)
    return found
