"""The page that writes the rules out says the numbers that this stage uses."""

import math
from pathlib import Path

import pytest

from tracer.report import (
    board_findings,
    change,
    clearing_findings,
    corners,
    division,
    figure,
    grounds,
    hops,
    islands,
    lands,
    letter_findings,
    letter_wood,
    levels,
    links,
    narrow,
    reading_distance,
    retrace,
    set_ups,
    spacing,
    stops,
    tour,
)
from tracer.shop.linkage import SHARED

PAGE = " ".join((Path(__file__).parents[2] / "docs" / "rules.md").read_text(encoding="utf-8").split())


@pytest.mark.parametrize(
    "words",
    [
        f"up to {lands._BEND:g} times the straight way it is a bend",
        f"up to {lands._BESIDE_JOINT:g} times both half widths together",
        f"part at {math.degrees(lands.SHARP):g} deg or more",
        f"widens by more than {lands._WIDENS:g} of `least`",
        f"less than {islands.COMPACT:g} times as long as wide",
        f"Slivers under {islands.LEAST_AREA:g} square mm",
        f"under {figure.FAR_UNDER_TYPICAL:g} of the typical width",
        f"{change.DEPTH_STEPS['mm']:g} or 1/64 in apart, from {change.LEAST_DEPTH:g} on",
        f"differ by less than {stops.SAME_GROOVE:g} are one",
        f"what is over {corners.VISIBLE:g} (our own choice)",
        f"sharper than {math.degrees(corners.SHARPEST):g} deg",
        f"widening none by more than {hops.SLACK:g} (our own choice)",
        f"for up to {retrace.EXACT_TO} odd points",
        f"exactly for up to {tour.EXACT_TO} runs",
        f"height = distance / {reading_distance.TRADE:g}",
        f"height = {reading_distance.ADA_LEAST:g} + {reading_distance.ADA_A_FOOT:g} for each foot beyond",
        f"height = distance / {reading_distance.BEST_CASE:g} in the best case",
        f"{letter_findings.THIN:.0%} to {letter_findings.BOLD:.0%} of the capitals' height",
        f"raised and read by touch at most {letter_findings.MOST_RAISED:.0%}",
        f"rings lie {levels.STEPS[0]:g} to {levels.STEPS[-1]:g} of the swept width apart",
        f"{grounds.SURROUND:g} of the capitals' height round them",
        f"more than {clearing_findings.SHOWN:g} square mm",
        f"leaves at most {clearing_findings.LITTLE:.0%} uncut",
        f"{spacing.CLOSE:.0%} to {spacing.WIDE:.0%} of it, at the closest points",
        f"{spacing.LOW_PITCH:.0%} to {spacing.HIGH_PITCH:.0%} of it from baseline to baseline",
        f"within {letter_findings.ABOUT:g} of one another",
        f"that lie {letter_wood.TOUCH:g} of a groove in one another",
        f"down to {2 * math.degrees(math.asin(1 / narrow.LETTER_CORNER)):.0f} deg count as corners",
        f"as too narrow from {2 * math.degrees(math.asin(1 / narrow.CORNER)):.0f} deg on",
        f"{board_findings.LEAST_FLOOR:g} (1/4 in) or half the board",
        f"share o = {SHARED:g} or more",
        f"by more than {math.degrees(links.SMALL_CURVE):g} deg within {links.SEEN:g} to both sides",
        f"under {2 * links.SEEN / links.SMALL_CURVE:.0f} mm radius",
        f"up to {division.MORE} more set-ups",
        f"or over {set_ups.MOST_SET_UPS} would be needed",
    ],
)
def test_numbers(words: str) -> None:
    assert words in PAGE
