"""How the verbs read the flags that several of them share."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any

from scaling.files.errors import InputError


def scale_factors(text: str) -> float | tuple[float, ...]:
    """Return the scale factor that ``--factor`` says, or its three along x, y and z."""
    from scaling.files.units import parse

    values = tuple(parse(each, "1", None, "--factor") for each in text.split(","))
    if len(values) not in (1, 3) or min(values) <= 0:
        raise InputError("this is not a scale", None, "--factor", text, "one number above zero, or three")
    return values[0] if len(values) == 1 else values


def check_clock(clock: str | None) -> None:
    """Raise InputError where ``--clock`` names no clock."""
    from scaling.book.similarity import CLOCKS

    if clock is not None and clock not in CLOCKS:
        raise InputError("this clock is not known", None, "--clock", clock, " or ".join(CLOCKS))


def check_out(out: Path | None, force: bool) -> None:
    """Raise InputError where ``--out`` names a folder that a study cannot be written to, before it is worked out."""
    if out is not None:
        from scaling.files.folder import check_folder

        check_folder(out, force)


def quantities_named(only: Iterable[str] | None, had: Collection[str]) -> list[str] | None:
    """Return the names of the quantities that ``--only`` gives by name or label, None without it.

    Raises InputError for what is no quantity, and for what is not among those ``had``.
    """
    if not only:
        return None
    from scaling.formulas import book

    names = [book.find(text, key="--only") for text in only]
    for name in names:
        if name not in had:
            raise InputError("this quantity is absent here", None, "--only", name, hint=f"scaling explain {name}")
    return list(dict.fromkeys(names))


def narrowed(study: dict[str, Any], names: list[str] | None) -> dict[str, Any]:
    """Return a study's plain data with only those of its quantities, all without names."""
    if names is None:
        return study

    def kept(row: dict[str, Any]) -> dict[str, Any]:
        return row | {"quantities": {name: row["quantities"][name] for name in names if name in row["quantities"]}}

    return study | {"reference": kept(study["reference"]), "ports": [kept(port) for port in study["ports"]]}
