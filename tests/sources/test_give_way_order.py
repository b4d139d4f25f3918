"""What gives way first when the rotor stops dead: facts of the trade, and the order as a whole.

All inputs are invented, typical of a belt-driven machine of about one and a half kilograms. One machine, one set of
formulas; only the belt and what it runs on change.
"""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scaling.formulas import book
from scaling.formulas.transmission import belts as transmission
from scaling.formulas.transmission.belts import give_way_order
from scaling.formulas.transmission.dead_stop import LINKS
from scaling.formulas.transmission.hub_stop import LINKS as HUB_LINKS
from scaling.shop.materials import material
from scaling.shop.shelves import Shelves

CHECKS = (
    "belt_stall_margin", "pulley_stall_margin", "motor_shaft_stall_margin", "weakest_link_margin", "stall_fuse_margin",
)

MACHINE = {
    "rotor.ratio": 1.6, "rotor.speed": 940.0, "rotor.motor.inertia": 7.4e-6, "rotor.motor.kv": 100.0,
    "rotor.motor.current_limit": 45.0, "rotor.motor.no_load_current": 1.5,
    "rotor.belt.centre_distance": 0.060, "rotor.belt.conductivity": 0.2, "rotor.belt.heat_capacity": 2.0e6,
    "rotor.belt.softening_rise": 100.0, "rotor.belt.groove_angle": math.pi, "rotor.belt.pulley.fixing_torque": 15.0,
    "rotor.motor.shaft.diameter": 0.005, "rotor.motor.shaft.overhang": 0.009,
    "rotor.motor_mount.bolts": 4.0, "rotor.motor_mount.unevenness": 1.0, "rotor.motor_mount.bolt_modulus": 205e9,
    "rotor.motor_mount.pattern_diameter": 0.019, "rotor.motor_mount.lever": 0.012,
    "rotor.motor_mount.thickness": 0.006, "rotor.motor_mount.edge_distance": 0.008,
    "rotor.motor_mount.thread.engagement": 0.004,
}
TOOTHED = {  # corded, 3 mm pitch, 9 mm wide
    "rotor.belt.pitch": 0.003, "rotor.belt.pulley_teeth": 15.0, "rotor.belt.width": 0.009,
    "rotor.belt.stiffness": 45e3, "rotor.belt.mass_per_length": 0.022, "rotor.belt.tension": 30.0,
    "rotor.belt.breaking_tension": 1800.0, "rotor.belt.tooth_strength": 25e3,
}
ROUND = {  # polyurethane cord of 5 mm in a groove of 60 degrees
    "rotor.belt.pulley_diameter": 0.0143, "rotor.belt.width": 0.005, "rotor.belt.friction": 0.6,
    "rotor.belt.groove_angle": math.radians(60), "rotor.belt.stiffness": 500.0, "rotor.belt.mass_per_length": 0.024,
    "rotor.belt.tension": 40.0, "rotor.belt.breaking_tension": 600.0,
}
WORDS = {
    "rotor.transmission": "belt", "rotor.belt.fuse": "belt", "rotor.belt.pulley.material": "pa12",
    "rotor.motor.shaft.material": "steel-4140-qt", "rotor.motor_mount.bolt": "M3",
    "rotor.motor_mount.bolt_class": "8.8", "rotor.motor_mount.pattern": "circle",
    "rotor.motor_mount.material": "uhmwpe", "rotor.motor_mount.thread.material": "aluminium-6061-t6",
}


def stop(kind: str, changed: dict[str, float] | None = None, words: dict[str, str] | None = None) -> dict[str, float]:
    """Every quantity of the machine with a belt of ``kind``, after what changed."""
    numbers = MACHINE | (TOOTHED if kind == "toothed" else ROUND) | (changed or {})
    said = WORDS | {"rotor.belt.kind": kind} | (words or {})
    for key, word in said.items():
        if key.endswith("material"):
            table, found = key.rpartition(".")[0], material(word)
            for quality in ("strength", "modulus"):
                if f"{table}.{quality}" in book.variables:
                    numbers.setdefault(f"{table}.{quality}", getattr(found, quality).typical)
    transmission.derive(numbers, said, Shelves())
    traits = frozenset(f"{key}={word}" for key, word in said.items())
    return {name: float(value) for name, value in book.evaluate(numbers, traits).items()}


def order(found: dict[str, float]) -> list[str]:
    """Links, first to give way first."""
    return [link for link, _ in give_way_order(found)]


# ------------------------------------------------------------------ facts of the trade: common practice, no source


def test_stiff_toothed_belt_drags_the_motor_from_its_mount() -> None:
    found = stop("toothed")
    assert order(found)[0] == "mount"
    assert found["motor_mount_weakest_margin"] < 1


def test_round_belt_slips_and_cuts_its_pulley() -> None:
    found = stop("round")
    assert found["belt_slip_work"] > 0.8 * 7.4e-6 * (940 * 1.6) ** 2 / 2  # slip takes most of the motor's energy
    assert order(found)[0] == "pulley"
    assert found["pulley_stall_margin"] < 1
    assert min(found["motor_mount_weakest_margin"], found["motor_shaft_stall_margin"]) > 1  # and spares the rest


def test_toothed_belt_spares_the_mount_where_it_is_strong() -> None:
    # The first fact's other side: behind a bulkhead of hard aluminium something else goes first.
    words = {"rotor.motor_mount.material": "aluminium-7075-t6", "rotor.motor_mount.bolt_class": "12.9"}
    assert order(stop("toothed", words=words))[0] != "mount"


def test_round_belt_does_not_cut_a_metal_pulley() -> None:
    # The second fact's other side: metal carries the heat off, and the belt melts before it softens.
    found = stop("round", words={"rotor.belt.pulley.material": "aluminium-6082-t6"})
    assert order(found)[0] == "belt"
    assert found["belt_slip_temperature_rise"] < 0.5 * stop("round")["belt_slip_temperature_rise"]


def test_slow_rotor_breaks_nothing() -> None:
    # Nothing gives way on a machine whose motor holds next to no energy.
    for kind in ("toothed", "round"):
        assert stop(kind, {"rotor.speed": 20.0})["weakest_link_margin"] > 1


def test_toothed_belt_has_no_slip() -> None:
    found = stop("toothed")
    assert not {"belt_slip_margin", "belt_slip_limit_tension", "belt_slip_work"} & set(found)
    assert {"belt_tooth_margin", "belt_teeth_in_mesh"} <= set(found)


# --------------------------------------------------------------------------------- margins by hand, in round numbers

LOADS = {"belt_stall_tension": 300.0, "belt_stall_pull": 200.0, "belt_slip_temperature_rise": 25.0,
         "belt_teeth_in_mesh": 6.0, "motor_shaft_stall_stress": 400e6, "rotor.motor.shaft.strength": 1000e6,
         "rotor.belt.pulley_diameter": 0.020, "rotor.belt.width": 0.010}


def by_hand(name: str, kind: str, **keys: float) -> float:
    """One quantity under LOADS; ``keys`` are those of [rotor.belt], a dot written as two underscores."""
    given = LOADS | {f"rotor.belt.{key.replace('__', '.')}": value for key, value in keys.items()}
    return float(book.evaluate(given, frozenset({f"rotor.belt.kind={kind}"}), only=[name])[name])


def test_belt_breaks_melts_or_loses_its_teeth() -> None:
    # Definition, strength over load: 900 N over 300 N is 3, 50 K over 25 K is 2; six teeth of 10 mm at 5 N/mm bear
    # 300 N, 1.5 times the 200 N.
    assert by_hand("belt_stall_margin", "round", breaking_tension=900.0, softening_rise=500.0) == pytest.approx(3.0)
    assert by_hand("belt_stall_margin", "round", breaking_tension=900.0, softening_rise=50.0) == pytest.approx(2.0)
    assert by_hand("belt_stall_margin", "toothed", breaking_tension=900.0, tooth_strength=5e3) == pytest.approx(1.5)
    assert by_hand("belt_stall_margin", "toothed", breaking_tension=360.0, tooth_strength=5e3) == pytest.approx(1.2)


def test_pulley_turns_softens_or_loses_its_cogs() -> None:
    # 200 N at 10 mm are 2 N m, a third of 6 N m; 75 K over 25 K is 3 as well, 40 K 1.6. Six cogs, 1.5 mm thick at the
    # root (half a pitch) and 10 mm wide, of half of 40 MPa bear 1800 N: 9.
    softens = {"pulley__fixing_torque": 6.0, "pulley__softening_rise": 40.0}
    assert by_hand("pulley_stall_margin", "round", **softens) == pytest.approx(1.6)
    assert by_hand("pulley_stall_margin", "round", **softens | {"pulley__softening_rise": 1e3}) == pytest.approx(3.0)
    cogs = {"pulley__fixing_torque": 6.0, "pulley__strength": 40e6, "pulley__shear_strength_ratio": 0.5, "pitch": 0.003}
    assert by_hand("pulley_stall_margin", "toothed", **cogs) == pytest.approx(3.0)
    assert by_hand("pulley_stall_margin", "toothed", **cogs | {"pulley__fixing_torque": 1e3}) == pytest.approx(9.0)


def test_weakest_link_and_fuse() -> None:
    # Definition: of 2.5 for the shaft (1000 over 400 MPa), 4, 5 and 6 the shaft is the least; as the fuse the belt of 4
    # is spared by it, 2.5 over 4.
    assert by_hand("motor_shaft_stall_margin", "round") == pytest.approx(2.5)
    margins = {"belt": 4.0, "pulley": 5.0, "mount": 6.0, "shaft": 2.5}
    given = {LINKS[link]: margin for link, margin in margins.items()}
    assert book.evaluate(given, frozenset(), only=["weakest_link_margin"])["weakest_link_margin"] == 2.5
    for fuse, expected in {"belt": 2.5 / 4, "pulley": 2.5 / 5, "mount": 2.5 / 6, "shaft": 4 / 2.5}.items():
        found = book.evaluate(given, frozenset({f"rotor.belt.fuse={fuse}"}), only=["stall_fuse_margin"])
        assert found["stall_fuse_margin"] == pytest.approx(expected)


# ---------------------------------------------------------------------------------- the order and the fuse: definition


@pytest.mark.parametrize("kind", ["toothed", "round"])
@given(
    fuse=st.sampled_from(sorted(LINKS)),
    breaking=st.floats(50.0, 5e4),
    shaft=st.floats(0.003, 0.012),
    fixing=st.floats(0.1, 100.0),
    plate=st.floats(0.002, 0.03),
    softening=st.floats(20.0, 2e4),
)
def test_fuse_goes_first_exactly_where_its_margin_says_so(
    kind: str, fuse: str, breaking: float, shaft: float, fixing: float, plate: float, softening: float
) -> None:
    changed = {
        "rotor.belt.breaking_tension": breaking, "rotor.motor.shaft.diameter": shaft,
        "rotor.belt.pulley.fixing_torque": fixing, "rotor.motor_mount.thickness": plate,
        "rotor.belt.softening_rise": softening, "rotor.belt.tooth_strength": softening * 50,
    }
    found = stop(kind, changed, {"rotor.belt.fuse": fuse})
    assume(abs(found["stall_fuse_margin"] - 1) > 1e-9)  # a tie has no first
    ranked = give_way_order(found)
    assert len(ranked) == len(LINKS)
    assert [margin for _, margin in ranked] == sorted(found[name] for name in LINKS.values())
    assert found["weakest_link_margin"] == ranked[0][1]
    assert (found["stall_fuse_margin"] > 1) == (ranked[0][0] == fuse)


def test_links_without_a_margin_are_left_out() -> None:
    known = {"belt_stall_margin": 2.0, "motor_shaft_stall_margin": 0.5}
    assert give_way_order(known) == (("shaft", 0.5), ("belt", 2.0))


# ------------------------------------------------------------------------------------------------------- hub motors


@pytest.mark.parametrize("known", [
    known for count in range(4) for known in itertools.combinations(("magnets", "can", "rotor's screws"), count)
], ids=", ".join)
def test_weakest_link_of_a_hub_is_the_least_of_what_is_stated(known: tuple[str, ...]) -> None:
    """Definition: axle and mount always count, and each of the others where its table is stated."""
    for low in (*known, "axle", "mount's screws"):
        given = {HUB_LINKS[link]: 3.0 for link in (*known, "axle", "mount's screws")} | {HUB_LINKS[low]: 1.5}
        traits = frozenset({"rotor.transmission=hub"})
        found = book.evaluate(given, traits, only=["weakest_link_margin"])["weakest_link_margin"]
        assert found == 1.5
        assert give_way_order(given)[0] == (low, 1.5)
