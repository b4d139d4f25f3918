"""How hot the motors become: winding and case after a match, time to the limit, the current for a whole match."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from scaling.book.algebra import Expression, least, pi, symbols, where
from scaling.book.entry import Model, Quantity, Validity, Variable
from scaling.formulas.rotor.spin_up import REACHED
from scaling.formulas.thermal.two_node import jam_time, match_current, temperature_rise, time_to_limit

rotor_duty, drive_duty, spin_up_rate, reach_share = symbols(
    "match.rotor_duty match.drive_duty match.spin_up_rate rotor_speed_reach_share"
)
voltage, pack_resistance, motors = symbols("battery.voltage battery.resistance drive.motors")
rotor_speed, rotor_ratio, spin_up_heat = symbols("rotor.speed rotor.ratio spin_up_heat")
steady_current, traction_current = symbols("rotor_steady_current drive_traction_current")
rotor_resistance, rotor_kv, rotor_no_load = symbols(
    "rotor.motor.resistance rotor.motor.kv rotor.motor.no_load_current"
)
drive_resistance, drive_no_load = symbols("drive.motor.resistance drive.motor.no_load_current")
rotor_mass, rotor_winding_share, rotor_winding_specific_heat = symbols(
    "rotor.motor.mass rotor.motor.winding_share rotor.motor.winding_specific_heat"
)


def _variables(table: str, mark: str, what: str, winding_share: float, convection: float) -> tuple[Variable, ...]:
    """Return what the model must know of a motor; all have defaults, so that a design need not say them.

    Specific heats of copper 385 and iron 450 J/(kg K): CRC Handbook of Chemistry and Physics; coefficient of copper's
    resistance 0.00393 per K: IEC 60028. Convection to gases 2 to 25 W/(m2 K) free and 25 to 250 forced: Y. A. Cengel,
    Heat Transfer, as quoted by its publisher's page. A rotor's motor turns its own can: Nu = 0.133 Re^(2/3) Pr^(1/3)
    of a turning cylinder in still air (K. M. Becker, 1963; from memory) gives 100 to 160 at such
    speeds; a drive motor sits in still air and warms its mount a little. Limit 80 K: rise of class B windings
    measured by resistance, IEC 60034-1, from memory. Winding's share and insulation (0.2 W/(m K) through 1 mm of
    enamel and paper): common practice, no source.
    """
    return (
        Variable(f"{table}.winding_share", f"s_{mark}", "1", f"copper's share of {what}'s mass", 0,
                 allowed="fraction", default=winding_share),
        Variable(f"{table}.winding_specific_heat", f"c_w{mark}", "J/kg/K", f"specific heat of {what}'s winding",
                 default=385.0),
        Variable(f"{table}.case_specific_heat", f"c_c{mark}", "J/kg/K", f"mean specific heat of the rest of {what}",
                 default=450.0),
        Variable(f"{table}.insulation", f"h_w{mark}", "W/m^2/K",
                 f"heat flow from {what}'s winding to its case, over outer surface and temperature difference", -1,
                 default=200.0),
        Variable(f"{table}.convection", f"h_a{mark}", "W/m^2/K", f"heat transfer coefficient from {what} to the air",
                 default=convection),
        Variable(f"{table}.resistance_rise", f"alpha_{mark}", "1/K",
                 f"rise of the resistance of {what}'s winding with temperature", default=0.00393),
        Variable(f"{table}.rise_limit", f"T_l{mark}", "K", f"rise over the air that {what}'s winding bears",
                 default=80.0),
    )


VARIABLES = (
    *_variables("rotor.motor", "r", "the rotor's motor", 0.2, 100.0),
    *_variables("drive.motor", "d", "a drive motor", 0.1, 25.0),
    Variable("drive.motor.length", "l_d", "m", "length of a drive motor with its gearbox", 1, optional=True),
)

_LUMPS = "incropera sec. 5.1 and 3.1: two lumped heat capacities and two resistances; iec60028: resistance of copper"
_SPREAD = "match's heat spread evenly over it"
_MODEL = "each lump of one temperature, cold at the start; air that stays cool"


@dataclass(frozen=True)
class Motor:
    """One kind of motor: the start of its quantities' names, its label, its table of the design file.

    ``slenderness`` is the length over the diameter where the length is not stated; ``winding_heat`` and
    ``case_heat`` are the means over a match, ``full_speed_heat`` the case's at full speed; ``stall`` the current that
    the pack drives through it at rest.
    """

    name: str
    label: str
    table: str
    slenderness: int
    winding_heat: Expression
    case_heat: Expression
    full_speed_heat: Expression
    stall: Expression

    def symbol(self, key: str) -> Expression:
        """Symbol of a variable of the motor's table."""
        return symbols(f"{self.table}.{key}")[0]

    def quantity(self, name: str) -> Expression:
        """Symbol of a quantity of this motor."""
        return symbols(f"{self.name}_{name}")[0]


_rotor_emf = where(reach_share <= REACHED, rotor_speed * rotor_ratio / rotor_kv)
_drive_loop = drive_resistance + motors * pack_resistance

ROTOR = Motor(
    "motor", "Rotor motor", "rotor.motor", 1,
    winding_heat=spin_up_rate * spin_up_heat + rotor_duty * steady_current**2 * rotor_resistance,
    case_heat=rotor_duty * rotor_no_load * _rotor_emf,
    full_speed_heat=rotor_no_load * _rotor_emf,
    stall=voltage / (rotor_resistance + pack_resistance),
)
DRIVE = Motor(
    "drive_motor", "Drive motor", "drive.motor", 2,
    winding_heat=drive_duty * traction_current**2 * drive_resistance,
    case_heat=drive_duty * drive_no_load * (voltage - traction_current * _drive_loop),
    full_speed_heat=drive_no_load * (voltage - drive_no_load * _drive_loop),
    stall=voltage / _drive_loop,
)


def _heats(motor: Motor) -> tuple[Quantity, ...]:
    resistance, limit = motor.symbol("resistance"), motor.symbol("current_limit")
    return (
        Quantity(
            f"{motor.name}_winding_heat", f"{motor.label} winding heat", "P_w", "W", "thermal", "lower",
            motor.winding_heat,
            clock="match",
            source="own-derivation: I^2 R for each stated duty, over the match; drela2007: currents",
            assumes="winding cold: its resistance's rise is counted in the temperatures",
        ),
        Quantity(
            f"{motor.name}_case_heat", f"{motor.label} iron and bearing heat", "P_c", "W", "thermal", "lower",
            motor.case_heat,
            clock="match",
            source="drela2007: no-load current times the voltage that the speed makes, for its stated duty",
            assumes="all of the no-load loss within the motor",
        ),
        Quantity(
            f"{motor.name}_full_speed_heat", f"{motor.label} case heat at full speed", "P_f", "W", "thermal", "lower",
            motor.full_speed_heat,
            clock="match",
            source="drela2007: no-load current times the voltage that the speed makes",
            assumes="all of the no-load loss within the motor, without a pause",
        ),
        Quantity(
            f"{motor.name}_jam_heat", f"{motor.label} heat when jammed", "P_j", "W", "thermal", "lower",
            least(limit, motor.stall) ** 2 * resistance,
            clock="match",
            source="own-derivation: I^2 R; drela2007: current",
            assumes="stalled, cold, at the current limit or what the pack drives",
        ),
    )


def _areas(motor: Motor) -> tuple[Quantity, ...]:
    """Return the outer surface from diameter and length; from the diameter alone where the length is not stated."""
    diameter = motor.symbol("diameter")

    def entry(formula: Expression, assumes: str) -> Quantity:
        return Quantity(
            f"{motor.name}_cooling_area", f"{motor.label} cooling area", "A", "m^2", "thermal", "higher", formula,
            clock="match",
            source="own-derivation: surface of a cylinder with one face free, pi d l + pi d^2 / 4", assumes=assumes,
        )

    stubby = "as long as wide" if motor.slenderness == 1 else f"{motor.slenderness} times as long as wide"
    return (
        entry(pi * diameter * (motor.symbol("length") + diameter / 4), "the other face on its mount"),
        entry(pi * diameter**2 * (motor.slenderness + Fraction(1, 4)),
              f"length not stated: {stubby}; the other face on its mount"),
    )


def _temperatures(motor: Motor) -> tuple[Quantity, ...]:
    """Temperatures after the match, and the times to the limit."""
    table, name, label = motor.table, motor.name, motor.label
    body = (f"{table}.mass", f"{table}.winding_share", f"{table}.winding_specific_heat", f"{table}.case_specific_heat",
            f"{name}_cooling_area", f"{table}.insulation", f"{table}.convection", f"{table}.resistance_rise")
    heats = (f"{name}_winding_heat", f"{name}_case_heat")
    hot = Validity(
        f"{name}_temperature_margin",
        f"the {label.lower()}'s winding passes its limit within a match: insulation and magnets suffer",
        low=1.0,
    )
    return (
        Quantity(
            f"{name}_temperature_rise", f"{label} winding rise in a match", "T_w", "K", "thermal", "lower",
            Model(temperature_rise, ("match.time", *heats, *body), "winding"),
            role="yardstick", clock="match",
            source=_LUMPS, assumes=f"over the air; {_SPREAD}; {_MODEL}", valid=(hot,),
        ),
        Quantity(
            f"{name}_case_temperature_rise", f"{label} case rise in a match", "T_c", "K", "thermal", "lower",
            Model(temperature_rise, ("match.time", *heats, *body), "case"),
            clock="match",
            source=_LUMPS, assumes=f"over the air; {_SPREAD}; {_MODEL}",
        ),
        Quantity(
            f"{name}_temperature_margin", f"{label} temperature margin", "T_l/T_w", "1", "thermal", "higher",
            motor.symbol("rise_limit") / motor.quantity("temperature_rise"),
            role="budget", clock="match",
            source="definition",
        ),
        Quantity(
            f"{name}_time_to_limit", f"{label} time to limit at match pace", "t_l", "s", "thermal", "higher",
            Model(time_to_limit, (f"{table}.rise_limit", *heats, *body), "time"),
            clock="match",
            source=_LUMPS, assumes=f"absent where the limit is never reached; {_MODEL}",
        ),
        Quantity(
            f"{name}_jam_time", f"{label} time to limit when jammed", "t_j", "s", "thermal", "higher",
            Model(jam_time, (f"{table}.rise_limit", f"{name}_jam_heat", *body), "time"),
            clock="match",
            source=_LUMPS,
            assumes=f"stalled at {name}_jam_heat; absent where the limit is never reached; {_MODEL}",
        ),
    )


def _continuous(motor: Motor) -> Quantity:
    """Return the current that brings the winding to its limit just at the end of a match, at full speed throughout."""
    table, name = motor.table, motor.name
    inputs = (
        f"{table}.rise_limit", "match.time", f"{table}.resistance", f"{name}_full_speed_heat", f"{table}.mass",
        f"{table}.winding_share", f"{table}.winding_specific_heat", f"{table}.case_specific_heat",
        f"{name}_cooling_area", f"{table}.insulation", f"{table}.convection", f"{table}.resistance_rise",
    )
    return Quantity(
        f"{name}_continuous_current", f"{motor.label} current for a whole match", "I_c", "A", "thermal", "higher",
        Model(match_current, inputs, "current"),
        clock="match",
        source=_LUMPS,
        assumes=f"held at full speed from start to end of match.time, not for ever; {_MODEL}; absent where the heat of "
        "iron and bearings alone passes the limit by then",
    )


QUANTITIES = (
    *(entry for motor in (ROTOR, DRIVE) for part in (_heats, _areas, _temperatures) for entry in part(motor)),
    _continuous(ROTOR),
    _continuous(DRIVE),
    Quantity(
        "motor_continuous_current_margin", "Rotor motor whole-match margin", "I_c/I_s", "1", "thermal", "higher",
        ROTOR.quantity("continuous_current") / steady_current,
        role="budget", clock="match",
        source="definition",
    ),
    Quantity(
        "drive_motor_continuous_current_margin", "Drive motor whole-match margin", "I_c/I_g", "1", "thermal", "higher",
        DRIVE.quantity("continuous_current") / traction_current,
        role="budget", clock="match",
        source="definition",
        assumes="below 1 a push at the grip limit cannot be held for a whole match",
    ),
    Quantity(
        "spin_up_temperature_rise", "Winding rise per spin-up", "T_1", "K", "thermal", "lower",
        spin_up_heat / (rotor_mass * rotor_winding_share * rotor_winding_specific_heat),
        clock="match",
        source="incropera sec. 5.1: heat into the winding's own capacity",
        assumes="no loss to the case in the time of a spin-up: an upper bound",
    ),
)
