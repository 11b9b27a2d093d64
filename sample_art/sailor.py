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
    """Cat in a striped jersey with a sailor's cap, the middle of its head `at`, 90 px high; it sits in the stern."""
    tail = pen("-26,44! -44,40 -56,24 -54,6 -44,0 -38,8! -42,12 -45,20 -38,30 -24,34!")
    lid = np.concatenate([tail, pen("-24,34 -26,44")])
    bars = [pen("-54.6,8 -48,10 -44.6,15"), pen("-54,27 -47.4,24 -43.6,23.4")]
    scene.put(figure([line("cat tail", tail, BOLD), *(line("tail bar", b, HAIR) for b in bars)], at=at), cover=placed(lid, at=at))
    body = pen("-16,14! -26,28 -30,44 -30,66! 30,66! 29,44 24,28 16,14!", closed=True)
    hoops = ["-25.4,27.6 0,33 23.8,27.6", "-28.6,37 0,43 27.4,37", "-29.8,47 0,53 29.2,47"]
    scene.put(figure([line("cat body", body, BOLD), *(line("jersey hoop", pen(h), MEDIUM) for h in hoops)], at=at),
              cover=placed(body, at=at))  # fmt: skip
    scene.put(figure([line("tiller", pen("-46,58 0,53 48,47"), BOLD)], at=at))
    arm = pen("12,25! 22,32 32,40 41,41 47,45 45,52 38,53.6 24,48 10,38!")
    lid = np.concatenate([arm, pen("10,38 12,25")])
    paw = [pen("41.6,45.6 44.6,46.6"), pen("40.4,49.4 43.4,50.4")]
    scene.put(figure([line("cat arm", arm, MEDIUM), *(line("paw line", p, HAIR) for p in paw)], at=at), cover=placed(lid, at=at))
    _cat_head(scene, at)


def _cat_head(scene: Scene, at: Place) -> None:
    text = ("-10,-21 -24,-36! -27,-24 -28,-12! -31,-4 -30,6 -36,10! -28,13 -20,19 -8,22.4 0,23 8,22.4 20,19 28,13 36,10! 30,6"
            " 31,-4 28,-12! 27,-24 24,-36! 10,-21 0,-22")  # fmt: skip
    head = pen(text, closed=True)
    marks: list[Mark] = [line("cat head", head, BOLD)]
    marks += both("cat inner ear", "24,-16 22.6,-29 15,-20.6", HAIR)
    marks += both("cat brow stripe", "24,-3 28,-3.4 30.6,-2", HAIR) + both("cheek stripe", "23.4,2.6 27,3.2 29.8,5.6", HAIR)
    marks += [solid(f"cat eye {side}", ring((x, -1), 3.8, 5.2)) for side, x in (("left", -12), ("right", 12))]
    marks += [solid("cat nose", pen("0,9.6! -5.2,5.4 -3.4,3.6 0,4 3.4,3.6 5.2,5.4 0,9.6!", closed=True))]
    marks += [line("cat lip", pen("0,9.6 0,13"), MEDIUM), *both("cat mouth", "0,13 4,16.4 8.4,15.6 10.6,12.6", MEDIUM)]
    for text in ("12,9 26,6 48,4", "12,11.4 28,11 50,13", "11,14 26,16 46,22"):
        marks += both("cat whisker", text, HAIR)
    scene.put(figure(marks, at=at), cover=placed(head, at=at))
    _cap(scene, at)


def _cap(scene: Scene, at: Place) -> None:
    crown = pen("-17,-20! -25,-30 -21,-38 -8,-41 8,-41 21,-38 25,-30 17,-20!", closed=True)
    band = pen("-19,-25! 0,-29 19,-25! 19.4,-15.4! 0,-19.4 -19.4,-15.4!", closed=True)
    pleats = [pen("-12,-39 -11,-33 -9,-29"), pen("0,-40.4 0,-35 0.2,-30"), pen("12,-39 11,-33 9,-29")]
    scene.put(figure([line("cap crown", crown, BOLD), *(line("cap pleat", p, HAIR) for p in pleats)], at=at),
              cover=placed(crown, at=at))  # fmt: skip
    scene.put(figure([solid("cap band", band)], at=at), cover=placed(band, at=at))
    scene.put(figure([line("cap bobble", ring((0, -44), 4.6), MEDIUM)], at=at), cover=placed(ring((0, -44), 4.6), at=at))


def mouse(scene: Scene, at: Place) -> None:
    """Mouse with a spyglass looking to the right, its feet `at`, 50 px high."""
    tail = pen("-12,-4 -24,-6 -28,-16 -22,-22 -28,-30")
    body = pen("-13,4! -15,-8 -10,-20 0,-24 9,-18 12,-6 12,4!", closed=True)
    buttons = [dot("mouse button", 3.4, -15, 3.0), dot("mouse button", 4.6, -8, 3.0)]
    scene.put(figure([line("mouse tail", tail, HAIR)], at=at))
    scene.put(figure([line("mouse body", body, MEDIUM), *buttons], at=at), cover=placed(body, at=at))
    for x, y, r in ((-9, -44, 9.0), (8, -45, 7.4)):
        scene.put(figure([line("mouse ear", ring((x, y), r), MEDIUM), line("mouse inner ear", ring((x, y), r * 0.55), HAIR)], at=at),
                  cover=placed(ring((x, y), r), at=at))  # fmt: skip
    head = pen("-11,-32 -6,-40 4,-41 11,-37 18,-30 20,-26! 12,-21.6 0,-21 -8,-24", closed=True)
    scene.put(figure([line("mouse head", head, MEDIUM), dot("mouse nose", 20.4, -26.4, 5.2),
                      line("mouse mouth", pen("8,-25 11.4,-24.4 14.6,-26"), HAIR)], at=at), cover=placed(head, at=at))  # fmt: skip
    tube = pen("11,-38! 31,-44! 33,-37.4! 12.6,-31.6!", closed=True)
    bell = pen("31,-46! 46,-51! 49,-40! 33.6,-36!", closed=True)
    scene.put(figure([line("spyglass", tube, MEDIUM)], at=at), cover=placed(tube, at=at))
    scene.put(figure([line("spyglass bell", bell, MEDIUM)], at=at), cover=placed(bell, at=at))
    arm = pen("4,-17 15,-20 23,-33")
    scene.put(figure([line("mouse arm", arm, MEDIUM)], at=at))
