"""All that writing a pack needs, loaded ahead of the plan."""

from tracer.sheets.pack import FILES, LETTER_FILES, STEPS
from tracer.sheets.page import report_page
from tracer.sheets.pdf_letters import fonts


def first() -> None:
    """Load what the first of two hands needs."""
    _load(0)
    report_page()


def second() -> None:
    """Load what the second needs."""
    _load(1)


def _load(number: int) -> None:
    names = {name for hand, step in STEPS if hand == number for name in step}
    for name, writer in {**FILES, **LETTER_FILES}.items():
        if name in names and hasattr(writer, "load"):
            writer.load()
    fonts()
