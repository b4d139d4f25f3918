"""What a port will do differently in the driver's hands, in a sentence each with the numbers before and after."""

from __future__ import annotations

from dataclasses import dataclass

from scaling.book.told_apart import told_apart
from scaling.decide.throws import range_text, throws
from scaling.files.units import format_value
from scaling.formulas import book
from scaling.study.drifts import counting, drift_size, is_alike
from scaling.study.results import Port, Study


@dataclass(frozen=True)
class Felt:
    """One thing that a driver feels: what the machine does, and what is said where there is more or less of it."""

    name: str
    does: str
    more: str
    less: str


FELT = (
    Felt("half_turn_time", "a half turn takes", "longer", "less time"),
    Felt("top_yaw_rate", "with the rotor stopped it turns", "faster", "slower"),
    Felt("gyro_lift_yaw_rate", "one side lifts at a turn rate", "higher", "lower"),
    Felt("top_speed", "it drives", "faster", "slower"),
    Felt("traction_acceleration", "it pulls away", "harder", "softer"),
    Felt("spin_up_time", "the rotor is up", "later", "sooner"),
    Felt("rush_margin", "its lead in a rush is", "longer", "shorter"),
    Felt("arena_crossing_time", "crossing the arena takes", "longer", "less time"),
    Felt("throw_height", "it throws", "higher", "lower"),
    Felt("throw_slide", "it shoves", "further", "less far"),
    Felt("recoil_speed", "it is thrown back", "harder", "softer"),
    Felt("righting_ratio", "it rights itself", "with more in hand", "with less in hand"),
    Felt("stopping_distance", "it stops in", "more room", "less room"),
)
"""What is felt, what matters most first."""


SAID_FIRST = ("half_turn_time", "gyro_lift_yaw_rate", "gyro_margin", "rush_margin")


def handling(study: Study, port: Port) -> list[str]:
    """Return what every builder asks first: how it turns with the rotor up, and whether it is rushed."""
    turn = _turn(study, port)
    if "rush_margin" not in study.reference:
        return [turn] if turn else []
    return [*([turn] if turn else []), _rush(study, port)]


def _turn(study: Study, port: Port) -> str:
    """A half turn, and the turn rate at which the rotor lifts a side, each beside the reference's."""
    half = next(each for each in FELT if each.name == "half_turn_time")
    drift = counting(port, half.name)
    if drift is None or half.name not in study.reference:
        return ""
    lift = port.quantities.get("gyro_lift_yaw_rate")
    if lift is not None and not lift.if_reached and "gyro_lift_yaw_rate" in study.reference:
        lifts = _numbers("gyro_lift_yaw_rate", study, port)
        return f"half turn, rotor up: {_numbers(half.name, study, port)}; a side lifts at {lifts}"
    start = "with the rotor up " if "rotor_speed" in port.quantities else ""
    if is_alike(drift):
        return f"{start}a half turn takes as long: {_numbers(half.name, study, port)}"
    return start + _sentence(half, drift, study, port)


def _rush(study: Study, port: Port) -> str:
    """Whether the rotor is up before an opponent like itself arrives, and whether the reference's was."""
    needed = ("rush_margin", "spin_up_time_80_energy", "half_arena_crossing_time")
    if any(name not in port.quantities or port.quantities[name].if_reached for name in needed):
        return "whether a rush is lost cannot be told: the motor does not reach the speed"
    margin, up, race = (port.quantities[name].value for name in needed)
    before = "won" if study.reference["rush_margin"] >= 1 else "lost"
    now = "won" if margin >= 1 else "lost"
    return (
        f"a rush is {now}{' as before' if now == before else f', and was {before}'}: rotor up in "
        f"{format_value(up, 's')}, opponent there in {format_value(race, 's')}"
    )


def felt(study: Study, port: Port) -> tuple[list[str], list[str]]:
    """Return a sentence for each thing that is unlike the reference, the most unlike first, and names of what is alike.

    What a port would have only if a speed were reached is left out, and what ``handling`` says. A throw is told with
    what the cutting model leaves open.
    """
    letter = next((letter for letter, each in zip(study.letters, study.ports, strict=True) if each is port), None)
    ranges = {throw.name: range_text(throw) for throw in throws(study) if throw.whose == letter}
    found: list[tuple[float, str]] = []
    alike: list[str] = []
    for each in FELT:
        drift = counting(port, each.name)
        if drift is None or each.name not in study.reference or each.name in SAID_FIRST:
            continue
        if is_alike(drift):
            alike.append(book.quantities[each.name].label)
        else:
            text = _sentence(each, drift, study, port)
            found.append((drift_size(drift), f"{text}{ranges.get(each.name, '')}"))
    return [text for _, text in sorted(found, key=lambda pair: -told_apart(pair[0], 6))], alike


def _sentence(each: Felt, drift: float, study: Study, port: Port) -> str:
    sized = " for its size" if book.quantities[each.name].dimension[1] else ""
    way = each.more if drift > 1 else each.less
    return f"{each.does} {abs(100 * (drift - 1)):.0f} % {way}{sized}: {_numbers(each.name, study, port)}"


def _numbers(name: str, study: Study, port: Port) -> str:
    """A number of the reference's and the port's, with one unit where they share it."""
    unit = book.quantities[name].unit
    now, before = format_value(port.quantities[name].value, unit), format_value(study.reference[name], unit)
    if now == before:
        return f"{now}, as before"
    shown = before.partition(" ")[2]
    return f"{before.removesuffix(f' {shown}') if shown and now.endswith(f' {shown}') else before} -> {now}"
