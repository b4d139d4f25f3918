"""The design file: the reference robot, read and checked into SI numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from scaling.cad.part_mesh import too_large
from scaling.files import toml as tomlfile
from scaling.files.errors import InputError, Mistakes, nearest_of
from scaling.files.known import Known
from scaling.files.reading import allowed, is_missing, missing, read_value, row_name
from scaling.files.schema import Table
from scaling.files.sentence import listed
from scaling.formulas import book
from scaling.robot.derived import derive, table_of
from scaling.robot.doubts import doubts
from scaling.robot.estimates import Estimate
from scaling.robot.fasteners import Fastener, joints_of, read_fasteners
from scaling.robot.likely import Doubt
from scaling.robot.likeness import parted, ties_of
from scaling.robot.own_parts import OWN_PARTS, WORDS
from scaling.robot.part_doubts import fastener_doubts, part_doubts
from scaling.robot.part_rows import read_parts
from scaling.robot.parts import Part
from scaling.robot.placed import placed_doubts
from scaling.robot.positions import COVERED, Vector, WholeBody, check_positions, read_positions
from scaling.robot.possible import refuse_impossible
from scaling.robot.schema import DESIGN, PARTS
from scaling.robot.service import read_removals, set_service
from scaling.robot.stock_rows import StockRow, read_rows, stock_rows_of
from scaling.robot.worked_out import set_opponent, set_rotor_speed, use_place_of_rotor, use_positions, whole_sum
from scaling.shop.shelves import Shelves


@dataclass(frozen=True)
class Design:
    """The reference robot.

    ``variables`` are SI numbers under the dotted keys of the file, derived ones included; ``traits``
    the choices that decide which formulas apply, such as 'rotor.axis=across'; ``parts`` the mass sum.
    ``notes`` are sentences on what was assumed where the file says nothing; ``stock`` the dimensions that
    come from a shelf; ``fasteners`` the joints of the table of holes; ``body`` what the
    parts' positions say of the whole robot; ``stated`` the keys that the file or a default gives, from which the
    others are derived; ``can_inertia`` that of a hub motor's can where it is stated; ``shelves`` what its
    words name bolts and cells of; ``estimates`` what was estimated since the file leaves it out; ``said`` the keys of
    plain tables that the file itself states; ``ties`` the part of the mass sum that a table is, by table; ``places``
    where parts are; ``given`` the numbers that everything else was worked out from, and ``listed`` the parts of the
    file's list, None where it has none.
    """

    name: str
    file: Path
    variables: dict[str, float]
    choices: dict[str, str]
    parts: tuple[Part, ...]
    traits: frozenset[str]
    notes: tuple[str, ...]
    stock: tuple[StockRow, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    body: WholeBody | None = None
    stated: frozenset[str] = frozenset()
    can_inertia: float | None = None
    shelves: Shelves = field(default_factory=Shelves)
    estimates: tuple[Estimate, ...] = ()
    said: frozenset[str] = frozenset()
    ties: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, Sequence[Vector]] = field(default_factory=dict)
    given: Mapping[str, float] = field(default_factory=dict)
    listed: tuple[Part, ...] | None = None

    def __hash__(self) -> int:
        """By name and file, so that what was worked out of a design can be kept by it."""
        return hash((self.name, self.file))

    @property
    def has_rotor(self) -> bool:
        """Whether the robot has a rotor; a pusher has none."""
        return "rotor" in self.traits

    @cached_property
    def doubts(self) -> tuple[Doubt, ...]:
        """What is unlikely in the file, or contradicts something else in it."""
        name = "rotor_speed_as_motored"
        reached = book.evaluate(self.variables, self.traits, only=[name]).get(name)
        found = doubts(self.variables, self.choices, self.stated, None if reached is None else float(reached))
        found += parted(self.variables, self.choices, self.parts, self.ties)
        found += part_doubts(self.variables, self.parts) + fastener_doubts(self.fasteners, self.shelves)
        found += placed_doubts(self.variables, self.choices, self.stated, self.places, self.body)
        return tuple(found)


def load_design(path: Path) -> Design:
    """Read and check the design file at ``path``; raises InputError for a mistake in it, InputErrors for several."""
    return read_design(tomlfile.read(path), path)


def read_design(tables: dict[str, Any], path: Path) -> Design:
    """Check the tables of a design file; raises InputError for a mistake in it, InputErrors for several."""
    if "reference" in tables:
        raise InputError(
            "this is a brief, not a design file",
            path,
            "reference",
            hint="give the brief to scaling study, or name the design itself",
        )
    mistakes, notes = Mistakes(path), list[str]()
    listed = read_parts(tables, path, mistakes)
    numbers, words = _read_tables(tables, path, mistakes)
    dimensions = read_rows(tables, path, mistakes)
    joints = read_fasteners(tables, path, mistakes)
    removals = read_removals(tables, path, mistakes)
    places = read_positions(tables, path, mistakes)
    shelves = _own_shelves(words, path, mistakes)
    words = words.but([key for key, word in words.items() if not mistakes.attempt(shelves.checked, key, word, key)])
    said = dict(numbers)
    whole = None
    rows = tables.get("parts", [])
    if isinstance(rows, list) and len(listed) == len(rows):  # else one of them cannot be read
        whole = mistakes.attempt(whole_sum, listed if "parts" in tables else None, numbers, words, path, notes)
    _check_places(places, whole, tables, path, mistakes)
    body = None
    if whole is not None:
        notes += [doubt for part in listed for doubt in part.doubts]
        numbers["mass"] = sum(part.total for part in whole)
        numbers.setdefault("mass_limit", numbers["mass"])
        if not any((error.key or "").startswith("positions") for error in mistakes.found):
            body = mistakes.attempt(use_positions, places, whole, numbers, path)
            notes += _too_few_places(body, numbers)
            mistakes.attempt(use_place_of_rotor, body, places.get("rotor", []), numbers, words, path)
    mistakes.attempt(set_service, removals, numbers, words)
    stated, can_inertia = frozenset(numbers), dict(numbers).get("rotor.motor.inertia")
    with mistakes.kept():
        notes += [text for part in whole or () if (text := too_large(part.body, part.name, numbers["length"]))]
    estimates = derive(numbers, words, shelves, mistakes, notes)
    with mistakes.kept():
        refuse_impossible(numbers, traits_of(numbers, words), mistakes)
    stock = stock_rows_of(dimensions, numbers, path, mistakes)
    fasteners = joints_of(joints, words, numbers, shelves, path, mistakes)
    if whole is not None:
        _check_own_parts(words, whole, path, mistakes)
    mistakes.settle()
    assert whole is not None  # noqa: S101 - else there is a mistake
    traits = traits_of(numbers, words)
    if "rotor" in traits:
        set_rotor_speed(numbers, traits, path)
        estimates += set_opponent(numbers, traits)
    return Design(
        words["name"], path, dict(numbers), dict(words), whole, traits, tuple(notes), stock, fasteners, body, stated,
        can_inertia, shelves, tuple(estimates), frozenset(_plain(tables, path)),
        ties_of(numbers, words, whole), dict(places), said, listed if "parts" in tables else None,
    )


def _own_shelves(words: Mapping[str, str], file: Path, mistakes: Mistakes) -> Shelves:
    """The shelves with the builder's own files in them."""
    start = "stock_files."
    own = {key.removeprefix(start): file.parent / word for key, word in words.items() if key.startswith(start)}
    return Shelves.read(own, mistakes)


def _check_places(
    places: Mapping[str, Any], parts: tuple[Part, ...] | None, tables: Mapping[str, Any], file: Path, mistakes: Mistakes
) -> None:
    """Keep places that fit no part; where the parts are not all known, those of no part that the file may name."""
    if parts is not None:
        check_positions(places, {part.name: part.count for part in parts}, file, mistakes)
        return
    rows = tables.get("parts", [])
    names = [row_name(PARTS, row) for row in rows if isinstance(row, dict)] if isinstance(rows, list) else [None]
    if None not in names:
        check_positions(places, dict.fromkeys([*map(str, names), *(own.name for own in OWN_PARTS)]), file, mistakes)


def _read_tables(
    tables: dict[str, Any], file: Path, mistakes: Mistakes
) -> tuple[Known[float], Known[str]]:
    """Return the numbers and words of the plain tables, defaults among them; keeps what is wrong or missing."""
    given = _plain(tables, file)
    numbers, words, meant = read_keys(given, file, mistakes)
    known = {*given, *meant, *(table_of(key) for key in given if table_of(key) in DESIGN.keys)}
    there = {name for name, value in tables.items() if isinstance(value, dict)} | {table_of(key) for key in known}
    unread = {key for key in DESIGN.keys if key in known or not known.isdisjoint(_tables_over(key))}
    for table in _counting(there, known):
        beside = {key.rpartition(".")[2]: given.get(key) for key in known if table_of(key) == table.name}
        lacking = []
        for key in table.keys:
            dotted = table.dotted(key)
            if dotted in known:
                continue
            if key.default is not None:
                (numbers if key.kind == "number" else words)[dotted] = key.default
            elif is_missing(key, beside if table.name else {**tables, **beside}):
                lacking.append(key)
        unread |= {table.dotted(key) for key in lacking}
        if len(lacking) > 1 and table.name not in there:
            needs = f"a table headed {table.heading} with {listed(key.name for key in lacking)}"
            mistakes.add(InputError(f"missing table: {table.meaning}", file, table.name, allowed=needs))
        else:
            for key in lacking:
                mistakes.add(missing(key, table.name, file, table.name))
    unread -= {*numbers, *words}
    return Known(numbers, unread), Known(words, unread)


def _tables_over(key: str) -> list[str]:
    """The tables that a dotted key stands in, the outermost first."""
    return [key[:place] for place, letter in enumerate(key) if letter == "."]


def _plain(tables: dict[str, Any], file: Path) -> dict[str, Any]:
    """What the file states in its plain tables, by dotted key."""
    return tomlfile.flatten(tables, [table.name for table in DESIGN.tables if table.shape != "table"], file)


def _counting(there: set[str], known: set[str]) -> list[Table]:
    """The plain tables that count: those that are ``there``, and those that must be; save what is no table at all."""
    has_rotor = any(name == "rotor" or name.startswith("rotor.") for name in there)
    musts = {"always"} | ({"with a rotor"} if has_rotor else set())
    return [
        table
        for table in DESIGN.tables
        if table.shape == "table"
        and (table.name in there or table.required in musts)
        and not (table.unless in known and table.name not in there)
        and not any(table.name == key or table.name.startswith(f"{key}.") for key in known)
    ]


def read_keys(
    given: dict[str, Any], file: Path, mistakes: Mistakes, prefix: str = ""
) -> tuple[dict[str, float], dict[str, str], set[str]]:
    """Split flat file keys into SI numbers and words; keeps unknown keys and bad values.

    Also returns the known keys that misspelt ones most likely mean. Of a table that is not known only the first key
    is said.
    """
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    meant: set[str] = set()
    strange: set[str] = set()
    for key, value in given.items():
        with mistakes.kept():
            if key in DESIGN.keys:
                result = read_value(DESIGN.keys[key], value, file, prefix + key)
                (numbers if DESIGN.keys[key].kind == "number" else words)[key] = result
                continue
            table = table_of(key)
            meant |= _meant(key, table)
            if table in DESIGN.by_name or table not in strange:
                strange.add(table)
                raise _unknown(key, value, file, prefix)
    return numbers, words, meant


def _meant(key: str, table: str) -> set[str]:
    """The known keys that a misspelt one stands for: the nearest, and all of the table that its own most likely is."""
    found = {near} if (near := tomlfile.meant_by(key, DESIGN.keys)) is not None else set[str]()
    if table not in DESIGN.by_name and (other := nearest_of(table, DESIGN.by_name)):
        found |= {DESIGN.by_name[other].dotted(each) for each in DESIGN.by_name[other].keys}
    return found


def _unknown(key: str, value: object, file: Path, prefix: str) -> InputError:
    """The error for a key that no table has, or that is where a table or a value should be."""
    if key in DESIGN.by_name:
        return InputError("this must be a table", file, prefix + key, value, f"a table headed [{prefix}{key}]")
    if table_of(key) in DESIGN.keys:
        allows = allowed(DESIGN.keys[table_of(key)])
        return InputError("this must be a value, not a table", file, prefix + table_of(key), allowed=allows)
    return tomlfile.unknown(prefix + key, [prefix + name for name in DESIGN.keys], file)


def traits_of(numbers: dict[str, float], words: dict[str, str]) -> frozenset[str]:
    """The traits by which formulas know whether they apply to a design."""
    traits = {f"{key}={word}" for key, word in words.items() if WORDS[key].allowed is not None}
    traits.add("rotor" if "rotor.diameter" in numbers else "pusher")
    if words.get("rotor.axis") in ("across", "along"):
        traits.add("rotor.axis=level")
    return frozenset(traits)


def _too_few_places(body: WholeBody | None, numbers: Mapping[str, float]) -> list[str]:
    """What is noted where the positions are there and do not give the centre of gravity."""
    if body is None or body.share >= COVERED or "cg_height" in numbers:
        return []
    return [
        f"the positions cover {100 * body.share:.0f} % of the mass, too little to give the centre of gravity: "
        f"place parts to {100 * COVERED:.0f} % of it"
    ]


def _check_own_parts(words: dict[str, str], parts: tuple[Part, ...], file: Path, mistakes: Mistakes) -> None:
    """A table that takes its thickness from a part must name one that has a thickness; keeps those that do not."""
    sheets = [part.name for part in parts if part.thickness is not None]
    for key, word in words.items():
        if key.endswith(".part") and word not in sheets:
            mistakes.add(
                InputError("no part with a thickness has this name", file, key, word, listed(sheets) or None)
            )

