"""What only one of the two has where a machine differs in kind from its reference."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scaling.robot.design import Design

if TYPE_CHECKING:
    from scaling.study.results import Port, Study

WORDS = ("rotor.transmission", "rotor.axis", "rotor.shape", "rotor.spin")
"""Words that say of what kind a robot is."""

COUNTS = {"wheel.count": "wheels", "battery.cells": "cells", "rotor.teeth": "teeth"}
"""Counts that say of what kind a robot is, and what they count."""


@dataclass(frozen=True)
class OnlyOne:
    """Names of the quantities that only the reference has, and of those that only the port has."""

    reference: tuple[str, ...]
    port: tuple[str, ...]


def only_one(study: Study, port: Port) -> OnlyOne:
    """Return what only one of a study's reference and a port has; nothing for a port without a factor."""
    if port.factor is None:
        return OnlyOne((), ())
    return OnlyOne(
        tuple(name for name in study.reference if name not in port.quantities),
        tuple(name for name in port.quantities if name not in study.reference),
    )


def kind_changes(reference: Design, port: Port) -> tuple[str, ...]:
    """Return in what a machine with a file of its own is of another kind, a clause each: 'belt, was hub'."""
    machine = port.machine
    if machine is None:
        return ()
    if machine.has_rotor != reference.has_rotor:
        return ("a rotor, the reference has none" if machine.has_rotor else "no rotor, the reference has one",)
    words = [(key, reference.choices.get(key), machine.choices.get(key)) for key in WORDS]
    found = [f"{now} {key.rpartition('.')[2]}, was {own}" for key, own, now in words if own and now and own != now]
    counts = [(reference.variables.get(key), machine.variables.get(key), what) for key, what in COUNTS.items()]
    found += [f"{now:.0f} {what}, was {own:.0f}" for own, now, what in counts if own and now and own != now]
    return tuple(found)
