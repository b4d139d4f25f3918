"""Work in a second process where the system has a core to spare and can, else where it was asked for; same result."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
import traceback
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

Found = TypeVar("Found")
Tell = Callable[[str], None]
"""What is called with a few words on what is being done."""

Work = Callable[[Tell | None], Found]


def can() -> bool:
    """Whether a second process makes sense: there is a core for it, and a copy of this one is safe.

    A copy has this thread alone, and what another was about to write stays half done in it. Only Linux is known to
    copy a process without harm to its libraries.
    """
    if sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2 or threading.active_count() > 1:
        return False
    from multiprocessing import current_process

    return not current_process().daemon  # one of a pool's may have no process of its own


@contextmanager
def begun(work: Work[Found], tell: Tell | None = None) -> Iterator[Callable[[], Found]]:
    """Begin ``work``, and hand out what waits for it: it returns what the work returns, or raises what that raises.

    The work is called with ``tell``, or in a process of its own with what hands its words on to that while it is waited
    for. What it returns is pickled then. Leaving the block ends a work that nobody waited for.

    >>> with begun(lambda tell: 6 * 7) as answer:
    ...     answer()
    42
    """
    if not can():
        yield partial(work, tell)
        return
    from multiprocessing import get_context

    fork = get_context("fork")
    ours, theirs = fork.Pipe(duplex=False)
    process = fork.Process(target=_at_work, args=(work, theirs, ours), daemon=True)
    with warnings.catch_warnings():  # of threads that a library for numbers keeps, which waits and copies itself well
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    theirs.close()
    try:
        yield partial(_waited_for, process, ours, tell)
    finally:
        ours.close()
        process.terminate()
        process.join()


def _waited_for(process: BaseProcess, ours: Connection, tell: Tell | None) -> Any:
    while True:
        try:
            what, content = ours.recv()
        except EOFError:
            process.join()
            if process.exitcode == -signal.SIGINT:
                raise KeyboardInterrupt from None
            raise RuntimeError(f"the second process ended with {process.exitcode} and said nothing") from None
        if what == "raised":
            raise content
        if what == "found":
            return content
        if tell is not None:
            tell(content)


def _at_work(work: Work[Any], theirs: Connection, ours: Connection) -> None:
    """What the second process does; whoever ends it ends it at once, without a word."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    ours.close()  # so that it is told when the first process is gone
    try:
        theirs.send(("found", work(lambda words: theirs.send(("told", words)))))
    except BrokenPipeError:
        return
    except Exception as error:
        theirs.send(("raised", _carried(error)))


def _carried(error: Exception) -> Exception:
    """An error with where it was raised; one that cannot be handed on becomes another that says the same."""
    where = "".join(traceback.format_exception(error))
    try:
        carried: Exception = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own
    except Exception:
        carried = RuntimeError(f"{type(error).__name__}: {error}")
    carried.add_note(f"In the second process:\n{where}")
    return carried
