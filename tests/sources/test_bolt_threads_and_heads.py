"""Threads and heads of bolted joints, and which part of a joint gives way first.

'Shigley' is R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed. Status: 'copied page' the
book's page as seen in a copy, 'secondary' the source as quoted by another page, 'memory' from memory.
"""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from bolted import mount, stocked
from hypothesis import given
from hypothesis import strategies as st

from scaling.formulas import book
from scaling.formulas.joints import inputs as joint_inputs
from scaling.formulas.joints.places import PLATE
from scaling.formulas.joints.threads import limits
from scaling.shop.shelves import Shelves

# Each value is worked out for all three joints, which must agree.
CHECKS = (
    "bolt_internal_strip_area", "bolt_external_strip_area", "bolt_engagement_ratio", "bolt_strip_stress",
    "bolt_strip_margin", "bolt_external_strip_margin", "bolt_thread_reserve", "bolt_head_pressure",
    "bolt_head_pressure_margin", "bolt_weakest_margin", "bolt_shank_reserve", "joint_internal_strip_area",
    "joint_external_strip_area", "joint_engagement_ratio", "joint_strip_stress", "joint_strip_margin",
    "joint_external_strip_margin", "joint_thread_reserve", "joint_head_pressure", "joint_head_pressure_margin",
    "joint_weakest_margin", "joint_shank_reserve", "motor_mount_internal_strip_area", "motor_mount_external_strip_area",
    "motor_mount_engagement_ratio", "motor_mount_strip_stress", "motor_mount_strip_margin",
    "motor_mount_external_strip_margin", "motor_mount_thread_reserve", "motor_mount_head_pressure",
    "motor_mount_head_pressure_margin", "motor_mount_weakest_margin", "motor_mount_shank_reserve",
    "joint_force",
)

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


# ------------------------------------------------------------------------------------------- strength of the thread

LOADS = {"M5": 11350.0, "M6": 16100.0, "M8": 29200.0, "M10": 46400.0}
"""Load that breaks a bolt of class 8.8, N: EN ISO 898-1, table of least ultimate tensile loads; secondary."""


@pytest.mark.parametrize("size", STRIP_AREAS)
def test_thread_stripped_by_the_load_that_breaks_its_bolt(size: str) -> None:
    # Published area and published load, one over the other; a hole's material of 300 MPa, half of it in shear, and the
    # bolt's thread at 0.6 of its 800 MPa (EN 1993-1-8, table 3.4; secondary).
    diameter, (external, internal), load = float(size[1:]) * 1e-3, STRIP_AREAS[size], LOADS[size]
    pitch = {"M5": 0.8e-3, "M6": 1e-3, "M8": 1.25e-3, "M10": 1.5e-3}[size]
    sizes = {f"thread_{name}": value for name, value in vars(limits(diameter, pitch)).items()}
    stress, margin, bolts_margin = mount(
        "bolt_strip_stress", "bolt_strip_margin", "bolt_external_strip_margin", bolt_total_tension=load,
        thread_engagement=diameter, thread_pitch=pitch, thread_strength=300e6, thread_shear_strength_ratio=0.5,
        bolt_strength=800e6, bolt_shear_share=0.6, **sizes,
    )
    assert stress == pytest.approx(load / internal * 1e6, rel=1e-4)
    assert margin == pytest.approx(150e6 / (load / internal * 1e6), rel=1e-4)
    assert bolts_margin == pytest.approx(0.6 * 800 * external / load, rel=1e-4)


@pytest.mark.parametrize("size", STRIP_AREAS)
def test_thread_reserve_is_published_strip_load_over_published_breaking_load(size: str) -> None:
    # As above: 1 d of a hole of 300 MPa, half of it in shear; the breaking load is rounded to three digits.
    diameter = float(size[1:]) * 1e-3
    numbers, words = stocked(size, "8.8", thread_material="aluminium-7075-t6")
    numbers |= {"joint.thread.engagement": diameter, "joint.thread.strength": 300e6,
                "joint.thread.shear_strength_ratio": 0.5}
    joint_inputs.derive(PLATE, numbers, words, Shelves())
    values = {key.removeprefix("joint.").replace("thread.", "thread_"): value for key, value in numbers.items()}
    reserve, engaged = mount("bolt_thread_reserve", "bolt_engagement_ratio", **values)
    assert reserve == pytest.approx(150 * STRIP_AREAS[size][1] / LOADS[size], rel=5e-3)
    assert engaged == pytest.approx(1.0, rel=1e-12)


def test_engagement_in_diameters() -> None:
    # Definition: 9 mm of an M6 are one and a half diameters.
    assert mount("bolt_engagement_ratio", thread_engagement=0.009, bolt_diameter=0.006) == pytest.approx([1.5])


# -------------------------------------------------------------------------------------------------------------- head


@pytest.mark.parametrize(
    ("size", "seat", "hole", "area"),
    [("M6", 9.38, 6.6, 34.9), ("M8", 12.33, 9.0, 55.8), ("M10", 15.33, 11.0, 89.5)],
)
def test_pressure_under_a_cap_screws_head(size: str, seat: float, hole: float, area: float) -> None:
    # H. Wittel et al., Roloff/Matek Maschinenelemente, table of bearing areas A_p of ISO 4762 screws in medium holes,
    # mm2, memory: p = F/A_p as in VDI 2230-1. Here the load that breaks the bolt, on a plate of 500 MPa.
    pressure, margin = mount("bolt_head_pressure", "bolt_head_pressure_margin", bolt_total_tension=LOADS[size],
                             head_diameter=seat * 1e-3, hole_diameter=hole * 1e-3, strength=500e6)
    assert pressure == pytest.approx(LOADS[size] / area * 1e6, rel=2e-3)
    assert margin == pytest.approx(500 * area / LOADS[size], rel=2e-3)


# ------------------------------------------------------------------------------------------------ force on the joint


def test_stated_force_counts_before_a_share_of_the_hit() -> None:
    # Definition: a quarter of 4 kN is 1 kN, of the 6 kN of a hit taken 1.5 kN; a stated force is the force.
    shared = {"hit_force": 4000.0, "joint.force_share": 0.25}
    taken = shared | {"taken_hit_force": 6000.0}
    assert book.evaluate(taken, frozenset(), only=["joint_force"])["joint_force"] == 1500.0
    assert book.evaluate(shared, frozenset(), only=["joint_force"])["joint_force"] == 1000.0
    assert book.evaluate(shared | {"joint.force": 1234.0}, frozenset(), only=["joint_force"])["joint_force"] == 1234.0


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


# --------------------------------------------------------------------------------------------------- the weakest part


def test_bolts_of_shigley_example_8_6_shear_first() -> None:
    # Pp. 454-455, copied pages, design factor 1.5 in all: bolts' threads in shear 45.9 kip, bearing 54 kip, edge shear
    # 93.5 kip; the bolts are the weakest. Two shear planes of A_r 0.351 in2 on each of two bolts.
    inch, kip, kpsi = 0.0254, 4448.2216152605, 6894757.293168
    weakest, reserve = mount(
        "bolt_weakest_margin", "bolt_shank_reserve", hit_force=45.9 * kip, bolts=2, bolt_diameter=0.75 * inch,
        bolt_stress_area=2 * 0.351 * inch**2, bolt_strength=85 * kpsi, bolt_shear_share=0.577, thickness=inch,
        strength=54 * kpsi, shear_strength_ratio=0.577, edge_distance=1.125 * inch, bolt_shear_factor=1.0,
    )
    assert weakest == pytest.approx(1.5, rel=2e-3)
    assert reserve == pytest.approx(45.9 / 93.5, rel=2e-3)


@given(st.sampled_from(["M3", "M4", "M5", "M6", "M8"]), st.floats(0.0, 0.999), st.floats(0.003, 0.02))
def test_weakest_margin_is_the_least_of_those_known(size: str, pull: float, thickness: float) -> None:
    found = rail(size, "hdpe", thickness, pull, 0.008)
    parts = ("combined", "bearing", "tear_out", "pull_through", "strip", "external_strip")
    least = np.nanmin([found[f"joint_{part}_margin"] for part in parts])  # without a pull some have no number
    assert found["joint_weakest_margin"] == pytest.approx(least)




PARTS = {"plate": ("bearing", "tear_out", "pull_through"), "thread": ("strip", "external_strip")}


@pytest.mark.parametrize(("pulled", "plate", "thread"), list(product((True, False), repeat=3)))
def test_verdict_of_every_kind_of_joint(pulled: bool, plate: bool, thread: bool) -> None:
    # Definition, put together by numpy from the single margins: the least of those that the joint has; the shank's
    # over the least of what tears out, pulls through or strips. A joint without a pull has no margin along its bolts.
    values = {"bolts": 4, "bolt_stress_area": 20.1e-6, "bolt_strength": 800e6, "bolt_shear_share": 0.6,
              "bolt_diameter": 0.006}
    if pulled:
        values |= {"pull_share": 0.6}
    if plate:
        values |= {"thickness": 0.006, "edge_distance": 0.010, "strength": 25e6, "shear_strength_ratio": 0.7,
                   "head_diameter": 0.010, "hole_diameter": 0.0066}
    if thread:
        values |= {"thread_engagement": 0.006, "thread_strength": 90e6, "thread_shear_strength_ratio": 0.6,
                   "bolt_total_tension": 2000.0}
        values |= {f"thread_{name}": value for name, value in vars(limits(0.006, 0.001)).items()}
        values |= {"thread_pitch": 0.001}
    shank = "combined" if pulled else "shear"
    torn = [name for name in PARTS["plate"][1:] if plate and (pulled or name != "pull_through")]
    torn += ["strip"] if thread else []
    others = ["bearing"] * plate + ["external_strip"] * thread
    margins = dict(zip([shank, *torn, *others], mount(*(f"bolt_{name}_margin" for name in (shank, *torn, *others)),
                                                      hit_force=20e3, **values), strict=True))
    assert mount("bolt_weakest_margin", hit_force=20e3, **values) == pytest.approx([min(margins.values())], rel=1e-9)
    if torn:
        reserve = margins[shank] / min(margins[name] for name in torn)
        assert mount("bolt_shank_reserve", hit_force=20e3, **values) == pytest.approx([reserve], rel=1e-9)
    else:
        with pytest.raises(KeyError):
            mount("bolt_shank_reserve", hit_force=20e3, **values)
