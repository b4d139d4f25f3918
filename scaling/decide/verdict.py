"""One answer to a study: which port to build, with the numbers that say why, and why not the others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scaling.book.told_apart import told_apart
from scaling.decide.chance import SURVIVED_KEY, survived_of
from scaling.decide.objective import Objective, objective_of, port_score
from scaling.decide.ranking import Standing, ranked
from scaling.decide.remedies import remedy
from scaling.decide.risks import Risk, burden, risks_of
from scaling.decide.words import label_in_words, miss_in_words, what_each_is
from scaling.files.units import format_number, format_value
from scaling.study.kept import kept
from scaling.study.results import Port, Study

TRIED = 3
"""Ports, the nearest first, for which something is sought that would make them fit."""

CLOSE = 0.005
"""Scores that differ by less are told as equal: half of one per cent of drift."""


NOTED = 0.005
"""Rise of a chance that is worth a word: what would print as more than +0.00."""


@dataclass(frozen=True)
class Verdict:
    """The letter of the port to build, None where none is acceptable; a sentence; and the reasons with numbers."""

    port: str | None
    text: str
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Judged:
    """A port as it is judged: its score, None where it has no factor, its risks, worst first, and what they add up to.

    ``burden`` is the sum of the rises in the chance of failing of the risks that stand.
    """

    letter: str
    port: Port
    score: float | None
    risks: tuple[Risk, ...]
    burden: float

    @property
    def standing(self) -> Standing:
        """What the port's rank is made of."""
        return Standing(self.letter, len(self.port.misses), self.burden, self.score)


@dataclass(frozen=True)
class Decision:
    """What a study comes to: the objective, every port as it is judged, their order, best first, and the verdict."""

    objective: Objective
    ports: Mapping[str, Judged]
    order: tuple[str, ...]
    verdict: Verdict

    @property
    def best(self) -> Judged | None:
        """The port to build, None where none is acceptable."""
        return None if self.verdict.port is None else self.ports[self.verdict.port]

    @property
    def told(self) -> Judged | None:
        """The port that the first screen is about: the one to build, else the one that misses least."""
        return self.ports[self.order[0]] if self.order else None


@kept
def decided(study: Study) -> Decision:
    """Judge every port of a study and name the one to build."""
    objective = objective_of(study.brief, study.reference)
    each = zip(study.letters, study.ports, strict=True)
    ports = {letter: _judged(study, letter, port, objective) for letter, port in each}
    order = tuple(one.letter for one in ranked((port.standing for port in ports.values()), objective.preset))
    return Decision(objective, ports, order, _verdict(study, ports, order))


def _judged(study: Study, letter: str, port: Port, objective: Objective) -> Judged:
    risks = risks_of(study, port)
    return Judged(letter, port, port_score(objective, port), risks, burden(risks))


def _verdict(study: Study, ports: Mapping[str, Judged], order: Sequence[str]) -> Verdict:
    best = ports[order[0]] if order else None
    if best is None or best.port.misses:
        return Verdict(None, _nothing(study, order, ports), tuple(_why_not(each, None) for each in _in(order, ports)))
    text = f"{_named(best, study)}, {headline(best.port, study)}."
    others = tuple(_why_not(each, best) for each in _in(order[1:], ports))
    return Verdict(best.letter, text, (*_why(best, ports, order, study), *others))


def _named(best: Judged, study: Study) -> str:
    """What is said of the best by its name: a port is to be built, a machine is there and stands best or alone."""
    label = label_in_words(best.port)
    if not study.compares:
        return f"Build port {best.letter}: {label}"
    count = len(study.ports)
    return f"{label} misses nothing" if count == 1 else f"{best.letter}, {label}, stands best of {count}"


def _in(order: Sequence[str], ports: Mapping[str, Judged]) -> list[Judged]:
    return [ports[letter] for letter in order]


def headline(port: Port, study: Study) -> str:
    """A port's size, speed, energy and the mass that is left, as a builder would ask for them."""
    if port.factor is None:
        return "no factor"
    texts = [f"factor {format_number(port.factor, 4)}"]
    if "length" in port.variables:
        texts.append(f"{format_value(port.variables['length'], 'm', 3)} long")
    for name in ("rotor_speed", "tip_speed", "rotor_energy"):
        if name in port.quantities:
            texts.append(format_value(port.quantities[name].value, port.quantities[name].unit, 3))
    return ", ".join([*texts, mass_left(port, study)])


def mass_left(port: Port, study: Study) -> str:
    """What a port leaves of the mass, or how far it is over, in grams; where nothing limits it, the mass."""
    if not study.limited:
        return format_value(port.variables["mass"], "kg")
    left = port.mass_limit - study.brief.mass_margin - port.variables["mass"]
    if abs(left) < 0.0005:
        return "0 g left"
    return f"{abs(left) * 1e3:.0f} g {'left' if left > 0 else 'over'}"


def _why(best: Judged, ports: Mapping[str, Judged], order: Sequence[str], study: Study) -> list[str]:
    """Why the best is the best, in the order of the ranking: misses, risks, drift."""
    fits = [each for each in _in(order, ports) if not each.port.misses]
    keeps = "misses nothing" if study.compares else "keeps mass, box, limits and the motor's reach"
    kind = what_each_is(study)
    reasons = [
        _chosen(best, fits[1:], len(ports), kind),
        f"It {keeps}, as {len(fits)} of {len(ports)} {kind}s do.",
    ]
    count = survived_of(study.design.variables)
    survived = "survived" if SURVIVED_KEY in study.design.variables else "is taken to have survived"
    likelier = sum(risk.stands and risk.rise > NOTED for risk in best.risks)
    verb = "things are" if likelier > 1 else "thing is" if likelier else "is"
    reasons.append(
        f"{likelier or 'Nothing'} {verb} likelier to fail than on the reference, which {survived} {count:.0f} matches: "
        f"risk {best.burden:+.2f} in all."
    )
    return reasons


def _chosen(best: Judged, others: Sequence[Judged], count: int, kind: str) -> str:
    """What puts the best before the ``others`` that fit, in a sentence; ``kind`` is what each of them is."""
    if not others:
        return f"It is the only {kind} that fits." if count > 1 else "It fits."
    like = f"most like the reference (drift {best.score:.3f})"
    riskier = [round(each.burden - best.burden, 1) > 0 for each in others]
    if all(riskier):
        return f"Of the {len(others) + 1} {kind}s that fit it is the least likely to fail."
    if not any(riskier):
        return f"Of the {len(others) + 1} {kind}s that fit it is {like}."
    return f"Of the least risky it is {like}."


def _why_not(each: Judged, best: Judged | None) -> str:
    return f"{each.letter}: {why_not(each, best)}."


def why_not(each: Judged, best: Judged | None) -> str:
    """Why a port is not the one to build: what it misses comes before any praise."""
    if each.port.misses or best is None:
        missed = [problem for problem in each.port.problems if problem.kind.misses]
        return "; ".join(dict.fromkeys(miss_in_words(problem) for problem in missed)) or "misses nothing"
    more = each.burden - best.burden
    if round(more, 1) > 0:
        worst = _riskier(each, best)
        risk = f"riskier (+{each.burden:.2f}, {best.letter} +{best.burden:.2f})"
        return f"{risk}{f' as {worst}' if worst else ''}"
    gap = (each.score or 0.0) - (best.score or 0.0)
    if abs(gap) < CLOSE:
        return f"as good as {best.letter} (drift {each.score:.3f}, {best.letter} {best.score:.3f})"
    return f"less like the reference (drift {each.score:.3f}, {best.letter} {best.score:.3f})"


def _riskier(each: Judged, best: Judged) -> str:
    """What may go wrong with a port whose chance is most above that of the best."""
    own = {(risk.code, risk.says): risk.rise for risk in best.risks if risk.stands}
    gaps = [(told_apart(max(0.0, risk.rise) - max(0.0, own.get((risk.code, risk.says), 0.0)), 6), risk.says)
            for risk in each.risks if risk.stands]  # fmt: skip
    gap, says = max(gaps, default=(0.0, ""))
    return says if gap > 0.01 else ""


def _nothing(study: Study, order: Sequence[str], ports: Mapping[str, Judged]) -> str:
    """What is said where no port is acceptable: the nearest, and what would make it fit."""
    if not order:
        return "There is no port to judge."
    none = f"No {what_each_is(study)} fits. Nearest is"
    for letter in order[:TRIED]:
        if (change := remedy(study, ports[letter].port)) is not None:
            return f"{none} {letter}: {why_not(ports[letter], None)}; {change}, and it fits."
    nearest = ports[order[0]]
    return f"{none} {nearest.letter}: {why_not(nearest, None)}; nothing that was tried makes it fit."
