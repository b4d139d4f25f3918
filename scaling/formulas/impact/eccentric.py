"""A hit as the eccentric impact of two free bodies: effective masses, impulse, and what each body has after it.

The own machine is a rotor on a free axle and the chassis that carries it. The impulse J at the tip turns the rotor by
J r, and reaches the chassis at the axle, whose distance d from the machine's centre of gravity, across the line of the
hit, makes it turn as well. The opponent is one free body hit at a distance o from its centre of gravity. Along the
line of the hit each body then answers like a point mass, and the two point masses collide with a restitution.
"""

from __future__ import annotations

from scaling.book.algebra import Expression, sqrt, symbols
from scaling.book.entry import Quantity, Validity, Variable

mass, mass_limit, gravity = symbols("mass mass_limit gravity")
length, width, height = symbols("length width height")
diameter, rotor_inertia, rotor_speed = symbols("rotor.diameter rotor.inertia rotor_speed")
lever, stated_inertia = symbols("rotor.axle_lever rotor.hit_inertia")
offset, stated_opponent_inertia = symbols("opponent.hit_offset opponent.inertia")
own_inertia, opponent_inertia, own_mass, opponent_mass = symbols(
    "own_hit_inertia opponent_inertia own_hit_mass opponent_hit_mass"
)
yaw_inertia, roll_inertia = symbols("yaw_inertia roll_inertia")
effective_mass, tip_speed, impulse = symbols("hit_effective_mass tip_speed hit_impulse")
energy_given, rotor_energy, speed_drop, recoil_speed, landing_stiffness = symbols(
    "hit_energy_given rotor_energy rotor_speed_drop recoil_speed landing.stiffness"
)

VARIABLES = (
    Variable("rotor.axle_lever", "d_a", "m",
             "distance of the rotor's axle from the robot's centre of gravity, across the line of a hit", 1,
             allowed="not negative", optional=True),
    Variable("rotor.hit_inertia", "I_G", "kg m^2",
             "inertia of the whole robot about its centre of gravity, about a line along the rotor's axle", 5,
             optional=True),
    Variable("opponent.restitution", "e", "1", "restitution of a hit: 0 plastic, 1 elastic", 0,
             allowed="fraction", default=0.2),
    Variable("opponent.hit_offset", "o", "m",
             "distance of the line of a hit from the opponent's centre of gravity, 0 when not stated", 1,
             allowed="not negative", optional=True),
    Variable("opponent.inertia", "I_o", "kg m^2",
             "inertia of the opponent about its centre of gravity in the plane of a hit", 5, optional=True),
)

_GOLDSMITH = "thomson-tait sec. 266"
_ECCENTRIC = "beer-johnston sec. 17.12: eccentric impact"
_BOX = "meriam appendix D: uniform box"
_FREE = "own machine free: a floor or wall behind it makes it heavier"

_LEVER_ROOM = Validity(
    "rotor_inertia_share",
    "the rotor's own inertia is more than the robot's is taken to be: state rotor.hit_inertia",
    high=0.9,
)


def _own_inertia(formula: Expression, source: str, assumes: str = "", when: tuple[str, ...] = ()) -> Quantity:
    """Inertia of the whole robot in the plane in which its rotor turns, in one of the ways of knowing it."""
    return Quantity(
        "own_hit_inertia", "Own hit-plane inertia", "I_G", "kg m^2", "impact", "same", formula,
        source=source, assumes=assumes, when=when,
    )


def _recoil(assumes: str, when: tuple[str, ...]) -> Quantity:
    """Own machine's speed after a hit, free or with the floor behind it."""
    return Quantity(
        "recoil_speed", "Recoil speed", "v_r", "m/s", "impact", "lower", impulse / mass,
        role="handling", clock="gravity",
        source=f"{_GOLDSMITH}: impulse and momentum",
        assumes=f"{assumes}; mean of the engagement", when=when,
    )


def _box(axis: str, one: Expression, other: Expression) -> Quantity:
    """Take a robot whose inertia is not stated as a box of its outer sizes, turning in the plane of a hit."""
    return _own_inertia(
        mass * (one**2 + other**2) / 12,
        f"{_BOX}, m (a^2 + b^2) / 12 with the robot's outer sizes",
        "mass spread evenly over the robot's outer box; state rotor.hit_inertia for better",
        (f"rotor.axis={axis}",),
    )


BODIES = (
    _own_inertia(stated_inertia, "definition: the design's stated inertia"),
    _own_inertia(yaw_inertia, "definition: the design's stated yaw_inertia", when=("rotor.axis=upright",)),
    _own_inertia(roll_inertia, "definition: the design's stated roll_inertia", when=("rotor.axis=along",)),
    _box("across", length, height),
    _box("along", width, height),
    _box("upright", length, width),
    Quantity(
        "rotor_inertia_share", "Rotor share of hit-plane inertia", "I/I_G", "1", "impact", "same",
        rotor_inertia / own_inertia,
        source="definition",
    ),
    Quantity(
        "opponent_inertia", "Opponent's hit-plane inertia", "I_o", "kg m^2", "impact", "same",
        stated_opponent_inertia,
        source="definition: the design's stated inertia",
    ),
    Quantity(
        "opponent_inertia", "Opponent's hit-plane inertia", "I_o", "kg m^2", "impact", "same",
        own_inertia * mass_limit / mass,
        source="definition: an opponent of the class's mass limit with the robot's own proportions",
    ),
    Quantity(
        "own_hit_mass", "Own effective mass at tip", "m_1", "kg", "impact", "higher",
        1 / ((diameter / 2) ** 2 / rotor_inertia + 1 / mass + lever**2 / (own_inertia - rotor_inertia)),
        source=f"{_ECCENTRIC}, rotor and chassis along the line of a hit, 1/m_1 = r^2/I + 1/m + d^2/(I_G - I)",
        assumes=f"rotor free on its axle, so that its own inertia does not resist the chassis' turning; {_FREE}",
        valid=(_LEVER_ROOM,),
    ),
    Quantity(
        "own_hit_mass", "Own effective mass at tip", "m_1", "kg", "impact", "higher",
        1 / ((diameter / 2) ** 2 / rotor_inertia + 1 / mass),
        source=f"{_ECCENTRIC}, rotor and chassis along the line of a hit, 1/m_1 = r^2/I + 1/m",
        assumes=f"rotor.axle_lever not stated: the axle is in line with the own centre of gravity; {_FREE}",
    ),
    Quantity(
        "opponent_hit_mass", "Opponent's effective mass", "m_2", "kg", "impact", "same",
        1 / (1 / mass_limit + offset**2 / opponent_inertia),
        source=f"{_ECCENTRIC}, one free body, 1/m_2 = 1/M + o^2/I_o",
        assumes="standing opponent of the class's mass limit, free to turn about its centre of gravity",
    ),
    Quantity(
        "opponent_hit_mass", "Opponent's effective mass", "m_2", "kg", "impact", "same", mass_limit,
        source="own-derivation: one free body hit through its centre of gravity",
        assumes="standing opponent of the class's mass limit; opponent.hit_offset not stated",
    ),
    Quantity(
        "hit_effective_mass", "Effective mass of a hit", "m_e", "kg", "impact", "higher",
        1 / (1 / own_mass + 1 / opponent_mass),
        source=f"{_GOLDSMITH}: two bodies along the line of a hit, 1/m_e = 1/m_1 + 1/m_2",
        assumes=f"standing opponent of the class's mass limit; {_FREE}",
    ),
)

AFTER = (
    Quantity(
        "throw_speed", "Throw speed", "v_o", "m/s", "impact", "higher", impulse / mass_limit,
        clock="gravity",
        source=f"{_GOLDSMITH}: impulse and momentum",
        assumes="of its centre of gravity; standing opponent of the class's mass limit hit at the tip; mean of the "
        "engagement",
    ),
    Quantity(
        "opponent_spin", "Opponent's spin after a hit", "omega_o", "rad/s", "impact", "higher",
        impulse * offset / opponent_inertia,
        clock="gravity",
        source=f"{_ECCENTRIC}, angular impulse and momentum, J o / I_o",
        assumes="as opponent_hit_mass",
    ),
    _recoil(
        "downwards, since the teeth rise: the floor is behind it, so it is the speed with which the machine meets its "
        "own tyres and the floor, and what it does then hangs on them",
        ("rotor.axis=across", "rotor.spin=up"),
    ),
    _recoil(f"of the own centre of gravity; {_FREE}", ()),
    Quantity(
        "recoil_rise", "Own rise by a hit", "h_r", "m", "impact", "lower",
        recoil_speed**2 / (2 * gravity),
        clock="gravity",
        source="own-derivation: Galileo's law of fall, v^2 = 2 g h",
        assumes="teeth that go down lift the own machine; as recoil_speed",
        when=("rotor.axis=across", "rotor.spin=down"),
    ),
    Quantity(
        "recoil_floor_force", "Floor's force on a recoiling machine", "F_r", "N", "impact", "lower",
        recoil_speed * sqrt(landing_stiffness * mass),
        clock="gravity",
        source=f"{_GOLDSMITH}: mass on a spring, F = v sqrt(k m)",
        assumes="teeth that rise throw the own machine at the floor, on landing.stiffness; as recoil_speed",
        when=("rotor.axis=across", "rotor.spin=up"),
    ),
    Quantity(
        "hit_energy_on_floor", "Hit energy with a stiff floor behind", "E_hf", "J", "impact", "higher",
        tip_speed**2 / (2 * ((diameter / 2) ** 2 / rotor_inertia + 1 / opponent_mass)),
        source=f"{_GOLDSMITH}: energy of the relative motion, an own machine that cannot give way, 1/m_1 = r^2/I",
        assumes="teeth that rise press the own machine on the floor; a stiff skid under the axle: the upper end, where "
        "hit_energy is the lower",
        when=("rotor.axis=across", "rotor.spin=up"),
    ),
    Quantity(
        "recoil_spin", "Recoil spin", "omega_r", "rad/s", "impact", "lower",
        impulse * lever / (own_inertia - rotor_inertia),
        clock="gravity",
        source=f"{_ECCENTRIC}, angular impulse and momentum, J d / (I_G - I)",
        assumes=f"chassis turning about the own centre of gravity, the rotor free on its axle; {_FREE}",
        valid=(_LEVER_ROOM,),
    ),
    Quantity(
        "rotor_speed_drop", "Rotor speed lost per hit", "Domega", "rad/s", "impact", "same",
        impulse * (diameter / 2) / rotor_inertia,
        source=f"{_ECCENTRIC}, angular impulse and momentum, J r / I",
        assumes="as hit_impulse",
    ),
    Quantity(
        "rotor_speed_drop_share", "Share of rotor speed lost per hit", "Domega/omega", "1", "impact", "same",
        speed_drop / rotor_speed,
        source="definition",
        assumes="above 1 the rotor bounces back and turns the other way",
    ),
    Quantity(
        "hit_energy", "Hit energy", "E_h", "J", "impact", "higher", effective_mass * tip_speed**2 / 2,
        role="yardstick",
        source=f"{_GOLDSMITH}: energy of the relative motion, m_e v^2 / 2, all of it in deformation at the deepest",
        assumes="standing opponent hit at the tip, whole tooth in engagement: what a hit has, not what its bite can "
        "give",
    ),
    Quantity(
        "hit_energy_given_share", "Share of rotor energy given away", "E_o/E", "1", "impact", "higher",
        energy_given / rotor_energy,
        source="definition",
    ),
)
