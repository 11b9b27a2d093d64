"""The shop in words: each setting with its value and whether it was measured, said or assumed."""

from dataclasses import dataclass

from tracer.lengths import format_length
from tracer.shop.bit_words import describe
from tracer.shop.linkage import Linkage, ratio_words
from tracer.shop.settings import Shop


@dataclass(frozen=True)
class Line:
    """One setting: its key in the shop file, how it is known, its value in words."""

    key: str
    known: str
    value: str


def shop_lines(shop: Shop) -> tuple[Line, ...]:
    """All settings in the order of the file, in the user's units."""

    def line(key: str, value: str, *, measured: str = "") -> Line:
        return Line(key, measured or ("said" if key in shop.said else "assumed"), value)

    def length(mm: float) -> str:
        return format_length(mm, shop.units)

    linkage, bar = shop.linkage or Linkage(0.5), shop.printer
    traced = f"measured {linkage.measured_on.isoformat()}" if linkage.measured_on else ""
    reach = f"{' x '.join(map(length, linkage.reach))} on the wood" if linkage.reach else "not known"
    table = f"{' x '.join(map(length, linkage.table))} of paper" if linkage.table else "not known"
    way_up = "yes: the copy is turned by 180 deg" if linkage.turned else "no: the copy stands as the template"
    return (
        line("units", shop.units),
        line("linkage.ratio", ratio_words(linkage.ratio), measured=traced),
        line("linkage.play", f"{length(linkage.play)} at the bit"),
        line("linkage.reach", reach),
        line("linkage.turned", way_up),
        line("linkage.table", table),
        *(
            line(f"bits.{name}", describe(bit, shop.units), measured=_measured(shop, name))
            for name, bit in shop.bits
        ),
        line(
            "printer.bar",
            f"{bar.bar_x:g} mm across, {bar.bar_y:g} mm down, for 100 mm",
            measured="measured" if bar.measured else "",
        ),
        line("printer.margin", length(bar.margin)),
        line("hand.error", f"{length(shop.hand_error)} on the template"),
        line("hand.speed", f"{_range(shop.speed_low, shop.speed_high)} mm/s"),
        line("hand.plunge", f"{_range(shop.plunge_low, shop.plunge_high)} s"),
        line("router.pass-limit", length(shop.pass_limit)),
        line("router.base", f"{length(shop.router_base)} across"),
    )


def _measured(shop: Shop, name: str) -> str:
    day = shop.bits_measured.get(name)
    return f"measured {day.isoformat()}" if day else ""


def _range(low: float, high: float) -> str:
    return f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}"
