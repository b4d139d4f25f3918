"""Which port a picture that shows one beside the reference is about, and its numbers in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scaling.decide.verdict import decided
from scaling.decide.words import label_in_words

if TYPE_CHECKING:
    from scaling.study.results import Port, Study


@dataclass(frozen=True)
class Told:
    """The port to build, or where none can be the one that misses least: ``builds`` says which."""

    letter: str
    port: Port
    builds: bool

    @property
    def words(self) -> str:
        """What it is, in a few words."""
        return f"port {self.letter}{'' if self.builds else ', which misses'}"

    @property
    def label(self) -> str:
        """Its law and rules."""
        return label_in_words(self.port)


def told_port(study: Study) -> Told:
    """Return the best port of those that have a factor."""
    decision = decided(study)
    letter = next(letter for letter in decision.order if decision.ports[letter].port.factor is not None)
    port = decision.ports[letter].port
    return Told(letter, port, not port.misses)
