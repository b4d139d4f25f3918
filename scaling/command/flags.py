"""How the verbs read the flags that several of them share."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any

from scaling.files.errors import InputError


def scale_factors(text: str) -> float | tuple[float, ...]:
    """Return the scale factor that ``--factor`` says, or its three along x, y and z."""
    from scaling.files.units import read

    values = tuple(read(each, "1", None, "--factor") for each in text.split(","))
    if len(values) not in (1, 3) or min(values) <= 0:
        raise InputError("this is not a scale", None, "--factor", text, "one number above zero, or three")
    return values[0] if len(values) == 1 else values


def check_clock(clock: str | None) -> None:
    """Raise InputError where ``--clock`` names no clock."""
    from scaling.book.similarity import CLOCKS

    if clock is not None and clock not in CLOCKS:
        raise InputError("this clock is not known", None, "--clock", clock, " or ".join(CLOCKS))


def check_writing(out: Path | None, force: bool, as_json: bool) -> None:
    """Raise InputError for a flag on writing that would change nothing."""
    if as_json and out is not None:
        raise InputError("--json writes nothing", None, "--out", str(out), hint="leave out one of the two flags")
    if force and out is None:
        raise InputError("there is nothing to replace", None, "--force", hint="say by -o what to write")


def check_printing(clock: str | None, every: bool, only: Collection[str] | None, as_json: bool) -> None:
    """Raise InputError for a flag on what is printed of a study that would change nothing, or that names no clock."""
    check_clock(clock)
    beside = "--json" if as_json else "--only" if only else None
    if every and beside is not None:
        raise InputError(f"{beside} leaves nothing to add", None, "--all", hint="leave out one of the two flags")
    if clock is not None and (as_json or not (every or only)):
        mend = "leave it out: JSON has the drift by both" if as_json else "add --all or --only"
        raise InputError("the first screen tells no drift by a clock" if not as_json else "--json prints no table",
                         None, "--clock", clock, hint=mend)  # fmt: skip


def check_within(flag: str, value: int, least: int, most: int) -> None:
    """Raise InputError where a whole number that a flag gives is out of bounds."""
    if not least <= value <= most:
        raise InputError("this cannot be so many", None, flag, value, f"{least} to {most}")


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
