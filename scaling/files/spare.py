"""Jobs that a second process begins where the system has a core to spare and can, and that this one helps to end."""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
import traceback
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from scaling.files.stopping import ENDING

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

Found = TypeVar("Found")
Tell = Callable[[str], None]
"""What is called with a few words on what is being done."""

Job = Callable[[Tell | None], Found]


def can() -> bool:
    """Whether a second process makes sense: there is a core for it, and a copy of this one does no harm.

    A copy has this thread alone, and what another was about to write stays half done in it. Only Linux is known to
    copy a process without harm to its libraries.
    """
    if sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2 or threading.active_count() > 1:
        return False
    from multiprocessing import current_process

    return not current_process().daemon  # one of a pool's may have no process of its own


@contextmanager
def begun(jobs: Sequence[Job[Found]], tell: Tell | None = None, worth: int = 1) -> Iterator[Callable[[], list[Found]]]:
    """Begin ``jobs``, and hand out what ends them: it returns what each returns, or raises what one raises.

    A second process takes one after the other. Who asks for the end takes some as well, where ``worth`` of them are
    left, and waits for the rest. Each job is called with ``tell``, or in the second process with what hands its
    words on while it is waited for; what it returns is pickled there. Leaving the block ends what nobody asked for.

    >>> with begun([lambda tell: 6 * 7, lambda tell: "done"]) as ended:
    ...     ended()
    [42, 'done']
    """
    if not can():
        yield lambda: [job(tell) for job in jobs]
        return
    from multiprocessing import get_context

    fork, left = get_context("fork"), _Left(len(jobs))
    ours, theirs = fork.Pipe(duplex=False)
    process = fork.Process(target=_at_work, args=(jobs, left, theirs, ours), daemon=True)
    with warnings.catch_warnings():  # of threads that a library for numbers keeps, which waits and copies itself well
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    theirs.close()
    try:
        yield partial(_ended, jobs, left, process, ours, tell, worth)
    finally:
        ours.close()
        process.terminate()
        process.join()
        left.close()


class _Left:
    """The places of jobs that nobody took yet, a byte each in a pipe, from which each is read once by one process."""

    def __init__(self, count: int) -> None:
        self.out, into = os.pipe()
        os.write(into, bytes(range(count)))
        os.close(into)

    def taken(self, worth: int = 1) -> Iterator[int]:
        """Take one after the other, where so many are left for the first."""
        while self._count() >= worth and (place := os.read(self.out, 1)):
            yield place[0]
            worth = 1

    def _count(self) -> int:
        from fcntl import ioctl
        from termios import FIONREAD

        return int.from_bytes(ioctl(self.out, FIONREAD, bytes(4)), sys.byteorder)

    def close(self) -> None:
        os.close(self.out)


def _ended(
    jobs: Sequence[Job[Any]], left: _Left, process: BaseProcess, ours: Connection, tell: Tell | None, worth: int
) -> list[Any]:
    found = {place: jobs[place](tell) for place in left.taken(worth)}
    found |= _waited_for(process, ours, tell)
    return [found[place] for place in range(len(jobs))]


def _waited_for(process: BaseProcess, ours: Connection, tell: Tell | None) -> dict[int, Any]:
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
            found: dict[int, Any] = content
            return found
        if tell is not None:
            tell(content)


def _at_work(jobs: Sequence[Job[Any]], left: _Left, theirs: Connection, ours: Connection) -> None:
    """What the second process does; whoever ends it ends it at once, without a word."""
    for each in ENDING:
        signal.signal(each, signal.SIG_DFL)
    ours.close()  # so that it is told when the first process is gone

    def told(words: str) -> None:
        theirs.send(("told", words))

    try:  # what is found waits for the end: a pipe holds little, and nobody may be reading yet
        theirs.send(("found", {place: jobs[place](told) for place in left.taken()}))
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
