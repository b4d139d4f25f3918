"""Which port a picture that shows one beside the reference is about, and its numbers in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scaling.decide.verdict import decided
from scaling.show.figures.frame import plain_name
from scaling.show.figures.look import Look

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
        name = f"port {self.letter}" if self.port.machine is None else plain_name(self.port.machine.name)
        return f"{name}{'' if self.builds else ', which misses'}"


REFERENCE = "Reference"


@dataclass(frozen=True)
class Beside:
    """One of the two robots of a picture: its words in a key, and how its line looks."""

    words: str
    colour: str
    fill: str
    dash: Any
    wide: float

    @property
    def name(self) -> str:
        """What it is called within a sentence."""
        first = self.words.split(",")[0]
        if first == REFERENCE:
            return "the reference"
        return f"p{first[1:]}" if first.startswith("Port ") else first

    @property
    def gid(self) -> str:
        """What its lines are called."""
        return self.name.removeprefix("the ").replace(" ", "-")


def both(told: Told, look: Look) -> tuple[Beside, Beside]:
    """Return how the reference shows, dashed and hollow, and how the port does, filled."""
    words, accent = f"{told.words[0].upper()}{told.words[1:]}", look.colours[0]
    return (Beside(REFERENCE, look.ink, look.page, (0, (4, 2)), 1.1), Beside(words, accent, accent, "-", 2.1))


def told_port(study: Study) -> Told:
    """Return the best port of those that have a factor."""
    decision = decided(study)
    letter = next(letter for letter in decision.order if decision.ports[letter].port.factor is not None)
    port = decision.ports[letter].port
    return Told(letter, port, not port.misses)
