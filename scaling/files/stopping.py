"""Signals that end a run, put off while something on disk is between two states."""

from __future__ import annotations

import _thread
import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

ENDING = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


AGAIN = 0.25
"""Seconds after which a run is told again: a library that tries which others are there, as that of meshes does, drops
whatever is raised meanwhile."""


class Stopped(BaseException):
    """A signal has asked the run to end; no Exception, so that nothing that mends an error takes it for one."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number

    def __str__(self) -> str:
        """Say which signal, by its name."""
        return signal.Signals(self.number).name


class Watch:
    """What stands in for the handlers of those signals: it remembers one that came, and ends the run where it may.

    A copy of the process has nothing to clear up, and ends at once.
    """

    def __init__(self, held: bool) -> None:
        self.held, self.process = held, os.getpid()
        self.came: int | None = None
        self.over = threading.Event()
        self.reminder: threading.Thread | None = None

    def __call__(self, number: int, frame: FrameType | None) -> None:
        """Take a signal."""
        if os.getpid() != self.process:
            signal.signal(number, signal.SIG_DFL)
            signal.raise_signal(number)
        self.came = number
        self.heed()

    def heed(self) -> None:
        """Raise Stopped where a signal came and nothing holds it."""
        if self.came is not None and not self.held:
            if self.reminder is None:
                self.reminder = threading.Thread(target=self._remind, args=(signal.Signals(self.came),), daemon=True)
                self.reminder.start()
            raise Stopped(self.came)

    def _remind(self, number: signal.Signals) -> None:
        while not self.over.wait(AGAIN):
            _thread.interrupt_main(number)

    def end(self) -> None:
        """Remind of nothing any more."""
        self.over.set()
        if self.reminder is not None:
            self.reminder.join()

    @contextmanager
    def heeded(self) -> Iterator[None]:
        """Let a signal end the block at once, also one that came before."""
        self.held = False
        try:
            self.heed()
            yield
            self.heed()  # one whose exception came where Python drops them
        finally:
            self.held = True


@contextmanager
def watched(held: bool) -> Iterator[Watch]:
    """Take the signals that end a run; where the block is done, one that was ``held`` goes to those who had them.

    Signals that are ignored stay so. They come to a process's main thread alone: in another one nothing changes.
    """
    watch = Watch(held)
    before = {}
    try:
        if threading.current_thread() is threading.main_thread():
            for each in ENDING:
                if signal.getsignal(each) not in (signal.SIG_IGN, None):
                    before[each] = signal.signal(each, watch)
        yield watch
    finally:
        watch.end()
        for each, handler in before.items():
            signal.signal(each, handler)
        if held and watch.came is not None:
            signal.raise_signal(watch.came)
