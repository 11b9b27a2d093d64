"""More hands: work done by another process while this one goes on.

The other is a copy of this one (a fork), so it has all that is loaded and known here, and only its
result is sent. Where none can be had, or it comes to grief, the work is done here when its result
is due: nothing depends on it.
"""

import gc
import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from tracer.errors import TracerError

ALONE = "TRACER_ALONE"
"""Variable of the environment: where it is set, no other process is started."""

_THREADS = "OPENBLAS_NUM_THREADS", "OPENCV_FOR_THREADS_NUM"
"""Variables of the environment that tell numpy and OpenCV, before they load, in how many threads to work."""

T = TypeVar("T")


def keep_to_one_thread() -> None:
    """Have numpy and OpenCV, loaded later, work in one thread, as hands need it."""
    for name in _THREADS:
        os.environ.setdefault(name, "1")


@contextmanager
def meanwhile(work: Callable[[], T]) -> Iterator[Callable[[], T]]:
    """Have some work done for a time; give what waits for its result.

    The other process ends with the block, whatever it is doing.
    """
    hand = _hired(work)

    @cache
    def result() -> T:
        with suppress(EOFError, pickle.UnpicklingError):
            if hand is not None:
                found: T | TracerError = hand.answer()
                if isinstance(found, TracerError):
                    raise found
                return found
        return work()

    try:
        yield result
    finally:
        if hand is not None:
            hand.dismiss()


def _hired(work: Callable[[], Any]) -> "_Hand | None":
    """Return a hand that has begun some work, None where none can be had."""
    with suppress(OSError):
        return _Hand(work) if _can_fork() else None
    return None


def _can_fork() -> bool:
    """Say whether a copy of this process works and helps: Linux, a processor to spare, no threads.

    A thread does not go with the copy, and what it holds locked stays locked there.
    """
    if sys.platform != "linux" or os.environ.get(ALONE) or (os.cpu_count() or 1) < 2:
        return False
    with suppress(OSError):
        return len(list(Path("/proc/self/task").iterdir())) == 1
    return False


class _Hand:
    """A copy of this process that does one thing, sends its result, and ends."""

    def __init__(self, work: Callable[[], Any]) -> None:
        self._result, sent = os.pipe()
        try:
            self._process = os.fork()
        except OSError:
            os.close(self._result)
            os.close(sent)
            raise
        if not self._process:
            os.close(self._result)
            _do(work, sent)
        os.close(sent)

    def answer(self) -> Any:
        """Wait for the result; EOFError or UnpicklingError where none comes."""
        with os.fdopen(self._result, "rb", closefd=False) as pipe:
            return pickle.load(pipe)  # noqa: S301 - from a copy of this process

    def dismiss(self) -> None:
        """End the process, whatever it is doing."""
        with suppress(ProcessLookupError):
            os.kill(self._process, signal.SIGKILL)
        os.waitpid(self._process, 0)
        os.close(self._result)


def _do(work: Callable[[], Any], sent: int) -> None:
    """Do the work in the copy, send its result, and end at once; errors are not told."""
    gc.freeze()  # what is shared would be touched, and so copied, at each look for what nothing needs
    try:
        with os.fdopen(sent, "wb") as pipe:
            pickle.dump(_outcome(work), pipe, protocol=5)
    finally:
        os._exit(0)


def _outcome(work: Callable[[], Any]) -> Any:
    """Return the result of some work, or what the user gave that cannot be used."""
    try:
        return work()
    except TracerError as error:
        return error
