"""The feasible windows as the plain data of ``scaling window --json``."""

from __future__ import annotations

from typing import Any

from scaling.decide.window import Window


def as_json(found: list[Window]) -> list[dict[str, Any]]:
    """Return the windows as plain data for ``--json``."""
    return [
        {
            "speed_rule": window.speed_rule,
            "drive_rule": window.drive_rule,
            "axis": list(window.axis),
            "bands": [
                {"limit": band.name, "label": band.label, "intervals": [list(pair) for pair in band.intervals]}
                for band in window.bands
            ],
            "window": [list(pair) for pair in window.intervals],
            "binding": [list(pair) for pair in window.binding],
            "not_held": list(window.broken),
            "laws": dict(window.laws),
            "inside": dict(window.inside),
            "colliding": list(window.colliding),
            "openings": [
                {"lever": each.name, "change": each.change, "text": each.text, "factor": each.factor}
                for each in window.openings
            ],
        }
        for window in found
    ]
