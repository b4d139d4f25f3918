"""What goes together at a port: a rotor's bore with the shaft that fills it, a pack's numbers with its mass."""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from scaling.formulas import book
from scaling.formulas.rotor.shapes import stress_factor
from scaling.port.carried import voltage_ratio
from scaling.port.scaled import Inputs, Scaled
from scaling.port.terms import Terms

FILLS = 0.9
"""A shaft this thick over its bore fills it: the bore is cut to the shaft that is bought."""

PACK, SHAFT, BORE, FACTOR = "battery.mass", "rotor.shaft.diameter", "rotor.bore", "rotor.stress_factor"

SOLID_WALLS = ("ring", "drum")
"""Shapes whose inner radius is that of their wall where they state one, whatever the bore."""


def bore_to_its_shaft(inputs: Inputs, terms: Terms) -> Inputs:
    """The rotor's bore follows a shaft that fills it and is bought or stated at another size than the factor's.

    The stress beside the bore goes with it; the material that the bore takes out of the inertia is left as it scales,
    some parts in ten thousand of it.
    """
    own, given = terms.design.variables, {*terms.numbers, *terms.variation.held}
    shaft = inputs.table.get(SHAFT)
    if shaft is None or shaft.power == 1 or BORE in given or not 0 < own[BORE] <= own[SHAFT] / FILLS:
        return inputs
    bore = own[BORE] / own[SHAFT] * shaft.value
    inputs = inputs.having({BORE: Scaled(bore, shaft.power)})
    shape, chord = terms.design.choices.get("rotor.shape"), inputs.variables.get("rotor.chord")
    if FACTOR not in inputs or FACTOR in {*terms.design.stated, *given} or (shape in SOLID_WALLS and chord is not None):
        return inputs
    widest = chord if shape == "bar" else inputs["rotor.diameter"].value
    cut = np.where(bore < widest, bore, np.nan)
    factor = stress_factor(str(shape), inputs["rotor.diameter"].value, cut, chord, inputs["rotor.poisson"].value)
    return inputs.having({FACTOR: Scaled(factor, None)})


def pack_by_its_mass(inputs: Inputs, terms: Terms) -> Inputs:
    """A pack whose mass does not follow the factor as a similar one's is a similar pack of the mass that it has.

    So its energy over its mass, its C rate and its resistance times its capacity stay what they are, save what the
    brief states of them.
    """
    pack = next((part for part in terms.parts if part.key == PACK), None)
    own = terms.design.variables
    if pack is None or pack.power == 3 or "battery.voltage" not in own:
        return inputs
    mass, volts = pack.at(terms.factor) / pack.count / own[PACK], voltage_ratio(terms.design, terms.numbers)
    found: dict[str, Scaled] = {}
    for key in own:
        variable = book.variables[key]
        if key.startswith("battery.") and key != PACK and key not in terms.numbers and variable.length_power != 0:
            power = Fraction(variable.length_power)
            value = own[key] * mass ** float(power / 3) * volts**variable.voltage_power
            found[key] = Scaled(value, None if pack.power is None else pack.power * power / 3)
    return inputs.having(found)
