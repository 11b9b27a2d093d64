"""More hands: processes that load packages while this one is busy, and are then asked to do part of the work.

Where one cannot be had, or comes to grief, the work is done here instead: nothing depends on them.
"""

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

ALONE = "TRACER_ALONE"
"""Variable of the environment: where it is set, no other process is started."""

_BROKEN = (OSError, EOFError, pickle.PickleError, AttributeError, ImportError, TypeError, ValueError)
"""What happens when work or result does not come through whole."""


class HandLostError(Exception):
    """A hand did not do what it was asked; never the user's business."""


@dataclass(frozen=True)
class Kept:
    """What a hand has been given to keep; stands for it where the hand is asked."""

    number: int


class Hand:
    """A process that calls functions for this one, one after the other.

    `ready` are modules for it to load at once, or functions to call, as "module:function".
    """

    def __init__(self, ready: Sequence[str]) -> None:
        self._kept, self._asked, self._answers = 0, 0, list[Any]()
        self._process = subprocess.Popen(  # noqa: S603 - this very Python, with modules of our own
            [sys.executable, "-P", "-c", "from tracer.hands import main; main()", *ready],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            # The packages of this process, and none of the folder that it happens to be in.
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        )

    def keep(self, value: Any) -> Kept:
        """Give the hand something that it will be asked about more than once."""
        self._send("", (value,))
        self._kept += 1
        return Kept(self._kept - 1)

    def ask(self, function: str, *given: Any) -> Callable[[], Any]:
        """Have a function, "module:function", called there; return what waits for its result.

        HandLostError where there is none, nor for what is asked later.
        """
        self._send(function, given)
        number = self._asked
        self._asked += 1
        return lambda: self._answer(number)

    def _send(self, function: str, given: tuple[Any, ...]) -> None:
        """Send a question; a hand that is gone will not answer."""
        with suppress(*_BROKEN):
            pickle.dump((function, given), self._process.stdin, protocol=5)  # type: ignore[arg-type]
            self._process.stdin.flush()  # type: ignore[union-attr]

    def _answer(self, number: int) -> Any:
        """Wait for the answer to a question, counted from 0."""
        try:
            while len(self._answers) <= number:
                self._answers.append(pickle.load(self._process.stdout))  # type: ignore[arg-type]  # noqa: S301 - our own
        except _BROKEN as error:
            self._process.kill()
            raise HandLostError from error
        return self._answers[number]

    def dismiss(self) -> None:
        """End the process, whatever it is doing."""
        self._process.kill()
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            with suppress(OSError):  # what was never sent
                pipe.close()  # type: ignore[union-attr]


def begun(hands: Sequence[Hand], function: str, *given: Any) -> Callable[[], Any]:
    """Have the first hand call a function, "module:function", at once; return what waits for its result.

    Where there is no hand, or it is lost, the function is called here when the result is due.
    """
    asked = [hand.ask(function, *given) for hand in hands[:1]]

    @cache
    def result() -> Any:
        for known in asked:
            with suppress(HandLostError):
                return known()
        return _named(function)(*given)

    return result


@contextmanager
def hired(*readies: Sequence[str]) -> Iterator[tuple[Hand, ...]]:
    """Give a hand for each of `readies`, for a time; none with one processor, or under `ALONE`."""
    with ExitStack() as stack:
        hands = list[Hand]()
        if not os.environ.get(ALONE) and (os.cpu_count() or 1) > 1 and sys.executable:
            with suppress(OSError):
                for ready in readies:
                    hands.append(Hand(ready))
                    stack.callback(hands[-1].dismiss)
        yield tuple(hands)


def main() -> None:
    """Get ready, then do what is asked until the other process ends; what goes wrong ends this one."""
    results, sys.stdout = sys.stdout.buffer, sys.stderr
    for name in sys.argv[1:]:
        if callable(found := _named(name)):
            found()
    kept = list[Any]()
    with suppress(EOFError, KeyboardInterrupt):
        while True:
            function, given = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the process that started this one
            if not function:
                kept.extend(given)
                continue
            whole = (kept[one.number] if isinstance(one, Kept) else one for one in given)
            pickle.dump(_named(function)(*whole), results, protocol=5)
            results.flush()


def _named(name: str) -> Any:
    """Return a module, or a function of one, by name."""
    module, _, function = name.partition(":")
    loaded = import_module(module)
    return getattr(loaded, function) if function else loaded
