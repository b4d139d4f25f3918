"""Reading a brief's ``[options]``: candidate motors, cells, ratios, materials, and how each is fitted."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from scaling.files.bounds import BOUNDS
from scaling.files.errors import InputError, Mistakes
from scaling.files.reading import read_row, read_value, table_at
from scaling.port.asked import OptionSpace
from scaling.port.schema import OPTION_MATERIALS, OPTIONS
from scaling.shop.motors import load_motors


def read_options(tables: Mapping[str, Any], file: Path, mistakes: Mistakes) -> OptionSpace | None:
    """Return what a brief's ``[options]`` lets vary, None without that table; its mistakes are kept."""
    if OPTIONS.name not in tables:
        return None
    with mistakes.kept():
        table = table_at(tables, OPTIONS.name, file)
        own = {key: value for key, value in table.items() if key != "materials"}
        values = read_row(OPTIONS, own, OPTIONS.name, file)
        paths = {key: file.parent / values[key] for key in ("rotor_motors", "drive_motors") if key in values}
        catalogues = {path: load_motors(path) for path in dict.fromkeys(paths.values())}
        values |= {key: catalogues[path] for key, path in paths.items()}
        values["fits"] = tuple(dict.fromkeys(values.get("fits", ())))
        space = OptionSpace(**values, materials=_read_materials(table.get("materials", {}), file))
        BOUNDS["options"].check(space.combinations, file, OPTIONS.name)
        return space
    return None


def _read_materials(table: object, file: Path) -> dict[str, tuple[str, ...]]:
    name = OPTION_MATERIALS.name
    if not isinstance(table, dict):
        raise InputError("this must be a table", file, name, table, "part names with lists of materials")
    BOUNDS[OPTION_MATERIALS.heading].check(len(table), file, name)
    (key,) = OPTION_MATERIALS.keys
    return {part: read_value(key, values, file, f"{name}.{part}") for part, values in table.items()}
