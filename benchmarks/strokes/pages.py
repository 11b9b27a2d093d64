"""Pages to colour in: creatures of our own making, with noses, hooves, lashes and hair."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from benchmarks.strokes.painter import Sheet, curve, oval

Array = NDArray[np.float64]


def colouring_page(rng: np.random.Generator, pen: float, *, shaded: bool = False) -> Sheet:
    """Return a page of 600 x 480 pixels, its lines `pen` wide, with grey areas where `shaded`."""
    sheet = Sheet(600, 480)
    _sky(sheet, rng, pen)
    _meadow(sheet, rng, pen)
    _tree(sheet, rng, pen, shade=0.8 if shaded else 1.0)
    _creature(sheet, rng, pen, shade=0.88 if shaded else 1.0)
    _flowers(sheet, rng, pen)
    return sheet


def _sky(sheet: Sheet, rng: np.random.Generator, pen: float) -> None:
    """Draw a sun with rays and a cloud."""
    x, y, r = rng.uniform(60, 110), rng.uniform(60, 90), rng.uniform(26, 38)
    sheet.shape(oval(x, y, r, r), pen)
    for t in np.arange(0, 2 * np.pi, np.pi / 5) + rng.uniform(0, 0.5):
        ray = np.array([np.cos(t), np.sin(t)])
        sheet.line(np.array([x, y]) + np.outer([r + 3 * pen, r + rng.uniform(16, 24)], ray), pen)
    left, base = rng.uniform(380, 440), rng.uniform(70, 100)
    dips = [(left + u, base + v) for u, v in ((0, 0), (30, -26), (84, -34), (124, 2))]
    bumps = [_bump(a, b, (left + 60, base + 10)) for a, b in pairwise(dips)]
    sheet.line(np.vstack([*bumps, curve([dips[-1], (left + 60, base + 8), dips[0]])]), pen)


def _meadow(sheet: Sheet, rng: np.random.Generator, pen: float) -> None:
    """Draw a hill and tufts of grass that taper."""
    hill = curve([(0, 390), (150, 372 + rng.uniform(-8, 8)), (330, 392), (480, 376), (600, 388)])
    sheet.line(hill, pen)
    for x in rng.uniform(20, 580, 9):
        foot = np.array([x, rng.uniform(405, 465)])
        for lean in (-9, 0, 8):
            rise = np.array([lean + rng.uniform(-2, 2), -rng.uniform(12, 22)])
            blade = curve([foot, foot + rise / 2 + (lean / 4, 0), foot + rise])
            sheet.line(blade, np.array([pen, 0.4 * pen]))


def _tree(sheet: Sheet, rng: np.random.Generator, pen: float, *, shade: float) -> None:
    """Draw a tree with a knot hole and a crown of lumps."""
    x = rng.uniform(500, 540)
    trunk = [(x - 14, 392), (x - 10, 300), (x - 16, 240), (x + 14, 240), (x + 10, 310), (x + 18, 394)]
    sheet.shape(np.vstack([curve(trunk[:3]), curve(trunk[3:])]), pen)
    sheet.fill(oval(x, 320, 4, 7))
    around = np.linspace(0, 2 * np.pi, 9)[:-1]
    lumps = [(x + 52 * np.cos(t), 200 + 44 * np.sin(t)) for t in around]
    bumps = [p for a, b in zip(lumps, lumps[1:] + lumps[:1], strict=True) for p in _bump(a, b, (x, 200))]
    sheet.shape(np.array(bumps), pen, shade)
    for _ in range(3):
        cx, cy = x + rng.uniform(-30, 30), 200 + rng.uniform(-24, 24)
        sheet.line(curve([(cx - 9, cy), (cx, cy - 7), (cx + 9, cy)]), pen)


def _bump(a: tuple[float, float], b: tuple[float, float], middle: tuple[float, float]) -> Array:
    """Return an arc from `a` to `b` that bulges away from `middle`."""
    top = (np.array(a) + b) / 2
    return curve([a, tuple(top + 0.35 * (top - middle)), b])


def _creature(sheet: Sheet, rng: np.random.Generator, pen: float, *, shade: float) -> None:
    """Draw a hoofed animal with a mane."""
    x, y = rng.uniform(220, 300), rng.uniform(290, 305)
    _legs(sheet, rng, pen, (x, y))
    tail = [(x - 88, y - 24), (x - 120, y - 40), (x - 128, y - 4), (x - 110, y + 26)]
    sheet.line(curve(tail), np.array([1.2 * pen, 2.2 * pen, 2.5 * pen, 0.6 * pen]))
    body = [(-92, 0), (-84, -44), (-10, -52), (62, -50), (92, -12), (74, 40), (0, 52), (-72, 42)]
    sheet.shape(curve([(x + u, y + v) for u, v in body], closed=True), pen, shade)
    for _ in range(4):
        sheet.fill(oval(x + rng.uniform(-60, 30), y + rng.uniform(-24, 20), *rng.uniform(4, 10, 2)))
    _head(sheet, rng, pen, (x + 104, y - 78))


def _legs(sheet: Sheet, rng: np.random.Generator, pen: float, place: tuple[float, float]) -> None:
    """Draw four legs with solid hooves."""
    x, y = place
    for offset in (-70, -44, 34, 62):
        foot = y + 92 + rng.uniform(-4, 4)
        leg = [(offset - 11, y + 20), (offset - 9, foot), (offset + 9, foot), (offset + 11, y + 20)]
        sheet.shape(np.array([(x + u, v) for u, v in leg]), pen)
        hoof = [(offset - 10, foot - 12), (offset - 13, foot), (offset + 13, foot), (offset + 10, foot - 12)]
        sheet.fill(np.array([(x + u, v) for u, v in hoof]))


def _head(sheet: Sheet, rng: np.random.Generator, pen: float, place: tuple[float, float]) -> None:
    """Draw a head with ears, mane, eyes with lashes, a nose and a mouth."""
    x, y = place
    for side in (-1, 1):
        ear = [(side * 16, -34), (side * 40, -66), (side * 44, -28)]
        sheet.shape(curve([(x + u, y + v) for u, v in ear], closed=True), pen)
        sheet.line(curve([(x + side * 24, y - 36), (x + side * 36, y - 50)]), 0.7 * pen)
    face = [(-42, -10), (-30, -40), (0, -46), (30, -40), (42, -10), (32, 36), (0, 50), (-32, 36)]
    sheet.shape(curve([(x + u, y + v) for u, v in face], closed=True), pen)
    for u in np.arange(-20, 21, 8) + rng.uniform(-2, 2, 6):
        hair = [(x + u, y - 42), (x + 1.3 * u, y - 32), (x + 1.1 * u + rng.uniform(-4, 4), y - 22)]
        sheet.line(curve(hair), np.array([0.9 * pen, 0.7 * pen, 0.3 * pen]))
    for side in (-1, 1):
        _eye(sheet, pen, (x + side * 17, y - 6), side)
        sheet.fill(oval(x + side * 9, y + 34, 2.5, 3.5, side * 0.3))
    sheet.fill(curve([(x - 12, y + 16), (x + 12, y + 16), (x, y + 27)], closed=True))
    sheet.line(
        curve([(x - 18, y + 40), (x - 6, y + 44), (x, y + 30), (x + 6, y + 44), (x + 18, y + 40)]), pen
    )


def _eye(sheet: Sheet, pen: float, place: tuple[float, float], side: int) -> None:
    """Draw an eye: outline, solid pupil with a light in it, three lashes that taper."""
    x, y = place
    sheet.shape(oval(x, y, 9, 11), 0.8 * pen)
    sheet.fill(oval(x, y + 2, 5, 7))
    sheet.fill(oval(x + 2, y - 1, 1.8, 2.2), 1.0)
    for k in range(3):
        t = -np.pi / 2 + side * (0.25 + 0.4 * k)
        ray = np.array([np.cos(t), np.sin(t)])
        lash = np.array([x, y]) + np.outer([11, 15, 18], ray) + np.outer([0, 1, 0], [side, 0])
        sheet.line(curve(lash), np.array([0.8 * pen, 0.3 * pen]))


def _flowers(sheet: Sheet, rng: np.random.Generator, pen: float) -> None:
    """Draw flowers whose petals lie over each other and whose middles are solid."""
    for x in (rng.uniform(40, 90), rng.uniform(420, 460)):
        y, petals = rng.uniform(410, 425), int(rng.integers(5, 8))
        sheet.line(curve([(x, y), (x + 4, y + 26), (x + 1, y + 48)]), pen)
        for t in np.arange(petals) * 2 * np.pi / petals:
            sheet.shape(oval(x + 13 * np.cos(t), y + 13 * np.sin(t), 9, 5.5, t), 0.8 * pen)
        sheet.fill(oval(x, y, 5, 5))
