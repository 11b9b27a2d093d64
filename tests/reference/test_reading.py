"""From how far letters read and how they should stand: published figures, worked by hand from their text."""

import pytest

from tracer.report import letter_findings, reading_distance, spacing

IN, FT = 25.4, 304.8


@pytest.mark.parametrize(("feet", "inches"), [(3, 0.625), (6, 0.625), (10, 1.125), (20, 2.375)])
def test_ada_height_by_distance(feet: float, inches: float) -> None:
    """2010 ADA Standards, table 703.5.5: 5/8 in to 6 ft, then 1/8 in for each further foot [S2]."""
    assert reading_distance.ada_height(feet * FT) == pytest.approx(inches * IN)


@pytest.mark.parametrize(("inches", "feet"), [(1.125, 10), (2.375, 20), (0.625, 6), (0.6, 0)])
def test_ada_distance_by_height(inches: float, feet: float) -> None:
    """The same table the other way; under 5/8 in it has nothing [S2]."""
    assert reading_distance.ada_distance(inches * IN) == pytest.approx(feet * FT)


def test_trade_rule() -> None:
    """A chart of the trade has 3 in for best impact at 30 ft, and 100 ft as the furthest [S3]."""
    assert reading_distance.trade_height(30 * FT) == pytest.approx(3 * IN)
    assert reading_distance.trade_distance(3 * IN) == pytest.approx(30 * FT)
    assert reading_distance.best_case_distance(3 * IN) < 100 * FT


def test_best_case() -> None:
    """A plain black sans on white in ideal light: 25 to 29 ft an inch, chart of a 1998 study [S4]."""
    assert 25 * FT <= reading_distance.best_case_distance(IN) <= 29 * FT
    assert reading_distance.best_case_height(25 * FT) == pytest.approx(IN)


def test_bands_for_two_inch_letters() -> None:
    """2010 ADA Standards 703.5.7 to .9: stroke 0.20 to 0.60 in, gap 0.20 to 0.70, lines 2.70 to 3.40 [S1]."""
    assert pytest.approx((0.20, 0.60)) == (2 * letter_findings.THIN, 2 * letter_findings.BOLD)
    assert pytest.approx((0.20, 0.70)) == (2 * spacing.CLOSE, 2 * spacing.WIDE)
    assert pytest.approx((2.70, 3.40)) == (2 * spacing.LOW_PITCH, 2 * spacing.HIGH_PITCH)


def test_heights_that_a_groove_suits() -> None:
    """A groove of 1/8 in suits capitals from 0.417 to 1.25 in, by the same band [S1][D]."""
    groove = 0.125
    assert groove / letter_findings.BOLD == pytest.approx(0.417, abs=5e-4)
    assert groove / letter_findings.THIN == pytest.approx(1.25)
