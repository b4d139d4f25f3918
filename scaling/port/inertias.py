"""Inertias of a port's rotor and of its motor's can."""

from __future__ import annotations

from scaling.port.scaled import Inputs, Scaled, product
from scaling.port.terms import Terms
from scaling.robot.design import Design
from scaling.robot.estimates import MOTOR_CAN_SHARE


def inertias_of_the_rotor(inputs: Inputs, terms: Terms) -> Inputs:
    """Inertias follow the rotor's own mass and diameter, a hub motor's can its motor's."""
    design = terms.design
    if not design.has_rotor:
        return inputs
    grown = _grown(inputs, design, "rotor.mass", "rotor.diameter")
    hub = _is_hub(design)
    can = _can_at_the_port(inputs, terms)
    found: dict[str, Scaled] = {}
    for key in ("rotor.transverse_inertia", "rotor.transverse_inertia_small"):
        if key not in terms.numbers:
            found[key] = Scaled(design.variables[key] * grown.value, grown.power)
    if "rotor.motor.inertia" in design.variables:
        found["rotor.motor.inertia"] = Scaled(0.0, inputs["rotor.motor.inertia"].power) if hub else can
    if "rotor.inertia" not in terms.numbers:
        own = _own_can(design) if hub else 0.0
        body = (design.variables["rotor.inertia"] - own) * grown.value
        power = grown.power if not hub or grown.power == can.power else None
        found["rotor.inertia"] = Scaled(body + (can.value if hub else 0.0), power)
    return inputs.having(found)


def _grown(inputs: Inputs, design: Design, mass: str, size: str) -> Scaled:
    """What an inertia of that mass and size is multiplied by."""
    masses, sizes = inputs[mass], inputs[size]
    ratio = masses.value / design.variables[mass] * (sizes.value / design.variables[size]) ** 2
    return Scaled(ratio, product((masses.power, 1), (sizes.power, 2)))


def _is_hub(design: Design) -> bool:
    return design.choices["rotor.transmission"] == "hub"


def _own_can(design: Design) -> float:
    """Inertia of the reference's hub motor's can, which stands within the rotor's."""
    if "rotor.motor.mass" not in design.variables:
        return 0.0
    estimate = MOTOR_CAN_SHARE * design.variables["rotor.motor.mass"] * design.variables["rotor.motor.diameter"] ** 2
    return min(design.can_inertia if design.can_inertia is not None else estimate, design.variables["rotor.inertia"])


def _can_at_the_port(inputs: Inputs, terms: Terms) -> Scaled:
    """Inertia of the port's motor's can: stated, estimated for a bought motor, else that of a similar one."""
    design, numbers = terms.design, terms.numbers
    if "rotor.motor.mass" not in inputs:
        return Scaled(0.0, product())
    if "rotor.motor.inertia" in numbers:
        return Scaled(numbers["rotor.motor.inertia"], product())
    if "rotor.motor.mass" in numbers:
        mass, size = inputs["rotor.motor.mass"].value, inputs["rotor.motor.diameter"]
        return Scaled(MOTOR_CAN_SHARE * mass * size.value**2, product((size.power, 2)))
    own = _own_can(design) if _is_hub(design) else design.variables["rotor.motor.inertia"]
    grown = _grown(inputs, design, "rotor.motor.mass", "rotor.motor.diameter")
    return Scaled(own * grown.value, grown.power)
