"""What a port may be scored by: each preset's weights on the quantities whose drift counts."""

from __future__ import annotations

from dataclasses import dataclass

from scaling.formulas import book

BALANCED = (
    "energy_lift_lengths",
    "bite_ratio",
    "throw_height",
    "gyro_margin",
    "half_turn_time",
    "top_yaw_rate",
    "spin_up_time",
    "rush_margin",
    "froude_speed",
    "arena_crossing_time",
    "traction_acceleration",
    "righting_ratio",
    "match_energy_margin",
)
"""What the usual preset weighs, each by 1."""

BESIDE = 0.25
"""What the other presets weigh of the usual one's quantities beside their own, so that none is free to drift."""

ENDS_A_MATCH = (
    "belt_slip_margin",
    "rotor_steady_current_margin",
    "pack_current_margin",
    "brown_out_margin",
    "match_energy_margin",
    "motor_temperature_margin",
    "drive_motor_temperature_margin",
    "righting_ratio",
)
"""What ends a match though nothing breaks."""


@dataclass(frozen=True)
class Preset:
    """A set of weights by a quantity's name, and what it is for in a few words.

    ``rise_step`` is how finely ports are told apart by the rise of their chance of failing before their score counts.
    """

    meaning: str
    weights: dict[str, float]
    rise_step: float = 0.1


def _beside(own: dict[str, float]) -> dict[str, float]:
    return own | {name: BESIDE for name in BALANCED if name not in own}


PRESETS = {
    "balanced": Preset("hits, handling, righting and pack alike", dict.fromkeys(BALANCED, 1.0)),
    "drive-feel": Preset(
        "turns, speed and acceleration first",
        _beside({
            "half_turn_time": 3.0,
            "top_yaw_rate": 3.0,
            "gyro_margin": 3.0,
            "froude_speed": 3.0,
            "traction_acceleration": 3.0,
            "arena_crossing_time": 3.0,
            "stopping_distance": 1.0,
            "drive_push_margin": 1.0,
            "rush_margin": 1.0,
        }),
    ),
    "hit": Preset(
        "throw, energy and bite first",
        _beside({
            "throw_height": 3.0,
            "throw_slide": 3.0,
            "energy_lift_lengths": 3.0,
            "bite_ratio": 3.0,
            "spin_up_time": 1.0,
            "rush_margin": 1.0,
            "recoil_speed": 1.0,
        }),
    ),
    "survive": Preset(
        "every survival margin, and what ends a match, first",
        _beside(dict.fromkeys([*book.of_role("survival"), *ENDS_A_MATCH], 1.0)),
        rise_step=0.01,
    ),
}  # fmt: skip
"""Every preset by its word. The weights are choices of this project, no source; a robot is scored by those of the
quantities that it has."""

USUAL_PRESET = "balanced"
