"""One of the hands, a process of its own: `python -m tracer.sheets.hand SHARE` reads its work from stdin."""

import pickle
import sys

from tracer.sheets.hands import SHARES
from tracer.sheets.pack import FILES, LETTER_FILES


def main() -> None:
    """Load what the share needs, wait for the plan, write the share's files in order."""
    get_ready(int(sys.argv[1]))
    given = sys.stdin.buffer.read()
    if given:
        plan, folder, writers = pickle.loads(given)  # noqa: S301 - from the process that started this one
        for name, writer in writers.items():
            writer(plan, folder / name)


def get_ready(share: int) -> None:
    """Load the modules and packages, fonts and page that a share needs."""
    for name, writer in {**FILES, **LETTER_FILES}.items():
        if name in SHARES[share] and hasattr(writer, "load"):
            writer.load()
    if any(name.endswith(".pdf") for name in SHARES[share]):
        from tracer.sheets.pdf import fonts

        fonts()
    if "report.html" in SHARES[share]:
        from tracer.sheets.page import report_page

        report_page()


if __name__ == "__main__":
    main()
