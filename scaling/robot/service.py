"""What stands in the way of a part that must be swapped, and what it takes to get it out and in again.

What must come off before something is an order of precedence: all of it, and all that is before that.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any

from scaling.files.errors import InputError, Mistakes, nearest
from scaling.files.reading import Row, rows_of
from scaling.files.sentence import listed
from scaling.robot.schema import REMOVALS

TARGET = "service.target"


@dataclass(frozen=True)
class Removal:
    """Something that comes off: its screws, the tool for them, and what must come off ``behind`` which it lies."""

    name: str
    screws: int = 0
    tool: str | None = None
    behind: tuple[str, ...] = ()


def read_removals(tables: Mapping[str, Any], file: Path, mistakes: Mistakes) -> tuple[Removal, ...]:
    """Return a design's ``[[removals]]``; the mistakes of each row are kept."""
    return rows_of(REMOVALS, tables, file, mistakes, _removal)


def _removal(row: Row) -> Removal:
    return Removal(**row.values)


def way_to(target: str, removals: Sequence[Removal]) -> list[Removal]:
    """Return what comes off until the ``target`` is out, itself the last.

    Of what may come next it is what needs the tool in hand, and else what stands first in the file. Raises InputError
    for a name that is not there, and for things that lie behind each other.
    """
    by_name = {each.name: each for each in removals}
    for each in removals:
        for name in each.behind:
            if name not in by_name:
                raise _unknown(name, f'removals."{each.name}".behind', by_name)
    if target not in by_name:
        raise _unknown(target, TARGET, by_name)
    needed: dict[str, tuple[str, ...]] = {}
    waiting = [target]
    while waiting:
        name = waiting.pop()
        if name not in needed:
            needed[name] = by_name[name].behind
            waiting += needed[name]
    sorter = TopologicalSorter(needed)
    try:
        sorter.prepare()
    except CycleError as error:
        ring = " behind ".join(error.args[1][::-1])
        raise InputError("these lie behind each other, so that none comes off", None, f'removals."{error.args[1][0]}"',
                         ring, hint="take one of them out of behind") from None  # fmt: skip
    return _in_turn(sorter, by_name)


def _in_turn(sorter: TopologicalSorter[str], by_name: Mapping[str, Removal]) -> list[Removal]:
    place = {name: number for number, name in enumerate(by_name)}
    way: list[Removal] = []
    ready: list[str] = []
    while sorter.is_active():
        ready += sorter.get_ready()
        hand = next((each.tool for each in reversed(way) if each.tool is not None), None)
        free = [name for name in ready if by_name[name].tool in (None, hand)]
        name = min(free or ready, key=place.__getitem__)
        ready.remove(name)
        way.append(by_name[name])
        sorter.done(name)
    return way


def tool_changes(way: Sequence[Removal]) -> int:
    """Return how often another tool is taken up on a way in and out again; out it goes the other way round."""
    tools = [each.tool for each in way if each.tool is not None]
    both = [*tools, *reversed(tools)]
    return sum(tool != before for tool, before in zip(both, [None, *both], strict=False))


def _unknown(name: str, key: str, known: Mapping[str, Removal]) -> InputError:
    return InputError("nothing of this name comes off", None, key, name, f"one of {listed(known)}",
                      nearest(name, known))  # fmt: skip


def set_service(removals: Sequence[Removal], numbers: dict[str, float], words: Mapping[str, str]) -> None:
    """Count screws and changes of tool to the target, where the file lists what comes off and does not state them."""
    if not removals:
        return
    target = words.get(TARGET)
    if target is None:
        raise InputError("what is to be swapped is not said", None, TARGET,
                         allowed=f"one of {listed(each.name for each in removals)}",
                         hint='add [service] with target = "..."')  # fmt: skip
    way = way_to(target, removals)
    numbers.setdefault("service.screws", float(sum(each.screws for each in way)))
    numbers.setdefault("service.tool_changes", float(tool_changes(way)))
