"""Pack, leads and fuse against data sheets, wire tables and circuit laws.

Sources, each with its status beside the check: a cell maker's data sheet (seen), a published chart of the American
wire gauge (seen, as quoted by a secondary page), I. M. Onderdonk's equation for the heating of copper (as quoted by
secondary pages; the original was not found by those who looked), circuit laws solved by scipy.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq
from small_pusher import PLAIN_BOX

from scaling.files.errors import InputError
from scaling.formulas import book
from scaling.formulas.electrical import wiring
from scaling.robot.design import load_design

CHECKS = (
    "pack_energy", "peak_current", "pack_sag", "pack_sag_share", "peak_c_rate", "mean_c_rate", "brown_out_margin",
    "pack_current_margin", "match_energy", "match_energy_margin", "mean_current", "drive_stalled_pack_voltage",
    "wire_peak_current_density", "wire_mean_current_density", "wire_heating_rate", "wire_voltage_drop",
    "wire_voltage_drop_share", "fuse_margin", "fuse_peak_ratio", "rotor_steady_current_margin",
)

COPPER = {"wire.resistivity": 1.7241e-8, "wire.density": 8890.0, "wire.specific_heat": 385.0}
PACK = {
    "battery.voltage": 14.8, "battery.resistance": 0.03, "battery.capacity": 850e-3 * 3600, "battery.cells": 4.0,
    "battery.cell_cut_off": 3.0, "drive.motors": 2.0, "drive.motor.resistance": 0.3, "drive.motor.current_limit": 20.0,
    "rotor.motor.resistance": 0.06, "rotor.motor.current_limit": 60.0,
}

PACK_TABLE = """
[battery]
cells = 6
capacity = "850 mAh"
resistance = "30 mohm"
mass = "150 g"
"""


def design_with(folder: Path, text: str) -> Path:
    """A plain design file with ``text`` added after its other tables."""
    (folder / "design.toml").write_text(PLAIN_BOX + text, encoding="utf-8")
    return folder / "design.toml"


def value(name: str, given: dict[str, float], traits: tuple[str, ...] = ()) -> float:
    return float(book.evaluate(given, frozenset(traits), only=[name])[name])


# The pack


def test_six_cells_are_22_2_volts(tmp_path):
    """Lithium polymer cell, 3.7 V nominal: a cell maker's data sheet (seen). Six in series: 22.2 V."""
    design = load_design(design_with(tmp_path, PACK_TABLE))
    assert design.variables["battery.voltage"] == pytest.approx(22.2, rel=1e-12)
    assert design.variables["battery.cell_cut_off"] == 3.0  # common practice, no source; the data sheet's own is 2.75 V


def test_energy_of_a_pack_as_printed_on_it():
    """Packs are labelled in watt-hours, nominal volts times ampere-hours: 14.8 V and 0.85 A h print 12.58 Wh."""
    assert value("pack_energy", PACK) == pytest.approx(12.58 * 3600, rel=1e-12)


def test_one_c_empties_a_pack_in_an_hour():
    """What a C rate means, common practice, no source: 1 C of an 850 mA h pack is 0.85 A, and an hour is 3600 s."""
    rate = value("mean_c_rate", PACK | {"mean_current": 0.85})
    assert rate * 3600 == pytest.approx(1.0, rel=1e-12)
    assert value("peak_c_rate", {"battery.capacity": 3060.0, "peak_current": 85.0}) * 3600 == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("drive_limit", "rotor_limit", "pack_resistance"),
    list(itertools.product((1.0, 20.0, 500.0), (3.0, 60.0, 5000.0), (0.001, 0.03, 0.4))),
)
def test_peak_current_solves_the_circuit(drive_limit, rotor_limit, pack_resistance):
    """Kirchhoff, solved by scipy's brentq: each branch takes its limit or what the sagging pack drives; 1e-9."""
    given = PACK | {
        "drive.motor.current_limit": drive_limit, "rotor.motor.current_limit": rotor_limit,
        "battery.resistance": pack_resistance,
    }

    def missing(current: float, rotor: bool) -> float:
        volts = 14.8 - current * pack_resistance
        taken = 2 * min(drive_limit, volts / 0.3) + (min(rotor_limit, volts / 0.06) if rotor else 0)
        return taken - current

    for rotor, trait in ((True, "rotor"), (False, "pusher")):
        circuit = brentq(missing, 0, 1e5, args=(rotor,), xtol=1e-12, rtol=1e-14)
        assert value("peak_current", given, (trait,)) == pytest.approx(circuit, rel=1e-9)
        assert value("pack_sag", given, (trait,)) == pytest.approx(circuit * pack_resistance, rel=1e-9)
        assert value("brown_out_margin", given, (trait,)) == pytest.approx(
            (14.8 - circuit * pack_resistance) / 12.0, rel=1e-9
        )


def test_a_load_like_the_pack_halves_its_voltage():
    """Maximum power transfer (textbook): a load of the source's own resistance gets half the voltage."""
    given = PACK | {"drive.motor.resistance": 0.06, "battery.resistance": 0.03, "drive.motor.current_limit": 1e4}
    assert value("drive_stalled_pack_voltage", given) == pytest.approx(7.4, rel=1e-12)
    assert value("pack_sag_share", given, ("pusher",)) == pytest.approx(0.5, rel=1e-12)


def test_margins_in_round_numbers():
    """Arithmetic: a pack or fuse rated at what flows has the margin 1."""
    assert value("pack_current_margin", {"battery.current_limit": 40.0, "peak_current": 20.0}) == 2.0
    assert value("fuse_margin", {"battery.fuse": 15.0, "mean_current": 10.0}) == 1.5
    assert value("fuse_peak_ratio", {"battery.fuse": 15.0, "peak_current": 30.0}) == 2.0
    given = {"rotor.motor.current_limit": 30.0, "rotor_steady_current": 10.0}
    assert value("rotor_steady_current_margin", given) == 3.0


def test_match_energy_is_the_sum_of_its_minutes():
    """A match added up second by second: four spin-ups, a rotor at speed for 120 s, a push for 60 s."""
    given = {
        "match.time": 150.0, "match.rotor_duty": 0.8, "match.drive_duty": 0.4, "match.spin_up_rate": 4 / 150,
        "battery.voltage": 10.0, "drive.motors": 2.0, "spin_up_energy": 200.0, "rotor_steady_current": 3.0,
        "drive_traction_current": 1.5, "battery.capacity": 3600.0,
    }
    seconds = np.arange(150)
    amps = np.where(seconds < 120, 3.0, 0.0) + np.where(seconds < 60, 2 * 1.5, 0.0)
    used = 4 * 200.0 + float(np.sum(10.0 * amps))
    assert value("match_energy", given, ("rotor",)) == pytest.approx(used, rel=1e-12)
    assert value("match_energy_margin", given, ("rotor",)) == pytest.approx(36000 / used, rel=1e-12)
    assert value("mean_current", given, ("rotor",)) * 150 == pytest.approx(used / 10, rel=1e-12)
    assert value("match_energy", given, ("pusher",)) == pytest.approx(10.0 * 60 * 3.0, rel=1e-12)


# The leads

# Area in mm2 and resistance of copper in ohm/m at 20 C of solid wires: a published chart of the gauge, seen, secondary.
CHART = {
    6: (13.3, 0.00130), 8: (8.36, 0.00206), 10: (5.26, 0.00328), 12: (3.31, 0.00521), 14: (2.08, 0.00829),
    16: (1.31, 0.0132), 18: (0.823, 0.0210), 20: (0.518, 0.0333), 22: (0.326, 0.0530), 24: (0.205, 0.0842),
    26: (0.129, 0.134), 28: (0.0810, 0.213), 30: (0.0509, 0.339),
}


@pytest.mark.parametrize("gauge", CHART)
def test_gauges_are_those_of_the_chart(gauge):
    """Agreement: the chart's three digits."""
    area, resistance = CHART[gauge]
    found = wiring.gauge_area(gauge)
    assert found * 1e6 == pytest.approx(area, rel=4e-3)
    given = COPPER | {"wire.area": found, "wire.length": 1.0, "peak_current": 1.0, "battery.voltage": 10.0}
    assert value("wire_voltage_drop", given) == pytest.approx(resistance, rel=6e-3)
    assert value("wire_voltage_drop_share", given) == pytest.approx(resistance / 10, rel=6e-3)


def test_every_gauge_that_may_be_said_is_on_the_chart_or_between():
    assert min(wiring.GAUGES) == min(CHART)
    assert max(wiring.GAUGES) == max(CHART)
    areas = [wiring.gauge_area(gauge) for gauge in wiring.GAUGES]
    assert areas == sorted(areas, reverse=True)
    # Six gauges on, the diameter halves, by the same chart's page: within 1 %.
    assert wiring.gauge_area(12) / wiring.gauge_area(18) == pytest.approx(4.0, rel=0.02)


def test_copper_at_ten_amps_a_square_millimetre():
    """Adiabatic heating J^2 rho / (D c) by hand: 0.4986 K/s with 1.72e-8 ohm m, 8960 kg/m3 and 385 J/(kg K)."""
    given = {"wire.area": 1e-6, "peak_current": 10.0, "wire.resistivity": 1.72e-8, "wire.density": 8960.0,
             "wire.specific_heat": 385.0}
    assert value("wire_peak_current_density", given) == pytest.approx(10e6, rel=1e-12)
    assert value("wire_heating_rate", given) == pytest.approx(0.4986, abs=5e-5)
    assert value("wire_mean_current_density", {"wire.area": 1e-6, "mean_current": 5.0}) == pytest.approx(5e6, rel=1e-12)


def test_onderdonks_equation_agrees_while_the_wire_is_cold():
    """33 (I / circular mils)^2 t = log10(1 + dT / (234 + T)), its rate at 20 C; agreement 2 %."""
    circular_mils = 1e-6 / (math.pi / 4 * 25.4e-6**2)
    seconds = 0.01
    rise = (10 ** (33 * (10 / circular_mils) ** 2 * seconds) - 1) * (234 + 20)
    given = COPPER | {"wire.area": 1e-6, "peak_current": 10.0}
    assert value("wire_heating_rate", given) == pytest.approx(rise / seconds, rel=0.02)


def test_leads_are_described_by_gauge_or_by_area(tmp_path):
    stated = load_design(design_with(tmp_path, PACK_TABLE + '[wire]\ngauge = "AWG 14"\n'))
    assert stated.variables["wire.area"] == pytest.approx(2.08e-6, rel=4e-3)
    stated = load_design(design_with(tmp_path, PACK_TABLE + '[wire]\narea = "2 mm^2"\n'))
    assert stated.variables["wire.area"] == pytest.approx(2e-6, rel=1e-12)


@pytest.mark.parametrize("text", ['length = "20 cm"', 'gauge = "AWG 99"'])
def test_leads_of_no_known_size_are_refused(tmp_path, text):
    with pytest.raises(InputError) as caught:
        load_design(design_with(tmp_path, f"{PACK_TABLE}[wire]\n{text}\n"))
    assert caught.value.key == "wire.gauge"


def test_a_pack_without_leads_or_fuse_has_none_of_their_quantities():
    found = book.evaluate(PACK, frozenset({"pusher"}))
    assert "peak_current" in found
    assert not [name for name in found if name.startswith(("wire_", "fuse_"))]
