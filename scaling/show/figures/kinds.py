"""The kinds of pictures: one table that the reports, ``scaling plot`` and the public face read.

A kind's module in this folder holds ``figure(study, look)``, which draws it, and ``alt(study)``, which says in words
what it shows and finds. It is loaded when it is drawn, so that the table itself costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from scaling.files.errors import InputError, UnknownNameError, nearest
from scaling.show.figures.look import LIGHT, Look, drawing

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from scaling.study.results import Study


@dataclass(frozen=True)
class Kind:
    """One kind of picture.

    ``name`` is that of its files, ``title`` its heading in the reports, ``line`` what it answers. ``needs`` are words
    of ``NEEDS``, or names of quantities that the reference or a port must have; where one is lacking there is no
    picture but a sentence. ``section`` is the part of the reports in which it stands, by its id; one that they do not
    have puts it under 'Further pictures'. ``module`` is where it is drawn, the folder's own one of its name without it.
    One that stands ``alone`` takes too long to work out for every study: it is drawn where it is asked for by its name.
    """

    name: str
    title: str
    line: str
    section: str = "pictures"
    needs: tuple[str, ...] = ()
    module: str = ""
    alone: bool = False

    def why_absent(self, study: Study) -> str | None:
        """Say why there is no such picture of a study, None where there is one."""
        for need in self.needs:
            if need in NEEDS:
                found = NEEDS[need](study)
            else:
                found = None if need in study.names else f"neither {study.design.name} nor a port has {_label(need)}"
            if found is not None:
                return f"{self.title}: there is no such picture, since {found}."
        return None

    def figure(self, study: Study, look: Look = LIGHT) -> Figure:
        """Draw it; raises InputError where it does not apply."""
        self._check(study)
        with drawing(look):
            made: Figure = self._loaded().figure(study, look)
        return made

    def words(self, study: Study) -> str:
        """Return the alternative text, which says what it finds; raises InputError where it does not apply."""
        self._check(study)
        words: str = self._loaded().alt(study)
        if not words.strip():
            raise ValueError(f"the picture {self.name} does not say in words what it shows")
        return words

    def _check(self, study: Study) -> None:
        if (why := self.why_absent(study)) is not None:
            raise InputError(why.removesuffix("."), study.brief.file)

    def _loaded(self) -> _Module:
        return import_module(self.module or f"{__package__}.{self.name}")  # type: ignore[return-value]


class _Module:
    figure: Callable[[Study, Look], Figure]
    alt: Callable[[Study], str]


def _label(name: str) -> str:
    from scaling.formulas import book

    label = book.quantities[name].label
    return f"{label[0].lower()}{label[1:]}"


def _factor(study: Study) -> str | None:
    return None if any(port.factor is not None for port in study.ports) else "no port has a factor"


def _law(study: Study) -> str | None:
    follows = any(port.curve is not None for port in study.ports)
    return None if follows else "a machine as drawn follows no law, so that it has no other factor"


def _rotor(study: Study) -> str | None:
    return None if study.design.has_rotor else f"{study.design.name} has no rotor"


def _across(study: Study) -> str | None:
    turns = "rotor.axis=across" in study.design.traits
    return None if turns else f"the rotor of {study.design.name} does not lie across it, so that no turn lifts a side"


def _survival(study: Study) -> str | None:
    from scaling.formulas import book

    return None if book.of_role("survival", among=study.names) else "no survival margin is known"


NEEDS: Mapping[str, Callable[[Study], str | None]] = {
    "factor": _factor, "law": _law, "rotor": _rotor, "across": _across, "survival": _survival,
}  # fmt: skip
"""What a picture may need, each with what to say where it is lacking."""

KINDS: tuple[Kind, ...] = (
    Kind("outlines", "To one scale", "reference and port to build from the side and from above", "laws", ("factor",)),
    Kind("margins", "What gives way first", "survival margins, what gives way first at the top", "worst",
         ("factor", "survival")),
    Kind("rush", "Rotor against rush", "the rotor's energy while an opponent comes, and where they meet", "worst",
         ("factor", "rotor", "spin_up_time", "half_arena_crossing_time")),
    Kind("turning", "Turning with the rotor up", "the load on each side against the turn rate, and lift-off", "worst",
         ("factor", "rotor", "across", "wheels_down_rate_left_turn")),
    Kind("spin_up", "Spin-up", "rotor speed and energy against time, of every port", "worst",
         ("factor", "rotor", "spin_up_time")),
    Kind("energy_map", "Energy for its mass", "mass against rotor energy, with lines of equal J/kg and equal throw",
         "laws", ("factor", "rotor", "rotor_energy")),
    Kind("drift", "Drift of each port, each quantity by its clock",
         "what drifts: what a driver feels, survival, what must close", "worst", ("factor",)),
    Kind("factor_curves", "Main quantities against the factor", "what main quantities become along each law", "rules",
         ("factor", "law"), f"{__package__}.curves"),
    Kind("exponents", "Exponents along each law", "the power of the factor that each quantity follows", "rules",
         ("factor", "law")),
    Kind("window", "Feasible window", "at which factors every limit holds, by the rules of the port to build", "laws",
         ("factor", "law"), alone=True),
    Kind("mass", "Where the grams go", "from the reference over the factor's cube to the limit, step by step", "mass",
         ("factor",)),
)  # fmt: skip
"""Every kind, in the order of the reports."""


def kind_named(name: str, key: str | None = None) -> Kind:
    """Return a kind by its name; raises UnknownNameError for one that is not there."""
    found = {kind.name: kind for kind in KINDS}
    if name not in found:
        raise UnknownNameError(
            "there is no such kind of picture", None, key, name, ", ".join(found), nearest(name, found)
        )
    return found[name]
