"""The two hares of the colouring page: the mother sitting up, the leveret curled up asleep.

Figures are drawn in mm about the middle of the head (mother) or of the body (leveret), y down.
"""

from __future__ import annotations

import numpy as np

from sample_art.curves import Chain, arc, pen, placed, ring
from sample_art.plants import daisy
from sample_art.scene import Mark, Scene, dot, figure, line

PEN = 1.2
FINE = 1.0


def both(name: str, text: str, width: float, *, closed: bool = False) -> list[Mark]:
    """A line and its mirror image about x = 0."""
    chain = pen(text, closed=closed)
    return [line(f"{name} right", chain, width), line(f"{name} left", placed(chain, flip=True), width)]


def sitting_hare(scene: Scene, at: tuple[float, float]) -> None:
    """Put the mother hare with the middle of her head `at`, 146 mm from the ear's tip to the feet."""
    for part in (_ears, _tail, _body, _hind_feet, _forelegs, _head):
        part(scene, at)
    daisy(scene, (at[0] + 13.5, at[1] - 16.5), radius=7.5, petals=9, name="ear daisy")


def _ears(scene: Scene, at: tuple[float, float]) -> None:
    ear = pen(
        "2.5,-12 3,-26 5,-42 10,-54 17,-62! 21.5,-50 22,-36 19,-23 14.5,-10! 8,-8 2.5,-12!", closed=True
    )
    inner = pen("7.5,-18 7.5,-30 10,-43 16,-53! 18,-44 17.5,-31 13.5,-17")
    scene.put(
        figure([line("ear", ear, PEN), line("inner ear", inner, FINE)], at=at),
        cover=placed(ear, at=at),
        area="ear",
    )
    scene.tint(
        placed(pen("7.5,-18 7.5,-30 10,-43 16,-53! 18,-44 17.5,-31 13.5,-17!", closed=True), at=at),
        "inner ear",
    )
    stem = pen(
        "-14,-9 -19.5,-21 -21.5,-33 -20.5,-44! -7,-45! -4,-34 -2.5,-24 -2.5,-12! -8,-8 -14,-9!", closed=True
    )
    scene.put(
        figure(
            [
                line("bent ear", stem, PEN),
                line("bent inner ear", pen("-12.5,-16 -16,-26 -17.5,-36"), FINE),
                line("bent inner ear", pen("-6.5,-18 -7,-26 -9,-35"), FINE),
            ],
            at=at,
        ),
        cover=placed(stem, at=at),
        area="ear",
    )
    flap = pen(
        "-6,-38! -6,-47 -11,-53 -19,-54 -28,-49 -35,-40 -39,-28! -32,-31 -26,-34 -20,-37 -13,-39 -6,-38!",
        closed=True,
    )
    fold = pen("-12,-45 -19,-46.5 -26,-43 -32,-36")
    scene.put(
        figure([line("ear tip", flap, PEN), line("ear tip fold", fold, FINE)], at=at),
        cover=placed(flap, at=at),
        area="ear",
    )


def _tail(scene: Scene, at: tuple[float, float]) -> None:
    text = "30,60! 33,56 37,57! 41,56 42,60! 46,62 44,66! 46,70 42,72! 40,76 36,74! 32,76 30,72!"
    chain = pen(text, closed=True)
    curls = [
        line("tail curl", pen("35,62 38,61 39,64"), FINE),
        line("tail curl", pen("36,69 39,69.5 40,67"), FINE),
    ]
    scene.put(figure([line("tail", chain, PEN), *curls], at=at), cover=placed(chain, at=at), area="tail")


def _body(scene: Scene, at: tuple[float, float]) -> None:
    half = [(13, 12), (18, 22), (21, 34), (25, 44), (32, 54), (35.5, 66), (33, 78), (26, 84.5), (12, 87)]
    left = [(-x, y) for x, y in reversed(half)]
    chain = pen(" ".join(f"{x},{y}" for x, y in [*half, *left]), closed=True)
    haunch = both("haunch", "13.5,73 12.5,62 16,52.5 24,49 29,50.5", PEN)
    hair = both("flank hair", "24.5,58 25,62 24,66", FINE) + both("flank hair", "29,61 29.3,65 28.2,69", FINE)
    hair += both("shoulder hair", "15.5,27 17,31 17.2,35", FINE)
    scene.put(
        figure([line("body", chain, PEN), *haunch, *hair], at=at), cover=placed(chain, at=at), area="body"
    )


def _hind_feet(scene: Scene, at: tuple[float, float]) -> None:
    for side, flip in (("right", False), ("left", True)):
        foot = pen("12,80 13,71.5 20,67.5 27.5,71 30,80 26,88.5 20,90 14.5,88", closed=True)
        pad = pen("15.5,82.5 20.5,79.5 25.5,82 24,86.3 17.5,86.6", closed=True)
        toes = [ring((15.6, 75.8), 1.7, 2.2), ring((20.4, 73), 1.8, 2.4), ring((25.2, 75.6), 1.7, 2.2)]
        marks = [line(f"hind foot {side}", foot, PEN), line(f"foot pad {side}", pad, FINE)]
        marks += [line(f"toe pad {side}", toe, FINE) for toe in toes]
        marks = figure(marks, flip=flip)
        scene.put(figure(marks, at=at), cover=figure(marks, at=at)[0].curves, area="foot")
        for pink in (pad, *toes):
            scene.tint(placed(placed(pink, flip=flip), at=at), "pad")


def _forelegs(scene: Scene, at: tuple[float, float]) -> None:
    for side, flip in (("left", True), ("right", False)):
        leg = pen("1,40! 1.5,56 1.5,70 0.8,79 1,85 5.5,88.5 10.8,86 12,80.5 11,74 11.5,60 14,42!")
        lid = np.concatenate([leg, pen("14,42 1,40")])
        toes = [
            line("claw", pen("4,88 4,85.4 4.6,83.4"), FINE),
            line("claw", pen("8.2,87.7 8,85.2 7.4,83.4"), FINE),
        ]
        marks = figure([line(f"foreleg {side}", leg, PEN), *toes], flip=flip)
        scene.put(figure(marks, at=at), cover=placed(placed(lid, flip=flip), at=at), area="body")
    ruff = pen(
        "-14,16! -15.5,23 -18,27! -13.5,27.5 -12,27! -12,33 -13.5,37! -8.5,36.5 -6.5,35! -5,40.5 0,46!"
        " 5,40.5 6.5,35! 8.5,36.5 13.5,37! 12,33 12,27! 13.5,27.5 18,27! 15.5,23 14,16!"
    )
    lid = np.concatenate([ruff, pen("14,16 -14,16")])
    hair = [pen("-4,27 -3.5,30.5 -1.5,33.5"), pen("4.5,26 4.2,29.5 2.5,32.5"), pen("0,34 0.3,36.5 0,39.5")]
    scene.put(
        figure([line("chest ruff", ruff, PEN), *(line("chest hair", h, FINE) for h in hair)], at=at),
        cover=placed(lid, at=at),
        area="ruff",
    )


def _head(scene: Scene, at: tuple[float, float]) -> None:
    text = (
        "0,-17.5 8,-16.8 15,-12 19,-4.5 20.5,3! 24,5 27,5.5! 24,8.5 22.5,9! 24.5,11.5 25.5,14! 21,14.5"
        " 18,15.5!"
        " 13,19.5 7,21.8 0,22.5 -7,21.8 -13,19.5 -18,15.5! -21,14.5 -25.5,14! -24.5,11.5 -22.5,9!"
        " -24,8.5 -27,5.5!"
        " -24,5 -20.5,3! -19,-4.5 -15,-12 -8,-16.8"
    )
    outline = pen(text, closed=True)
    tuft = [
        pen("-1,-17.5 -4,-13 -3.5,-8.5"),
        pen("-1,-17.5 0.5,-12.5 0.2,-7"),
        pen("-1,-17.5 3.6,-13.5 4,-9"),
    ]
    marks = [line("head", outline, PEN), *(line("forelock", t, FINE) for t in tuft)]
    scene.put(figure([*marks, *_face()], at=at), cover=placed(outline, at=at), area="head")
    for name, chain in (
        ("nose", _nose()),
        ("cheek", ring((13.6, 8.2), 3.4)),
        ("cheek", ring((-13.6, 8.2), 3.4)),
    ):
        scene.tint(placed(chain, at=at), name)


def _nose() -> Chain:
    return pen("0,4.2 3.2,4 4,5.8 2.2,8.2 0,9.4 -2.2,8.2 -4,5.8 -3.2,4", closed=True)


def _face() -> list[Mark]:
    marks = both("closed eye", "6,-1.2 8.2,1.3 11,2 13.8,1 15.6,-1.8", PEN)
    marks += both("lash", "8.2,1.3 7.4,3.9", FINE) + both("lash", "11,2 11.2,4.7", FINE)
    marks += both("lash", "13.8,1 15.2,3.4", FINE) + both("brow", "8.5,-6.6 11.2,-7.8 14,-7", FINE)
    marks += [line("nose", _nose(), PEN), line("lip", pen("0,9.4 0,12.8"), PEN)]
    marks += both("mouth", "0,12.8 2.6,15 5.6,14.8 7.4,12.8", PEN)
    marks += [line("teeth", pen("-1.9,14.6! -1.8,18 0,18.4 1.8,18 1.9,14.6!"), FINE)]
    marks += [line("teeth gap", pen("0,12.8 0,18.4"), FINE)]
    marks += both("whisker", "9,8.6 20,4.6 34,2.4", FINE) + both("whisker", "9.4,10.8 21,10.4 35,11.6", FINE)
    marks += both("whisker", "8.8,13 20,16.2 33,21", FINE)
    for side in (1, -1):
        marks += [dot("whisker root", side * x, y, 1.2) for x, y in ((5.6, 8.6), (5.9, 11.4), (7.2, 10))]
    return marks


def sleeping_leveret(scene: Scene, at: tuple[float, float]) -> None:
    """Put the leveret, 54 mm long, with the middle of its body `at`."""
    text = "-25,9 -24.5,-2 -17,-11.5 -4,-16.2 9,-15.4 20,-9.5 25.5,0 26,9 20,13.6 0,14.4 -20,13.6"
    tail = pen("24,-4! 26,-8 29,-6! 33,-6 32,-2! 35,1 32,4! 32,8 28,7! 25,9 23.5,5!", closed=True)
    scene.put(
        figure([line("leveret tail", tail, PEN)], at=at), cover=placed(tail, at=at), area="leveret tail"
    )
    body = pen(text, closed=True)
    marks = [
        line("leveret body", body, PEN),
        line("leveret haunch", arc((12.5, 3.4), (10.5, 11), 165, 330), PEN),
    ]
    scene.put(figure(marks, at=at), cover=placed(body, at=at), area="leveret body")
    foot = pen("-2,10.5 3,7.2 13,7 20,9.5 21,13 17,15.6 2,15.8 -2.5,14", closed=True)
    toes = [
        line("leveret toe", pen("-0.5,13.9 2.8,13.2"), FINE),
        line("leveret toe", pen("-0.6,11.7 2.6,11"), FINE),
    ]
    scene.put(
        figure([line("leveret foot", foot, PEN), *toes], at=at),
        cover=placed(foot, at=at),
        area="leveret body",
    )
    _leveret_head(scene, at)


def _leveret_head(scene: Scene, at: tuple[float, float]) -> None:
    far = pen("-14,-5! -7,-13.5 3,-17.5 14,-17! 8,-11 -1,-6 -9,-2!", closed=True)
    near = pen("-11,-3! -4,-9 7,-10.5 18,-6.5! 10,-1.5 0,1.6 -9,2.5!", closed=True)
    head = pen(
        "-31,5 -29.5,-1 -24.5,-5.8 -17.5,-7.8 -10.5,-5 -7,1 -8,8 -13,12.6 -21,13.6 -28,11.4", closed=True
    )
    for name, ear in (("leveret far ear", far), ("leveret near ear", near)):
        scene.put(figure([line(name, ear, PEN)], at=at), cover=placed(ear, at=at), area="leveret ear")
    scene.put(figure([line("leveret inner ear", pen("-4,-3.4 4,-5.6 11,-5.4"), FINE)], at=at))
    marks = [
        line("leveret head", head, PEN),
        line("leveret eye", pen("-23.4,0.6 -20.6,3 -17,2.2 -15.4,-0.4"), PEN),
    ]
    marks += [
        line("leveret lash", pen("-20.6,3 -21.6,5.2"), FINE),
        line("leveret lash", pen("-17,2.2 -16.2,4.6"), FINE),
    ]
    marks += [line("leveret nose", pen("-30.6,2.2 -28,2.6 -27.6,5 -30.4,6.8"), PEN)]
    marks += [line("leveret mouth", pen("-28,5.6 -26.8,9 -23.4,10.4 -20.4,9.2"), FINE)]
    marks += [
        line("leveret whisker", pen(t), FINE) for t in ("-15,5.4 -8,4.2 0,4.6", "-15,8 -8,8.6 -2.6,10.6")
    ]
    scene.put(figure(marks, at=at), cover=placed(head, at=at), area="leveret head")
