"""What a port will do differently in the driver's hands, in a sentence each with the numbers before and after."""

from __future__ import annotations

from dataclasses import dataclass

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


def felt(study: Study, port: Port) -> tuple[list[str], list[str]]:
    """Return a sentence for each thing that is unlike the reference, the most unlike first, and names of what is alike.

    What a port would have only if a speed were reached is left out. A throw is told with what the cutting model leaves
    open.
    """
    letter = next((letter for letter, each in zip(study.letters, study.ports, strict=True) if each is port), None)
    ranges = {throw.name: range_text(throw) for throw in throws(study) if throw.whose == letter}
    found: list[tuple[float, str]] = []
    alike: list[str] = []
    for each in FELT:
        drift = counting(port, each.name)
        if drift is None or each.name not in study.reference:
            continue
        if is_alike(drift):
            alike.append(book.quantities[each.name].label)
        else:
            text = _sentence(each, drift, study.reference[each.name], port)
            found.append((drift_size(drift), f"{text}{ranges.get(each.name, '')}"))
    return [text for _, text in sorted(found, key=lambda pair: -round(pair[0], 6))], alike


def _sentence(each: Felt, drift: float, own: float, port: Port) -> str:
    entry = book.quantities[each.name]
    now = format_value(port.quantities[each.name].value, entry.unit)
    before = format_value(own, entry.unit)
    unit = before.partition(" ")[2]
    shown = before.removesuffix(f" {unit}") if now.endswith(f" {unit}") and unit else before
    sized = " for its size" if entry.dimension[1] else ""
    numbers = f"{now} as before" if before == now else f"{shown} -> {now}"
    return f"{each.does} {abs(100 * (drift - 1)):.0f} % {each.more if drift > 1 else each.less}{sized}: {numbers}"
