"""What each variable of a design becomes at a port: a similar machine's value, the brief's, a shelf's or a part's.

Every step takes a table and returns another one. It works on a single factor or on an array of them, and keeps beside
each value the power of the factor that it follows.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from itertools import repeat
from types import MappingProxyType
from typing import Any

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.formulas.joints.inputs import bolt_values
from scaling.port.asked import Brief
from scaling.port.scaled import Inputs, Remark, Scaled, first
from scaling.port.snapping import Snap, bolt_keys, sizes_of_bolts
from scaling.port.terms import Terms, of_the_reference
from scaling.robot.derived import material_values, table_of
from scaling.robot.design import Design
from scaling.robot.parts import Part
from scaling.shop.shelves import beyond, family_of, snapped


def voltage_ratio(design: Design, numbers: Mapping[str, Any]) -> Any:
    """Pack voltage of the port over the reference's, 1 for a design without a pack."""
    if "battery.voltage" not in design.variables:
        return 1.0
    own = design.variables
    cell = numbers.get("battery.cell_voltage", own["battery.cell_voltage"])
    cells = numbers.get("battery.cells", own["battery.cells"])
    changed = "battery.cells" in numbers or "battery.cell_voltage" in numbers
    voltage = cells * cell if changed else own["battery.voltage"]
    return numbers.get("battery.voltage", voltage) / own["battery.voltage"]


MOTORS = ("rotor.motor", "drive.motor")
"""Tables of what is wound for a pack voltage."""


def similar_machine(inputs: Inputs, terms: Terms) -> Inputs:
    """What a machine like the reference has at the factor, with the port's pack voltage.

    Its motors are wound for that voltage, or for the one that a variation says. What does not scale stays the one
    number that it is, however many factors there are.
    """
    ratio = voltage_ratio(terms.design, terms.numbers)
    wound = ratio if terms.variation.wound_for is None else terms.variation.wound_for
    still, growing = _growth(terms.design)
    found = dict(still)
    for power, (keys, owns) in growing.items():
        grown = np.multiply.outer(owns, terms.factor ** float(power))
        found.update(zip(keys, map(Scaled, grown, repeat(power)), strict=False))
    for key, volts in _of_voltage(terms.design).items():
        value, exact = found[key]
        found[key] = Scaled(value * (wound if table_of(key) in MOTORS else ratio) ** volts, exact)
    return inputs.having(found)


@lru_cache(maxsize=64)
def _growth(design: Design) -> tuple[Mapping[str, Scaled], Mapping[Fraction, tuple[tuple[str, ...], Array]]]:
    """Every variable of the reference as it is; of those that follow a power of the factor, keys and values by it."""
    growing: dict[Fraction, dict[str, float]] = {}
    for key, own in design.variables.items():
        if power := book.variables[key].length_power:
            growing.setdefault(Fraction(power), {})[key] = own
    still = {key: Scaled(own, Fraction(0)) for key, own in design.variables.items()}
    rows = {power: (tuple(owns), np.array(list(owns.values()))) for power, owns in growing.items()}
    return MappingProxyType(still), MappingProxyType(rows)


@lru_cache(maxsize=64)
def _of_voltage(design: Design) -> Mapping[str, int]:
    """The power of the pack's voltage that each variable follows, of those that do."""
    powers = {key: book.variables[key].voltage_power for key in design.variables}
    return MappingProxyType({key: power for key, power in powers.items() if power})


def stated_in_the_brief(inputs: Inputs, terms: Terms) -> Inputs:
    """What the brief gives of the port, or a variation holds, with what a bought motor, pack or bolt brings along."""
    limit = terms.brief.mass_limit if terms.variation.mass_limit is None else terms.variation.mass_limit
    given: dict[str, Any] = {**terms.numbers, **terms.variation.held, "mass_limit": limit}
    if "battery.voltage" in inputs and ("battery.cells" in given or "battery.cell_voltage" in given):
        volts = terms.design.variables["battery.voltage"] * voltage_ratio(terms.design, terms.numbers)
        given.setdefault("battery.voltage", volts)
    rewound = terms.variation.wound_for is not None and "drive.motor.current_limit" not in terms.design.stated
    if "battery.voltage" in inputs and ("drive.motor.resistance" in given or rewound):
        # a bought motor, or one that keeps its winding at another voltage, has its own stall current
        shared = ("battery.voltage", "battery.resistance", "drive.motors", "drive.motor.resistance")
        now = {key: given.get(key, inputs[key].value) for key in shared}
        loop = now["drive.motor.resistance"] + now["drive.motors"] * now["battery.resistance"]
        given.setdefault("drive.motor.current_limit", now["battery.voltage"] / loop)
    for table in ("rotor.motor", "drive.motor"):
        if f"{table}.kv" in given and f"{table}.torque_constant" in inputs:  # another motor, not a similar one
            given.setdefault(f"{table}.torque_constant", 1 / given[f"{table}.kv"])
    of_bolts = {key: value for key, value in _of_bolts(terms.design, terms.brief).items() if key in inputs}
    for key in [key for key in of_bolts if key.endswith(".bolt_diameter")]:
        of_bolts |= _torque_of_bolts(inputs, terms, table_of(key), of_bolts[key] / inputs[key].value)
    given = of_bolts | given
    return inputs.having({key: Scaled(value, Fraction(0)) for key, value in given.items()})


def _of_bolts(design: Design, brief: Brief) -> dict[str, float]:
    """What follows from the bolts that the brief names: all of it from a size, a class's strengths from a class."""
    found: dict[str, float] = {}
    for table in {table_of(key) for key in brief.words if key.endswith((".bolt", ".bolt_class"))}:
        of_class = {f"{table}.{name}" for name in ("bolt_strength", "bolt_proof", "bolt_shear_share")}
        of_size = bolt_keys(table) - of_class if f"{table}.bolt" not in brief.words else frozenset[str]()
        chosen = bolt_values(table, design.choices | brief.words, design.shelves)
        found |= {key: value for key, value in chosen.items() if key not in of_size}
    return found


def sizes_from_the_shelf(inputs: Inputs, terms: Terms) -> Inputs:
    """The variables that the design buys from a shelf as they are sold, save those that the brief states."""
    shelves = terms.variation.shelves_of(terms.design, terms.brief)
    if shelves is None:
        return inputs
    for row in terms.design.stock:
        if row.key in terms.numbers:
            continue
        on_shelf = shelves.sizes(row.shelf, row.family)
        ideal = inputs[row.key].value
        bought = snapped(ideal, on_shelf, row.how)
        inputs = inputs.having({row.key: Scaled(bought, None)})
        if row.shelf == "bolt":
            of_bolts = sizes_of_bolts(inputs.variables, row.key, shelves)
            of_bolts |= _torque_of_bolts(inputs, terms, table_of(row.key), bought / ideal)
            inputs = inputs.having({key: Scaled(value, None) for key, value in of_bolts.items()})
        shelf = f"{row.shelf} {row.family}" if row.family else row.shelf
        inputs = _snapping(inputs, Snap(row.key, shelf, row.how, first(ideal), first(bought), on_shelf))
    return inputs


def _torque_of_bolts(inputs: Inputs, terms: Terms, table: str, ratio: Any) -> dict[str, Any]:
    """The tightening torque of bolts ``ratio`` times as thick as a similar machine's, unless the brief states it.

    It goes as the cube of the diameter for one stress: T = K F d.
    """
    key = f"{table}.torque"
    if key not in inputs or key in terms.numbers or key in terms.variation.held:
        return {}
    return {key: inputs[key].value * ratio**3}


def _snapping(inputs: Inputs, *snaps: Snap) -> Inputs:
    """The table with what the shelf did, a problem where it had nothing in the direction that is asked for."""
    kept = [
        Remark(
            "off_the_shelf",
            f"The shelf of {snap.shelf} has nothing {snap.how} from {snap.ideal * 1e3:.2f} mm for {snap.name}: "
            "the size is kept as it is.",
        )
        for snap in snaps
        if snap.snapped == snap.ideal and beyond(snap.ideal, snap.on_shelf, snap.how)
    ]
    return inputs.snapping(*snaps).noting(*kept)


def thicknesses_of_the_parts(inputs: Inputs, terms: Terms) -> Inputs:
    """What the shelf of sheets does to the parts; a table that names one has its thickness and material."""
    inputs = _snapping(inputs, *filter(None, (_snap_of(part, terms) for part in terms.parts if part.sold)))
    own = {part.name: part for part in terms.design.parts}
    found: dict[str, Scaled] = {}
    for table, part in terms.tables_of_parts.items():
        key = f"{table}.thickness"
        if own[part.name].thickness is not None and key in terms.design.variables:
            ratio = terms.thicknesses[part.name] / own[part.name].thickness
            power = None if part.sold else Fraction(0 if part.held else 1)
            found[key] = Scaled(terms.design.variables[key] * ratio, power)
        found |= _material_of(table, part, inputs, terms)
    return inputs.having(found)


def _snap_of(part: Part, terms: Terms) -> Snap | None:
    """What the shelf of sheets does to a part at the first of the factors, None where it does not come from one."""
    name = part.materials[int(first(part.which))] if part.materials else None
    on_shelf = part.sold.get(name or "", ())
    if not on_shelf:
        return None
    ideal, bought = first(part.ideal_thickness(first(terms.factor))), first(terms.thicknesses[part.name])
    how = str(np.asarray(part.snap).flat[0])
    return Snap(part.name, f"sheet {family_of(name)}", how, ideal, bought, on_shelf)


def _material_of(table: str, part: Part, inputs: Inputs, terms: Terms) -> dict[str, Scaled]:
    """The properties of the table that is ``part``, of those that neither design nor brief states."""
    rows = [material_values(table, name) for name in part.materials]
    return {
        key: Scaled(np.asarray([row[key] for row in rows])[part.which], Fraction(0))
        for key in (rows[0] if rows else {})
        if key in inputs and key not in terms.design.stated and key not in terms.numbers
    }


def masses_of_the_parts(inputs: Inputs, terms: Terms) -> Inputs:
    """The mass of the whole robot, and of what has a table of its own."""
    powers = {part.power for part in terms.parts}
    masses = [part.at(terms.factor, terms.thicknesses.get(part.name)) for part in terms.parts]
    found = {"mass": Scaled(sum(masses), powers.pop() if len(powers) == 1 else None)}
    for part, mass in zip(terms.parts, masses, strict=True):
        if part.key is not None:
            found[part.key] = Scaled(mass / part.count, part.power)
    return inputs.having(found)


def margin_of_the_reference(inputs: Inputs, terms: Terms) -> Inputs:
    """The gyro margin that the port is compared with."""
    kept = of_the_reference(terms.design, "gyro_margin")
    if kept is None or not np.isfinite(kept):
        return inputs
    return inputs.having({"reference.gyro_margin": Scaled(float(kept), Fraction(0))})


OPPONENT = {
    "attacker.specific_energy": Fraction(1),
    "attacker.tip_speed": Fraction(1, 2),
    "attacker.tooth_width": Fraction(1),
    "attacker.bite": Fraction(1),
    "attacker.diameter": Fraction(1),
    "attacker.tip_angle": Fraction(0),
}
"""Powers of a gravity-similar machine's length that the rotor of the class's opponent follows."""


def opponent(design: Design, mass_limit: Any) -> dict[str, Any]:
    """Return the rotor of the opponent in the class of ``mass_limit`` (kg); nothing where the design states its own."""
    own = design.variables
    if "attacker.tip_speed" not in own or "attacker.tip_speed" in design.stated:
        return {}
    size = (mass_limit / own["mass_limit"]) ** (1 / 3)
    return {key: own[key] * size ** float(power) for key, power in OPPONENT.items()}


def opponent_of_the_class(inputs: Inputs, terms: Terms) -> Inputs:
    """The reference's own rotor carried to the class: one opponent for every port of a mass limit.

    What the design's ``[attacker]`` or the brief states stays. Where the brief bounds the tip speed, no opponent's is
    higher, and its energy falls with the square.
    """
    found = opponent(terms.design, inputs["mass_limit"].value)
    bound = terms.brief.limits.get("tip_speed")
    if found and bound is not None and bound.side == "at most":
        slowed = np.minimum(1.0, bound.value / found["attacker.tip_speed"])
        found["attacker.tip_speed"] *= slowed
        found["attacker.specific_energy"] *= slowed**2
    return inputs.having(
        {key: Scaled(value, Fraction(0)) for key, value in found.items() if key not in terms.numbers}
    )


FLOAT = np.dtype(float)


def one_shape(inputs: Inputs, terms: Terms) -> Inputs:
    """Every value as an array of the factor's shape."""
    shape = terms.factor.shape
    return inputs.having({
        key: Scaled(_in_shape(value, shape), power)
        for key, (value, power) in inputs.table.items()
        if not isinstance(value, np.ndarray) or value.shape != shape or value.dtype is not FLOAT
    })


def _in_shape(value: Any, shape: tuple[int, ...]) -> Array:
    """A value as an array of this shape; one number fills many places without being copied."""
    if isinstance(value, np.ndarray):
        return np.broadcast_to(np.asarray(value, dtype=float), shape)
    return _filled(float(value), shape)


@lru_cache(maxsize=4096)
def _filled(value: float, shape: tuple[int, ...]) -> Array:
    """One number in many places: a search asks for the reference's own thousands of times."""
    # as ``broadcast_to`` does, in a quarter of its time, and nothing can be written into it either
    filled = np.ndarray(shape, float, np.asarray(value, dtype=float), 0, (0,) * len(shape))
    filled.flags.writeable = False
    return filled
