"""Formulas of a bolted joint: shares of the bolts, the bolts themselves, the plate and the thread.

Written once for any joint of the robot; the branches name the joints that they have. How the weakest of them is
found stands in verdict.py.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from scaling.book.algebra import Expression, cases, expression, infinity, log, pi, sqrt, symbol
from scaling.book.entry import Array, Model, Quantity, Validity
from scaling.formulas.joints.inputs import BoltedJoint

EUROCODE = "en1993-1-8 table 3.4"
EVEN = "bolts share the force evenly"


def preload_alone(preload: Array, force: Array) -> dict[str, Array]:
    """Tension of a bolt on which no force pulls: its preload, whatever the force across it, which must be known."""
    return {"tension": np.asarray(preload + 0 * np.asarray(force))}


def quantities(joint: BoltedJoint) -> tuple[Quantity, ...]:
    """Return every quantity of the joint, save the verdict on the weakest."""
    return (*_shares(joint), *_bolts(joint), *_preload(joint), *_plate(joint), *_thread(joint))


def _shares(joint: BoltedJoint) -> list[Quantity]:
    """Return what the worst bolt carries across and along itself, over an even share of the whole force."""
    found: list[Quantity] = []
    for pattern in ("circle", "two-lines", None):
        for pull in (True, False):
            when = (f"{joint.table}.pattern={pattern}",) if pattern else ()
            found.append(Quantity(
                f"{joint.prefix}_shear_factor", f"{joint.title}: shear peak factor", "f_v", "1", joint.branch, "lower",
                _shear_factor(joint, pattern, pull),
                source="shigley9 sec. 8-12, as seen on a copied page: direct shear F/n and M r/sum(r^2) about the "
                "middle of the bolts, added as vectors",
                assumes="rigid plate; bolts alike; on a circle both shears along one line; without a pattern the force "
                "goes through the middle of the bolts",
                when=when,
            ))
            if pattern or pull:
                found.append(Quantity(
                    f"{joint.prefix}_tension_factor", f"{joint.title}: tension peak factor", "f_t", "1", joint.branch,
                    "lower", _tension_factor(joint, pattern, pull),
                    source="aisc-manual part 7, eccentricity normal to the faying surface, case II: M y/sum(y^2) about "
                    "the middle of the bolts",
                    assumes="rigid plate that turns about the middle of the bolts, as a clamped one does",
                    when=when,
                ))
    return found


def _across(joint: BoltedJoint, pull: bool) -> Expression:
    return sqrt(1 - joint.variable("pull_share") ** 2) if pull else expression(1)


def _line_squares(joint: BoltedJoint) -> Expression:
    """Mean of y^2 over m evenly spaced bolts on each of two lines of length l: l^2 (m + 1) / (12 (m - 1))."""
    bolts, length = joint.variable("bolts"), joint.variable("line_length")
    return length**2 * (bolts + 2) / (12 * (bolts - 2))


def _shear_factor(joint: BoltedJoint, pattern: str | None, pull: bool) -> Expression:
    even = joint.variable("unevenness") * _across(joint, pull)
    overhang = joint.variable("overhang")
    if pattern is None:
        return even
    if pattern == "circle":
        return even * (1 + 2 * overhang / joint.variable("pattern_diameter"))
    aside, along = joint.variable("line_spacing") / 2, joint.variable("line_length") / 2
    squares = aside**2 + cases((_line_squares(joint), joint.variable("bolts") > 2), (0, True))
    return even * sqrt((1 + overhang * aside / squares) ** 2 + (overhang * along / squares) ** 2)


def _tension_factor(joint: BoltedJoint, pattern: str | None, pull: bool) -> Expression:
    direct = joint.variable("pull_share") if pull else expression(0)
    lever = joint.variable("lever") * _across(joint, pull)
    if pattern is None:
        turning = expression(0)
    elif pattern == "circle":
        turning = 4 * lever / joint.variable("pattern_diameter")
    else:  # two bolts side by side cannot hold a force above them
        length = joint.variable("line_length")
        worst = length**2 / (2 * _line_squares(joint))
        turning = lever / length * cases((worst, joint.variable("bolts") > 2), (infinity, True))
    return joint.variable("unevenness") * (direct + turning)


def _bolts(joint: BoltedJoint) -> list[Quantity]:
    force = symbol(joint.force)
    bolts, area, strength, share = (
        joint.variable(key) for key in ("bolts", "bolt_stress_area", "bolt_strength", "bolt_shear_share")
    )
    shear_stress, shear_factor, tension_factor, tension = (
        joint.quantity(name) for name in ("shear_stress", "shear_factor", "tension_factor", "tension_load")
    )
    return [
        Quantity(
            f"{joint.prefix}_shear_stress", f"{joint.title}: bolt shear stress", "tau_b", "Pa", joint.branch, "lower",
            force / (bolts * area),
            source=f"{EUROCODE}: one shear plane through the thread",
            assumes=f"{EVEN}, one plane, threads in the plane; the worst bolt is in the margin",
        ),
        Quantity(
            f"{joint.prefix}_shear_margin", f"{joint.title}: bolt shear margin", "k_v R_m/tau_b", "1", joint.branch,
            "higher", share * strength / (shear_stress * shear_factor),
            role="survival",
            source=f"{EUROCODE}: 0.6 f_ub for class 8.8, 0.5 f_ub from 10.9 up, without the partial factor",
            assumes="one plane, threads in the plane",
        ),
        Quantity(
            f"{joint.prefix}_tension_load", f"{joint.title}: tension on worst bolt", "P", "N", joint.branch, "lower",
            force * tension_factor / bolts,
            source=f"as {joint.prefix}_tension_factor",
        ),
        Quantity(
            f"{joint.prefix}_combined_margin", f"{joint.title}: shear + tension margin", "n_c", "1", joint.branch,
            "higher",
            1 / (shear_stress * shear_factor / (share * strength)
                 + tension / (Fraction(126, 100) * strength * area)),
            role="survival",
            source=f"{EUROCODE}: F_v/F_vR + F_t/(1.4 F_tR) <= 1 with F_tR = 0.9 f_ub A_s, without the partial factors",
            assumes="preload does not count: at break the bolt has stretched it away",
        ),
    ]


def _preload(joint: BoltedJoint) -> list[Quantity]:
    area, proof, diameter, grip = (
        joint.variable(key) for key in ("bolt_stress_area", "bolt_proof", "bolt_diameter", "grip")
    )
    preload, part, tension, total, stress = (
        joint.quantity(name)
        for name in ("preload", "stiffness_share", "tension_load", "total_tension", "tension_stress")
    )
    bolt_stiffness = area * joint.variable("bolt_modulus") / grip
    spread = Fraction(5774, 10000)
    plate_stiffness = (
        spread * pi * joint.variable("modulus") * diameter
        / (2 * log(5 * (spread * grip + diameter / 2) / (spread * grip + 5 * diameter / 2)))
    )
    tight = Validity(
        f"{joint.prefix}_preload_share",
        "a preload above nine tenths of the proof load leaves nothing for the force",
        high=0.9,
        source="shigley9 sec. 8-9",
    )
    total_source = "shigley9 eq. 8-24: F_b = F_i + C P"
    unpulled = Model(preload_alone, (f"{joint.prefix}_preload", joint.force), "tension")
    alternatives = (preload + part * tension, preload + tension, tension, unpulled)
    return [
        Quantity(
            f"{joint.prefix}_preload", f"{joint.title}: bolt preload", "F_i", "N", joint.branch, "same",
            joint.variable("torque") / (joint.variable("nut_factor") * diameter),
            source="shigley9 eq. 8-27: T = K F_i d",
            assumes="the nut factor scatters by a third with plating and grease; in plastic most of the preload creeps "
            "away",
        ),
        Quantity(
            f"{joint.prefix}_preload_share", f"{joint.title}: preload over proof load", "F_i/(S_p A_s)", "1",
            joint.branch, "same", preload / (area * proof),
            source="shigley9 eq. 8-31: 0.75 for joints that are taken apart, 0.9 for others",
            valid=(tight,),
        ),
        Quantity(
            f"{joint.prefix}_stiffness_share", f"{joint.title}: bolt stiffness share", "C", "1", joint.branch, "same",
            bolt_stiffness / (bolt_stiffness + plate_stiffness),
            source="shigley9 eq. 8-17: a bolt threaded all along; shigley9 eq. 8-22: the clamped plates, cones of 30 "
            "degrees below a head of 1.5 d",
            assumes="plates of one material",
        ),
        *(
            Quantity(
                f"{joint.prefix}_total_tension", f"{joint.title}: bolt tension with preload", "F_b", "N", joint.branch,
                "lower", expression,
                source=total_source,
                assumes="joint not parted; without a plate's stiffness the bolt takes all of the pull, without a "
                "torque there is no preload",
            )
            for expression in alternatives
        ),
        Quantity(
            f"{joint.prefix}_tension_stress", f"{joint.title}: bolt tensile stress", "sigma_b", "Pa", joint.branch,
            "lower", total / area,
            source="shigley9 sec. 8-9", valid=(tight,),
        ),
        Quantity(
            f"{joint.prefix}_tension_margin", f"{joint.title}: proof-load margin", "S_p/sigma_b", "1", joint.branch,
            "higher", proof / stress,
            role="survival",
            source="shigley9 eq. 8-28: yield, not break", valid=(tight,),
        ),
        Quantity(
            f"{joint.prefix}_separation_margin", f"{joint.title}: separation margin", "n_0", "1", joint.branch,
            "higher", preload / ((1 - part) * tension),
            source="shigley9 eq. 8-30: F_i/((1 - C) P)",
            assumes="below 1 the joint gapes and the bolts take the blows bare",
        ),
    ]


def _plate(joint: BoltedJoint) -> list[Quantity]:
    force = symbol(joint.force)
    bolts, diameter, thickness, edge, head, hole = (
        joint.variable(key)
        for key in ("bolts", "bolt_diameter", "thickness", "edge_distance", "head_diameter", "hole_diameter")
    )
    strength, ratio = joint.variable("strength"), joint.variable("shear_strength_ratio")
    shear_factor, tension, total = (
        joint.quantity(name) for name in ("shear_factor", "tension_load", "total_tension")
    )
    bearing, tear_out, pull_through, head_pressure = (
        joint.quantity(name)
        for name in ("bearing_pressure", "tear_out_stress", "pull_through_stress", "head_pressure")
    )
    near_edge = Validity(
        f"{joint.prefix}_edge_ratio",
        "a hole nearer to the edge than 1.2 hole diameters splits out before it tears out",
        low=1.2,
        source="en1993-1-8 table 3.3",
    )
    slender = Validity(
        f"{joint.prefix}_slenderness",
        "in a plate this thick and hard the bolt bends and loads the hole's mouth more",
        high=1.4,
        source=f"as {joint.prefix}_slenderness",
    )
    return [
        Quantity(
            f"{joint.prefix}_slenderness", f"{joint.title}: bolt slenderness", "t/d_b sqrt(S/R_m)", "1", joint.branch,
            "same",
            thickness / diameter * sqrt(strength / joint.variable("bolt_strength")),
            source="own-derivation: thickness from which two like plates bend the bolt before it turns in them, t^2 = "
            "11.7 M_y/(S d_b) with M_y = R_m d_b^3/6, as in timber's joints",
        ),
        Quantity(
            f"{joint.prefix}_bearing_pressure", f"{joint.title}: hole bearing stress", "p_b", "Pa", joint.branch,
            "lower", force * shear_factor / (bolts * diameter * thickness),
            source="shigley9 sec. 8-12: F/(t d)",
            valid=(slender,),
        ),
        Quantity(
            f"{joint.prefix}_bearing_margin", f"{joint.title}: hole bearing margin", "S/p_b", "1", joint.branch,
            "higher", strength / bearing,
            role="survival",
            source="shigley9 example 8-6: yield strength of the plate",
            assumes="below 1 the hole grows oval; it does not part yet", valid=(slender,),
        ),
        Quantity(
            f"{joint.prefix}_edge_ratio", f"{joint.title}: edge distance ratio", "a/d_0", "1", joint.branch, "same",
            edge / hole, source="definition",
        ),
        Quantity(
            f"{joint.prefix}_tear_out_stress", f"{joint.title}: edge tear-out stress", "tau_e", "Pa", joint.branch,
            "lower", force / (bolts * 2 * edge * thickness),
            source="shigley9 sec. 8-12 and example 8-6: two shear planes of the edge distance, F/(2 a t)",
            assumes=f"{EVEN}; the worst bolt is in the margin; force towards the edge", valid=(near_edge,),
        ),
        Quantity(
            f"{joint.prefix}_tear_out_margin", f"{joint.title}: edge tear-out margin", "k_tau S/tau_e", "1",
            joint.branch, "higher", ratio * strength / (tear_out * shear_factor),
            role="survival",
            source="definition", valid=(near_edge,),
        ),
        Quantity(
            f"{joint.prefix}_pull_through_stress", f"{joint.title}: pull-through stress", "tau_h", "Pa", joint.branch,
            "lower", tension / (pi * head * thickness),
            source=f"{EUROCODE}: punching shear on the cylinder under the head, F/(pi d_h t), there 0.6 pi d_m t f_u",
            assumes="head or washer stiff beside the plate; a nut in a pocket counts with the plastic in front of it",
        ),
        Quantity(
            f"{joint.prefix}_pull_through_margin", f"{joint.title}: pull-through margin", "k_tau S/tau_h", "1",
            joint.branch, "higher", ratio * strength / pull_through,
            role="survival",
            source="definition",
        ),
        Quantity(
            f"{joint.prefix}_head_pressure", f"{joint.title}: under-head pressure", "p_h", "Pa", joint.branch, "lower",
            total / (pi / 4 * (head**2 - hole**2)),
            source="vdi2230-1 sec. 5.5.4: force over the ring between head and hole",
        ),
        Quantity(
            f"{joint.prefix}_head_pressure_margin", f"{joint.title}: under-head margin", "S/p_h", "1", joint.branch,
            "higher", strength / head_pressure,
            role="survival",
            source="definition",
            assumes="below 1 the head sinks in and the preload goes; a washer mends it",
        ),
    ]


def _thread(joint: BoltedJoint) -> list[Quantity]:
    engaged, pitch, major, external, internal, minor, strength, ratio = (
        joint.variable(f"thread.{key}")
        for key in ("engagement", "pitch", "external_major", "external_pitch", "internal_pitch", "internal_minor",
                    "strength", "shear_strength_ratio")
    )
    bolt_area, bolt_strength, share = (
        joint.variable(key) for key in ("bolt_stress_area", "bolt_strength", "bolt_shear_share")
    )
    inner_area, outer_area, stress, total = (
        joint.quantity(name) for name in ("internal_strip_area", "external_strip_area", "strip_stress", "total_tension")
    )
    form = "fed-std-h28-2b; iso965-1 6H/6g: the limits of size at which it is taken"
    long = Validity(
        f"{joint.prefix}_engagement_ratio",
        "turns beyond about two diameters carry little, so the strip area no longer grows with the thread",
        high=2.0,
        source="common-practice",
    )
    return [
        Quantity(
            f"{joint.prefix}_engagement_ratio", f"{joint.title}: thread engagement ratio", "L_e/d_b", "1", joint.branch,
            "same", engaged / joint.variable("bolt_diameter"), source="definition",
        ),
        Quantity(
            f"{joint.prefix}_internal_strip_area", f"{joint.title}: hole thread shear area", "A_n", "m^2", joint.branch,
            "higher",
            pi * engaged / pitch * major * (pitch / 2 + (major - internal) / sqrt(3)),
            source=form, valid=(long,),
        ),
        Quantity(
            f"{joint.prefix}_external_strip_area", f"{joint.title}: bolt thread shear area", "A_b", "m^2", joint.branch,
            "higher",
            pi * engaged / pitch * minor * (pitch / 2 + (external - minor) / sqrt(3)),
            source=form, valid=(long,),
        ),
        Quantity(
            f"{joint.prefix}_strip_stress", f"{joint.title}: hole thread stress", "tau_n", "Pa", joint.branch, "lower",
            total / inner_area,
            source="bickford4", valid=(long,),
        ),
        Quantity(
            f"{joint.prefix}_strip_margin", f"{joint.title}: hole thread margin", "k_t S_t/tau_n", "1", joint.branch,
            "higher", ratio * strength / stress,
            role="survival",
            source="definition", assumes="a screw that cuts its own thread in plastic fills it better than this",
            valid=(long,),
        ),
        Quantity(
            f"{joint.prefix}_external_strip_margin", f"{joint.title}: bolt thread margin", "k_v R_m A_b/F_b", "1",
            joint.branch, "higher", share * bolt_strength * outer_area / total,
            role="survival",
            source="bickford4", valid=(long,),
        ),
        Quantity(
            f"{joint.prefix}_thread_reserve", f"{joint.title}: thread-over-bolt reserve", "n_t", "1", joint.branch,
            "higher",
            ratio * strength * inner_area / (bolt_strength * bolt_area),
            source="bickford4: enough thread is engaged where the bolt breaks first",
            assumes="above 1 the bolt breaks, below 1 the thread strips", valid=(long,),
        ),
    ]
