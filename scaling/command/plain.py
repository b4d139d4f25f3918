"""A verb's words and paths taken as they are typed.

Typer sends every argument, said or not, through a library of validation that takes about as long to load as numpy, to
make a text of a text. Here a text stays one and a path becomes one; a number with its bounds, and what is missing, is
left to typer.
"""

from __future__ import annotations

import inspect
from functools import partial
from pathlib import Path
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, get_args, get_origin, get_type_hints

from typer.core import TyperGroup

if TYPE_CHECKING:
    from typer.core import TyperCommand as Base
else:
    Base = object

TEXTS = (str, Path)
"""What a text on the command line can be made into without being looked at."""


class Plainly(Base):
    """A command whose parameters that are texts or paths are read without loading what validates."""

    def get_params(self, ctx: Any) -> Any:
        """Return the parameters, that of help too."""
        found = super().get_params(ctx)
        kinds = get_type_hints(inspect.unwrap(self.callback)) if self.callback else {}
        for each in found:
            if "process_value" not in vars(each):
                kind, many = _kind(kinds.get(each.name or ""))
                vars(each)["process_value"] = partial(_value, each, each.process_value, kind, many)
        return found


class Verbs(Plainly, TyperGroup):
    """All the verbs, and what may be said before one."""


def _kind(hint: Any) -> tuple[Any, bool]:
    """The type of a parameter without its None, or of the members of its list, and whether it is a list."""
    if get_origin(hint) is UnionType:
        hint = next(part for part in get_args(hint) if part is not NoneType)
    return (get_args(hint)[0], True) if get_origin(hint) is list else (hint, False)


def _value(parameter: Any, usual: Any, kind: Any, many: bool, context: Any, value: Any) -> Any:
    """What ``usual`` makes of a value: the type that the verb asks for, and what a parameter does of itself."""
    nothing = value is None or (many and not value)
    if nothing and not parameter.required:
        made: Any = () if many else None
    elif kind in TEXTS and not nothing:
        made = tuple(map(kind, value)) if many else kind(value)
    elif kind is int and isinstance(value, int):
        made = value
    else:
        return usual(context, value)
    return made if parameter.callback is None else parameter.callback(context, parameter, made)
