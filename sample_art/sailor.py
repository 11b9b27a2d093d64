"""The cat at the tiller and the mouse on the bow, in px of the web picture."""

from __future__ import annotations

import numpy as np

from sample_art.curves import pen, placed, ring
from sample_art.hare import both
from sample_art.scene import Mark, Scene, dot, figure, line, solid

BOLD = 2.8
MEDIUM = 2.2
HAIR = 1.15
Place = tuple[float, float]


def sailor(scene: Scene, at: Place) -> None:
    """Cat in a striped jersey and a cap, sitting in the stern, the middle of its head `at`."""
    tail = pen("-26,47! -50,45 -67,31 -69,13 -60,3 -52,10! -56,15 -56,23 -46,33 -26,37!")
    lid = np.concatenate([tail, pen("-26,37 -26,47")])
    bars = [pen("-68,10.6 -62,12 -56.4,17.6"), pen("-64.6,33.6 -58,30.6 -54,26.6")]
    scene.put(
        figure([line("cat tail", tail, BOLD), *(line("tail bar", b, HAIR) for b in bars)], at=at),
        cover=placed(lid, at=at),
    )
    body = pen("-16,14! -26,28 -30,44 -30,66! 30,66! 29,44 24,28 16,14!", closed=True)
    hoops = ["-25.4,27.6 0,33 23.8,27.6", "-28.6,37 0,43 27.4,37", "-29.8,47 0,53 29.2,47"]
    scene.put(
        figure([line("cat body", body, BOLD), *(line("jersey hoop", pen(h), MEDIUM) for h in hoops)], at=at),
        cover=placed(body, at=at),
    )
    scene.put(figure([line("tiller", pen("-46,58 0,53 48,47"), BOLD)], at=at))
    arm = pen("12,25! 22,32 32,40 41,41 47,45 45,52 38,53.6 24,48 10,38!")
    lid = np.concatenate([arm, pen("10,38 12,25")])
    paw = [pen("41.6,45.6 44.6,46.6"), pen("40.4,49.4 43.4,50.4")]
    scene.put(
        figure([line("cat arm", arm, MEDIUM), *(line("paw line", p, HAIR) for p in paw)], at=at),
        cover=placed(lid, at=at),
    )
    _cat_head(scene, at)


def _cat_head(scene: Scene, at: Place) -> None:
    text = (
        "-15,-20 -31,-38! -32.4,-25 -30.4,-10! -31,-4 -30,6 -36,10! -28,13 -20,19 -8,22.4 0,23 8,22.4"
        " 20,19 28,13 36,10! 30,6"
        " 31,-4 30.4,-10! 32.4,-25 31,-38! 15,-20 0,-22"
    )
    head = pen(text, closed=True)
    marks: list[Mark] = [line("cat head", head, BOLD)]
    marks += both("cat inner ear", "27,-14.6 28,-29 20,-19.4", HAIR)
    marks += both("cat brow stripe", "24,-3 28,-3.4 30.6,-2", HAIR) + both(
        "cheek stripe", "23.4,2.6 27,3.2 29.8,5.6", HAIR
    )
    marks += [solid(f"cat eye {side}", ring((x, -1), 3.8, 5.2)) for side, x in (("left", -12), ("right", 12))]
    marks += [solid("cat nose", pen("0,9.6! -5.2,5.4 -3.4,3.6 0,4 3.4,3.6 5.2,5.4 0,9.6!", closed=True))]
    marks += [
        line("cat lip", pen("0,9.6 0,13"), MEDIUM),
        *both("cat mouth", "0,13 4,16.4 8.4,15.6 10.6,12.6", MEDIUM),
    ]
    for text in ("12,9 26,6.4 44,5", "12,11.4 28,11.4 45,13.4", "11,14 26,16.6 42,22.4"):
        marks += both("cat whisker", text, HAIR)
    scene.put(figure(marks, at=at), cover=placed(head, at=at))
    _cap(scene, at)


def _cap(scene: Scene, at: Place) -> None:
    crown = pen("-13,-22! -20,-31 -17,-38 -7,-41 7,-41 17,-38 20,-31 13,-22!", closed=True)
    band = pen("-15,-26! 0,-29.4 15,-26! 15.6,-17! 0,-20.4 -15.6,-17!", closed=True)
    pleats = [
        pen("-10,-39.6 -9.4,-34 -7.6,-29"),
        pen("0,-40.4 0,-35 0.2,-30"),
        pen("10,-39.6 9.4,-34 7.6,-29"),
    ]
    scene.put(
        figure([line("cap crown", crown, BOLD), *(line("cap pleat", p, HAIR) for p in pleats)], at=at),
        cover=placed(crown, at=at),
    )
    scene.put(figure([solid("cap band", band)], at=at), cover=placed(band, at=at))
    scene.put(
        figure([line("cap bobble", ring((0, -44), 4.6), MEDIUM)], at=at),
        cover=placed(ring((0, -44), 4.6), at=at),
    )


def mouse(scene: Scene, at: Place) -> None:
    """Mouse with a spyglass looking to the right, its feet `at`, 66 px high."""
    body = pen("-13,4! -15,-8 -10,-20 0,-24 9,-18 12,-6 12,4!", closed=True)
    buttons = [dot("mouse button", 4.2, -14, 3.6), dot("mouse button", 5.4, -7, 3.6)]
    parts = [([line("mouse tail", pen("-12,-4 -24,-5 -28,-14 -22,-20 -27,-28"), HAIR)], False)]
    parts += [([line("mouse body", body, MEDIUM), *buttons], True)]
    for x, y, r in ((-10, -43, 9.0), (7, -45, 7.4)):
        ear = [
            line("mouse ear", ring((x, y), r), MEDIUM),
            line("mouse inner ear", ring((x, y), r * 0.5), HAIR),
        ]
        parts.append((ear, True))
    head = pen("-12,-32 -7,-40 2,-41 9,-37 14,-30 17,-25! 9,-20.6 0,-20.4 -9,-24", closed=True)
    smile = line("mouse smile", pen("2,-25 5,-23.4 8.6,-24"), HAIR)
    parts.append(([line("mouse head", head, MEDIUM), dot("mouse nose", 17.2, -25, 5.0), smile], True))
    tube = line("spyglass", pen("8,-37! 32,-45! 34,-38! 10.4,-30.6!", closed=True), MEDIUM)
    bell = line("spyglass bell", pen("32,-47! 46,-52! 49,-41! 34.4,-37!", closed=True), MEDIUM)
    parts += [
        ([tube], True),
        ([bell], True),
        ([line("mouse arm", pen("8,-15 19,-15 26,-22 26,-34"), MEDIUM)], False),
    ]
    for marks, covers in parts:
        there = figure(marks, at=at, size=1.25)
        scene.put(there, cover=there[0].curves if covers else None)
