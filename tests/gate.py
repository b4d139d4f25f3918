"""Everything that must hold, in order; stops at the first that does not: python tests/gate.py

What is given after it goes to pytest: --cov measures branch coverage, half as long again. One test compares the shelf
of bolts and bearings with the tables of a CAD parts package. Its tables are wanted, not the CAD kernel that it depends
on, so it is installed here without its dependencies.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
STEPS = {
    "tables of the CAD parts package": ("-m", "pip", "install", "--quiet", "--no-deps", "bd_warehouse==0.4.0"),
    "lint": ("-m", "ruff", "check", "."),
    "types": ("-m", "mypy"),
    "contract": ("-m", "pytest", "tests/test_layers.py"),
    "site": ("-m", "pytest", "tests/test_site.py"),
    "tests": ("-m", "pytest", "-n", "2", "--ignore", "tests/test_site.py", *sys.argv[1:]),
    "spoilt quantities": ("tests/mutate.py", "--sample", "100"),
    "wheel": ("tests/installed.py", "wheel"),
    "oldest dependencies": ("tests/installed.py", "oldest"),
}

ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""With what is compiled kept: the tests start the command some hundreds of times."""


def get_browser() -> None:
    """Install Chromium where there is none and Debian's packages can be had."""
    if shutil.which("chromium") or not shutil.which("apt-get"):
        return
    print("+ browser: apt-get install chromium", flush=True)
    for command in (("update",), ("install", "-y", "--no-install-recommends", "chromium")):
        subprocess.run(["apt-get", "-qq", *command], stdout=subprocess.DEVNULL, check=False)


def main() -> int:
    """Run every step with this interpreter's own packages, and say how long each took."""
    get_browser()
    taken: dict[str, float] = {}
    for name, step in STEPS.items():
        print(f"+ {name}: python", *step, flush=True)
        start = time.perf_counter()
        status = subprocess.run([sys.executable, *step], cwd=ROOT, env=ENVIRONMENT, check=False).returncode
        taken[name] = time.perf_counter() - start
        if status:
            print(f"failed: {name}")
            return status
    print(*(f"{seconds:6.0f} s {name}" for name, seconds in taken.items()), sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
