"""How far letters carry: the published figures, each a capital's height for a distance. All mm.

For flat print in good contrast. Wood that is cut and not painted has little, and reads worse.
"""

from tracer.lengths import MM_PER_INCH

FOOT = 12 * MM_PER_INCH

ADA_LEAST = 0.625 * MM_PER_INCH
ADA_NEAR = 6 * FOOT
ADA_A_FOOT = 0.125 * MM_PER_INCH
"""2010 ADA Standards, table 703.5.5, 40 to 70 in above the floor: 5/8 in to 6 ft, then 1/8 in a foot [S2]."""

TRADE = 120.0
"""Distance in heights for best impact: 1 in for every 10 ft, a rule of the trade [S3]."""

BEST_CASE = 300.0
"""Distance in heights at which a plain black face on white can be read in ideal light: 25 ft an inch,
the lower end of a chart from a study of 1998 [S4]."""


def ada_height(distance: float) -> float:
    """Return the height that the ADA Standards ask for at a distance."""
    return ADA_LEAST + max(0.0, distance - ADA_NEAR) / FOOT * ADA_A_FOOT


def ada_distance(height: float) -> float:
    """Return the distance for which a height does by the ADA Standards, 0 where it is too small for any."""
    return ADA_NEAR + (height - ADA_LEAST) / ADA_A_FOOT * FOOT if height >= ADA_LEAST else 0.0


def trade_height(distance: float) -> float:
    """Return the height by the trade's rule."""
    return distance / TRADE


def trade_distance(height: float) -> float:
    """Return the distance by the trade's rule."""
    return height * TRADE


def best_case_height(distance: float) -> float:
    """Return the height below which nothing is read from a distance, by the chart for the best case."""
    return distance / BEST_CASE


def best_case_distance(height: float) -> float:
    """Return the distance as far as which letters can be read at best."""
    return height * BEST_CASE
