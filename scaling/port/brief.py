"""Reading a brief: where the reference is to go, by which laws, with what parts."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any, Literal

from scaling.files import toml as tomlfile
from scaling.files.bounds import BOUNDS, COUNTED
from scaling.files.errors import InputError, Mistakes
from scaling.files.reading import LONGEST_TEXT, Row, named_of, plain, read_row, read_value, rows_of, table_at
from scaling.files.sentence import escaped, listed
from scaling.formulas import book
from scaling.port.asked import Bound, Brief, LawRequest, ObjectiveRequest, PartChange
from scaling.port.freed import CELLS, FACTOR, check_free
from scaling.port.kind import is_brief
from scaling.port.laws import ASKED, LEAST_DRIFT, check_law
from scaling.port.levers import closure_row
from scaling.port.option_space import read_options
from scaling.port.rules import USUAL_DRIVE_RULE, USUAL_SPEED_RULE
from scaling.port.schema import (
    BRIEF,
    CLOSURE,
    DRAWN,
    HELD,
    LAW_ROWS,
    OBJECTIVE,
    OBJECTIVE_WEIGHTS,
    PART_CHANGES,
    ROOT,
    SHELF_FILES,
    SIZE_LIMIT,
    SWAPS,
    fixed_at_the_port,
)
from scaling.robot.design import Design, load_design, read_design, read_keys
from scaling.shop import materials
from scaling.shop.shelves import Shelves

__all__ = ["Bound", "Brief", "LawRequest", "PartChange", "load", "load_both", "load_brief"]

def load(path: Path) -> Brief | Design:
    """Read and check the file at ``path``, a brief if it names its design under ``reference``, else a design file."""
    tables = tomlfile.read(path)
    return read_brief(tables, path) if is_brief(tables) else read_design(tables, path)


def load_both(path: Path) -> tuple[Design, Brief | None]:
    """Read the design that the file at ``path`` is, or the brief that it is and the design that the brief names."""
    found = load(path)
    return (found, None) if isinstance(found, Design) else (load_design(found.design_file), found)


def load_brief(path: Path) -> Brief:
    """Read and check the brief at ``path``; raises InputError for its mistakes, all of a stage together."""
    return read_brief(tomlfile.read(path), path)


def read_brief(tables: dict[str, Any], path: Path) -> Brief:
    """Check the tables of the brief at ``path``; raises InputError for its mistakes, all of a stage together."""
    if "reference" not in tables and ("drive" in tables or "wheel" in tables):
        raise InputError("this is a design file, and a brief is wanted", path, "reference",
                         hint="scaling init writes a brief to put beside it")
    mistakes = Mistakes()
    root = _read_root(tables, path, mistakes)
    given = tables.get("port")
    port = given if isinstance(given, dict) else {}
    drawn = mistakes.attempt(_drawn, port[DRAWN.name], path) if DRAWN.name in port else None
    own = {key: value for key, value in port.items() if key != DRAWN.name}
    numbers, words = read_port({**tables, "port": own} if port else tables, path, mistakes)
    requests = [each for row in rows_of(LAW_ROWS, tables, path, mistakes, partial(_requests, path)) for each in row]
    mistakes.attempt(BOUNDS["ports"].check, len(requests), path, "laws")
    if not tables.get(LAW_ROWS.name, []) and DRAWN.name not in port:
        mistakes.add(InputError("no law to try", path, "laws", allowed="at least one [[laws]] table with its law",
                                hint=f"laws are {listed(ASKED)}"))
    sizes = plain(SIZE_LIMIT, tables, path, mistakes)
    files = plain(SHELF_FILES, tables, path, mistakes)
    parts = named_of(PART_CHANGES, tables, path, mistakes, lambda row: PartChange(**row.values))
    swaps = _read_swaps(tables, path, mistakes)
    limits = _read_limits(tables, path, mistakes)
    closure = rows_of(CLOSURE, tables, path, mistakes, partial(closure_row, path))
    options = read_options(tables, path, mistakes)
    objective = _read_objective(tables, path, mistakes)
    held = _read_held(tables, path, mistakes)
    shelves = Shelves()
    with mistakes.kept():
        shelves = Shelves.read({key: path.parent / value for key, value in files.items()})
    mistakes.settle()
    return Brief(
        name=root.get("name") or escaped(path.stem)[:LONGEST_TEXT],
        design_file=path.parent / root["reference"],
        file=path,
        mass_limit=root["mass_limit"],
        mass_margin=root["mass_margin"],
        requests=tuple(requests),
        size_limit=sizes,
        numbers=numbers,
        words=words,
        swaps=swaps,
        parts=parts,
        snap=root["snap"],
        limits=limits,
        closure=closure,
        shelves=shelves,
        options=options,
        objective=objective,
        held=held,
        drawn=drawn,
    )


def _drawn(value: object, file: Path) -> Design:
    """The machine whose design file ``[port]`` names, by a path relative to the brief."""
    where = f"port.{DRAWN.name}"
    return load_design(file.parent / read_value(DRAWN, value, file, where))


def _read_root(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> dict[str, Any]:
    """Return the values of the keys before the first table; keeps unknown tables among what is wrong."""
    names = {table.name.partition(".")[0] for table in BRIEF.tables}
    own = {name: value for name, value in tables.items() if name not in names}
    for name in [name for name in own if name not in ROOT.by_name]:
        with mistakes.kept():  # a table's name may be what is misspelt
            raise tomlfile.unknown(name, BRIEF.top, file)
    meant = {tomlfile.meant_by(name, BRIEF.top) for name in own if name not in ROOT.by_name}
    root: dict[str, Any] = {}
    with mistakes.kept():
        root = read_row(ROOT, {name: value for name, value in own.items() if name in ROOT.by_name}, "", file, meant)
        margin = root["mass_margin"]
        if not 0 <= margin < root["mass_limit"]:
            raise InputError("the margin cannot be this", file, "mass_margin", tables["mass_margin"],
                             "from zero to less than mass_limit")
    return root


def read_port(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> tuple[dict[str, float], dict[str, str]]:
    """Return the numbers and words of ``[port]``; keeps what is wrong or cannot change at a port."""
    own = Mistakes()
    given: dict[str, Any] = {}
    with own.kept():
        given = tomlfile.flatten(dict(table_at(tables, "port", file)), (), file)
    numbers, words, meant = read_keys(given, file, own, "port.")
    _check_motor({*given, *meant}, file, own)
    _check_words(words, file, own)
    if "battery.voltage" in numbers and not {"battery.cells"} & {*given, *meant}:
        own.add(InputError("a pack of another voltage needs its cells", file, "port.battery.cells",
                           allowed="a whole number from 1"))
    for error in own.found:
        mistakes.add(error)
    return numbers, words


def _read_limits(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> dict[str, Bound]:
    """Bounds of ``[limits.at_most]`` and ``[limits.at_least]``, by name of a quantity or key of a variable."""
    sides: dict[str, Literal["at most", "at least"]] = {"at_most": "at most", "at_least": "at least"}
    found: dict[str, Bound] = {}
    table: Mapping[str, Any] = {}
    with mistakes.kept():
        table = table_at(tables, "limits", file)
    for side, rows in table.items():
        with mistakes.kept():
            if side not in sides:
                raise tomlfile.unknown(f"limits.{side}", [f"limits.{known}" for known in sides], file)
            if not isinstance(rows, dict):
                raise InputError(
                    "this must be a table", file, f"limits.{side}", rows, f"a table headed [limits.{side}]"
                )
            known = BRIEF.by_name[f"limits.{side}"].by_name
            for name, value in tomlfile.flatten(rows, (), file).items():
                where = f"limits.{side}.{name}"
                with mistakes.kept():
                    if name not in known:
                        raise tomlfile.unknown(where, [f"limits.{side}.{each}" for each in known], file)
                    if name in found:
                        raise InputError("this is bounded twice", file, where, hint="keep one of the two bounds")
                    found[name] = Bound(name, read_value(known[name], value, file, where), sides[side], str(value))
    return found


def _read_objective(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> ObjectiveRequest:
    """What ``[objective]`` scores ports by; its mistakes are kept."""
    with mistakes.kept():
        table = table_at(tables, OBJECTIVE.name, file)
        own = {key: value for key, value in table.items() if key != "weights"}
        weights = plain(OBJECTIVE_WEIGHTS, {OBJECTIVE_WEIGHTS.name: table.get("weights", {})}, file, mistakes)
        return ObjectiveRequest(**read_row(OBJECTIVE, own, OBJECTIVE.name, file), weights=weights)
    return ObjectiveRequest()


def _requests(file: Path, row: Row) -> list[LawRequest]:
    """The requests of one row of ``[[laws]]``, one a speed rule."""
    values = row.values
    check_law(values["law"], values.get("key"), values.get("target"), file, row.where)
    if values["law"] == LEAST_DRIFT.name:
        return [_freed(file, row)]
    if "free" in values:
        raise InputError("this law frees nothing", file, f"{row.where}.free", hint=f"only {LEAST_DRIFT.name} does")
    return [
        LawRequest(values["law"], rule, values["drive_rule"], values.get("key"), values.get("target"))
        for rule in values["speed_rules"]
    ]


def _freed(file: Path, row: Row) -> LawRequest:
    """The request of the law that frees dimensions, which has no rules."""
    for key, usual in (("speed_rules", (USUAL_SPEED_RULE,)), ("drive_rule", USUAL_DRIVE_RULE)):
        if row.values[key] != usual:
            raise InputError("this law finds the rotor's speed and the drive's ratio itself", file,
                             f"{row.where}.{key}", hint="leave the rule out")
    free = row.values.get("free")
    checked = None if free is None else check_free(free, file, f"{row.where}.free")
    return LawRequest(LEAST_DRIFT.name, None, None, free=checked)


def _read_held(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> dict[str, float]:
    """What the law that frees dimensions keeps, by key; its factor among it."""
    (key,) = HELD.keys
    found: dict[str, float] = {}
    with mistakes.kept():
        for name, value in tomlfile.flatten(dict(table_at(tables, HELD.name, file)), (), file).items():
            where = f"{HELD.name}.{name}"
            with mistakes.kept():
                (known,) = check_free([name], file, where)
                if known.endswith(".material"):
                    raise InputError("a material is held elsewhere", file, where, hint="say it under [parts]")
                found[known] = read_value(key, value, file, where)
                if known == CELLS and (found[known] % 1 or found[known] > COUNTED.most):
                    raise InputError("cells are counted", file, where, value, f"a whole number to {COUNTED.most}")
        if found and FACTOR not in found:
            raise InputError("what is held is held at a factor", file, HELD.name, hint=f"state {FACTOR} there")
    return found


def _read_swaps(tables: dict[str, Any], file: Path, mistakes: Mistakes) -> dict[str, str]:
    (key,) = SWAPS.keys
    found: dict[str, str] = {}
    with mistakes.kept():
        for old, new in table_at(tables, SWAPS.name, file).items():
            where = f"{SWAPS.name}.{old}"
            with mistakes.kept():
                materials.material(old, file, where)
                found[old] = materials.material(read_value(key, new, file, where), file, where).name
    return found


def _check_words(words: dict[str, str], file: Path, mistakes: Mistakes) -> None:
    """What decides which formulas apply cannot change at a port: that would be another robot."""
    for key in words:
        if key.endswith(".kind"):
            hint = "change it under [parts]"
            mistakes.add(InputError("a part's kind is changed elsewhere", file, f"port.{key}", hint=hint))
        elif key.startswith("stock_files."):
            hint = "name it in the design's [stock_files], or under [stock]"
            mistakes.add(InputError("a file of your own is named elsewhere", file, f"port.{key}", hint=hint))
        elif fixed_at_the_port(key):
            hint = "write another design file"
            mistakes.add(InputError("this cannot change at the port", file, f"port.{key}", hint=hint))


def _check_motor(given: set[str], file: Path, mistakes: Mistakes) -> None:
    """A motor that the brief names must be named whole: a half-known motor would be half scaled."""
    for table in ("rotor.motor", "drive.motor"):
        electrical = [f"{table}.{name}" for name in ("kv", "resistance", "no_load_current")]
        whole = [*electrical, f"{table}.mass"] + ([f"{table}.current_limit"] if table == "rotor.motor" else [])
        lacking = [key for key in whole if key not in given]
        if lacking and any(key in given for key in electrical):
            names = ", ".join(key.rpartition(".")[2] for key in lacking)
            mistakes.add(
                InputError(
                    f"missing key{'s' if len(lacking) > 1 else ''}: "
                    f"{'; '.join(book.variables[key].meaning for key in lacking)}",
                    file,
                    f"port.{lacking[0]}" if len(lacking) == 1 else f"port.{table}",
                    allowed=names,
                    hint="a motor that the brief names needs all of its data",
                )
            )
