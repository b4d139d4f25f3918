"""The public face: what ``import scaling as sc`` hands out, assembled from the packages, which import nothing of it.

Numbers are in SI units throughout. What takes a quantity takes its name or its label; what takes a file takes text or
a path. Bad input raises InputError, one sentence; that of a name that is not there is a KeyError as well.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas

from scaling.book.entry import Array
from scaling.book.similarity import CLOCKS
from scaling.decide.mends import with_mends
from scaling.decide.options import rank_options, space_of
from scaling.decide.risks import Risk
from scaling.decide.shopping import shopping
from scaling.decide.verdict import Decision, decided
from scaling.decide.whole import whole_study
from scaling.decide.window import windows
from scaling.files.errors import InputError, UnknownNameError
from scaling.files.number import Number
from scaling.formulas import book
from scaling.loaded import Brief, Design, Names, Reference, found_name
from scaling.many import evaluate_chunks as evaluate_chunks  # noqa: PLC0414 - handed out
from scaling.many import evaluate_many as evaluate_many  # noqa: PLC0414 - handed out
from scaling.port import brief as briefs
from scaling.port import explain as explaining
from scaling.port.explain import Explanation
from scaling.robot import design as designs
from scaling.robot.parts import positive
from scaling.show.frames import drift_frame, options_frame, window_frame
from scaling.study import results
from scaling.study.as_drawn import compared
from scaling.study.sweep import swept, swept_speeds
from scaling.study.tried import trial

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from numpy.typing import ArrayLike


@dataclass(frozen=True)
class ByClock:
    """A ratio by whose time counts, None where there is none; as a drift, 1 is 'like the reference'.

    >>> import scaling as sc
    >>> port = sc.study("brief.toml")["A"]
    >>> drift = port["rotor_energy"].drift
    >>> round(drift.gravity / drift.driver, 6) == round(port.factor, 6)
    True
    """

    gravity: float | None
    driver: float | None


@dataclass(frozen=True)
class Quantity:
    """A quantity of a port beside the reference's.

    ``exponent`` is the power of the factor that it follows, a Fraction where it is exact; ``similarity_ratio`` is what
    the ratio would be if the port behaved like the reference, and ``drift`` the ratio over that. ``if_reached`` says
    that it would be so only if the motor reached the speed that is asked of it, ``outside`` that a formula is used
    outside the range where it is good.

    >>> import scaling as sc
    >>> energy = sc.study("brief.toml")["A"]["rotor_energy"]
    >>> energy.label, energy.unit, energy.exponent
    ('Rotor energy', 'J', Fraction(3, 1))
    """

    name: str
    label: str
    value: float
    unit: str
    ratio: float | None
    exponent: Fraction | float | None
    similarity_ratio: ByClock
    drift: ByClock
    if_reached: bool
    outside: bool


class Port(Names[Quantity]):
    """The reference under one law: a mapping from quantities, by name or label, to their values and drift.

    ``letter`` and ``label``, its names; ``law``, ``speed_rule`` and ``drive_rule``; ``factor``, its length over the
    reference's, None where the law gives none; ``problems``, the gravest first, each with a ``code`` and a ``text``;
    ``status``, 'fits' or 'misses', and ``misses``, the codes for which; ``score``, less is better, and ``risks``;
    ``variables``, the numbers that the formulas were given, by dotted key; ``shopping``, what to buy, a line each;
    ``freed`` and ``prices``, of the law that frees dimensions, what it changed and what a limit costs, dearest first.

    >>> import scaling as sc
    >>> port = sc.study("brief.toml")["A"]
    >>> port.status, port.misses, "creep_untested" in [risk.code for risk in port.risks]
    ('fits', (), True)
    >>> port.law, port.speed_rule, "gyro_margin" in port, "Gyro margin" in port
    ('mass', 'hold-tip-speed', True, True)
    >>> rising = port.sweep([1.2, 1.4, 1.6], only=["Rotor energy"])
    >>> list(rising.columns), rising.attrs["units"]["rotor_energy"], rising["rotor_energy"].is_monotonic_increasing
    (['factor', 'rotor_energy'], 'J', True)
    """

    def __init__(self, whole: results.Study, inner: results.Port, letter: str, decision: Decision) -> None:
        self._whole, self._inner, self._had = whole, inner, inner.quantities
        self.letter, self.label, self.factor, self.problems = letter, inner.label, inner.factor, inner.problems
        self.status, self.misses = inner.status, inner.misses
        asked = inner.request
        self.law, self.speed_rule, self.drive_rule = asked.law, asked.speed_rule, asked.drive_rule
        self.freed, self.prices = (inner.solved.freed, inner.solved.prices) if inner.solved is not None else ((), ())
        self.variables: Mapping[str, float] = dict(inner.variables)
        self.score = decision.ports[letter].score
        self._judged = decision.ports[letter]

    @cached_property
    def risks(self) -> tuple[Risk, ...]:
        """What is likeliest to go wrong, worst first, each with the cheapest mend that was found by trying."""
        return with_mends(self._whole, self._inner, self._judged.risks)

    @cached_property
    def shopping(self) -> tuple[str, ...]:
        """What the port needs from the shop, a line each: motors, pack, sheets, shafts, bolts."""
        return tuple(shopping(self._whole, self._inner))

    def __getitem__(self, quantity: str) -> Quantity:
        name = found_name(quantity, self._inner.quantities, f"port {self.letter}")
        found, label = self._inner.quantities[name], book.quantities[name].label
        similar, drift = (
            ByClock(**{clock: each.get(clock) for clock in CLOCKS}) for each in (found.similarity, found.drift)
        )
        return Quantity(
            name, label, found.value, found.unit, found.ratio, found.exponent, similar, drift, found.if_reached,
            name in self._inner.outside,
        )

    def sweep(self, factor: ArrayLike, only: str | Sequence[str] | None = None) -> pandas.DataFrame:
        """Return the port's quantities at other factors, by its law's rules: a row a factor, a column a quantity.

        ``only`` names the quantity or quantities that are worked out; without it all. Units are in ``attrs["units"]``.
        """
        if self.factor is None:
            raise InputError(f"port {self.letter} has no factor, so there is nothing to carry to another")
        if self._inner.machine is not None:
            raise InputError(f"port {self.letter} is a machine as drawn, which no law carries to another factor")
        factors = _row_of(factor, "factor", "scale factors")
        names = self._asked(only)
        return _frame("factor", "1", factors, swept(self._whole, self._inner, factors, names))

    def at_speeds(self, speed: ArrayLike, only: str | Sequence[str]) -> pandas.DataFrame:
        """Return the port's quantities at other speeds of its rotor (rad/s), all else as it is: a row a speed.

        What only a motor gives that holds the speed, such as a spin-up time, is NaN beyond the motor's reach. Units
        are in ``attrs["units"]``.

        >>> import scaling as sc
        >>> found = sc.study("brief.toml")["A"].at_speeds([500, 1000], only="rotor_energy")
        >>> round(float(found["rotor_energy"][1] / found["rotor_energy"][0]), 9)
        4.0
        """
        speeds = _row_of(speed, "speed", "rotor speeds")
        if "rotor.speed" not in self.variables:
            raise InputError(f"port {self.letter} has no rotor speed, so there is none to change")
        names = self._asked(only)
        return _frame("speed", "rad/s", speeds, swept_speeds(self._whole, self._inner, speeds, names))

    def tried(self, changes: Mapping[str, str | float], only: str | Sequence[str]) -> dict[str, Number]:
        """Return the quantities ``only`` as they would be with ``changes`` written into the brief, its law kept.

        Each is a dotted key of the brief, below ``port`` or ``parts``, with a text or a plain number. What cannot be
        computed, or needs a speed that the motor does not reach, is absent.

        >>> import scaling as sc
        >>> port = sc.study("brief.toml")["D"]
        >>> port.tried({"port.rotor.ratio": 1.8}, only="belt_slip_margin")["belt_slip_margin"] > 1
        True
        """
        names = self._asked(only)
        found = trial(self._whole, self._inner, {key: str(value) for key, value in changes.items()}, names)
        values = {} if found is None else found.values
        return {name: Number(values[name], book.quantities[name].unit) for name in names if name in values}

    def _asked(self, only: str | Sequence[str] | None) -> list[str]:
        """The names of the quantities asked for, all of them without any."""
        had = {**self._whole.reference, **self._inner.quantities}
        asked = had if only is None else [only] if isinstance(only, str) else only
        return [found_name(each, had, f"port {self.letter}") for each in asked]

    def __repr__(self) -> str:
        factor = "no factor" if self.factor is None else f"factor {self.factor:.4g}"
        return f"<Port {self.letter}, {self.label}, {factor}, {len(self)} quantities, {len(self.problems)} problems>"


class Study(Names[Port]):
    """A reference's ports by letter, beside its own quantities, ``reference``; ``design`` is the robot itself.

    ``verdict`` names the ``port`` to build, None where none is acceptable, with its ``text`` and ``reasons``;
    ``ranking`` has the letters of all ports, the best first.

    >>> import scaling as sc
    >>> study = sc.study("brief.toml")
    >>> "A" in study, study["A"].letter, "gyro_margin" in study.reference
    (True, 'A', True)
    >>> list(study.drift(clock="driver").columns[:3])
    ['port', 'quantity', 'label']
    """

    def __init__(self, inner: results.Study) -> None:
        self._inner, self._decision = inner, decided(inner)
        self._had = self._ports = {
            letter: Port(inner, judged.port, letter, self._decision)
            for letter, judged in self._decision.ports.items()
        }
        self.verdict, self.ranking = self._decision.verdict, self._decision.order
        self.design, self.reference = Design(inner.design), Reference(inner.design.name, inner.reference)

    def __getitem__(self, letter: str) -> Port:
        if letter not in self._ports:
            raise UnknownNameError("there is no such port", None, None, letter, ", ".join(self._ports) or "none")
        return self._ports[letter]

    def drift(self, clock: str | None = None) -> pandas.DataFrame:
        """Return every quantity of every port, and its drift: a row a quantity and port.

        ``clock``, gravity or driver, says whose time counts; without it each quantity's own.
        """
        if clock is not None and clock not in CLOCKS:
            raise InputError("this clock is not known", None, "clock", clock, " or ".join(CLOCKS))
        return drift_frame(self._inner, clock)

    def plot(self, kind: str = "drift", *, dark: bool = False) -> Figure:
        """Return a picture by its kind, such as outlines, margins or drift; ``scaling plot --help`` lists them all."""
        from scaling.show.figures.kinds import kind_named
        from scaling.show.figures.look import DARK, LIGHT

        return kind_named(kind).figure(self._inner, DARK if dark else LIGHT)

    def save(self, folder: str | Path, force: bool = False) -> list[Path]:
        """Write report, build log, figures, tables and study.json to a folder, and return what was written.

        A folder that holds files is refused, unless ``force`` says to replace them and all are as a run wrote them.
        """
        from scaling.show.output import write_study

        return [Path(folder) / name for name in write_study(self._inner, Path(folder), force)]

    def __repr__(self) -> str:
        return f"<Study of {self._inner.design.name}, ports {', '.join(self) or 'none'}>"


def study(
    robot: Design | Brief | str | Path,
    brief: Brief | str | Path | None = None,
    progress: Callable[[str], None] | None = None,
    laws: str | Collection[str] | None = None,
) -> Study:
    """Carry a reference to a heavier class by each law of a brief, and show what drifts.

    Give the robot and the brief, or the brief alone, which names its design; each as it was loaded, or as a path.
    ``progress`` is called with each port's words as it is worked out. With ``laws`` only those of the brief are tried.

    >>> import scaling as sc
    >>> found = sc.study("design.toml", "brief.toml", laws="mass")
    >>> found.reference == sc.study("brief.toml").reference, {port.law for port in found.values()}
    (True, {'mass'})
    """
    if brief is None and isinstance(robot, Design):
        raise InputError("a study needs to know where the robot is to go", None, "brief", allowed="a brief or its path")
    given, design = (robot, None) if brief is None else (brief, robot)
    found = _brief(given)
    if laws is not None:
        found = _of_laws(found, [laws] if isinstance(laws, str) else laws)
    return Study(whole_study(_design(design, found), found, progress))


def explain(quantity: str, robot: Design | str | Path | None = None) -> Explanation:
    """Say what the book says of a quantity: formula, inputs, exponents, source; with a robot's own numbers if given.

    >>> import scaling as sc
    >>> found = sc.explain("gyro_margin", "design.toml")
    >>> found.formula, [row.name for row in found.inputs]
    ('gyro_margin = gyro_lift_yaw_rate/top_yaw_rate', ['gyro_lift_yaw_rate', 'top_yaw_rate'])
    """
    return explaining.explain(quantity, None if robot is None else _robot(robot))


def window(brief: Brief | str | Path, robot: Design | str | Path | None = None) -> pandas.DataFrame:
    """Show at which factors every limit holds: a row a limit and band of factors, ``window`` all of them together.

    >>> import scaling as sc
    >>> list(sc.window("brief.toml").columns)
    ['speed_rule', 'drive_rule', 'limit', 'label', 'low', 'high']
    """
    found = _brief(brief)
    return window_frame(windows(_design(robot, found), found))


def options(brief: Brief | str | Path, robot: Design | str | Path | None = None, top: int = 12) -> pandas.DataFrame:
    """Try every combination of a brief's candidates and rank them, the best first: a row an option.

    What misses nothing stands before what does, then the least score. Beside the ``top`` best stand all that no other
    beats in hit, handling and survival at once.

    >>> import scaling as sc
    >>> ranked = sc.options("brief.toml", top=3)
    >>> list(ranked.columns[:3]), ranked.attrs["units"]["mass"]
    (['rank', 'rotor_motors', 'drive_motors'], 'kg')
    """
    found = _brief(brief)
    design = _design(robot, found)
    return options_frame(*rank_options(design, found, space_of(found, design), top))


def compare(
    robot: Design | str | Path,
    *machines: Design | str | Path,
    by: str = "length",
    mass: str | None = None,
    clock: str | None = None,
) -> pandas.DataFrame:
    """Judge machines as they are built or drawn beside a robot: a row a quantity and machine, as ``Study.drift``.

    It is the drift of ``side_by_side``, which has the verdict, risks and pictures as well.

    >>> import scaling as sc
    >>> itself = sc.compare("design.toml", "design.toml")
    >>> bool((itself["drift"].dropna() - 1).abs().max() < 1e-12)
    True
    """
    return side_by_side(robot, *machines, by=by, mass=mass).drift(clock)


def side_by_side(
    robot: Design | str | Path, *machines: Design | str | Path, by: str = "length", mass: str | None = None
) -> Study:
    """Return machines as they are built or drawn beside a robot as a study, a letter each in the order of their dates.

    The factor is the ratio of the lengths under the key ``by``; ``mass`` is a limit such as "1.36 kg", without which
    each is held to its own.

    >>> import scaling as sc
    >>> itself = sc.side_by_side("design.toml", "design.toml")
    >>> itself.verdict.port, itself["A"].law, itself["A"].factor, itself["A"].speed_rule
    ('A', 'as-drawn', 1.0, None)
    """
    if not machines:
        raise InputError("there is nothing to compare with", None, "machines", allowed="one or more designs")
    limit = None if mass is None else positive(mass, "kg", None, "mass")
    return Study(compared(_robot(robot), [_robot(machine) for machine in machines], by, limit))


def _row_of(given: ArrayLike, key: str, what: str) -> Array:
    """One or more numbers above zero, in a row."""
    found = np.atleast_1d(np.asarray(given, dtype=float))
    if found.ndim != 1 or not np.all(np.isfinite(found) & (found > 0)):
        raise InputError(f"these are no {what}", None, key, allowed="finite numbers above zero in a row")
    return found


def _frame(along: str, unit: str, given: Array, values: Mapping[str, Array]) -> pandas.DataFrame:
    """Quantities along what was given, with their units."""
    frame = pandas.DataFrame({along: given, **values})
    frame.attrs["units"] = {along: unit, **{name: book.quantities[name].unit for name in values}}
    return frame


def _brief(given: object) -> briefs.Brief:
    return given._inner if isinstance(given, Brief) else briefs.load_brief(_path(given, "brief"))


def _of_laws(brief: briefs.Brief, laws: Collection[str]) -> briefs.Brief:
    """The brief with only these of its laws."""
    asked = {request.law for request in brief.requests}
    for law in laws:
        if law not in asked:
            raise UnknownNameError("the brief asks for no such law", brief.file, "laws", law, ", ".join(sorted(asked)))
    return replace(brief, requests=tuple(request for request in brief.requests if request.law in laws))


def _robot(given: object) -> designs.Design:
    return given._inner if isinstance(given, Design) else designs.load_design(_path(given, "robot"))


def _design(given: object, brief: briefs.Brief) -> designs.Design:
    """The robot that is given, else the one that the brief names."""
    return designs.load_design(brief.design_file) if given is None else _robot(given)


def _path(given: object, what: str) -> Path:
    if not isinstance(given, str | Path):
        raise InputError("this is neither loaded nor a path", None, what, given, f"a {what} or the path of its file")
    return Path(given)


