"""The design file: the reference robot, read and checked into SI numbers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from scaling.cad.part_mesh import too_large
from scaling.files import toml as tomlfile
from scaling.files.errors import InputError
from scaling.files.units import EXAMPLES, format_value
from scaling.formulas import book
from scaling.robot.derived import derive, table_of
from scaling.robot.fasteners import Fastener, read_fasteners
from scaling.robot.own_parts import WORDS, own_parts
from scaling.robot.parts import Part, read_parts, reconcile
from scaling.robot.positions import COVERED, Vector, WholeBody, read_positions, whole_body
from scaling.robot.stock_rows import StockRow, read_rows
from scaling.shop import materials

DOUBTFUL = 0.1
"""Share by which a stated number may differ from that of the parts' positions before it is said."""

REQUIRED_TABLES = ("", "drive", "drive.motor", "wheel", "arena", "match")
ROTOR_TABLES = ("rotor.motor", "opponent")
"""Tables that a design with a rotor must have; every other table is optional, and whole when present."""

DEFAULT_TABLES = ("air", "driver", "opponent")
"""Tables whose keys all may be left out, since the surroundings are there anyway."""


@dataclass(frozen=True)
class Design:
    """The reference robot.

    ``variables`` are SI numbers under the dotted keys of the file, derived ones included; ``traits``
    the choices that decide which formulas apply, such as 'rotor.axis=across'; ``parts`` the mass sum.
    ``notes`` are sentences on what was assumed where the file says nothing; ``stock`` the dimensions that
    come from a shelf; ``fasteners`` the joints of the table of holes; ``body`` what the
    parts' positions say of the whole robot; ``stated`` the keys that the file or a default gives, from which the
    others are derived; ``can_inertia`` that of a hub motor's can where it is stated.
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

    @property
    def has_rotor(self) -> bool:
        """Whether the robot has a rotor; a pusher has none."""
        return "rotor" in self.traits


def load_design(path: Path) -> Design:
    """Read and check the design file at ``path``; raises InputError for the first mistake in it."""
    tables = tomlfile.read(path)
    if "reference" in tables:
        raise InputError(
            "this is a brief, not a design file",
            path,
            "reference",
            hint="give the brief to scaling study, or name the design itself",
        )
    parts = read_parts(tables.get("parts", []), path)
    given = tomlfile.flatten(tables, ("parts", "stock", "fasteners", "positions"), path)
    numbers, words = read_keys(given, path)
    for key in words:
        if key.startswith("stock_files."):
            words[key] = str(path.parent / words[key])
    # With positions the centre of gravity may follow from them, once the masses are known.
    require(numbers, words, tables, path, {"cg_height"} if "positions" in tables else set())
    notes: list[str] = [doubt for part in parts for doubt in part.doubts]
    parts = reconcile((*own_parts(numbers, words), *parts), numbers.pop("mass", None), path)
    if not parts:
        raise InputError("the design has no parts", path, "parts", allowed="at least one [[parts]] table")
    numbers["mass"] = sum(part.total for part in parts)
    places = read_positions(tables.get("positions", {}), parts, path)
    body = _use_positions(whole_body(parts, places, numbers["mass"]), numbers, path, notes)
    _use_place_of_rotor(body, places.get("rotor", []), numbers, words, path, notes)
    stated, can_inertia = frozenset(numbers), numbers.get("rotor.motor.inertia")
    notes += [text for part in parts if (text := too_large(part.body, part.name, numbers["length"]))]
    derive(numbers, words, path, notes)
    numbers.setdefault("mass_limit", numbers["mass"])
    traits = traits_of(numbers, words)
    if "rotor" in traits:
        _set_rotor_speed(numbers, traits, path)
        set_opponent(numbers, traits)
    rows = read_rows(tables.get("stock", []), numbers, path)
    joints = read_fasteners(tables.get("fasteners", []), words, numbers, path)
    _check_own_parts(words, parts, path)
    return Design(
        words["name"], path, numbers, words, parts, traits, tuple(notes), rows, joints, body, stated, can_inertia
    )


def read_keys(given: dict[str, Any], file: Path, prefix: str = "") -> tuple[dict[str, float], dict[str, str]]:
    """Split flat file keys into SI numbers and words; raises InputError for unknown keys and bad values."""
    known = book.variables
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    for key, value in given.items():
        if key in known:
            numbers[key] = tomlfile.number(known[key], value, file, prefix + key)
        elif key in WORDS:
            words[key] = tomlfile.choice(WORDS[key], value, file, prefix + key)
            if key.endswith("material"):
                materials.material(value, file, prefix + key)
        else:
            raise tomlfile.unknown(prefix + key, [prefix + name for name in (*known, *WORDS)], file)
    return numbers, words


def require(
    numbers: dict[str, float], words: dict[str, str], tables: dict[str, Any], file: Path, spared: set[str]
) -> None:
    """Fill defaults into ``numbers`` and ``words``.

    Raises InputError for a missing key of a present table, save those ``spared``.
    """
    present = {table_of(key) for key in (*numbers, *words)} | {
        name for name, value in tables.items() if isinstance(value, dict)
    }
    has_rotor = any(table == "rotor" or table.startswith("rotor.") for table in present)
    present |= set(REQUIRED_TABLES) | set(ROTOR_TABLES if has_rotor else ()) | set(DEFAULT_TABLES[:2])
    if has_rotor:
        present.add("rotor")
    if "rotor.speed" in numbers and not any(table_of(key) == "rotor.motor" for key in numbers):
        present.discard("rotor.motor")
    for key, options in WORDS.items():
        if table_of(key) in present and key not in words:
            if options.default is not None:
                words[key] = options.default
            elif not options.optional:
                raise _missing(key, options.meaning, file, ", ".join(options.allowed) if options.allowed else None)
    for key, variable in book.variables.items():
        if table_of(key) not in present or key in numbers:
            continue
        if variable.default is not None:
            numbers[key] = variable.default
        elif not variable.optional and not variable.derived and key not in spared:
            raise _missing(key, variable.meaning, file, None)


def _missing(key: str, meaning: str, file: Path, allowed: str | None) -> InputError:
    table = table_of(key)
    variable = book.variables.get(key)
    if allowed is None and variable is not None:
        allowed = f"text such as {EXAMPLES.get(variable.unit)}" if variable.unit != "1" else "a plain number"
    return InputError(
        f"missing key: {meaning}",
        file,
        key,
        allowed=allowed,
        hint=f"add it to [{table}]" if table else "add it before the first table",
    )


def traits_of(numbers: dict[str, float], words: dict[str, str]) -> frozenset[str]:
    """The traits by which formulas know whether they apply to a design."""
    traits = {f"{key}={word}" for key, word in words.items() if WORDS[key].allowed is not None}
    traits.add("rotor" if "rotor.diameter" in numbers else "pusher")
    if words.get("rotor.axis") in ("across", "along"):
        traits.add("rotor.axis=level")
    return frozenset(traits)


def _use_positions(
    body: WholeBody | None, numbers: dict[str, float], file: Path, notes: list[str]
) -> WholeBody | None:
    """Take centre of gravity and inertias from the parts' positions where the file does not state them."""
    enough = body is not None and body.share >= COVERED
    if not enough and "cg_height" not in numbers:
        share = 0.0 if body is None else body.share
        raise InputError(
            f"the positions cover {100 * share:.0f} % of the mass, too little to give the centre of gravity",
            file,
            "cg_height",
            hint=f"state it, or place parts to {100 * COVERED:.0f} % of the mass",
        )
    if body is None or not enough:
        return body
    found = {
        "cg_height": body.centre[2],
        "cg_ahead": body.centre[0],
        "roll_inertia": body.roll_inertia,
        "yaw_inertia": body.yaw_inertia,
    }
    _take(found, numbers, file, notes)
    return body


def _take(found: dict[str, float], numbers: dict[str, float], file: Path, notes: list[str]) -> None:
    """Set what the parts' positions give and the file does not state; note where both differ."""
    for key, value in found.items():
        if value <= 0:
            raise InputError(
                "the positions of the parts give what cannot be",
                file,
                "positions",
                f"{key} {value:.3g}",
                "above zero",
                "x is ahead of the rear contact, z above the floor",
            )
        stated = numbers.setdefault(key, value)
        if abs(stated / value - 1) > DOUBTFUL:
            notes.append(
                f"{key} is stated as {format_value(stated, book.variables[key].unit)}, but the parts' positions "
                f"give {format_value(value, book.variables[key].unit)}: the stated one counts"
            )


def _use_place_of_rotor(
    body: WholeBody | None,
    places: list[Vector],
    numbers: dict[str, float],
    words: dict[str, str],
    file: Path,
    notes: list[str],
) -> None:
    """Take from the positions how the machine answers a hit: its inertia in the rotor's plane, the axle's lever.

    A rotor across the machine hits up or down ahead of it and an upright one sideways, both at the front: the lever is
    how far the axle is ahead of the centre of gravity. One along the machine hits wherever it is met; its lever must be
    stated.
    """
    axis = words.get("rotor.axis")
    if body is None or body.share < COVERED or len(places) != 1 or axis not in ("across", "upright"):
        return
    inertia = body.pitch_inertia if axis == "across" else body.yaw_inertia
    _take({"rotor.hit_inertia": inertia}, numbers, file, notes)
    numbers.setdefault("rotor.axle_lever", abs(places[0][0] - numbers["cg_ahead"]))


def set_opponent(numbers: dict[str, float], traits: frozenset[str]) -> None:
    """Without an ``[attacker]``, let the class's opponent have this robot's own rotor."""
    names = ("specific_energy", "tip_speed", "hit_bite_depth")
    own = book.evaluate(numbers, traits, only=names)
    if any(key.startswith("attacker.") for key in numbers) or not set(names) <= set(own):
        return
    numbers |= {
        "attacker.specific_energy": float(own["specific_energy"]) * numbers["mass"] / numbers["mass_limit"],
        "attacker.tip_speed": float(own["tip_speed"]),
        "attacker.bite": float(own["hit_bite_depth"]),
        "attacker.tooth_width": numbers["rotor.tooth_width"],
        "attacker.diameter": numbers["rotor.diameter"],
    }


def _check_own_parts(words: dict[str, str], parts: tuple[Part, ...], file: Path) -> None:
    """A table that takes its thickness from a part must name one that has a thickness."""
    sheets = [part.name for part in parts if part.thickness is not None]
    for key, word in words.items():
        if key.endswith(".part") and word not in sheets:
            raise InputError("no part with a thickness has this name", file, key, word, ", ".join(sheets) or None)


def _set_rotor_speed(numbers: dict[str, float], traits: frozenset[str], file: Path) -> None:
    if "rotor.speed" in numbers:
        return
    reached = book.evaluate(numbers, traits, only=["rotor_speed_as_motored"]).get("rotor_speed_as_motored")
    if reached is None or not reached > 0:
        raise InputError(
            "the rotor's speed cannot be worked out",
            file,
            "rotor.speed",
            hint="state rotor.speed, or the rotor's motor and the pack",
        )
    numbers["rotor.speed"] = float(reached)
