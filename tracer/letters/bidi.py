"""Which way parts of a line run: left-to-right and right-to-left text in one line.

The Unicode bidirectional algorithm (Unicode Standard Annex 9) without its explicit embeddings,
overrides and isolates (X1 to X8): a line that is typed, not marked up.
"""

import unicodedata
from collections.abc import Iterable
from itertools import groupby

_STRONG = {"L", "R", "AL"}
_NEUTRAL = {"B", "S", "WS", "ON", "LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI", "BN"}
"""Marks of embeddings are none here: they count as spaces do."""


def levels_of(line: str) -> list[int]:
    """Return the level of each character: even runs to the right, odd to the left.

    The line as a whole runs the way of its first character that has one (rules P2, P3).
    """
    kinds = [unicodedata.bidirectional(c) or "L" for c in line]
    first = next((kind for kind in kinds if kind in _STRONG), "L")
    base = 0 if first == "L" else 1
    settled = _neutrals(_brackets(line, _weak(kinds, base), base), base)
    return [base + _RISE[base % 2][kind] for kind in settled]


_RISE = ({"L": 0, "R": 1, "AN": 2, "EN": 2}, {"L": 1, "R": 0, "AN": 1, "EN": 1})
"""Rules I1, I2: what a resolved kind adds to an even, an odd level."""


def _weak(kinds: list[str], base: int) -> list[str]:
    """Return the kinds after rules W1 to W7: of marks, numbers and what stands between them."""
    start = "R" if base else "L"
    k = list(kinds)
    before = strong = start
    for i, kind in enumerate(k):  # W1, W2, W3
        if kind == "NSM":
            k[i] = before
        elif kind == "EN" and strong == "AL":
            k[i] = "AN"
        before = k[i]
        strong = kind if kind in _STRONG else strong
    k = ["R" if kind == "AL" else kind for kind in k]
    for i in range(1, len(k) - 1):  # W4
        if k[i - 1] == k[i + 1] and (
            (k[i] == "CS" and k[i - 1] in {"EN", "AN"}) or (k[i] == "ES" and k[i - 1] == "EN")
        ):
            k[i] = k[i - 1]
    k = _beside_numbers(k)
    k = ["ON" if kind in {"ES", "ET", "CS"} else kind for kind in k]  # W6
    strong = start
    for i, kind in enumerate(k):  # W7
        strong = kind if kind in {"L", "R"} else strong
        if kind == "EN" and strong == "L":
            k[i] = "L"
    return k


def _beside_numbers(kinds: list[str]) -> list[str]:
    """Rule W5: signs such as of money or per cent beside a number go with it."""
    runs = [(kind, len(list(run))) for kind, run in groupby(kinds)]
    ends = [""] + [kind for kind, _ in runs] + [""]
    settled: list[str] = []
    for i, (kind, count) in enumerate(runs):
        with_number = kind == "ET" and "EN" in {ends[i], ends[i + 2]}
        settled += ["EN" if with_number else kind] * count
    return settled


_PAIRS = {")": "(", "]": "[", "}": "{"}


def _brackets(line: str, kinds: list[str], base: int) -> list[str]:
    """Rule N0: brackets go the line's way where anything in them does, else with what is before them."""
    along = "R" if base else "L"
    k = list(kinds)
    for first, last in _bracket_pairs(line, kinds):
        within = {_side(kind) for kind in k[first + 1 : last] if kind not in _NEUTRAL}
        if not within:
            continue
        before = next((_side(kind) for kind in k[:first][::-1] if kind not in _NEUTRAL), along)
        k[first] = k[last] = along if along in within else before
    return k


def _bracket_pairs(line: str, kinds: list[str]) -> list[tuple[int, int]]:
    """Return where pairs of brackets open and close, in the order of opening (definition BD16)."""
    opened: list[int] = []
    pairs = []
    for at, c in enumerate(line):
        if kinds[at] == "ON" and c in _PAIRS.values():
            opened.append(at)
        elif kinds[at] == "ON" and c in _PAIRS:
            matching = [k for k, start in enumerate(opened) if line[start] == _PAIRS[c]]
            if matching:
                pairs.append((opened[matching[-1]], at))
                del opened[matching[-1] :]
    return sorted(pairs)


def _neutrals(kinds: list[str], base: int) -> list[str]:
    """Rules N1, N2: what has no way of its own goes with both sides where they agree, else with the line."""
    start = "R" if base else "L"
    runs = [(neutral, list(run)) for neutral, run in groupby(kinds, key=lambda kind: kind in _NEUTRAL)]
    settled: list[str] = []
    for i, (neutral, run) in enumerate(runs):
        if not neutral:
            settled += run
            continue
        before = _side(settled[-1]) if settled else start
        after = _side(runs[i + 1][1][0]) if i + 1 < len(runs) else start
        settled += [before if before == after else start] * len(run)
    return settled


def _side(kind: str) -> str:
    """Return the way that a kind counts for beside neutral characters: numbers as right-to-left."""
    return "L" if kind == "L" else "R"


def visual_order(levels: Iterable[int]) -> list[int]:
    """Return the indices from the left as seen (rule L2)."""
    level = list(levels)
    order = list(range(len(level)))
    for least in range(max(level, default=0), 0, -1):
        placed: list[int] = []
        for high, members in groupby(order, key=lambda i: level[i] >= least):
            run = list(members)
            placed += run[::-1] if high else run
        order = placed
    return order
