"""A whole study: every port that a brief asks for, those that are found by solving among them."""

from __future__ import annotations

from collections.abc import Callable

from scaling.decide.least_drift import least_drift
from scaling.port.asked import Brief
from scaling.robot.design import Design
from scaling.study.results import Study
from scaling.study.run import run_study


def whole_study(design: Design, brief: Brief, progress: Callable[[str], None] | None = None) -> Study:
    """Compute every port of ``brief``, as ``run_study`` does; raises InputError as that does."""
    return run_study(design, brief, progress, least_drift)
