"""Write the span of each number over the demo machines, brought to one size: python tests/make_spans.py."""

from __future__ import annotations

from pathlib import Path

from scaling.formulas import book
from scaling.robot.design import load_design
from scaling.robot.doubts import similar_size
from scaling.robot.spans import TABLE

DEMOS = sorted(Path(__file__).parent.parent.glob("demo_designs/*/design.toml"))


def text() -> str:
    """Return the table as the text of its file."""
    designs = [load_design(path) for path in DEMOS]
    lines = [
        "# Least and largest value of each key over the demo machines, as a similar machine of 1 kg with a pack of 1 V",
        "# has it, SI units. Written by tests/make_spans.py.",
        "",
        "[spans]",
    ]
    for key, variable in book.variables.items():
        values = [
            design.variables[key] / similar_size(design.variables, key)
            for design in designs
            if key in design.stated and design.variables[key] > 0 and variable.default is None
        ]
        if values and variable.unit != "1" and key not in ("mass", "mass_limit"):
            lines.append(f'"{key}" = [{min(values):.4g}, {max(values):.4g}]')
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    TABLE.write_text(text(), encoding="utf-8")
