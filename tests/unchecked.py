"""Which quantities no test module names as checked against a source outside the project.

Each module of checks lists the quantities that it checks in a tuple called CHECKS. Run it to see the
rest: python tests/unchecked.py
"""

from __future__ import annotations

import ast
from pathlib import Path

TESTS = Path(__file__).parent


def checked() -> dict[str, list[str]]:
    """Names of the checked quantities, each with the modules that check it."""
    found: dict[str, list[str]] = {}
    for path in sorted(TESTS.rglob("test_*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.Assign) and any(getattr(target, "id", "") == "CHECKS" for target in node.targets):
                for name in ast.literal_eval(node.value):
                    found.setdefault(name, []).append(path.name)
    return found


def main() -> None:
    """Print the quantities without an outside check, by branch."""
    from scaling.formulas import book

    names = checked()
    missing = [entry for entry in book.quantities.values() if entry.name not in names]
    for entry in missing:
        print(f"{entry.branch:<14}{entry.name}")
    print(f"{len(names)} of {len(book.quantities)} quantities have an outside check, {len(missing)} have none")


if __name__ == "__main__":
    main()
