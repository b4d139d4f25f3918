"""What a study answers, worked out once for all that tells it: the decision, and the risks of its port with mends."""

from __future__ import annotations

from dataclasses import dataclass

from scaling.decide.mends import with_mends
from scaling.decide.risks import Risk
from scaling.decide.verdict import Decision, Judged, decided
from scaling.study.kept import kept
from scaling.study.results import Port, Study


@dataclass(frozen=True)
class Answer:
    """A study with what it comes to; ``risks`` are those of the port that is told of, worst first, with their mends."""

    study: Study
    decision: Decision
    risks: tuple[Risk, ...]

    @property
    def told(self) -> Judged | None:
        """The port that is told of: the one to build, else the nearest; None where no port has a factor."""
        told = self.decision.told
        return told if told is not None and told.port.factor is not None else None

    @property
    def port(self) -> Port | None:
        """That port itself."""
        return None if self.told is None else self.told.port

    @property
    def why(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The verdict's reasons: those for the port to build, and those against each of the others."""
        reasons, others = self.decision.verdict.reasons, len(self.decision.order) - (self.decision.best is not None)
        return reasons[: len(reasons) - others], reasons[len(reasons) - others :]

    @property
    def letters(self) -> dict[str, Port]:
        """Every port by its letter."""
        return dict(zip(self.study.letters, self.study.ports, strict=True))


def answered(study: Study) -> Answer:
    """Decide a study and look for the mends of its port's risks."""
    return Answer(study, decided(study), _told_risks(study))


@kept
def _told_risks(study: Study) -> tuple[Risk, ...]:
    told = decided(study).told
    return () if told is None else with_mends(study, told.port, told.risks)
