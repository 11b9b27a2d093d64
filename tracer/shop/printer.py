"""The printer, judged by the bar it printed."""

from dataclasses import dataclass

BAR = 100.0
"""Length of the bar printed on both axes of every sheet, mm."""

UNEQUAL = 0.003
"""Axes further apart than this part of the bar: the feed slips (common practice, no source)."""

FITTED = 0.02
"""A bar shorter by this part was fitted to the page, which shrinks by 2 to 6 % (guides on printing)."""


@dataclass(frozen=True)
class Printer:
    """What the printer does to a length.

    Attributes
    ----------
    bar_x, bar_y : what the 100 mm bar measured across and down the sheet, mm.
    measured : the bar was measured, not assumed.
    margin : border left free on each side, mm: what cannot be printed and some safety.
    """

    bar_x: float = BAR
    bar_y: float = BAR
    measured: bool = False
    margin: float = 10.0

    @property
    def correction(self) -> tuple[float, float]:
        """By what to multiply lengths across and down so that they print true."""
        return BAR / self.bar_x, BAR / self.bar_y


def doubts(printer: Printer) -> tuple[str, ...]:
    """What a measured bar says against printing yet, plain sentences."""
    found: list[str] = []
    if min(printer.bar_x, printer.bar_y) <= BAR * (1.0 - FITTED):
        found.append('The bar is short by 2 % or more: print again at 100 %, with "fit to page" off.')
    if abs(printer.bar_x - printer.bar_y) > BAR * UNEQUAL:
        found.append(
            f"The bar is {printer.bar_x:g} mm across and {printer.bar_y:g} mm down: the feed is slipping; "
            "clean the rollers and print again."
        )
    return tuple(found)
