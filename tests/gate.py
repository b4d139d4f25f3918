"""Everything that must hold: lint, types, tests. Stops at the first that does not.

One test compares the shelf of bolts and bearings with the tables of a CAD parts package. Its tables
are wanted, not the CAD kernel that it depends on, so it is installed here without its dependencies.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
STEPS = (
    ("pip", "install", "--quiet", "--no-deps", "bd_warehouse==0.4.0"),
    ("ruff", "check", "."),
    ("mypy",),
    ("pytest", "-n", "2", *sys.argv[1:]),
)


def main() -> int:
    """Run every step with this interpreter's own packages."""
    for step in STEPS:
        print("+", *step, flush=True)
        status = subprocess.run([sys.executable, "-m", *step], cwd=ROOT, check=False).returncode
        if status:
            return status
    return 0


if __name__ == "__main__":
    sys.exit(main())
