"""Which quantities no test module names as checked against a source outside the project.

Each module of checks lists the quantities that it checks in a tuple called CHECKS. Run it to see the
rest: python tests/unchecked.py
"""

from __future__ import annotations

import ast
from pathlib import Path

TESTS = Path(__file__).parent


def checks_of() -> dict[Path, tuple[str, ...]]:
    """The quantities that each module of checks names."""
    found: dict[Path, tuple[str, ...]] = {}
    for path in sorted(TESTS.rglob("test_*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.Assign) and any(getattr(target, "id", "") == "CHECKS" for target in node.targets):
                found[path] = tuple(ast.literal_eval(node.value))
    return found


def checked() -> set[str]:
    """Names of the checked quantities."""
    return {name for names in checks_of().values() for name in names}


def unchecked() -> list[str]:
    """Quantities of the book that no module names, with their branch."""
    from scaling.formulas import book

    names = checked()
    return [f"{entry.branch:<14}{entry.name}" for entry in book.quantities.values() if entry.name not in names]


def main() -> None:
    """Print the quantities without an outside check, by branch."""
    missing = unchecked()
    print(*missing, sep="\n")
    print(f"{len(checked())} quantities have an outside check, {len(missing)} have none")


if __name__ == "__main__":
    main()
