"""How long a whole demo study takes, beside the bare imports that such a study needs.

Run it on an idle machine: python tests/benchmark.py
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
IMPORTS = "import numpy, scipy.integrate, scipy.optimize, sympy, pandas, matplotlib.pyplot"
ROUNDS = 3


def seconds(*command: str) -> float:
    """Shortest of some runs of ``command``, in seconds."""
    best = float("inf")
    for _ in range(ROUNDS):
        start = time.perf_counter()
        subprocess.run(command, check=True, cwd=ROOT, stdout=subprocess.DEVNULL)
        best = min(best, time.perf_counter() - start)
    return best


def main() -> None:
    """Print the imports' time, each demo study's time and what it may take."""
    bare = seconds(sys.executable, "-c", IMPORTS)
    print(f"imports alone               {bare:6.2f} s")
    for brief in sorted((ROOT / "demo_designs").glob("*/brief.toml")):
        with tempfile.TemporaryDirectory() as folder:
            out = Path(folder) / "out"
            taken = seconds(sys.executable, "-m", "scaling", "study", str(brief), "-o", str(out), "--force")
            files = len([path for path in (out / "figures").iterdir() if path.suffix in (".png", ".svg")])
        allowed = 2.5 * bare + 0.12 * files
        print(f"{brief.parent.name:<20} study  {taken:6.2f} s, {files} figure files, allowed {allowed:.2f} s")


if __name__ == "__main__":
    main()
