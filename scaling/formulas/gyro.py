"""The rotor as a gyroscope: the torque in a turn and the turn rate at which one side lifts."""

from __future__ import annotations

from scaling.formulas.book import Quantity, symbols

mass, gravity, track, load_share = symbols("mass gravity track wheel.load_share")
angular_momentum, top_yaw_rate, lift_yaw_rate = symbols("angular_momentum top_yaw_rate gyro_lift_yaw_rate")

VARIABLES = ()

_COUPLE = "R. S. Khurmi & J. K. Gupta, Theory of Machines, ch. 14: C = I omega omega_p"

QUANTITIES = (
    Quantity(
        "gyro_torque", "Gyroscopic torque in the quickest turn", "C", "N m", "gyro", "lower",
        angular_momentum * top_yaw_rate,
        source=_COUPLE,
        assumes="mean over a turn of the rotor, at top yaw rate and full rotor speed; spin axis level",
        when=("rotor.axis=level",),
    ),
    Quantity(
        "gyro_lift_yaw_rate", "Turn rate at which one side lifts", "Omega_l", "rad/s", "gyro", "higher",
        mass * gravity * load_share * track / 2 / angular_momentum,
        source=f"{_COUPLE}, set equal to the moment m g t / 2 that takes one side's load to zero",
        assumes="threshold of one side's load, not a rollover; turn about the robot's own centre on a level floor; "
        "mean torque; only the wheels' share of the weight holds the machine down",
        when=("rotor.axis=across",),
    ),
    Quantity(
        "gyro_margin", "Lift turn rate over top turn rate", "Omega_l/Omega", "1", "gyro", "higher",
        lift_yaw_rate / top_yaw_rate,
        source="definition",
        assumes="below 1 the drive can turn fast enough to lift a side",
        when=("rotor.axis=across",),
    ),
)
