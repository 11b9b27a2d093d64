"""All that writing a share of a pack needs, loaded ahead of the plan."""

from tracer.sheets.pack import FILES, LETTER_FILES, SHARES
from tracer.sheets.page import report_page
from tracer.sheets.pdf import fonts


def for_paper() -> None:
    """Load what the first share needs."""
    _load(0)


def for_screen() -> None:
    """Load what the second share needs."""
    _load(1)
    report_page()


def _load(share: int) -> None:
    for name, writer in {**FILES, **LETTER_FILES}.items():
        if name in SHARES[share] and hasattr(writer, "load"):
            writer.load()
    fonts()
