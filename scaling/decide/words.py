"""Laws, rules and misses as a builder would say them."""

from __future__ import annotations

from scaling.files.units import format_value
from scaling.formulas import book
from scaling.study.problem import Problem, in_sentence
from scaling.study.results import Port, Study

LAW_WORDS = {
    "mass": "by the mass of the parts",
    "length": "to the length given",
    "motor-diameter": "by the motors' diameters",
    "least-drift": "with least drift",
    "as-drawn": "as drawn",
}

SPEED_WORDS = {
    "hold-tip-speed": "tip speed held",
    "hold-rpm": "rpm held",
    "gravity-similar": "speed by gravity",
    "hold-gyro-margin": "gyro margin held",
    "as-motored": "speed as the motor gives",
}

TOO = {"length": "long", "width": "wide", "height": "high"}

DRIVE_WORDS = {"hold-speed": "driving as fast", "gravity-similar": "driving by gravity"}


def label_in_words(port: Port) -> str:
    """Law and rules of a port in words; a machine with a file of its own goes by its name."""
    request = port.request
    words = [port.machine.name if port.machine is not None else LAW_WORDS.get(request.law, request.law)]
    if request.speed_rule is not None:
        words.append(SPEED_WORDS.get(request.speed_rule, request.speed_rule))
    if request.drive_rule in DRIVE_WORDS:
        words.append(DRIVE_WORDS[request.drive_rule])
    return ", ".join(words)


def what_each_is(study: Study) -> str:
    """What a study calls each of those that it judges: a port that a brief asks for, or a machine that is there."""
    return "machine" if study.compares else "port"


def miss_in_words(problem: Problem) -> str:
    """What a port misses, in a few words with its number.

    >>> miss_in_words(Problem("mass_over_limit", "", "total_mass", 1.437, limit=1.36))
    '77 g over'
    >>> miss_in_words(Problem("speed_unreachable", "", "rotor_speed", 1000.0, limit=830.0))
    'motor 17 % short'
    """
    value, limit = problem.value, problem.limit
    if value is None or limit is None or problem.about is None:
        return problem.text.rstrip(".")[:1].lower() + problem.text.rstrip(".")[1:]
    if problem.code == "speed_unreachable":
        return f"motor {100 * (1 - limit / value):.0f} % short"
    if problem.code == "mass_over_limit":
        return f"{1e3 * (value - limit):.0f} g over"
    entry = book.quantities.get(problem.about) or book.variables[problem.about]
    if problem.code == "size_over_limit":
        return f"{1e3 * (value - limit):.0f} mm too {TOO.get(problem.about, problem.about)}"
    side = "above" if value > limit else "below"
    for digits in (3, 4, 6):  # as many as tell the two apart
        shown, bound = (format_value(number, entry.unit, digits) for number in (value, limit))
        if shown != bound:
            break
    return f"{in_sentence(problem.about)} {shown} {side} {bound}"
