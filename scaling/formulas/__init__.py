"""The physics, a package a branch, and the book that they make together. Formulas stand here and nowhere else."""

from __future__ import annotations

from scaling.book.book import Book
from scaling.formulas import (
    common,
    drive,
    electrical,
    gyro,
    impact,
    joints,
    mass,
    righting,
    rotor,
    service,
    structure,
    thermal,
    transmission,
)

BRANCHES = (mass, rotor, gyro, impact, structure, joints, transmission, drive, electrical, thermal, righting, service)
"""The branches in the order in which people meet them."""

book = Book(common.COMMON, tuple(branch.BRANCH for branch in BRANCHES))
"""The formula book."""
