"""How hot the speed controllers become: one lump of heat capacity that cools by its surface.

A controller's loss goes with the square of the motor's current, not the pack's: near standstill it carries thirty
amperes of the motor's for a few of the pack's. Source: lumped capacity, C dT/dt = P - h A T.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from scaling.book.algebra import Expression, exp, least, log, symbols, where
from scaling.book.entry import Quantity, Variable
from scaling.formulas.rotor.similar_motor import similar

spin_up_rate, spin_up_heat, rotor_duty, drive_duty, match_time = symbols(
    "match.spin_up_rate spin_up_heat match.rotor_duty match.drive_duty match.time"
)
rotor_resistance, rotor_limit, steady_current = symbols(
    "rotor.motor.resistance rotor.motor.current_limit rotor_steady_current"
)
drive_limit, traction_current = symbols("drive.motor.current_limit drive_traction_current")
voltage, pack_resistance, drive_resistance, motors = symbols(
    "battery.voltage battery.resistance drive.motor.resistance drive.motors"
)


def _variables(table: str, mark: str, what: str) -> tuple[Variable, ...]:
    """Return what the model must know of a controller.

    Specific heat between copper's 385 and the board's 900 J/(kg K), density of a potted board with its sink, natural
    convection in a closed machine and 70 K over the air, where such controllers begin to cut back: common practice, no
    source. The port's is one that suits the similar motor: it grows with that and loses the same share of its power;
    the brief may state another.
    """
    return (
        Variable(f"{table}.resistance", f"R_c{mark}", "ohm",
                 f"loss of {what} over the square of its motor's current, switching included",
                 *similar("resistance"), optional=True),
        Variable(f"{table}.mass", f"m_c{mark}", "kg", f"mass of {what}, which stands among the parts as well",
                 *similar("mass"), optional=True),
        Variable(f"{table}.pack_limit", f"I_b{mark}", "A", f"pack-side limit that {what} sets, where it sets one",
                 *similar("short_time_current"), optional=True),
        Variable(f"{table}.specific_heat", f"c_c{mark}", "J/kg/K", f"mean specific heat of {what}", default=700.0),
        Variable(f"{table}.density", f"rho_c{mark}", "kg/m^3", f"mean density of {what} in its wrap", default=2000.0),
        Variable(f"{table}.convection", f"h_c{mark}", "W/m^2/K", f"heat transfer coefficient from {what} to the air",
                 default=15.0),
        Variable(f"{table}.rise_limit", f"T_c{mark}", "K", f"rise over the air that {what} bears", default=70.0),
    )


VARIABLES = (
    *_variables("rotor.controller", "r", "the rotor's controller"),
    *_variables("drive.controller", "d", "a drive motor's controller"),
)


@dataclass(frozen=True)
class Controller:
    """One kind of controller: start of its quantities' names, label, table, and its motor's currents.

    ``mean_square`` is the mean over a match of the square of the motor's current, ``held`` the current of a motor that
    is held at standstill with full throttle.
    """

    name: str
    label: str
    table: str
    mark: str
    mean_square: Expression
    held: Expression

    def symbol(self, key: str) -> Expression:
        """Symbol of a variable of the controller's table."""
        return symbols(f"{self.table}.{key}")[0]

    def quantity(self, name: str) -> Expression:
        """Symbol of a quantity of this controller."""
        return symbols(f"{self.name}_{name}")[0]


ROTOR = Controller(
    "rotor_controller", "Rotor controller", "rotor.controller", "r",
    mean_square=spin_up_rate * spin_up_heat / rotor_resistance + rotor_duty * steady_current**2,
    held=least(rotor_limit, voltage / (rotor_resistance + pack_resistance)),
)
DRIVE = Controller(
    "drive_controller", "Drive controller", "drive.controller", "d",
    mean_square=drive_duty * traction_current**2,
    held=least(drive_limit, voltage / (drive_resistance + motors * pack_resistance)),
)

_LUMP = "incropera sec. 5.1: lumped capacity with convection"
_BRICK = "common-practice: sides as 4 to 2 to 1"
_COLD = "cold at the start, all of one temperature, air that stays cool; state the convection of one with a fan"


def _of(one: Controller) -> Iterator[Quantity]:
    name, label, mark = one.name, one.label, one.mark
    heat, area, rise, held_heat = (one.quantity(word) for word in ("heat", "area", "temperature_rise", "held_heat"))
    capacity = one.symbol("mass") * one.symbol("specific_heat")
    away = one.symbol("convection") * area
    yield Quantity(
        f"{name}_heat", f"{label} heat", f"P_c{mark}", "W", "thermal", "lower",
        one.symbol("resistance") * one.mean_square,
        clock="match",
        source="own-derivation: I^2 R of the motor's current for each stated duty, over the match; drela2007: currents",
        assumes="loss with the square of the motor's current, not the pack's",
    )
    yield Quantity(
        f"{name}_area", f"{label} cooling area", f"A_c{mark}", "m^2", "thermal", "higher",
        7 * (one.symbol("mass") / one.symbol("density")) ** Fraction(2, 3),
        source=f"{_BRICK}, whose surface is 7 V^(2/3)",
        assumes="all sides in the air",
    )
    yield Quantity(
        f"{name}_temperature_rise", f"{label} rise in a match", f"T_{mark}", "K", "thermal", "lower",
        heat / away * (1 - exp(-away * match_time / capacity)),
        clock="match",
        source=_LUMP, assumes=f"over the air; match's heat spread evenly over it; {_COLD}",
    )
    yield Quantity(
        f"{name}_temperature_margin", f"{label} temperature margin", f"T_c{mark}/T_{mark}", "1", "thermal", "higher",
        one.symbol("rise_limit") / rise,
        role="budget", clock="match",
        source="definition",
        assumes="below 1 it cuts back or ends within the match",
    )
    yield Quantity(
        f"{name}_held_heat", f"{label} heat with motor held", f"P_h{mark}", "W", "thermal", "lower",
        one.symbol("resistance") * one.held**2,
        clock="match",
        source="own-derivation: I^2 R; drela2007: current",
        assumes="motor held at standstill at full throttle, at its motor-side limit or what the pack drives",
    )
    yield Quantity(
        f"{name}_held_time", f"{label} time with motor held", f"t_h{mark}", "s", "thermal", "higher",
        where(held_heat > away * one.symbol("rise_limit"),
              -capacity / away * log(1 - away * one.symbol("rise_limit") / held_heat)),
        clock="match",
        source=_LUMP, assumes=f"absent where the limit is never reached; {_COLD}",
    )


QUANTITIES = (*_of(ROTOR), *_of(DRIVE))
