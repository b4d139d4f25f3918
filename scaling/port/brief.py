"""Reading a brief: where the reference is to go, by which laws, with what parts."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

from scaling.files import toml as tomlfile
from scaling.files import units
from scaling.files.errors import InputError
from scaling.files.schema import Choice
from scaling.formulas import book
from scaling.port.asked import Bound, Brief, LawRequest, PartChange
from scaling.port.laws import LAWS, check_law
from scaling.port.levers import read_closure
from scaling.port.option_space import read_options
from scaling.port.rules import DRIVE_RULES, SPEED_RULES
from scaling.robot.design import Design, load_design, read_design, read_keys
from scaling.robot.kinds import KINDS
from scaling.robot.parts import THICKNESS_RULES, count, positive
from scaling.shop import materials
from scaling.shop.shelves import FILES, Shelves

__all__ = ["Bound", "Brief", "LawRequest", "PartChange", "load", "load_both", "load_brief"]

ROOT_KEYS = ("name", "reference", "mass_limit", "mass_margin", "snap")
SIZE_KEYS = ("length", "width", "height")
LAW_KEYS = ("law", "speed_rules", "drive_rule", "key", "target")
PART_KEYS = ("mass", "material", "kind", "count", "thickness", "thickness_rule")
TABLES = ("size_limit", "laws", "swaps", "parts", "port", "stock", "limits", "closure", "options")


def load(path: Path) -> Brief | Design:
    """Read and check the file at ``path``, a brief if it names its design under ``reference``, else a design file."""
    tables = tomlfile.read(path)
    return read_brief(tables, path) if "reference" in tables else read_design(tables, path)


def load_both(path: Path) -> tuple[Design, Brief | None]:
    """Read the design that the file at ``path`` is, or the brief that it is and the design that the brief names."""
    found = load(path)
    return (found, None) if isinstance(found, Design) else (load_design(found.design_file), found)


def load_brief(path: Path) -> Brief:
    """Read and check the brief at ``path``; raises InputError for the first mistake in it."""
    return read_brief(tomlfile.read(path), path)


def read_brief(tables: dict[str, Any], path: Path) -> Brief:
    """Check the tables of the brief at ``path``; raises InputError for the first mistake in them."""
    if "reference" not in tables and ("drive" in tables or "wheel" in tables):
        raise InputError("this is a design file, and a brief is wanted", path, "reference",
                         hint="scaling init writes a brief to put beside it")
    for key in tables:
        if key not in (*ROOT_KEYS, *TABLES):
            raise tomlfile.unknown(key, (*ROOT_KEYS, *TABLES), path)
    for key in ("reference", "mass_limit"):
        if key not in tables:
            example = 'text such as "1.36 kg"' if key == "mass_limit" else 'the design file, such as "design.toml"'
            raise InputError("missing key", path, key, allowed=example, hint="add it before the first table")
    reference = tomlfile.choice(Choice(None, "path of the design file"), tables["reference"], path, "reference")
    if not (path.parent / reference).is_file():
        raise InputError("there is no such file", path, "reference", reference, "a path relative to the brief")
    limit = positive(tables["mass_limit"], "kg", path, "mass_limit")
    margin = units.parse(tables.get("mass_margin", "0 g"), "kg", path, "mass_margin")
    if not 0 <= margin < limit:
        raise InputError(
            "the margin cannot be this", path, "mass_margin", tables["mass_margin"], "from zero to less than mass_limit"
        )
    given = tomlfile.flatten(_table(tables, "port", path), (), path)
    numbers, words = read_keys(given, path, "port.")
    _check_motor(numbers, path)
    _check_words(words, path)
    if "battery.voltage" in numbers and "battery.cells" not in numbers:
        raise InputError("a pack of another voltage needs its cells", path, "port.battery.cells")
    snap = tables.get("snap", True)
    if not isinstance(snap, bool):
        raise InputError("this must be true or false", path, "snap", snap, "true or false without quotes")
    return Brief(
        name=str(tables.get("name", path.stem)),
        design_file=path.parent / reference,
        file=path,
        mass_limit=limit,
        mass_margin=margin,
        requests=_read_laws(tables.get("laws", []), path),
        size_limit=_read_sizes(_table(tables, "size_limit", path), path),
        numbers=numbers,
        words=words,
        swaps=_read_swaps(_table(tables, "swaps", path), path),
        parts={name: _read_change(name, row, path) for name, row in _table(tables, "parts", path).items()},
        snap=snap,
        limits=_read_limits(_table(tables, "limits", path), path),
        closure=read_closure(tables.get("closure", []), path),
        shelves=Shelves.read(_read_stock(_table(tables, "stock", path), path)),
        options=read_options(_table(tables, "options", path), path) if "options" in tables else None,
    )


def _read_limits(table: dict[str, Any], file: Path) -> dict[str, Bound]:
    """Bounds of ``[limits.at_most]`` and ``[limits.at_least]``, by name of a quantity or key of a variable."""
    units_of = {name: entry.unit for name, entry in (book.variables | book.quantities).items()}
    sides: dict[str, Literal["at most", "at least"]] = {"at_most": "at most", "at_least": "at least"}
    found: dict[str, Bound] = {}
    for side, rows in table.items():
        if side not in sides:
            raise tomlfile.unknown(f"limits.{side}", ("limits.at_most", "limits.at_least"), file)
        if not isinstance(rows, dict):
            raise InputError("this must be a table", file, f"limits.{side}", rows, f"a table headed [limits.{side}]")
        for name, value in tomlfile.flatten(rows, (), file).items():
            where = f"limits.{side}.{name}"
            if name not in units_of:
                raise tomlfile.unknown(where, [f"limits.{side}.{known}" for known in units_of], file)
            if name in found:
                raise InputError("this is bounded twice", file, where, hint="keep one of the two bounds")
            found[name] = Bound(name, positive(value, units_of[name], file, where), sides[side], str(value))
    return found


def _read_stock(table: dict[str, Any], file: Path) -> dict[str, Path]:
    for key in table:
        if key not in FILES:
            raise tomlfile.unknown(f"stock.{key}", [f"stock.{known}" for known in FILES], file)
    path_of = Choice(None, "path of a CSV file, relative to the brief")
    return {key: file.parent / tomlfile.choice(path_of, value, file, f"stock.{key}") for key, value in table.items()}


def _table(tables: dict[str, Any], key: str, file: Path) -> dict[str, Any]:
    table = tables.get(key, {})
    if not isinstance(table, dict):
        raise InputError("this must be a table", file, key, table, f"a table headed [{key}]")
    return table


def _read_laws(rows: object, file: Path) -> tuple[LawRequest, ...]:
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("the laws must be a list", file, "laws", allowed="tables headed [[laws]]")
    if not rows:
        raise InputError(
            "no law to try",
            file,
            "laws",
            allowed="at least one [[laws]] table with its law",
            hint=f"laws are {', '.join(LAWS)}",
        )
    return tuple(request for place, row in enumerate(rows, 1) for request in _read_law(row, f"laws[{place}]", file))


def _read_law(row: dict[str, Any], where: str, file: Path) -> list[LawRequest]:
    for key in row:
        if key not in LAW_KEYS:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{known}" for known in LAW_KEYS], file)
    if "law" not in row:
        raise InputError("missing key", file, f"{where}.law", allowed=f"one of {', '.join(LAWS)}")
    law = tomlfile.choice(Choice(tuple(LAWS), "the law that fixes the factor"), row["law"], file, f"{where}.law")
    drive_rule = tomlfile.choice(
        Choice(tuple(DRIVE_RULES), "what the drive does"),
        row.get("drive_rule", "as-bought"),
        file,
        f"{where}.drive_rule",
    )
    rules = row.get("speed_rules", ["hold-tip-speed"])
    if not isinstance(rules, list) or not rules:
        raise InputError(
            "the speed rules must be a list", file, f"{where}.speed_rules", rules, 'a list such as ["hold-tip-speed"]'
        )
    options = Choice(tuple(SPEED_RULES), "what the rotor speed does")
    speed_rules = [tomlfile.choice(options, rule, file, f"{where}.speed_rules") for rule in rules]
    length_key: Any = row.get("key")
    target = positive(row["target"], "m", file, f"{where}.target") if "target" in row else None
    check_law(law, length_key, target, file, where)
    return [LawRequest(law, rule, drive_rule, length_key, target) for rule in speed_rules]


def _read_sizes(table: dict[str, Any], file: Path) -> dict[str, float]:
    for key in table:
        if key not in SIZE_KEYS:
            raise tomlfile.unknown(f"size_limit.{key}", [f"size_limit.{known}" for known in SIZE_KEYS], file)
    return {key: positive(value, "m", file, f"size_limit.{key}") for key, value in table.items()}


def _read_swaps(table: dict[str, Any], file: Path) -> dict[str, str]:
    found: dict[str, str] = {}
    for old, new in table.items():
        materials.material(old, file, f"swaps.{old}")
        word = tomlfile.choice(Choice(None, "name of a material"), new, file, f"swaps.{old}")
        found[old] = materials.material(word, file, f"swaps.{old}").name
    return found


def _read_change(name: str, row: object, file: Path) -> PartChange:
    where = f"parts.{name}"
    if not isinstance(row, dict):
        raise InputError("this must be a table", file, where, row, f"a table headed [{where}]")
    for key in row:
        if key not in PART_KEYS:
            raise tomlfile.unknown(f"{where}.{key}", [f"{where}.{known}" for known in PART_KEYS], file)
    material: str | None = None
    if "material" in row:
        material = tomlfile.choice(Choice(None, "name of a material"), row["material"], file, f"{where}.material")
        materials.material(material, file, f"{where}.material")
    return PartChange(
        mass=positive(row["mass"], "kg", file, f"{where}.mass") if "mass" in row else None,
        material=material,
        kind=_word(row, "kind", tuple(KINDS), where, file),
        count=count(row["count"], file, where) if "count" in row else None,
        thickness=positive(row["thickness"], "m", file, f"{where}.thickness") if "thickness" in row else None,
        thickness_rule=_word(row, "thickness_rule", THICKNESS_RULES, where, file),
    )


def _word(row: dict[str, Any], key: str, allowed: tuple[str, ...], where: str, file: Path) -> str | None:
    if key not in row:
        return None
    return tomlfile.choice(Choice(allowed, key), row[key], file, f"{where}.{key}")


def _check_words(words: dict[str, str], file: Path) -> None:
    """What decides which formulas apply cannot change at a port: that would be another robot."""
    for key in words:
        if key.endswith(".kind"):
            raise InputError("a part's kind is changed elsewhere", file, f"port.{key}", hint="change it under [parts]")
        if key.startswith("stock_files."):
            raise InputError("a file of your own is named elsewhere", file, f"port.{key}",
                             hint="name it in the design's [stock_files], or under [stock]")
        decides = any(trait.startswith(f"{key}=") for entry in book.entries for trait in entry.when)
        if decides or key in ("name", "rotor.transmission") or key.endswith(".part"):
            raise InputError("this cannot change at the port", file, f"port.{key}", hint="write another design file")


def _check_motor(numbers: dict[str, float], file: Path) -> None:
    """A motor that the brief names must be named whole: a half-known motor would be half scaled."""
    for table in ("rotor.motor", "drive.motor"):
        electrical = [f"{table}.{name}" for name in ("kv", "resistance", "no_load_current")]
        whole = [*electrical, f"{table}.mass"] + ([f"{table}.current_limit"] if table == "rotor.motor" else [])
        if any(key in numbers for key in electrical):
            for key in whole:
                if key not in numbers:
                    raise InputError(
                        f"missing key: {book.variables[key].meaning}",
                        file,
                        f"port.{key}",
                        hint="a motor that the brief names needs all of its data",
                    )
