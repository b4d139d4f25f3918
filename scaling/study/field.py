"""A port at other sizes and rotor speeds at once: what a map of mass and rotor energy is drawn on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scaling.book.entry import Array
from scaling.formulas import book
from scaling.port.inputs import inputs_at
from scaling.study.curve import class_along
from scaling.study.results import Port, Study


@dataclass(frozen=True)
class Field:
    """Rotor energy (J) and a quantity over sizes (first axis) and rotor speeds (second), with each size's mass (kg)."""

    mass: Array
    energy: Array
    values: Array


def field_of(study: Study, port: Port, name: str, factors: Array, speeds: Array) -> Field:
    """Return the quantity ``name`` of a port at each of the ``factors`` and of the ``speeds``, shares of its own.

    The class and its opponent grow with the size as along the port's curve. What cannot be computed is NaN.
    """
    own = study.design.variables["mass_limit"]
    limits = class_along(own, study.brief.mass_limit, port.factor or 1.0, factors)
    variation = replace(port.variation, mass_limit=limits)
    inputs = inputs_at(study.design, study.brief, port.request, port.carried, factors, variation)
    given = {key: value[:, np.newaxis] for key, value in inputs.variables.items()}
    given["rotor.speed"] = given["rotor.speed"] * speeds
    found = book.evaluate(given, study.design.traits, only=["rotor_energy", name])
    shape = (factors.size, speeds.size)
    energy, values = (np.broadcast_to(found.get(each, np.nan), shape) for each in ("rotor_energy", name))
    return Field(np.asarray(inputs.variables["mass"]), energy, values)
