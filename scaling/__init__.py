"""Scaling studies for small fighting robots: which factor, by which law, and what drifts.

>>> import scaling as sc
>>> robot = sc.Design.load("design.toml")
>>> study = sc.study(robot, "brief.toml")
>>> study["A"]["rotor_energy"].value > study.reference["rotor_energy"]
True

What stands here is handed out when it is first asked for, so that importing the package loads no numerical library.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from scaling.files.version import VERSION

if TYPE_CHECKING:
    from scaling.face import ByClock as ByClock
    from scaling.face import Port as Port
    from scaling.face import Quantity as Quantity
    from scaling.face import Study as Study
    from scaling.face import compare as compare
    from scaling.face import evaluate_chunks as evaluate_chunks
    from scaling.face import evaluate_many as evaluate_many
    from scaling.face import explain as explain
    from scaling.face import options as options
    from scaling.face import side_by_side as side_by_side
    from scaling.face import study as study
    from scaling.face import window as window
    from scaling.files.errors import InputError as InputError
    from scaling.files.errors import UnknownNameError as UnknownNameError
    from scaling.files.number import Number as Number
    from scaling.loaded import Brief as Brief
    from scaling.loaded import Design as Design
    from scaling.loaded import Reference as Reference
    from scaling.port.explain import Explanation as Explanation

__version__ = VERSION

__all__ = [
    "Brief",
    "ByClock",
    "Design",
    "Explanation",
    "InputError",
    "Number",
    "Port",
    "Quantity",
    "Reference",
    "Study",
    "UnknownNameError",
    "__version__",
    "compare",
    "evaluate_chunks",
    "evaluate_many",
    "explain",
    "options",
    "side_by_side",
    "study",
    "window",
]

# The function that users call has the name of a package of ours. A package becomes an attribute of its parent when it
# is first imported, and only then: it is now, while it is empty, so that the attribute can be the function for good.
import_module(f"{__name__}.study")
globals().pop("study", None)


def __getattr__(name: str) -> Any:
    """Hand out a public name from the face."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return globals().setdefault(name, getattr(import_module("scaling.face"), name))


def __dir__() -> list[str]:
    """List the public names and what a module has anyway."""
    return sorted({*globals(), *__all__})
