"""Units as workshops, shops' pages and labels write them: those that are understood, and what others are taken for."""

from __future__ import annotations

from math import pi

_INCH, _POUND = 0.0254, 0.45359237
_POUND_FORCE = _POUND * 9.80665
_SPELLED = {"mm.": 1e-3, "MM": 1e-3, "cm.": 1e-2, '"': _INCH, "''": _INCH, "”": _INCH, "″": _INCH, "in.": _INCH,
            "In": _INCH, "IN": _INCH, "inches": _INCH, "Inches": _INCH, "feet": 12 * _INCH, "ft.": 12 * _INCH,
            "thou": _INCH / 1000, "mil": _INCH / 1000, "mils": _INCH / 1000}  # fmt: skip
_TORQUE = {
    "N m": (1.0, ("Nm", "N-m", "N·m", "newton metre")), "N cm": (1e-2, ("Ncm", "N-cm", "N·cm")),
    "N mm": (1e-3, ("Nmm", "N-mm", "N·mm")), "mN m": (1e-3, ("mNm", "mN-m", "mN·m")),
    "kgf cm": (9.80665e-2, ("kg-cm", "kg cm", "kgf-cm", "kg·cm", "kgcm")),
    "ozf in": (_POUND_FORCE / 16 * _INCH, ("oz-in", "oz in", "in-oz", "ozf-in", "oz·in", "oz*in")),
    "lbf in": (_POUND_FORCE * _INCH, ("lb-in", "in-lb", "in-lbs", "lb in", "lbf-in", "in-lbf")),
    "lbf ft": (_POUND_FORCE * 12 * _INCH, ("lb-ft", "ft-lb", "ft-lbs", "lb ft", "lbf-ft", "ft-lbf")),
}  # fmt: skip

UNDERSTOOD: dict[str, dict[str, float]] = {
    "m": _SPELLED,
    "kg": {"lbs": _POUND, "lb.": _POUND, "lbs.": _POUND, "oz.": _POUND / 16, "ounces": _POUND / 16, "grams": 1e-3,
           "gm": 1e-3, "g.": 1e-3, "G": 1e-3, "KG": 1.0, "Kg": 1.0, "kgs": 1.0},
    "s": {"sec": 1.0, "sec.": 1.0, "secs": 1.0, "mins": 60.0, "min.": 60.0, "seconds": 1.0, "minutes": 60.0},
    "A": {"amps": 1.0, "Amp": 1.0, "Amps": 1.0, "a": 1.0},
    "V": {"volts": 1.0, "Volt": 1.0, "Volts": 1.0, "v": 1.0, "VDC": 1.0},
    "ohm": {"mOhm": 1e-3, "mOhms": 1e-3, "mohms": 1e-3, "milliohms": 1e-3, "Ohm": 1.0, "Ohms": 1.0, "ohms": 1.0},
    "A s": {"mah": 3.6, "MAH": 3.6, "mAH": 3.6, "maH": 3.6, "ah": 3600.0, "AH": 3600.0},
    "N m": {text: size for size, texts in _TORQUE.values() for text in texts},
    "rad": {"deg.": pi / 180, "Deg": pi / 180, "degs": pi / 180, "Degrees": pi / 180},
    "rad/s": dict.fromkeys(("RPM", "Rpm", "r/min", "rev/min", "1/min"), pi / 30),
    "rad/s/V": dict.fromkeys(("KV", "Kv", "kv", "kV", "RPM/V", "rpm/v", "Rpm/V", "rpm/volt", "rev/min/V"), pi / 30),
    "Pa": {"Mpa": 1e6, "mpa": 1e6, "MPA": 1e6, "Gpa": 1e9, "GPA": 1e9},
}  # fmt: skip
"""SI value of one of each such unit by its text, by the SI unit that it is a size of."""

MEANT: dict[str, dict[str, str]] = {
    "kg": {"lbf": "lb", "kgf": "kg", "N": "kg"},
    "N": {"kg": "kgf", "lb": "lbf", "lbs": "lbf", "g": "kgf", "oz": "lbf"},
    "A s": {"mA": "mAh", "A": "Ah", "Wh": "mAh"},
    "A": {"mAh": "A", "C": "A"},
    "rad/s/V": {"rpm": "rpm/V", "V": "rpm/V"},
    "rad/s": {"Hz": "rpm", "1/s": "rpm", "rpm/V": "rpm"},
}
"""What is likely meant by a unit of another dimension."""

TRAPS: dict[str, dict[str, tuple[str, str]]] = {
    "kg": {"gr": ("gr is the grain of 65 mg", 'write "g", or "grain" if that is meant')},
}
"""Units that mean something else than who writes them is likely to think, and the mend."""
