"""Bolted joints against published tables and worked examples.

'Shigley' is R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., in inch units where
the book is. Status: 'copied page' the book's page as seen in a copy, 'secondary' the source as quoted by another
page, 'memory' from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.formulas.joints import inputs as joint_inputs
from scaling.formulas.joints.places import MOUNT, PLATE
from scaling.formulas.joints.threads import limits
from scaling.formulas.transmission.belts import MOTOR_MOUNT
from scaling.shop.shelves import Shelves

# Each value is worked out for all three joints, which must agree.
CHECKS = (
    "bolt_shear_stress", "bolt_shear_margin", "bolt_shear_factor", "bolt_tension_factor", "bolt_tension_load",
    "bolt_combined_margin", "bolt_preload", "bolt_preload_share", "bolt_stiffness_share", "bolt_total_tension",
    "bolt_tension_stress", "bolt_tension_margin", "bolt_separation_margin", "bolt_bearing_pressure",
    "bolt_bearing_margin", "bolt_edge_ratio", "bolt_tear_out_stress", "bolt_tear_out_margin",
    "bolt_pull_through_stress", "bolt_pull_through_margin", "bolt_internal_strip_area", "bolt_external_strip_area",
    "joint_shear_stress", "joint_shear_margin", "joint_shear_factor", "joint_tension_factor", "joint_tension_load",
    "joint_combined_margin", "joint_preload", "joint_preload_share", "joint_stiffness_share", "joint_total_tension",
    "joint_tension_stress", "joint_tension_margin", "joint_separation_margin", "joint_bearing_pressure",
    "joint_bearing_margin", "joint_edge_ratio", "joint_tear_out_stress", "joint_tear_out_margin",
    "joint_pull_through_stress", "joint_pull_through_margin", "joint_internal_strip_area",
    "joint_external_strip_area", "motor_mount_shear_stress", "motor_mount_shear_margin", "motor_mount_shear_factor",
    "motor_mount_tension_factor", "motor_mount_tension_load", "motor_mount_combined_margin", "motor_mount_preload",
    "motor_mount_preload_share", "motor_mount_stiffness_share", "motor_mount_total_tension",
    "motor_mount_tension_stress", "motor_mount_tension_margin", "motor_mount_separation_margin",
    "motor_mount_bearing_pressure", "motor_mount_bearing_margin", "motor_mount_edge_ratio",
    "motor_mount_tear_out_stress", "motor_mount_tear_out_margin", "motor_mount_pull_through_stress",
    "motor_mount_pull_through_margin", "motor_mount_internal_strip_area", "motor_mount_external_strip_area",
    "joint_shank_reserve", "joint_thread_reserve",
)

INCH, LBF = 0.0254, 4.4482216152605
PSI = LBF / INCH**2
KIP, KPSI, MPSI = 1e3 * LBF, 1e3 * PSI, 1e6 * PSI
CIRCLE, LINES = "circle", "two-lines"


def mount(*names: str, pattern: str | None = None, hit_force: float = 1.0, **values: Any) -> list[float]:
    """Quantities of the rotor's mount, the same for the other joints; ``values`` are keys, or quantities as bolt_..."""
    found = [_of(joint, names, pattern, hit_force, values) for joint in (MOUNT, PLATE, MOTOR_MOUNT)]
    assert np.array_equal(found[0], found[1], equal_nan=True)
    assert np.array_equal(found[0], found[2], equal_nan=True)
    return found[0]


def _of(
    joint: joint_inputs.BoltedJoint, names: Sequence[str], pattern: str | None, force: float, values: dict[str, Any]
) -> list[float]:
    given = {joint.force: force, f"{joint.table}.overhang": 0.0}
    if "bolt_shear_factor" not in values:  # the book works it out wherever it can
        given[f"{joint.table}.unevenness"] = 1.0
    for name, value in values.items():
        key = f"{joint.table}.{name.replace('thread_', 'thread.')}"
        given[name.replace("bolt_", f"{joint.prefix}_", 1) if name in book.quantities else key] = value
    wanted = [name.replace("bolt_", f"{joint.prefix}_", 1) for name in names]
    traits = frozenset({f"{joint.table}.pattern={pattern}"} if pattern else ())
    found = book.evaluate(given, traits, only=wanted)
    return [float(found[name]) for name in wanted]


def stocked(size: str, strength: str, **words: str) -> tuple[dict[str, float], dict[str, str]]:
    """Numbers and words of [joint] for a bolt off the shelf."""
    numbers = {"joint.bolts": 1.0, "joint.unevenness": 1.0, "joint.overhang": 0.0, "joint.bolt_modulus": 205e9}
    return numbers, {"joint.bolt": size, "joint.bolt_class": strength} | {
        f"joint.{key.replace('thread_', 'thread.')}": word for key, word in words.items()
    }


# ------------------------------------------------------------------------------------------------- shear and pattern


def test_bolt_shear_of_eurocode_3() -> None:
    # EN 1993-1-8, table 3.4, with gamma 1.25: M6 class 8.8 carries 7.72 kN, M20 class 4.6 47.04 kN; secondary.
    for area, ultimate, carried in ((20.1e-6, 800e6, 7.72e3), (245e-6, 400e6, 47.04e3)):
        margin, = mount("bolt_shear_margin", hit_force=carried, bolts=1, bolt_stress_area=area, bolt_strength=ultimate,
                        bolt_shear_share=0.6, bolt_shear_factor=1.0)
        assert margin == pytest.approx(1.25, rel=1e-3)


def test_shear_share_drops_for_hard_bolts() -> None:
    # EN 1993-1-8, table 3.4: alpha_v 0.6 for class 8.8, 0.5 for 10.9; secondary.
    for strength, share in (("8.8", 0.6), ("10.9", 0.5)):
        numbers, words = stocked("M6", strength)
        joint_inputs.derive(PLATE, numbers, words, Shelves())
        assert numbers["joint.bolt_shear_share"] == share


def test_tension_and_interaction_of_eurocode_3() -> None:
    # M20 class 4.6, F_t,Rd = 70.56 kN and F_v,Rd = 47.04 kN at gamma 1.25 (secondary); F_v/F_v,Rd +
    # F_t/(1.4 F_t,Rd) = 1 is met by 0.4 F_v,Rd with 0.6 * 1.4 F_t,Rd.
    shear, tension = 0.4 * 1.25 * 47.04e3, 0.6 * 1.4 * 1.25 * 70.56e3
    margin, = mount("bolt_combined_margin", hit_force=shear, bolts=1, bolt_stress_area=245e-6, bolt_strength=400e6,
                    bolt_shear_share=0.6, bolt_shear_factor=1.0, bolt_tension_load=tension)
    assert margin == pytest.approx(1.0, rel=1e-4)


def test_eccentric_shear_of_shigley_example_8_7() -> None:
    # p. 458, copied page: 16 kN at 425 mm from the middle of four bolts at r = 96.0 mm (75 and 60 mm): worst bolt
    # 21.0 kN, and 146 MPa on the minor area of 144 mm2.
    factor, stress = mount(
        "bolt_shear_factor", "bolt_shear_stress", pattern=LINES, hit_force=16e3, bolts=4, line_spacing=0.150,
        line_length=0.120, overhang=0.425, bolt_stress_area=144e-6,
    )
    assert factor * 16e3 / 4 == pytest.approx(21.0e3, rel=2e-3)
    assert factor * stress == pytest.approx(146e6, rel=3e-3)


def test_eccentric_shear_of_an_examination_question() -> None:
    # Four bolts at r = 50 mm (40 and 30 mm), 10 kN at 100 mm: 7.16 kN on the worst; secondary page of questions.
    factor, = mount("bolt_shear_factor", pattern=LINES, bolts=4, line_spacing=0.080, line_length=0.060, overhang=0.1)
    assert factor * 10 / 4 == pytest.approx(7.16, rel=1e-3)


def rigid_plate(places: np.ndarray, force: np.ndarray, overhang: float) -> np.ndarray:
    """Force on each bolt of a rigid plate: the sharing with the least energy among all in balance."""
    count = len(places)
    balance = np.zeros((3, 2 * count))
    balance[0, :count], balance[1, count:] = 1, 1
    balance[2, :count], balance[2, count:] = -places[:, 1], places[:, 0]
    right = np.array([*force, overhang * force[1]])
    shares, *_ = np.linalg.lstsq(balance, right, rcond=None)
    return shares.reshape(2, count).T


@pytest.mark.parametrize("bolts", [4, 6, 8, 12])
@pytest.mark.parametrize("overhang", [0.0, 0.01, 0.05])
def test_shear_factor_of_two_lines_is_statics(bolts: int, overhang: float) -> None:
    # Independent: least-energy balance of forces and moment, solved by numpy; 1e-9.
    aside, along = 0.02, np.linspace(-0.015, 0.015, bolts // 2)
    places = np.array([(x, y) for x in (-aside, aside) for y in along])
    worst = np.linalg.norm(rigid_plate(places, np.array([0.0, 1.0]), overhang), axis=1).max()
    factor, = mount("bolt_shear_factor", pattern=LINES, bolts=bolts, line_spacing=0.04, line_length=0.03,
                    overhang=overhang)
    assert factor / bolts == pytest.approx(worst, rel=1e-9)


@pytest.mark.parametrize("bolts", [2, 3, 4, 6, 9])
def test_shear_factor_of_a_circle_is_the_worst_turn_of_the_circle(bolts: int) -> None:
    # Independent: the same balance with the circle turned through all angles; a bolt then stands where both
    # shears point one way.
    worst = 0.0
    for turn in np.linspace(0, 2 * math.pi, 721):
        angles = turn + 2 * math.pi * np.arange(bolts) / bolts
        places = 0.009 * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        worst = max(worst, np.linalg.norm(rigid_plate(places, np.array([0.0, 1.0]), 0.006), axis=1).max())
    factor, = mount("bolt_shear_factor", pattern=CIRCLE, bolts=bolts, pattern_diameter=0.018, overhang=0.006)
    assert factor / bolts == pytest.approx(worst, rel=1e-4)


def plate_tension(heights: np.ndarray, moment: float) -> float:
    """Largest tension that a rigid plate, turning about the middle of its bolts, puts on one of them."""
    balance = np.stack([np.ones_like(heights), heights])
    return float(np.linalg.lstsq(balance, np.array([0.0, moment]), rcond=None)[0].max())


@pytest.mark.parametrize("bolts", [4, 6, 8, 12])
def test_tension_factor_of_two_lines_is_statics(bolts: int) -> None:
    heights = np.tile(np.linspace(-0.015, 0.015, bolts // 2), 2)
    factor, = mount("bolt_tension_factor", pattern=LINES, bolts=bolts, line_spacing=0.04, line_length=0.03, lever=0.02)
    assert factor / bolts == pytest.approx(plate_tension(heights, 0.02), rel=1e-9)


@pytest.mark.parametrize("bolts", [3, 4, 6, 9])
def test_tension_factor_of_a_circle_is_the_worst_turn_of_the_circle(bolts: int) -> None:
    angles = 2 * math.pi * np.arange(bolts) / bolts
    worst = max(plate_tension(0.009 * np.sin(turn + angles), 0.02) for turn in np.linspace(0, 2 * math.pi, 721))
    factor, = mount("bolt_tension_factor", pattern=CIRCLE, bolts=bolts, pattern_diameter=0.018, lever=0.02)
    assert factor / bolts == pytest.approx(worst, rel=1e-4)


def test_tension_of_four_bolts_by_the_steel_manual() -> None:
    # AISC, Steel Construction Manual, part 7, case II: r_t = P e/(n' d_m), n' bolts above the neutral axis at d_m
    # from those below; secondary. Here P e = 30 N m, n' = 2, d_m = 50 mm: 300 N.
    load, = mount("bolt_tension_load", pattern=LINES, hit_force=1500.0, bolts=4, line_spacing=0.03, line_length=0.05,
                  lever=0.02)
    assert load == pytest.approx(300.0, rel=1e-12)


def test_slanting_pull_splits_by_its_angle() -> None:
    # Plane geometry: 3-4-5. A force whose cosine to the bolts is 0.6 pulls with 0.6 and shears with 0.8 of itself.
    shear, tension = mount("bolt_shear_factor", "bolt_tension_factor", bolts=4, pull_share=0.6)
    assert (shear, tension) == pytest.approx((0.8, 0.6))


def test_two_bolts_side_by_side_hold_no_force_above_them() -> None:
    factor, = mount("bolt_tension_factor", pattern=LINES, bolts=2, line_spacing=0.03, line_length=0.0, lever=0.02)
    assert math.isnan(factor)


# ------------------------------------------------------------------------------------------------------------ preload


def test_preload_from_torque() -> None:
    # T = K F d. M10, 50 N m, K 0.2: 25 kN, 71.8 % of 600 MPa on 58 mm2. M12 class 8.8, 82 N m: 34 kN, 70 % of
    # 580 MPa on 84.3 mm2. Shigley example 8-3: 25 kip in 3/4 in, 3750 lbf in (memory). The others secondary.
    cases = (
        (50.0, 0.010, 25e3, 58e-6, 600e6, 0.718),
        (82.0, 0.012, 34e3, 84.3e-6, 580e6, 0.70),
        (3750 * LBF * INCH, 0.75 * INCH, 25 * KIP, 0.373 * INCH**2, 85 * KPSI, 67.02 / 85),
    )
    for torque, diameter, preload, area, proof, share in cases:
        found = mount("bolt_preload", "bolt_preload_share", torque=torque, nut_factor=0.2, bolt_diameter=diameter,
                      bolt_stress_area=area, bolt_proof=proof)
        assert found == pytest.approx([preload, share], rel=6e-3)


def test_service_stress_of_shigley_example_8_3() -> None:
    # p. 439, copied page: F_i 25 kip, C 0.320, P 6 kip, A_t 0.373 in2: 72.17 kpsi, 15 % below the proof 85 kpsi.
    stress, margin = mount(
        "bolt_tension_stress", "bolt_tension_margin", bolt_preload=25 * KIP, bolt_stiffness_share=0.320,
        bolt_tension_load=6 * KIP, bolt_stress_area=0.373 * INCH**2, bolt_proof=85 * KPSI,
    )
    assert stress == pytest.approx(72.17 * KPSI, rel=1e-4)
    assert 1 - 1 / margin == pytest.approx(0.15, abs=2e-3)


def test_load_and_separation_factors_of_a_shigley_solution() -> None:
    # Solutions manual, ch. 8, copied page: F_i 252.45 kN, C 0.33, P 80 kN, A_t 561 mm2, S_p 600 MPa: load factor
    # (S_p A_t - F_i)/(C P) = 3.19, separation 4.71.
    total, margin, separation = mount(
        "bolt_total_tension", "bolt_tension_margin", "bolt_separation_margin", bolt_preload=252.45e3,
        bolt_stiffness_share=0.33, bolt_tension_load=80e3, bolt_stress_area=561e-6, bolt_proof=600e6,
    )
    assert (margin * total - 252.45e3) / (0.33 * 80e3) == pytest.approx(3.19, rel=2e-3)
    assert separation == pytest.approx(4.71, rel=1e-3)


def test_joint_stiffness_of_a_shigley_solution() -> None:
    # Solutions manual, 8-25, copied page: k_b = A_t E/l = 5.04 Mlbf/in at A_t 0.1419 in2, l 0.845 in, E 30 Mpsi; each
    # of the two steel cones of a joint of that grip 36.14 Mlbf/in, so 18.07 in series.
    share, = mount("bolt_stiffness_share", bolt_stress_area=0.1419 * INCH**2, bolt_modulus=30 * MPSI, grip=0.845 * INCH,
                   modulus=30 * MPSI, bolt_diameter=0.5 * INCH)
    assert share == pytest.approx(5.04 / (5.04 + 18.07), rel=1e-3)


@pytest.mark.parametrize("slimness", [0.5, 0.75, 1.0, 1.5, 2.0, 3.0])
def test_plates_stiffness_agrees_with_finite_elements(slimness: float) -> None:
    # Wileman, Choudhury and Green, J. Mech. Des. 113 (1991): k_m/(E d) = 0.78715 exp(0.62873 d/l) for steel, a fit to
    # finite elements; memory. The cones keep within 10 % of it.
    area, diameter, modulus = 58e-6, 0.010, 207e9
    share, = mount("bolt_stiffness_share", bolt_stress_area=area, bolt_modulus=modulus, grip=slimness * diameter,
                   modulus=modulus, bolt_diameter=diameter)
    bolt = area * modulus / (slimness * diameter)
    plates = bolt * (1 / share - 1)
    assert plates / (modulus * diameter) == pytest.approx(0.78715 * math.exp(0.62873 / slimness), rel=0.10)


def test_soft_plate_leaves_the_pull_to_the_bolt() -> None:
    # Shigley, sec. 8-5 and 8-7: a soft member (there a gasket) makes C near 1; steel plates C about 0.2 (copied page).
    steel, plastic = (
        mount("bolt_stiffness_share", bolt_stress_area=5.03e-6, bolt_modulus=205e9, grip=0.008, modulus=modulus,
              bolt_diameter=0.003)[0]
        for modulus in (205e9, 0.72e9)
    )
    assert 0.1 < steel < 0.3
    assert plastic > 0.95


# -------------------------------------------------------------------------------------------------------------- plate


def test_margins_of_shigley_example_8_6() -> None:
    # Pp. 454-455, copied pages, design factor 1.5 in all: bearing of the plate 54 kip (two 3/4 in bolts, 1 in thick,
    # S_y 54 kpsi); threads in shear 45.9 kip (four A_r of 0.351 in2, 0.577 * 85 kpsi); edge shear at two bolts,
    # 1.125 in from the edge, 93.5 kip (0.577 * 54 kpsi).
    bearing, = mount("bolt_bearing_margin", hit_force=54 * KIP, bolts=2, bolt_diameter=0.75 * INCH, thickness=INCH,
                     strength=54 * KPSI, bolt_shear_factor=1.0)
    shear, = mount("bolt_shear_margin", hit_force=45.9 * KIP, bolts=4, bolt_stress_area=0.351 * INCH**2,
                   bolt_strength=85 * KPSI, bolt_shear_share=0.577, bolt_shear_factor=1.0)
    edge, = mount("bolt_tear_out_margin", hit_force=93.5 * KIP, bolts=2, edge_distance=1.125 * INCH, thickness=INCH,
                  strength=54 * KPSI, shear_strength_ratio=0.577, bolt_shear_factor=1.0)
    assert (bearing, shear, edge) == pytest.approx((1.5, 1.5, 1.5), rel=2e-3)


def test_bearing_of_a_shigley_solution() -> None:
    # Solutions manual, 8-40, copied page: 4 kip on two bolts, 0.25 in by 0.375 in each: 21.3 kpsi, S_y 32 kpsi: 1.50.
    pressure, margin = mount(
        "bolt_bearing_pressure", "bolt_bearing_margin", hit_force=4 * KIP, bolts=2, bolt_diameter=0.375 * INCH,
        thickness=0.25 * INCH, strength=32 * KPSI, bolt_shear_factor=1.0,
    )
    assert pressure == pytest.approx(21.3 * KPSI, rel=2e-3)
    assert margin == pytest.approx(1.50, rel=2e-3)


def test_bolt_bends_where_johansen_says() -> None:
    # EN 1995-1-1:2004, eq. 8.6 for two like plates, memory: a rigid bolt bears (sqrt(2) - 1) f t d, one that bends in
    # one plate f t d/3 (sqrt(4 + 12 M_y/(f d t^2)) - 1). The lesser counts; they cross where the bolt starts to bend.
    diameter, strength, plate = 0.004, 800e6, 25e6
    moment = strength * diameter**3 / 6

    def gap(thickness: float) -> float:
        bending = (math.sqrt(4 + 12 * moment / (plate * diameter * thickness**2)) - 1) / 3
        return bending - (math.sqrt(2) - 1)

    crossing = brentq(gap, 0.001, 0.2)
    found, = mount("bolt_slenderness", thickness=crossing, bolt_diameter=diameter, strength=plate,
                   bolt_strength=strength)
    bound, = (limit for limit in book.quantities["bolt_bearing_margin"].valid if limit.of == "bolt_slenderness")
    assert found == pytest.approx(bound.high, rel=0.01)


def test_worst_bolt_counts_in_every_margin_of_the_plate() -> None:
    common = {"hit_force": 4e3, "bolts": 4, "bolt_diameter": 0.005, "thickness": 0.006, "edge_distance": 0.010,
              "strength": 25e6, "shear_strength_ratio": 0.7}
    names = ("bolt_bearing_margin", "bolt_tear_out_margin")
    even, worst = mount(*names, bolt_shear_factor=1.0, **common), mount(*names, bolt_shear_factor=2.5, **common)
    assert np.divide(even, worst) == pytest.approx([2.5, 2.5])


def test_edge_distance_of_eurocode_3() -> None:
    # EN 1993-1-8, table 3.3: e1 at least 1.2 d0; M6 in its medium hole of 6.6 mm: 7.92 mm; secondary.
    numbers, words = stocked("M6", "8.8")
    joint_inputs.derive(PLATE, numbers, words, Shelves())
    ratio, = mount("bolt_edge_ratio", edge_distance=7.92e-3, hole_diameter=numbers["joint.hole_diameter"])
    bound, = (limit for limit in book.quantities["bolt_tear_out_margin"].valid if limit.of == "bolt_edge_ratio")
    assert ratio == pytest.approx(1.2) == bound.low


def test_punching_shear_of_eurocode_3() -> None:
    # EN 1993-1-8, table 3.4: M20, d_m 30 mm, S235 8 mm thick (f_u 360 MPa), gamma 1.25: 130.288 kN; secondary.
    margin, = mount("bolt_pull_through_margin", bolt_tension_load=130.288e3, head_diameter=0.030, thickness=0.008,
                    strength=360e6, shear_strength_ratio=0.6)
    assert margin == pytest.approx(1.25, rel=1e-5)


# ------------------------------------------------------------------------------------------------------------- thread

# Engaged 1 d, mm2: bolt's and hole's thread. Table after J. H. Bickford, Introduction to the Design and Behavior of
# Bolted Joints, 4th ed.; secondary.
STRIP_AREAS = {"M5": (35.366, 49.994), "M6": (51.875, 73.145), "M8": (97.290, 134.63), "M10": (155.80, 214.77)}


@pytest.mark.parametrize("size", STRIP_AREAS)
def test_strip_areas(size: str) -> None:
    numbers, words = stocked(size, "8.8", thread_material="steel-mild")
    numbers["joint.thread.engagement"] = float(size[1:]) * 1e-3
    joint_inputs.derive(PLATE, numbers, words, Shelves())
    names = ("joint_external_strip_area", "joint_internal_strip_area")
    found = book.evaluate(numbers, frozenset(), only=names)
    assert [float(found[name]) * 1e6 for name in names] == pytest.approx(STRIP_AREAS[size], rel=1e-4)


def test_basic_sizes_would_overestimate_the_strip_area() -> None:
    # M10 by basic sizes: 197.4 and 274.9 mm2, more than a quarter above the table; 0.5 pi d2 L_e = 141.8 mm2 is below.
    basic = mount(
        "bolt_external_strip_area", "bolt_internal_strip_area", thread_engagement=0.010, thread_pitch=1.5e-3,
        thread_external_major=0.010, thread_external_pitch=9.026e-3, thread_internal_pitch=9.026e-3,
        thread_internal_minor=8.376e-3,
    )
    assert np.multiply(basic, 1e6) == pytest.approx([197.4, 274.9], rel=1e-3)
    for rough, exact in zip(basic, STRIP_AREAS["M10"], strict=True):
        assert rough * 1e6 > 1.25 * exact
        assert 0.5 * math.pi * 9.026 * 10 < exact


@pytest.mark.parametrize(
    ("diameter", "pitch", "major", "external"),
    [(1.6, 0.35, 1.496, 1.291), (2, 0.4, 1.886, 1.654), (2.5, 0.45, 2.380, 2.117), (3, 0.5, 2.874, 2.580),
     (4, 0.7, 3.838, 3.433), (5, 0.8, 4.826, 4.361)],
)
def test_limits_of_the_bolts_thread(diameter: float, pitch: float, major: float, external: float) -> None:
    # Least major and pitch diameter of 6g threads, ASME B1.13M; secondary.
    found = limits(diameter * 1e-3, pitch * 1e-3)
    assert found is not None
    assert (found.external_major, found.external_pitch) == pytest.approx((major * 1e-3, external * 1e-3), abs=0.6e-6)


@pytest.mark.parametrize(
    ("diameter", "pitch", "internal", "minor"),
    [(3, 0.5, 2.775, 2.599), (4, 0.7, 3.663, 3.422), (5, 0.8, 4.605, 4.334), (6, 1, 5.500, 5.153)],
)
def test_limits_of_the_holes_thread(diameter: float, pitch: float, internal: float, minor: float) -> None:
    # Largest pitch and minor diameter of 6H threads, ISO 965-2; memory.
    found = limits(diameter * 1e-3, pitch * 1e-3)
    assert found is not None
    assert (found.internal_pitch, found.internal_minor) == pytest.approx((internal * 1e-3, minor * 1e-3), abs=0.6e-6)


def test_pitch_without_listed_limits_has_no_strip_area() -> None:
    assert limits(14e-3, 2e-3) is None


# ------------------------------------------------------------------------- facts of the trade: plastic before the bolt

def rail(size: str, material: str, thickness: float, pull: float, engaged: float | None = None) -> dict[str, float]:
    """A bolt with its head or nut behind a rail, 10 mm from its edge, under a force slanting off the bolt."""
    words = {"material": material} | ({"thread_material": material} if engaged else {})
    numbers, chosen = stocked(size, "8.8", **words)
    from scaling.shop.materials import material as named

    plate = named(material)
    numbers |= {"joint.thickness": thickness, "joint.edge_distance": 0.010, "joint.pull_share": pull,
                "joint.force": 5e3, "joint.strength": plate.strength.typical, "joint.modulus": plate.modulus.typical}
    if engaged:
        numbers |= {"joint.thread.engagement": engaged, "joint.thread.strength": plate.strength.typical}
    joint_inputs.derive(PLATE, numbers, chosen, Shelves())
    return {name: float(value) for name, value in book.evaluate(numbers, frozenset()).items()}


@pytest.mark.parametrize("material", ["hdpe", "uhmwpe"])
@pytest.mark.parametrize("size", ["M5", "M6", "M8"])
@pytest.mark.parametrize("pull", [0.7, 0.9, 0.99])
def test_bolt_and_nut_come_out_of_polyethylene(size: str, material: str, pull: float) -> None:
    # Common practice, no source: a bolt and its nut pull out of polyethylene with the material round them.
    found = rail(size, material, 0.012, pull)
    assert found["joint_shank_reserve"] > 1
    assert min(found["joint_tear_out_margin"], found["joint_pull_through_margin"]) < found["joint_combined_margin"]


@pytest.mark.parametrize("size", ["M5", "M6", "M8"])
def test_the_same_bolt_breaks_in_a_steel_rail(size: str) -> None:
    # The fact's other side, so that it can fail: in hard steel of the same size the bolt goes first.
    assert rail(size, "steel-4140-qt", 0.012, 0.9)["joint_shank_reserve"] < 1


@pytest.mark.parametrize("size", ["M3", "M4", "M5", "M6"])
def test_screw_strips_out_of_polyethylene(size: str) -> None:
    # Common practice, no source: a machine screw tapped into polyethylene strips, in steel over 1 d it breaks.
    diameter = float(size[1:]) * 1e-3
    assert rail(size, "uhmwpe", 0.012, 0.9, 2 * diameter)["joint_thread_reserve"] < 1
    assert rail(size, "steel-4140-qt", 0.012, 0.9, 1.2 * diameter)["joint_thread_reserve"] > 1


# ------------------------------------------------------------------------------------------------------------- inputs


@given(st.sampled_from(["M3", "M4", "M5", "M6", "M8"]), st.floats(0.0, 0.999), st.floats(0.003, 0.02))
def test_weakest_margin_is_the_least_of_those_known(size: str, pull: float, thickness: float) -> None:
    found = rail(size, "hdpe", thickness, pull, 0.008)
    parts = ("combined", "bearing", "tear_out", "pull_through", "strip", "external_strip")
    least = np.nanmin([found[f"joint_{part}_margin"] for part in parts])  # without a pull some have no number
    assert found["joint_weakest_margin"] == pytest.approx(least)


@pytest.mark.parametrize(
    ("changed", "words", "key"),
    [
        ({"rotor.mount.overhang": 0.02}, {}, "rotor.mount.pattern"),
        ({"rotor.mount.lever": 0.02}, {}, "rotor.mount.pattern"),
        ({}, {"rotor.mount.pattern": "circle"}, "rotor.mount.pattern_diameter"),
        ({"rotor.mount.line_spacing": 0.03}, {"rotor.mount.pattern": "two-lines"}, "rotor.mount.line_length"),
        ({"rotor.mount.bolts": 5.0, "rotor.mount.line_spacing": 0.03, "rotor.mount.line_length": 0.03},
         {"rotor.mount.pattern": "two-lines"}, "rotor.mount.bolts"),
        ({"rotor.mount.bolts": 2.0, "rotor.mount.pattern_diameter": 0.03, "rotor.mount.lever": 0.02},
         {"rotor.mount.pattern": "circle"}, "rotor.mount.bolts"),
        ({}, {"rotor.mount.bolt": "M7"}, "rotor.mount.bolt"),
        ({}, {"rotor.mount.bolt_class": "9.9"}, "rotor.mount.bolt_class"),
    ],
)
def test_mistakes_name_their_key(changed: dict[str, float], words: dict[str, str], key: str) -> None:
    numbers = {"rotor.mount.bolts": 4.0, "rotor.mount.overhang": 0.0} | changed
    with pytest.raises(InputError) as caught:
        words = {"rotor.mount.bolt": "M4", "rotor.mount.bolt_class": "8.8"} | words
        joint_inputs.derive(MOUNT, numbers, words, Shelves())
    assert caught.value.key == key


def test_stated_sizes_stand() -> None:
    numbers = {"rotor.mount.bolts": 4.0, "rotor.mount.head_diameter": 0.012}
    joint_inputs.derive(MOUNT, numbers, {"rotor.mount.bolt": "M4", "rotor.mount.bolt_class": "A2-70"}, Shelves())
    assert numbers["rotor.mount.head_diameter"] == 0.012
    assert numbers["rotor.mount.bolt_proof"] == 450e6  # ISO 3506-1, A2-70: Rp0.2 stands in for the proof load stress
