"""What holds of every design, tried on random ones: a twentieth here, RANDOM_DESIGNS=200 tries them all.

    RANDOM_DESIGNS=200 .venv-test/bin/pytest -s tests/test_random_designs.py

Similar machines: what a scale of the reference has is fixed by the scale alone, whatever the steps to it (similarity
transformations make a group; L. D. Landau & E. M. Lifshitz, Mechanics, sec. 10, from memory). The others are facts of
the trade without a source: a harder blow leaves no more in hand, a longer match warms, and a heavier machine's side
lifts no sooner.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from random_designs import MANY, random_designs

from scaling.formulas import book
from scaling.port.asked import Brief, LawRequest
from scaling.port.inputs import inputs_at
from scaling.port.rules import DRIVE_RULES, SPEED_RULES
from scaling.robot.design import Design
from scaling.robot.parts import Part

pytestmark = pytest.mark.no_cover

SAME = 1e-7
"""Share within which two numbers that come about in other ways are one."""


@pytest.fixture(scope="module")
def designs() -> list[Design]:
    found, refused = random_designs()
    print(f"\n{len(found)} random designs, {sum(refused.values())} refused: {dict(refused.most_common(8))}")
    return found


def rules_of(design: Design, place: int) -> list[LawRequest]:
    """Every speed rule, each with a drive rule in turn by the design's place."""
    drives = list(DRIVE_RULES)
    if not design.has_rotor:
        return [LawRequest("length", None, drive) for drive in drives]
    return [LawRequest("length", speed, drives[(n + place) % len(drives)]) for n, speed in enumerate(SPEED_RULES)]


def ported(
    design: Design, request: LawRequest, parts: tuple[Part, ...], factor: float, limit: float
) -> dict[str, float]:
    """The variables of a port that the brief changes nothing of but the size and the class."""
    brief = Brief(design.name, design.file, Path("brief.toml"), limit, requests=(request,), snap=False)
    found = inputs_at(design, brief, request, parts, np.asarray([factor])).variables
    return {key: float(value[0]) for key, value in found.items()}


def values(variables: Mapping[str, float], design: Design) -> dict[str, float]:
    return {name: float(value) for name, value in book.evaluate(variables, design.traits).items()}


def differing(one: Mapping[str, float], other: Mapping[str, float], names: Iterable[str]) -> list[str]:
    found = [(name, one.get(name, math.nan), other.get(name, math.nan)) for name in names]
    return [f"{name} {a:.9g} {b:.9g}" for name, a, b in found
            if not (math.isclose(a, b, rel_tol=SAME, abs_tol=1e-12) or (math.isnan(a) and math.isnan(b)))]  # fmt: skip


def rests_on(design: Design) -> dict[str, frozenset[str]]:
    """Every variable that each quantity of a design rests on."""
    found: dict[str, frozenset[str]] = {}
    for name, entry in book.counted(design.traits, design.variables).items():
        found[name] = frozenset().union(*(found.get(used, {used}) for used in entry.inputs))
    return found


def test_factor_one_is_the_reference(designs: list[Design]) -> None:
    wrong = []
    for place, design in enumerate(designs):
        own = values(design.variables, design)
        for request in rules_of(design, place // 3):
            port = ported(design, request, design.parts, 1.0, design.variables["mass_limit"])
            lacking = "top_yaw_rate" not in own or "gyro_margin" not in own
            if request.speed_rule == "hold-gyro-margin" and lacking:
                assert "rotor.speed" not in port
                continue
            shown = differing(design.variables, port, design.variables) or differing(own, values(port, design), own)
            wrong += [f"{design.name} {request.speed_rule} {request.drive_rule}: {shown[:4]}"] if shown else []
    assert not wrong, "\n".join(wrong)


def all_solid(part: Part) -> Part:
    """A pure law's part: all of it grows in every direction, nothing comes from a shelf."""
    return replace(part, kind="solid", snap=None, sold={}, thickness_rule="scale")


def carried(design: Design, parts: tuple[Part, ...], port: Mapping[str, float], factor: float) -> Design:
    """The port as a design of its own."""
    grown = tuple(
        replace(part, mass=float(part.at(factor)) / part.count,
                thickness=None if part.thickness is None else float(part.thickness_at(factor)))
        for part in parts
    )  # fmt: skip
    can = None if design.can_inertia is None else design.can_inertia * factor**5
    own = {key: value for key, value in port.items() if key in design.variables}
    return replace(design, variables=own, parts=grown, can_inertia=can)


def test_a_port_of_a_port_is_the_port_by_the_product(designs: list[Design]) -> None:
    wrong = []
    for place, design in enumerate(designs):
        parts, limit = tuple(map(all_solid, design.parts)), 3 * design.variables["mass_limit"]
        shared = {name for name, keys in rests_on(design).items() if "reference.gyro_margin" not in keys}
        for request in rules_of(design, place // 3):
            first = ported(design, request, parts, 1.3, limit)
            if request.speed_rule is not None and "rotor.speed" not in first:
                continue
            between = carried(design, parts, first, 1.3)
            second = ported(between, request, between.parts, 1.2, limit)
            whole = ported(design, request, parts, 1.3 * 1.2, limit)
            shown = differing(whole, second, design.variables)
            shown = shown or differing(values(whole, design), values(second, design), shared)
            wrong += [f"{design.name} {request.speed_rule} {request.drive_rule}: {shown[:4]}"] if shown else []
    assert not wrong, "\n".join(wrong)


CAUSES = (
    "rotor.speed", "drive.motor.kv", "mass_limit", "attacker.specific_energy", "attacker.bite", "arena.ceiling",
    "rotor.inertia", "rotor.motor.current_limit", "drive.motor.current_limit", "rotor.belt.tension", "joint.force",
)  # fmt: skip
"""What loads a machine when there is more of it: the rotor's spin and its dead stop, of a rotor of more inertia too;
the closing speed, and with it the bite of the own hits; the class, whose opponents are heavier; their energy and
bite; the height of a fall; the pull of the rotor's motor and the tension at which its belt slips; a joint's stated
force. A faster rotor bites less deep, so it is no cause of what rests on the bite."""


BITES_DEEP = ("clash_", "axle_stall_", "can_stall_", "hub_bolt_stall_", "magnet_stall_", "rotor_mount_stall_")
"""Margins that a deeper bite helps: a stop takes longer, or teeth that meet do so with more of their faces."""


def changed(design: Design, more: Mapping[str, float]) -> dict[str, np.ndarray]:
    """A design's quantities with nothing changed, then with each of ``more`` alone multiplied by its number."""
    given = {key: np.full(len(more) + 1, value) for key, value in design.variables.items()}
    for place, (key, factor) in enumerate(more.items(), 1):
        given[key][place] *= factor
    found = book.evaluate(given, design.traits)
    return {name: np.broadcast_to(value, len(more) + 1) for name, value in found.items()}


def test_every_margin_of_strength_falls_when_its_cause_rises(designs: list[Design]) -> None:
    wrong, falling, all_of_them = [], defaultdict(set), set()
    for design in designs:
        rests = rests_on(design)
        causes = [key for key in CAUSES if key in design.variables]
        found = changed(design, dict.fromkeys(causes, 1.1))
        for name in book.of_role("survival", among=found):
            all_of_them |= {name} if np.isfinite(found[name][0]) else set()
            for place, key in enumerate(causes, 1):
                bites = "drive.motor.kv" in rests[name] and not name.endswith("_stall_margin")
                used = key in rests[name] and not (key == "rotor.speed" and bites)
                used &= not (key == "drive.motor.kv" and name.startswith((*BITES_DEEP, "gearbox_stall_")))
                used &= not (key == "rotor.inertia" and not name.startswith(BITES_DEEP))
                before, after = found[name][0], found[name][place]
                if used and after > before * (1 + 1e-9):
                    wrong.append(f"{design.name} {name} {key}: {before:.6g} -> {after:.6g}")
                elif used and after < before * (1 - 1e-9):
                    falling[name].add(key)
    assert not wrong, "\n".join(wrong)
    assert all_of_them <= set(falling), f"no cause makes these fall: {sorted(all_of_them - set(falling))}"


def test_a_longer_match_never_cools(designs: list[Design]) -> None:
    wrong, warmed = [], set()
    for design in designs:
        rests, found = rests_on(design), changed(design, {"match.time": 1.5})
        for name, (before, after) in found.items():
            entry = book.quantities[name]
            if "match.time" not in rests[name] or not np.isfinite(before):
                continue
            if entry.unit == "K" or name == "match_energy":
                wrong += [f"{design.name} {name}: {before:.6g} -> {after:.6g}"] if not after >= before else []
                warmed |= {name} if after > before else set()
            elif name.endswith(("temperature_margin", "energy_margin")) and after > before:
                wrong.append(f"{design.name} {name}: {before:.6g} -> {after:.6g}")
    assert not wrong, "\n".join(wrong)
    assert {"motor_temperature_rise", "drive_motor_temperature_rise", "match_energy"} <= warmed


LIFTS = (
    "gyro_lift_yaw_rate", "gyro_pulse_lift_yaw_rate", "gyro_tyre_lift_yaw_rate", "pivot_lift_yaw_rate_moving_side",
    "pivot_lift_yaw_rate_stopped_side", "wheels_down_rate_left_turn", "wheels_down_rate_right_turn",
    "nose_lift_margin", "tail_lift_margin", "spin_up_roll_margin", "gyro_margin", "gyro_pulse_margin",
)  # fmt: skip
"""At which turn rate, or with how much in hand, a side, the nose or the tail lifts."""


def test_more_mass_never_lifts_a_side_sooner(designs: list[Design]) -> None:
    wrong, later = [], set()
    for design in designs:
        found = changed(design, {"mass": 1.2})
        for name in LIFTS:
            before, after = found.get(name, np.full(2, np.nan))
            wrong += [f"{design.name} {name}: {before:.6g} -> {after:.6g}"] if after < before * (1 - 1e-9) else []
            later |= {name} if after > before else set()
    assert not wrong, "\n".join(wrong)
    assert {"gyro_lift_yaw_rate", "wheels_down_rate_left_turn", "tail_lift_margin"} <= later


def test_as_many_as_asked_for_are_tried(designs: list[Design]) -> None:
    """Each of the demos among them, and no two alike."""
    assert len(designs) == MANY >= 3
    assert len({design.name for design in designs[:3]}) == 3
    assert len({(design.variables["mass"], design.variables["width"]) for design in designs}) == MANY
