"""Bad values in a design or a brief: one sentence with file, key, given and allowed; status 2; nothing written."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

# Values of the design file: dotted key, TOML text (None takes the line out), what the sentence must hold.
DESIGN_VALUES = [
    # not a number with a unit
    ("length", "165", ["165", "unit"]),
    ("length", "165.0", ["165.0", "unit"]),
    ("length", '"165"', ['"165"', "unit"]),
    ("length", '"mm"', ['"mm"']),
    ("length", '""', ['""']),
    ("length", "true", ["given true"]),
    ("length", '["165 mm"]', ["165 mm"]),
    ("length", "{ value = 165 }", ["length"]),
    ("length", "2024-02-29", ["length"]),
    ("length", '"12,5 mm"', ['"12,5 mm"']),
    ("length", '"12 mm 5"', ['"12 mm 5"']),
    # wrong dimension, unknown unit
    ("length", '"165 g"', ["wrong dimension", '"165 g"', "mm"]),
    ("length", '"165 mm^2"', ["wrong dimension"]),
    ("length", '"165 N"', ["wrong dimension"]),
    ("battery.capacity", '"450 mA"', ["wrong dimension", "mAh"]),
    ("drive.motor.kv", '"2450 rpm"', ["wrong dimension", "rpm/V"]),
    ("length", '"165 mmm"', ['unknown unit "mmm"', '"mm"']),
    ("battery.resistance", '"36 mohmm"', ['unknown unit "mohmm"', '"mohm"']),
    ("battery.capacity", '"450 mAhh"', ['unknown unit "mAhh"', '"mAh"']),
    ("drive.ratio", '"22 mm"', ["wrong dimension", "a plain number"]),
    # out of bounds
    ("length", '"0 mm"', ["above zero"]),
    ("length", '"-165 mm"', ["above zero", '"-165 mm"']),
    ("battery.mass", '"0 g"', ["above zero"]),
    ("battery.mass", '"-43 g"', ["above zero", '"-43 g"']),
    ("drive.motor.no_load_current", '"-0.1 A"', ["zero or above"]),
    ("wheel.load_share", "1.5", ["0 to 1"]),
    ("wheel.load_share", "-0.5", ["0 to 1"]),
    ("wheel.count", "2.5", ["whole number"]),
    ("wheel.count", "0", ["whole number"]),
    ("drive.motors", "-2", ["whole number"]),
    ("wheel.driven", "40", ["40"]),
    # not finite
    ("length", '"nan mm"', ['"nan mm"']),
    ("length", '"inf mm"', ['"inf mm"']),
    ("length", '"1e999 mm"', ["finite"]),
    ("length", "nan", ["nan"]),
    ("length", "inf", ["inf"]),
    ("drive.ratio", "nan", ["finite", "nan"]),
    ("drive.ratio", "-inf", ["finite", "-inf"]),
    ("drive.ratio", "1e999", ["finite"]),
    # no day of the calendar: ISO 8601, 5.2.2.1 a), the extended form of a calendar date, from memory
    ("date", '"2026-13-01"', ["no such day", "2026-13-01", '"2026-03-01"', "month"]),
    ("date", '"2025-02-29"', ["no such day"]),
    ("date", '"1 March 2026"', ["year first"]),
    ("date", '"01.03.2026"', ["year first"]),
    ("date", '"20260301"', ["year first"]),
    ("date", '"2026-W09-7"', ["year first"]),
    ("date", '"2026-3-1"', ["all its digits"]),
    ("date", "2026-03-01", ["quotes", 'write "2026-03-01"']),
    ("date", "20260301", ["20260301"]),
    ("rotor.creep_test", '"yesterday"', ["yesterday", "year first"]),
    ("rotor.creep_test", '"2026-04-31"', ["no such day"]),
    # text that must never be run or expanded
    ("length", '"5 m**999999999"', ["m**999999999"]),
    ("length", '"5 m^1e9"', ["length"]),
    ("length", "\"__import__('os').system('true')\"", ["__import__"]),
    ("length", "\"5 __import__('os')\"", ["__import__"]),
    ("length", '"12 mm; rm"', ["12 mm; rm"]),
    ("length", '"12 mm\\u0000"', ["length"]),
    ("length", '"12 mm\\nscaling: fine"', ["length"]),
    ("length", '"12 \\u001b[31mmm"', ["length"]),
    ("length", '"5 mm/"', ['"5 mm/"']),
    ("length", '"5 m^"', ['"5 m^"']),
    ("length", '"5 (mm"', ['"5 (mm"']),
    ("length", '"5 m/0"', ['"5 m/0"']),
    ("length", '"5 ' + "m*" * 18 + 'm"', ["length"]),
    ("length", f'"5 {"m" * 5000}"', ["length"]),
    ("length", f'"{"9" * 5000} mm"', ["characters"]),
    ("length", f'"{"9" * 400} mm"', ["number with a unit"]),
    ("length", "9" * 400, ["400 digits", "18 digits"]),
    ("length", "0x" + "f" * 6000, ["digits", "18 digits"]),
    # words
    ("rotor.axis", '"acros"', ['"acros"', 'did you mean "across"', "upright"]),
    ("rotor.axis", "1", ["1", "across"]),
    ("rotor.axis", '["across"]', ["across"]),
    ("rotor.axis", '""', ["across"]),
    ("rotor.transmission", '"chain"', ["belt"]),
    ("rotor.material", '"tool-steel-s8"', ["did you mean", "tool-steel-s7"]),
    ("rotor.mount.bolt", '"M3.7"', ["M3.7"]),
    ("rotor.mount.bolt_class", '"9.9"', ["9.9"]),
    ("name", "7", ["text"]),
    ("parts[1].kind", '"solide"', ["solid", '"solide"']),
    ("parts[1].group", '"armor"', ['"armor"', "armour"]),
    ("parts[1].material", '"uhmwp"', ['"uhmwpe"']),
    ("parts[1].count", "0", ["whole number"]),
    ("parts[1].count", "1.5", ["whole number"]),
    ("parts[1].count", "true", ["whole number"]),
    ("parts[1].count", '"2"', ["whole number"]),
    ("parts[1].mass", '"-1 g"', ["above zero"]),
    ("parts[1].mass", '"0 g"', ["above zero"]),
    ("parts[1].mass", '"nan g"', ['"nan g"']),
    ("parts[1].mass", "12", ["unit"]),
    # keys that are missing
    ("length", None, ["missing key", "mm"]),
    ("name", None, ["missing key"]),
    ("rotor.diameter", None, ["missing key"]),
    ("rotor.axis", None, ["missing key", "across"]),
    ("rotor.material", None, ["missing key"]),
    ("drive.motor.kv", None, ["missing key", "rpm/V"]),
    ("wheel.diameter", None, ["missing key"]),
    ("arena.length", None, ["missing key"]),
    ("match.time", None, ["missing key"]),
    ("parts[1].name", None, ["missing key"]),
    ("parts[1].kind", None, ["missing key"]),
    ("parts[1].mass", None, ["missing key"]),
    # keys that mean nothing
    ("lenght", '"165 mm"', ["unknown key", '"length"']),
    ("rotor.diametre", '"84 mm"', ["unknown key", "rotor.diameter"]),
    ("drive.motor.k_v", '"1 rpm/V"', ["unknown key", "drive.motor.kv"]),
    ("batery.cells", "3", ["unknown key", "battery.cells"]),
    ("parts[1].weight", '"1 g"', ["unknown key"]),
    ("parts[1].materiel", '"uhmwpe"', ["unknown key", 'parts."side walls".material']),
    ("zzz", "1", ["unknown key"]),
    # sizes that cannot be
    ("cg_height", '"900 mm"', ["900 mm", "below the height"]),
    ("rotor.bore", '"900 mm"', ["900 mm"]),
    # parts against the total
    ("mass", '"500 g"', ["add up to", "2 %", "500"]),
    ("mass", '"400 g"', ["add up to", "2 %", "400"]),
    ("mass", '"0 g"', ["above zero"]),
    ("mass", '"-454 g"', ["above zero"]),
    ("mass", "454", ["unit"]),
]


@pytest.mark.parametrize(
    ("key", "value", "words"), DESIGN_VALUES, ids=[f"{key}={str(value)[:24]}" for key, value, _ in DESIGN_VALUES]
)
def test_bad_value_in_the_design(
    edit: Callable[..., Path],
    main_folder: Path,
    study_refused: Callable[..., str],
    key: str,
    value: str | None,
    words: list[str],
) -> None:
    brief = edit(main_folder, {key: value})
    text = study_refused(brief, "design.toml: ", *words)
    name = "parts[1]" if key == "parts[1].name" else 'parts."side walls"'  # a part is called by its name if it has one
    assert f"design.toml: {key.replace('parts[1]', name)}" in text
    assert len(text) < 1000


BRIEF_VALUES = [
    ("mass_limit", "1360", ["unit", "1360"]),
    ("mass_limit", '"1.36 m"', ["wrong dimension"]),
    ("mass_limit", '"0 kg"', ["above zero"]),
    ("mass_limit", '"-1 kg"', ["above zero"]),
    ("mass_limit", '"nan kg"', ['"nan kg"']),
    ("mass_limit", None, ["missing key"]),
    ("mass_limt", '"1 kg"', ["unknown key", '"mass_limit"']),
    ("mass_margin", '"2 kg"', ["less than mass_limit"]),
    ("mass_margin", '"-1 g"', ["from zero"]),
    ("size_limit.length", '"0 mm"', ["above zero"]),
    ("size_limit.depth", '"1 mm"', ["unknown key"]),
    ("laws[1].law", '"masses"', ['"mass"', "motor-diameter"]),
    ("laws[1].law", None, ["missing key", "length"]),
    ("laws[1].law", '"length"', ["needs"]),
    ("laws[1].speed_rules", '["hold-rmp"]', ['"hold-rpm"']),
    ("laws[1].speed_rules", '"hold-rpm"', ["list"]),
    ("laws[1].speed_rules", "[]", ["list"]),
    ("laws[1].speed_rules", "[1]", ["text"]),
    ("laws[1].drive_rule", '"held"', ["hold-speed"]),
    ("laws[1].target", '"1 m"', ["mass law"]),
    ("laws[1].key", '"width"', ["width"]),
    ("laws[1].lawn", "1", ["unknown key"]),
    ("port.rotor.diametr", '"1 mm"', ["unknown key", "rotor.diameter"]),
    ("port.rotor.diameter", '"1 kg"', ["wrong dimension"]),
    ("port.rotor.motor.kv", '"900 rpm/V"', ["missing key", "needs all of its data"]),
    ("swaps.uhmwpe", '"unobtainium"', ["unobtainium"]),
    ("swaps.unobtainium", '"uhmwpe"', ["unobtainium"]),
    ("parts.wings.mass", '"1 g"', ["wings", "no such part"]),
]


@pytest.mark.parametrize(
    ("key", "value", "words"), BRIEF_VALUES, ids=[f"{key}={str(value)[:24]}" for key, value, _ in BRIEF_VALUES]
)
def test_bad_value_in_the_brief(
    edit: Callable[..., Path],
    main_folder: Path,
    study_refused: Callable[..., str],
    key: str,
    value: str | None,
    words: list[str],
) -> None:
    study_refused(edit(main_folder, None, {key: value}), "brief.toml: ", re.split(r"[.\[]", key)[0], *words)


def test_a_brief_s_own_design_is_named_relative_to_it(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    study_refused(edit(main_folder, None, {"reference": '"elsewhere.toml"'}), "elsewhere.toml", "no such file")


def test_a_design_cannot_be_its_own_brief(
    refused: Callable[..., str], edit: Callable[..., Path], main_folder: Path, command: Callable[..., Any]
) -> None:
    brief = edit(main_folder, {"reference": '"design.toml"'})
    refused(command("check", brief), "design.toml", "reference")


def test_two_parts_of_one_name(edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]) -> None:
    brief = edit(main_folder, {"parts[1].name": '"twin"', "parts[2].name": '"twin"'})
    # The places of the two parts by their old names are mistakes of their own.
    study_refused(brief, "design.toml: parts[2].name: ", '"twin"', lines=3)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"rotor.belt.friction": None}, "rotor.belt.friction"),
        ({"rotor.belt.pulley_diameter": None}, "rotor.belt.pulley_diameter"),
        ({"rotor.belt.kind": '"toothed"', "rotor.belt.friction": None, "rotor.belt.pitch": '"3 mm"'},
         "rotor.belt.pulley_teeth"),
        ({"rotor.mount.line_length": None}, "rotor.mount.line_length"),
        ({"rotor.motor_mount.pattern_diameter": None}, "rotor.motor_mount.pattern_diameter"),
    ],
)
def test_a_word_needs_its_sizes(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str], changes: dict[str, str | None],
    key: str,
) -> None:
    study_refused(edit(main_folder, changes), f"design.toml: {key}: missing key")


def test_all_mistakes_of_a_design_are_said_at_once(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    brief = edit(main_folder, {
        "length": '"5 kg"', "cg_height": '"90 mm"', "rotor.bore": '"99 mm"', "rotor.spin": '"clockwise"',
        "rotor.mount.bolt": '"M7"', "joint.bolt_class": '"9.9"', "rotor.belt.friction": None, "parts[2].mass": '"-1 g"',
    })  # fmt: skip
    study_refused(
        brief, ": length: ", ": cg_height: ", ": rotor.bore: ", ": rotor.spin: ", ": rotor.mount.bolt: ",
        ": joint.bolt_class: ", ": rotor.belt.friction: ", 'parts."cross members".mass: ', lines=8,
    )  # fmt: skip


def test_all_mistakes_of_a_brief_beside_its_design_are_said_at_once(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    brief = edit(main_folder, None, {"closure[1].parts": '["side wals"]', "parts.gone.mass": '"3 g"',
                                     "port.righting.arm.torque": '"2 N m"'})
    study_refused(brief, "closure", "parts.gone", "port.righting.arm.torque", lines=None)


def test_names_cannot_steer_the_terminal(
    edit: Callable[..., Path], main_folder: Path, study_refused: Callable[..., str]
) -> None:
    for key in ("name", "parts[1].name"):
        refused = study_refused(edit(main_folder, {key: '"\\u001b[2Jgone"'}), key, "control characters")
        assert "\x1b" not in refused
