"""Inputs that several branches share: the whole robot, surroundings and what it fights."""

from __future__ import annotations

from scaling.book.entry import Branch, Variable
from scaling.files.schema import Choice

VARIABLES = (
    Variable("mass", "m", "kg", "mass of the whole robot", 3, derived=True),
    Variable("mass_limit", "m_lim", "kg", "mass limit of the class", 3, derived=True),
    Variable("length", "L", "m", "overall length of the robot", 1),
    Variable("width", "W", "m", "overall width of the robot", 1),
    Variable("height", "H", "m", "overall height of the robot", 1),
    Variable("track", "t", "m", "distance between the wheel contacts' centres, left to right", 1),
    Variable("wheelbase", "b", "m", "distance between the front and rear contacts", 1),
    Variable("cg_height", "h", "m", "height of the centre of gravity above the floor", 1),
    Variable(
        "cg_ahead", "x_g", "m", "centre of gravity ahead of the rear contact", 1, optional=True
    ),  # half the wheelbase when not stated
    Variable("gravity", "g", "m/s^2", "acceleration of free fall", default=9.80665),
    Variable("air.density", "rho_a", "kg/m^3", "density of the air", default=1.2),
    Variable("air.viscosity", "nu_a", "m^2/s", "kinematic viscosity of the air", default=1.5e-5),
    Variable("arena.length", "L_a", "m", "length of the arena"),
    Variable("arena.width", "W_a", "m", "width of the arena", optional=True),
    Variable("arena.ceiling", "H_a", "m", "height of the arena's ceiling", optional=True),
    Variable("match.time", "t_m", "s", "length of a match"),
    Variable("match.rotor_duty", "d_r", "1", "share of the match in which the rotor is at full speed", 0,
             allowed="fraction", default=0.9),
    Variable("match.drive_duty", "d_d", "1", "share of the match in which the drive pushes at the traction limit", 0,
             allowed="fraction", default=0.3),
    Variable("match.spin_ups", "n_s", "1", "spin-ups from rest in a match of the stated time", allowed="not negative",
             optional=True),
    Variable("match.spin_up_rate", "f_s", "s^-1", "spin-ups from rest over the time of a match: ten in three minutes",
             allowed="not negative", derived=True),
    Variable("history.matches", "N", "1", "matches that the robot came through in this shape, nothing broken",
             allowed="not negative", optional=True),
    Variable("driver.reaction_time", "t_h", "s", "time that the driver needs to react", default=0.25),
)

SHELVES = ("bolts", "bolt_classes", "bearings", "cells")
"""Shelves that a design's own words look up; a builder's CSV file extends or replaces each."""

CHOICES = {
    "name": Choice(None, "name of the robot"),
    "date": Choice(None, "day of this version of the robot", optional=True, day=True),
    **{f"stock_files.{shelf}": Choice(None, f"CSV file of your own {shelf}", optional=True) for shelf in SHELVES},
}

COMMON = Branch("common", "Shared inputs", VARIABLES, (), CHOICES)
