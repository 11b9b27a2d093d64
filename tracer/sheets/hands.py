"""More hands for a pack: processes that load what writing needs while the picture is traced, then write.

Where one cannot be had, or comes to grief, its files are written here instead: nothing depends on them.
"""

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, Any

SHARES = (
    ("template.pdf", "job-sheet.pdf", "placement.pdf", "letter-cards.pdf"),
    (
        "template.svg",
        "carving.svg",
        "preview.png",
        "preview-print.png",
        "proof.pdf",
        "report.json",
        "report.html",
    ),
)
"""The files that each writes, about as much work each; what is in none is written here."""

ALONE = "TRACER_ALONE"
"""Variable of the environment: where it is set, no other process is started."""

_Done = Callable[[str], bool]


class Hands:
    """The processes at work for one pack."""

    def __init__(self, processes: Mapping[int, "subprocess.Popen[bytes]"]) -> None:
        self._processes = processes

    def begin(self, plan: Any, folder: Path, writers: Mapping[str, Callable[..., None]]) -> _Done:
        """Have each write its share; return what says of a file, when it is due, whether it was written."""
        homes = {name: share for share in self._processes for name in SHARES[share] if name in writers}
        for share, process in self._processes.items():
            own = {name: writers[name] for name, home in homes.items() if home == share}
            _give(process.stdin, pickle.dumps((plan, folder, own), protocol=5))
        return lambda name: name in homes and self._processes[homes[name]].wait() == 0


def _give(pipe: IO[bytes] | None, work: bytes) -> None:
    """Send work; a process that is gone says so by its status."""
    with suppress(OSError):
        if pipe is not None:
            pipe.write(work)
            pipe.close()


@contextmanager
def hired() -> Iterator[Hands | None]:
    """Give hands for the time of a command, or None on a machine with one processor, or under `ALONE`."""
    if os.environ.get(ALONE) or (os.cpu_count() or 1) < 2 or not sys.executable:
        yield None
        return
    processes: dict[int, subprocess.Popen[bytes]] = {}
    try:
        with suppress(OSError):
            processes.update((share, _started(share)) for share in range(len(SHARES)))
        yield Hands(processes)
    finally:
        for process in processes.values():
            process.kill()
            process.wait()
            with suppress(OSError):  # what was never sent
                if process.stdin is not None:
                    process.stdin.close()


def _started(share: int) -> "subprocess.Popen[bytes]":
    """Start one, with the packages of this process and none of the folder it happens to be in."""
    return subprocess.Popen(  # noqa: S603 - this very Python, with modules of our own
        [sys.executable, "-P", "-m", "tracer.sheets.hand", str(share)],
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
    )
