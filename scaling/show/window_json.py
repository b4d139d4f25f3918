"""The feasible windows as the plain data of ``scaling window --json``."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from scaling.decide.window import Window


def as_json(found: list[Window], only: Collection[str] = ()) -> list[dict[str, Any]]:
    """Return the windows as plain data for ``--json``, with the bands of ``only`` some limits where any are named."""
    return [
        {
            "speed_rule": window.speed_rule,
            "drive_rule": window.drive_rule,
            "axis": list(window.axis),
            "bands": [
                {"limit": band.name, "label": band.label, "intervals": [list(pair) for pair in band.intervals]}
                for band in window.bands
                if not only or band.name in only
            ],
            "window": [list(pair) for pair in window.intervals],
            "binding": [list(pair) for pair in window.binding],
            "not_held": list(window.broken),
            "laws": dict(window.laws),
            "inside": dict(window.inside),
            "breaks": {law: list(names) for law, names in window.breaks.items()},
            "colliding": list(window.colliding),
            "nearest": None
            if window.nearest is None
            else {
                "factor": window.nearest.factor,
                "limits": [{"limit": name, "share": share} for name, _, share in window.nearest.limits],
            },
            "openings": [
                {"text": each.text, "changes": dict(each.changes), "factor": each.factor, "mass": each.mass}
                for each in window.openings
            ],
        }
        for window in found
    ]
