"""Reading a TOML file and its keys: every mistake becomes one sentence with file and dotted key."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scaling.files import units
from scaling.files.bounds import BOUNDS, COUNTED
from scaling.files.errors import InputError, nearest_of
from scaling.files.sane import check_sane, check_text
from scaling.files.schema import ALLOWED
from scaling.files.sentence import listed
from scaling.files.text import read_text
from scaling.files.trade_words import word_meant

if TYPE_CHECKING:
    from collections.abc import Collection

    from scaling.files.bounds import Bound
    from scaling.files.schema import Choice, Number

DEEPEST = 8
"""Dots in the longest key that a file may hold; ours have three."""

BARE = re.compile(r"[A-Za-z0-9_-]+")
"""Names that TOML takes without quotes."""


def read(path: Path) -> dict[str, Any]:
    """Return the tables of the design or brief at ``path``; raises InputError for anything that is not TOML."""
    tables = tables_of(path, BOUNDS["design or brief file"])
    if not tables:
        raise InputError("the file is empty", path, hint="let scaling init write a starter")
    return tables


def tables_of(path: Path, bound: Bound) -> dict[str, Any]:
    """Return the tables of the TOML file at ``path``, which may hold nothing; raises InputError for what is none."""
    text = read_text(path, bound, "a TOML file")
    check_text(text, path)
    try:
        tables = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # what the interpreter says of its depth differs from call to call
        raise InputError(
            f"the file is not TOML: {_slip(error, text)}", path, hint="compare it with what scaling init writes"
        ) from None
    check_sane(tables, path)
    return tables


def _line_of_digits(text: str) -> int:
    """The line of the longest number."""
    lines = (max(map(len, re.findall(r"[0-9_]+", line)), default=0) for line in text.split("\n"))
    return max(enumerate(lines, 1), key=lambda numbered: numbered[1])[0]


def _slip(error: Exception, text: str) -> str:
    """What is wrong with a file that is not TOML, without the interpreter's own terms."""
    if isinstance(error, RecursionError):
        return "nested too deep"
    if not isinstance(error, tomllib.TOMLDecodeError):
        return f"a number has too many digits, or a date is none, at line {_line_of_digits(text)}"
    key = re.compile(r"\((?:'[^']*',? ?)+\)")
    slip = key.sub(lambda names: '"' + ".".join(re.findall("'([^']*)'", names[0])) + '"', str(error))
    slip = re.sub(r"""(['"])((?:\\x|\\u)?[^'"]{1,10})\1""", r'"\2"', slip)
    slip = re.sub(r"\\x([0-9a-f]{2})", r"\\u00\1", slip)
    return re.sub(r" \(at (.*)\)$", r" at \1", f"{slip[:1].lower()}{slip[1:]}")


def flatten(tables: dict[str, Any], arrays: Collection[str], file: Path, prefix: str = "") -> dict[str, Any]:
    """Return the plain values of nested tables by dotted key; ``arrays`` names the keys to leave out."""
    found: dict[str, Any] = {}
    for name, value in tables.items():
        key = f"{prefix}{name}"
        if key in arrays:
            continue
        if isinstance(value, dict):
            if key.count(".") > DEEPEST:
                raise InputError("the tables are nested too deep", file, key, hint="the deepest keys have three dots")
            found |= flatten(value, arrays, file, f"{key}.")
        else:
            found[key] = value
    return found


def number(variable: Number, value: object, file: Path, key: str | None = None) -> float:
    """Return the SI value that a file gives to ``variable``, held to what the variable allows."""
    key = key or variable.key
    result = units.read(value, variable.unit, file, key)
    holds = {
        "positive": result > 0,
        "not negative": result >= 0,
        "fraction": 0 <= result <= 1,
        "share": 0 < result <= 1,
        "count": result >= 1 and result == int(result),
        "any": True,
    }
    if not holds[variable.allowed]:
        raise InputError(f"the {variable.meaning} cannot be this", file, key, value, ALLOWED[variable.allowed])
    if variable.allowed == "count" and result > COUNTED.most:
        raise InputError(f"no robot has so many ({variable.meaning})", file, key, value, f"1 to {COUNTED.most}")
    return result


def choice(options: Choice, value: object, file: Path, key: str) -> str:
    """Return the word that a file gives to ``key``; raises InputError for one that is not allowed."""
    if not isinstance(value, str) or not value.strip():
        allowed = f"one of {listed(options.allowed)}" if options.allowed else "text in quotes"
        raise InputError(f"this must be text ({options.meaning})", file, key, value, allowed)
    if not value.isprintable():  # it will be printed, and must not steer the terminal
        raise InputError("this text holds control characters", file, key, value, "printable text")
    if options.allowed is not None and value not in options.allowed:
        raise InputError(
            "this word is not known here",
            file,
            key,
            value,
            f"one of {listed(options.allowed)}",
            word_meant(value, options.allowed),
        )
    return value


def unknown(key: str, known: Collection[str], file: Path) -> InputError:
    """Return the error for a key that means nothing, with the nearest known one."""
    meant = meant_by(key, known)
    hint = "scaling keys lists every key" if meant is None else f'did you mean "{meant}"?'
    return InputError("unknown key", file, key, hint=hint)


def meant_by(key: str, known: Collection[str]) -> str | None:
    """Return the known dotted key that a misspelt one most likely means, None when nothing is near."""
    near = nearest_of(key, known)
    if near is None:
        table, _, last = key.rpartition(".")
        beside = {name.rpartition(".")[2]: name for name in known if name.rpartition(".")[0] == table}
        word = nearest_of(last, beside)
        near = None if word is None else beside[word]
    return near


def quoted(name: str) -> str:
    """Return a name as TOML writes it in a dotted key: in quotes unless it is of letters, digits, - and _ only."""
    return name if BARE.fullmatch(name) else f'"{name}"'
