"""Ruled and squared paper: lines evenly apart from edge to edge, told from drawn ones and divided out."""

import math
from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.model.ink import Mend
from tracer.raster.lanes import (
    DRAWN,
    PAPER,
    Grey,
    Lanes,
    Reals,
    darkest_of,
    divided,
    halved_to,
    lanes_along,
    measured,
    strips_of,
    turned,
)

MOST = 2000
"""Pixels of the longer side of the copy on which a ruling is looked for."""

STRIPS = 24
"""Strips in which it is looked for: in each a ruling hardly slants."""

CLOSEST = 5
"""Pixels of that copy between two lines at the least."""

THIN = 11
"""Pixels of that copy that no ruled line is wide."""

CAP = 40
"""Greys above which a line counts no more: drawn ones are black."""

ALIKE = 0.45
"""How alike (1 the same) half of all strips are to themselves one line further on."""

NEARLY = 0.85
"""A period is the shortest at which they are this part as alike as they ever are."""

LEAST = 5
"""Lines of a ruling."""

SEEN = 0.4
"""Part of the usual darkness from which on a line is seen."""

DAMPED = 0.05
"""How much bends that the strips hardly show are held back."""

COVERED = 0.7
"""Part of a line's length on which it must be seen."""

EDGE = 0.1
"""Part of the picture's width within which of its edges a ruling begins and ends."""

EVEN = 0.03
"""Parts of the distance between lines by which they may stray from even."""

NOISE = 0.08
"""Darkness (0 to 1) that even paper, and a ruling's print on it, vary by: what is more is drawn."""

HARDLY = 0.2
"""Part of a line's length on the page below which it cannot be judged."""

UNIFORM = 0.3
"""Spread of the darkness of lines, in parts of the usual one."""

PALE, SLIM = 0.7, 0.7
"""A ruling is paler than this part of the drawing's ink, or slimmer than this part of its lines."""

BLACK = 0.65, 0.8
"""Rulings darker than the first, 0 to 1, must be both, by more; darker than the second there are none."""


def without_ruling(channels: Sequence[Grey]) -> tuple[list[Grey], list[Mend]]:
    """Return even channels (H, W) without the lines printed on the paper; one Mend for each way they run.

    A ruling is straight or hardly bent, runs from edge to edge, its lines are all alike and
    evenly apart, and paler or slimmer than what is drawn. It is looked for where it is
    darkest, as blue lines are in red. Limits: turned by up to about 10 degrees.
    """
    channels = list(channels)
    small = darkest_of([halved_to(channel, MOST)[0] for channel in channels])
    lines = [(across, thin_lines(small, across=across)) for across in (False, True)]
    periods = [(across, rows, period_of(rows)) for across, rows in lines]
    if not any(period for _, _, period in periods):
        return channels, []
    times = channels[0].shape[1] / small.shape[1]
    darkest = darkest_of(channels)
    found = [
        (across, _ruling(turned(darkest, across=across), rows, period=period, times=times))
        for across, rows, period in periods
        if period
    ]
    rulings = [(across, lanes) for across, lanes in found if lanes is not None]
    ink, pen = _drawn(_without(darkest, rulings, 1.0))
    printed = [(across, lanes) for across, lanes in rulings if _is_printed(lanes, ink, pen)]
    height, width = darkest.shape
    mend = Mend("ruling left out", width / 2, height / 2, float(max(height, width)))
    freed = [_without(channel, printed, ink) for channel in channels]
    return freed, [mend] * len(printed)


def may_be_ruled(copy: Grey) -> bool:
    """Say whether it is worth while to look for a ruling, by a copy of at most MOST pixels a side."""
    return any(period_of(thin_lines(copy, across=across)) for across in (False, True))


def _without(channel: Grey, rulings: list[tuple[bool, Lanes]], ink: float) -> Grey:
    """Return a channel without rulings, of which some run along its columns."""
    for across, lanes in rulings:
        page = turned(channel, across=across)
        own = measured(page, lanes.middles, lanes.reach)
        channel = turned(divided(page, own, ink), across=across)
    return channel


def thin_lines(copy: Grey, *, across: bool = False) -> Reals:
    """Return how much darker (STRIPS, h) each row is than those about it, in strips of a copy (h, w)."""
    rows = strips_of(copy, STRIPS, across=across)
    bare = cv2.morphologyEx(rows, cv2.MORPH_CLOSE, np.ones((1, THIN), np.uint8))
    return np.minimum(cv2.subtract(bare, rows), CAP).astype(np.float32)


def period_of(lines: Reals) -> float:
    """Return the distance between the lines of a ruling, or 0 where there is none, from strips (n, h)."""
    height = lines.shape[1]
    padded = np.zeros((len(lines), cv2.getOptimalDFTSize(height + height // 4)), np.float32)
    padded[:, :height] = lines - lines.mean(axis=1, keepdims=True)
    spectrum = cv2.dft(padded, flags=cv2.DFT_ROWS)
    power = cv2.mulSpectrums(spectrum, spectrum, cv2.DFT_ROWS, conjB=True)
    alike = cv2.dft(power, flags=cv2.DFT_INVERSE | cv2.DFT_ROWS | cv2.DFT_SCALE)[:, : height // 4]
    alike = alike * (height / (height - np.arange(alike.shape[1]))) / (alike[:, :1] + 1e-6 * height)
    usual = np.median(alike, axis=0)
    if len(usual) <= CLOSEST + 2 or usual[CLOSEST:].max() < ALIKE:
        return 0.0
    first = CLOSEST + int(np.argmax(usual[CLOSEST:] >= NEARLY * usual[CLOSEST:].max()))
    peak = first + int(np.argmax(usual[first : first + max(2, first // 8)]))
    while peak + 2 < len(usual) and usual[peak + 1] > usual[peak]:
        peak += 1
    return peak + _vertex(*usual[peak - 1 : peak + 2].tolist()) if peak + 1 < len(usual) else 0.0


def _vertex(before: float, here: float, after: float) -> float:
    """Return how far from the middle one of three values a step apart their parabola is highest."""
    bend = before - 2 * here + after
    return float(np.clip((before - after) / (2 * bend), -0.5, 0.5)) if bend < 0 else 0.0


def _ruling(page: Grey, lines: Reals, *, period: float, times: float) -> Lanes | None:
    """Return the even lines from edge to edge of a page (H, W), by the strips of a copy `times` smaller."""
    rows = lines_of(lines, period)
    if len(rows) < LEAST:
        return None
    middles = np.stack([_columns(row, page.shape[1]) for row in (rows + 0.5) * times - 0.5])
    apart = float(np.diff(np.sort(rows[:, STRIPS // 2])).min()) * times
    reach = max(2, min(round(THIN * times / 2) + 2, int(apart / 2)))
    lanes = lanes_along(page, middles, reach, wayward=apart / 4)
    stray = lanes.stray
    lanes = measured(page, lanes.middles, reach, DRAWN * lanes.dark + NOISE)
    lanes = replace(lanes, stray=stray).chosen(_seen(lanes))
    return lanes if _even(lanes, period * times) else None


def lines_of(lines: Reals, period: float) -> Reals:
    """Return the rows (n, STRIPS) at which a ruling's lines cross strips (STRIPS, h), also beyond them."""
    rows = np.arange(lines.shape[1], dtype=np.float32)
    phase = rows / period + _phase(lines, period)
    turn = phase % 1.0
    bins = np.minimum((turn * 64).astype(int), 63)
    counts = np.bincount(bins.ravel(), minlength=64)
    pattern = np.bincount(bins.ravel(), lines.ravel(), 64) / np.maximum(counts, 1)
    found = [
        [_row_of(k + offset, p, rows) for p in phase]
        for offset in _peaks(pattern, period)
        for k in range(math.floor(phase.min() - offset), math.ceil(phase.max() - offset) + 1)
    ]
    return np.array(found, np.float32).reshape(-1, len(lines))


def _row_of(turns: float, phase: Reals, rows: Reals) -> float:
    """Return the row at which a strip's phase (h,) is `turns`; beyond its ends it goes on as there."""
    if turns < phase[0]:
        return float((turns - phase[0]) / max(phase[1] - phase[0], 1e-3))
    if turns > phase[-1]:
        return float(rows[-1] + (turns - phase[-1]) / max(phase[-1] - phase[-2], 1e-3))
    return float(np.interp(turns, phase, rows))


def _peaks(pattern: NDArray[np.float64], period: float) -> list[float]:
    """Return where in a period (0 to 1) its lines are: more than one for staves and the like."""
    count = len(pattern)
    near = max(1, int(3 * count / period))
    bell = np.exp(-((np.arange(-near, near + 1) / near) ** 2) * 2)
    smooth = np.convolve(np.pad(pattern, near, mode="wrap"), bell, "valid")
    tall = np.stack([np.roll(smooth, k) for k in range(-near, near + 1)]).max(axis=0)
    base = float(np.median(smooth))
    places = np.flatnonzero((smooth == tall) & (smooth - base > 0.5 * (smooth.max() - base)))
    around = [[float(smooth[(k + j) % count]) for j in (-1, 0, 1)] for k in places.tolist()]
    return [(k + 0.5 + _vertex(*three)) / count for k, three in zip(places.tolist(), around, strict=True)]


def _phase(lines: Reals, period: float) -> Reals:
    """Return what to add to rows / period (STRIPS, h) so that each line of a ruling is at a whole number.

    The strips are demodulated at the period (Takeda, Ina & Kobayashi 1982); the phase is
    a plane, from the peak of its Fourier transform, and a polynomial for what bends.
    """
    strips, height = lines.shape
    rows = np.arange(height)
    wave = (lines - lines.mean(axis=1, keepdims=True)) * np.exp(-2j * np.pi * rows / period)
    at = np.arange(round(period) // 2, height, max(1, round(period)))
    blurred = [cv2.GaussianBlur(part, (0, 0), period, sigmaY=0.01)[:, at] for part in (wave.real, wave.imag)]
    field = blurred[0] + 1j * blurred[1]
    field /= np.abs(field) + 0.2 * np.median(np.abs(field)) + 1e-9
    slant, stretch = _plane(field)
    i, j = np.arange(strips)[:, None], np.arange(len(at))[None]
    bends = _bends(field * np.exp(-2j * np.pi * (slant * i + stretch * j)))
    x = np.linspace(-1, 1, strips)[:, None]
    place = np.broadcast_to((rows - at[0]) / max(1, round(period)), lines.shape)
    phase = slant * i + stretch * place + _terms(x, 2 * place / max(len(at) - 1, 1) - 1) @ bends
    return np.asarray(phase, np.float32)


def _plane(field: NDArray[np.complex128]) -> tuple[float, float]:
    """Return how many turns the phase of a field (n, m) makes from strip to strip, and from row to row."""
    size = 8 * max(field.shape)
    power = np.abs(np.fft.fft2(field, (size, size)))
    i, j = np.unravel_index(int(np.argmax(power)), power.shape)
    turns = np.fft.fftfreq(size)
    return float(turns[i]), float(turns[j])


def _bends(field: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Return the polynomial (10,) of the phase of a field (n, m), in turns; what does not fit has no say."""
    x = np.linspace(-1, 1, field.shape[0])[:, None]
    y = np.linspace(-1, 1, field.shape[1])[None]
    terms = _terms(x, np.broadcast_to(y, field.shape))
    found = np.zeros(terms.shape[-1])
    for count in (1, 3, 3, 6, 6, 10, 10):
        away = field * np.exp(-2j * np.pi * (terms @ found))
        rest = np.angle(away) / (2 * np.pi)
        weight = np.abs(field) * np.exp(-((rest / 0.15) ** 2))
        some = terms[..., :count] * weight[..., None]
        square = np.einsum("ijk,ijl->kl", some, terms[..., :count])
        square += (DAMPED * weight.sum() + 1e-9) * np.eye(count)
        found[:count] += np.linalg.solve(square, np.einsum("ijk,ij->k", some, rest))
    return found


def _terms(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the terms (n, m, 10) of a polynomial of the third degree."""
    x = np.broadcast_to(x, y.shape)
    powers = [np.ones_like(y), x, y, x * y, x**2, y**2, x**2 * y, x * y**2, x**3, y**3]
    return np.stack(powers, axis=-1)


def _columns(rows: Reals, width: int) -> Reals:
    """Return the rows at each column (W,) of a line known in strips."""
    middles = (np.arange(len(rows)) + 0.5) * width / len(rows) - 0.5
    columns = np.arange(width)
    along = np.interp(columns, middles, rows)
    step = middles[1] - middles[0]
    along += np.minimum(columns - middles[0], 0) * (rows[1] - rows[0]) / step
    along += np.maximum(columns - middles[-1], 0) * (rows[-1] - rows[-2]) / step
    return along.astype(np.float32)


def _seen(lanes: Lanes) -> NDArray[np.bool_]:
    """Return which lanes (n,) are there on most of their way over the page, as dark as most others.

    Those that hardly are on the page, or almost wholly hidden, are taken with the rest.
    """
    usual = lanes.dark
    known = (~np.isnan(lanes.strength)).sum(axis=1)
    if not usual > 0:
        return np.zeros(len(known), np.bool_)
    there = (lanes.strength > SEEN * usual).sum(axis=1) >= COVERED * np.maximum(known, 1)
    alike = np.abs(np.nan_to_num(lanes.usual()) - usual) < 2 * UNIFORM * usual
    return np.asarray(there & alike | (known < HARDLY * lanes.strength.shape[1]), np.bool_)


def _even(lanes: Lanes, period: float) -> bool:
    """Say whether there are enough lanes, from edge to edge, alike, and evenly apart."""
    usual = lanes.usual()
    usual = usual[~np.isnan(usual)]
    if len(usual) < LEAST:
        return False
    middle = float(np.median(usual))
    reached = (lanes.strength > SEEN * middle).sum(axis=0) > 0.5 * (~np.isnan(lanes.strength)).sum(axis=0)
    blocks = np.flatnonzero(reached)
    edge = EDGE * len(reached)
    if not len(blocks) or blocks[0] > edge or blocks[-1] < len(reached) - 1 - edge:
        return False
    spread = float(np.median(np.abs(usual - middle)))
    return spread < UNIFORM * middle and lanes.stray < EVEN * period


def _drawn(page: Grey) -> tuple[float, float]:
    """Return how dark (0 to 1) what is drawn on even paper is, and how wide its lines are, in pixels."""
    copy, times = halved_to(page, MOST)
    dark = PAPER - np.minimum(copy, PAPER)
    counts = np.bincount(dark.ravel().astype(np.intp), minlength=256)[:251]
    inked = np.cumsum(counts[::-1])[::-1]
    if inked[40] < 4e-4 * copy.size:
        return 0.0, 0.0
    ink = float(np.searchsorted(np.cumsum(counts[40:]), 0.75 * inked[40])) + 40
    mask = (dark > ink / 2).astype(np.uint8)
    borders = sum(
        cv2.countNonZero(cv2.absdiff(one, other))
        for one, other in ((mask[1:], mask[:-1]), (mask[:, 1:], mask[:, :-1]))
    )
    return ink / PAPER, 8 / math.pi * cv2.countNonZero(mask) / max(borders, 1) * times


def _is_printed(lanes: Lanes, ink: float, pen: float) -> bool:
    """Say whether lanes are so much paler or slimmer than what is drawn that they are the paper's own."""
    dark = lanes.dark
    if not ink or dark > BLACK[1]:
        return False
    paler, slimmer = dark / ink, lanes.width / pen
    if dark > BLACK[0]:
        return paler < 0.85 and slimmer < 0.5
    return paler < PALE or slimmer < SLIM
