"""What follows from other keys of a design: pack voltage, material properties, inertias, and each branch's own."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from scaling.book.alike import alike
from scaling.files.errors import InputError, Mistakes
from scaling.files.units import format_value
from scaling.formulas import book
from scaling.formulas.rotor import shapes
from scaling.formulas.rotor.windage import BLUFF_ROD, strip_drag_of_disc
from scaling.robot.estimates import Estimate, estimate_missing
from scaling.shop import materials
from scaling.shop.shelves import Shelves

MATERIAL_PROPERTIES = (
    "density", "strength", "modulus", "poisson", "shear_strength_ratio", "fibre_share", "rate_doubling", "rate_power",
    "break_strain",
)


def table_of(key: str) -> str:
    """Return the table of a dotted key, empty for a key before the first table."""
    return key.rpartition(".")[0]


def derive(
    numbers: dict[str, float], words: Mapping[str, str], shelves: Shelves, mistakes: Mistakes, notes: list[str]
) -> list[Estimate]:
    """Fill in what follows from other keys: estimates, pack voltage, material properties, bolt areas, inertias.

    What contradicts something else goes to ``mistakes``, and each step goes on where it does not rest on that.
    Returns what was estimated.
    """
    mistakes.attempt(derive_windage, numbers, words)
    estimates = estimate_missing(numbers, words, mistakes)
    for step in (_check_centre_ahead, _check_centre, _check_ceiling, _driven_wheels):
        mistakes.attempt(step, numbers)
    for key, word in words.items():
        if key.endswith("material"):
            mistakes.attempt(set_material, numbers, table_of(key), word)
    mistakes.attempt(_check_hub, numbers, words)
    mistakes.attempt(derive_rotor, numbers, words, notes)
    book.derive(numbers, words, shelves, mistakes)
    return estimates


def _check_centre_ahead(numbers: Mapping[str, float]) -> None:
    _check_between("cg_ahead", numbers, 0.0, numbers["wheelbase"], "between the rear and the front contact")


def _check_centre(numbers: Mapping[str, float]) -> None:
    if alike(numbers["cg_height"] >= numbers["height"]):
        raise InputError(
            "the centre of gravity is above the robot",
            None,
            "cg_height",
            f"{numbers['cg_height'] * 1e3:g} mm",
            f"below the height of {numbers['height'] * 1e3:g} mm",
        )


def _check_ceiling(numbers: Mapping[str, float]) -> None:
    if "arena.ceiling" in numbers:
        _check_between("arena.ceiling", numbers, numbers["height"], float("inf"), "above the robot")


def _check_between(key: str, numbers: Mapping[str, float], low: float, high: float, allowed: str) -> None:
    if not alike((low <= numbers[key]) & (numbers[key] <= high)):
        raise InputError(f"the {book.variables[key].meaning} cannot be this", None, key,
                         format_value(numbers[key], book.variables[key].unit, 4), allowed)


def _driven_wheels(numbers: dict[str, float]) -> None:
    numbers.setdefault("wheel.driven", numbers["wheel.count"])
    if alike(numbers["wheel.driven"] > numbers["wheel.count"]):
        raise InputError(
            "more wheels are driven than there are",
            None,
            "wheel.driven",
            int(numbers["wheel.driven"]),
            f"at most {int(numbers['wheel.count'])}",
        )


def set_material(numbers: dict[str, float], table: str, name: str) -> None:
    """Set the material properties that the book knows under ``table`` to those of ``name``, unless they are stated."""
    for key, value in material_values(table, name).items():
        numbers.setdefault(key, value)


def material_values(table: str, name: str) -> dict[str, float]:
    """Return the material properties that the book knows under ``table``, typical values of the material ``name``."""
    found = materials.material(name, None, f"{table}.material")
    values = {f"{table}.{quality}": getattr(found, quality) for quality in MATERIAL_PROPERTIES}
    return {
        key: value if isinstance(value, float) else value.typical
        for key, value in values.items()
        if key in book.variables
    }


def _check_hub(numbers: Mapping[str, float], words: Mapping[str, str]) -> None:
    if words.get("rotor.transmission") == "hub" and alike(numbers["rotor.ratio"] != 1):
        raise InputError("a hub motor turns with its rotor", None, "rotor.ratio", numbers["rotor.ratio"], "1")


def derive_rotor(numbers: dict[str, float], words: Mapping[str, str], notes: list[str]) -> None:
    """Fill in what follows from the rotor's shape and mass; raises InputError where they contradict each other."""
    if "rotor.diameter" not in numbers:
        return
    shape, chord = words.get("rotor.shape"), numbers.get("rotor.chord")
    diameter, bore = numbers["rotor.diameter"], numbers["rotor.bore"]
    if alike(bore >= diameter):
        raise InputError(
            "the bore is as wide as the rotor", None, "rotor.bore", f"{bore * 1e3:g} mm", f"below {diameter * 1e3:g} mm"
        )
    own = shapes.rotor_inertias(shape or "disc", numbers)
    can = numbers.get("rotor.motor.inertia", 0.0)
    hub = words["rotor.transmission"] == "hub"
    if "rotor.inertia" not in numbers:
        numbers["rotor.inertia"] = own.spin + (can if hub else 0.0)
    share = numbers["rotor.inertia"] / own.spin
    numbers.setdefault("rotor.transverse_inertia", own.transverse * share)
    numbers.setdefault("rotor.transverse_inertia_small", own.transverse_small * share)
    if hub and "rotor.motor.mass" in numbers:
        numbers["rotor.motor.inertia"] = 0.0
    if shape is None:
        notes.append(
            "the rotor's shape is not stated, so its peak stress is not computed, and its inertias across the axis are "
            "taken as a disc's"
        )
    elif "rotor.stress_factor" not in numbers:
        poisson = numbers["rotor.poisson"]
        numbers["rotor.stress_factor"] = shapes.single(shapes.stress_factor(shape, diameter, bore, chord, poisson))


def derive_windage(numbers: dict[str, float], words: Mapping[str, str]) -> None:
    """Give a bar that the file says nothing of the air drag of a bluff rod's strips, and what is no bar none.

    Where the file says how it compares with a disc, a bar's strips follow once its speed is known (``set_strip_drag``).
    """
    if "rotor.diameter" not in numbers:
        return
    shape = words.get("rotor.shape")
    if shape != "bar" and alike(numbers.get("rotor.strip_drag", 0.0) > 0):  # 0: no bar
        raise InputError("only a bar has strips that the air meets", None, "rotor.strip_drag",
                         numbers["rotor.strip_drag"], hint="state rotor.windage_factor")
    if shape == "bar" and "rotor.windage_factor" not in numbers:
        numbers.setdefault("rotor.strip_drag", BLUFF_ROD)
    if shape != "bar":
        numbers["rotor.strip_drag"] = 0.0


def set_strip_drag(numbers: dict[str, float]) -> None:
    """Let a bar's strips drag as a smooth disc does at the reference's speed, which is what its factor is over.

    At another speed or size they follow the law of a bar: no jump where a disc's flow turns turbulent.
    """
    keys = ("rotor.speed", "rotor.diameter", "rotor.width", "air.viscosity")
    numbers["rotor.strip_drag"] = shapes.single(strip_drag_of_disc(*(np.asarray(numbers[key]) for key in keys)))
