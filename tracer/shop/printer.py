"""The printer, judged by the bar it printed."""

from dataclasses import dataclass

BAR = 100.0
"""Length of the bar printed on both axes of every sheet, mm."""

UNEQUAL = 0.003
"""Axes further apart than this part of the bar: the feed slips (common practice, no source)."""

FITTED = 0.02
"""A bar off by this part was fitted to the page, which shrinks by 2 to 6 % (guides on printing)."""


@dataclass(frozen=True)
class Printer:
    """What the printer does to a length.

    Attributes
    ----------
    bar_x, bar_y : what the 100 mm bar measured along the sheet's short and long edge, mm.
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
    short, long = printer.bar_x, printer.bar_y
    bars = f"{short:g} mm along the sheet's short edge and {long:g} mm along its long edge"
    if max(abs(short - BAR), abs(long - BAR)) >= BAR * FITTED:
        found.append(
            f'The bars are {bars}, off by 2 % or more: print again at 100 %, with "fit to page" off.'
        )
    if abs(short - long) > BAR * UNEQUAL:
        found.append(f"The bars are {bars}: the feed is slipping; clean the rollers and print again.")
    return tuple(found)
