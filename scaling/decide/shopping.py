"""What a port needs from the shop: motors, pack, sheets, shafts and bolts, each with the numbers to look for."""

from __future__ import annotations

from scaling.files.units import format_short, format_value, shown_unit, to_shown
from scaling.formulas import book
from scaling.study.results import Port, Study

MOTORS = (("rotor.motor", "rotor motor", None), ("drive.motor", "drive motors", "drive.motors"))

SPOKEN = ("diameter", "kv", "resistance", "current_limit", "mass")
"""What a shop's page says of a motor."""


def shopping(study: Study, port: Port) -> list[str]:
    """Return what to buy for a port, a line each; nothing for one without a factor."""
    if port.factor is None:
        return []
    lines = [line for table, name, count in MOTORS if (line := _motor(study, port, table, name, count))]
    lines += _pack(study, port)
    return [*lines, *_sizes(port)]


def _sizes(port: Port) -> list[str]:
    """What comes from a shelf: sheets by their part, other sizes by their key, a line each kind."""
    sheets = [f"{snap.name} {_size(snap.snapped)} {snap.shelf.removeprefix('sheet ')}" for snap in port.snaps
              if snap.shelf.startswith("sheet ")]  # fmt: skip
    others = [f"{snap.name} {_size(snap.snapped)}" for snap in port.snaps if not snap.shelf.startswith("sheet ")]
    return [", ".join(some) for some in (sheets, others) if some]


def _size(metres: float) -> str:
    return f"{format_short(1e3 * metres, 3)} mm"


def _motor(study: Study, port: Port, table: str, name: str, count: str | None) -> str | None:
    """A motor's numbers; one that neither brief nor file names is what a similar machine would have."""
    values = port.variables
    known = [key for each in SPOKEN if (key := f"{table}.{each}") in values]
    if f"{table}.kv" not in values:
        return None
    named = f"{table}.kv" in study.brief.numbers or port.machine is not None
    many = f"{values[count]:.0f} " if count is not None and count in values else ""
    geared = "" if count is None else f", {format_short(values['drive.ratio'], 3)} to 1"
    numbers = ", ".join(format_value(values[key], book.variables[key].unit) for key in known)
    return f"{many}{name}{'' if named else ' near'} {numbers}{geared}"


def _pack(study: Study, port: Port) -> list[str]:
    values = port.variables
    if "battery.cells" not in values or "battery.capacity" not in values:
        return []
    unit = book.variables["battery.capacity"].unit
    capacity = format_short(to_shown(values["battery.capacity"], unit), 3)
    text = f"pack of {values['battery.cells']:.0f} cells, {capacity} {shown_unit(unit)}"
    if "battery.current_limit" in values:
        text += f", rated {format_value(values['battery.current_limit'], 'A')}"
    elif (peak := port.quantities.get("peak_current")) is not None:
        text += f", to give {format_value(peak.value, 'A')}"
    if "battery.mass" in values:
        text += f", {format_value(values['battery.mass'], 'kg')}"
    return [text]
