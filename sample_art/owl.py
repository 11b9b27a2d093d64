"""The pencil sketch for a box lid: an owl on an oak branch before the moon; 150 x 200 mm."""

from __future__ import annotations

import numpy as np

from sample_art.curves import Chain, pen, placed, ring, through
from sample_art.oak import branch
from sample_art.plants import polar
from sample_art.scene import Mark, Scene, dot, figure, line, solid

PAGE_MM = (150.0, 200.0)
FIRM = 0.8
SOFT = 0.65
THIN = 0.5
MIDDLE = 75.0


def owl_sketch() -> Scene:
    """The whole sheet, back to front."""
    scene = Scene(*PAGE_MM)
    _night(scene)
    _tail(scene)
    branch(scene)
    _body(scene)
    _wings(scene)
    _face(scene)
    _feet(scene)
    lid = pen(
        "26,9 75,8.8 124,9 133.6,11.4 139,17 141,27 141.3,100 141,173 139,183 133.6,188.6 124,191 75,191.3"
        " 26,191 16.4,188.6 11,183 9,173 8.7,100 9,27 11,17 16.4,11.4",
        closed=True,
    )
    scene.keep_within(lid)
    scene.put([line("lid", lid, FIRM)])
    return scene


def twice(text: str, *, closed: bool = False) -> tuple[Chain, Chain]:
    """A chain in page mm and its mirror image about the owl's middle."""
    chain = pen(text, closed=closed)
    return chain, placed(chain, flip=True, at=(2 * MIDDLE, 0.0))


def whole(text: str) -> Chain:
    """Closed chain whose right half is `text` mirrored; the half runs from the middle's top to its bottom."""
    words = text.split()
    other = []
    for word in reversed(words[1:-1]):
        x, y = word.rstrip("!").split(",")
        other.append(f"{2 * MIDDLE - float(x):.4f},{y}{'!' if word.endswith('!') else ''}")
    return pen(" ".join(words + other), closed=True)


def _night(scene: Scene) -> None:
    scene.put([line("moon", ring((101.0, 58.0), 31.0), SOFT)])
    for x, y, size in ((118, 40, 3.2), (108, 74, 4.4), (121, 60, 2.2), (113.5, 52, 1.6)):
        scene.put([line("crater", ring((x, y), size, 0.86 * size, turn_deg=20), THIN)])
    for x, y, size in ((24, 34, 5.0), (33, 62, 3.4), (20, 84, 4.0), (38, 22, 3.0), (128, 98, 3.6)):
        spots = [polar(size * (1 if k % 2 == 0 else 0.3), -90 + 45 * k) for k in range(8)]
        shape = pen(" ".join(f"{x + a:.4f},{y + b:.4f}!" for a, b in spots), closed=True)
        scene.put([line("star", shape, THIN)])
    scene.put(
        [
            dot("far star", x, y, 0.9)
            for x, y in ((30, 46), (17, 58), (27, 96), (46, 18), (134, 30), (131, 86))
        ]
    )


def _tail(scene: Scene) -> None:
    for x, end, lean in ((63.5, 171, -9), (86.5, 171, 9), (68.5, 176, -4.5), (81.5, 176, 4.5), (75, 179, 0)):
        shape = pen(
            f"{x - 4},138! {x - 4.4 + lean / 2},{end - 14} {x - 3.4 + lean},{end - 3} {x + lean},{end}"
            f" {x + 3.4 + lean},{end - 3} {x + 4.4 + lean / 2},{end - 14} {x + 4},138!",
            closed=True,
        )
        bars = [
            pen(f"{x - 2.6 + lean * k},{y} {x + lean * k},{y + 1.8} {x + 2.6 + lean * k},{y}")
            for k, y in ((0.5, end - 12), (0.8, end - 7))
        ]
        scene.put(
            [line("tail feather", shape, SOFT), *(line("tail bar", b, THIN) for b in bars)], cover=shape
        )


def _body(scene: Scene) -> None:
    outline = whole(
        "75,40 66,38.6 57,34 48,24! 46.4,36 45,48 43.6,60 42.4,74 39,90 38.6,108 43,124 51,135 62,141 75,141"
    )
    scene.put([line("body", outline, FIRM)], cover=outline)
    down = Scene(*PAGE_MM, step=0.2)
    for row in range(8, -1, -1):
        y = 73.0 + 6.6 * row
        for column in range(-5, 6):
            _down_feather(down, MIDDLE + 7.4 * (column + 0.5 * (row % 2)), y, shaft=(row + column) % 2 == 0)
    down.keep_within(
        whole("75,74 62,76 52,77.5 47.6,79.4 48,85 50.6,93 55,104 56.8,116 55,130 57,137.5 64,140 75,140")
    )
    scene.put(m for m in down.marks if np.ptp(m.curves[:, (0, 3)], axis=(0, 1)).max() > 1.6)


def _down_feather(scene: Scene, x: float, y: float, *, shaft: bool) -> None:
    shape = pen("-3.9,0! -4.1,3.6 -2.7,7 0,8.8 2.7,7 4.1,3.6 3.9,0!")
    lid = np.concatenate([shape, pen("3.9,0 -3.9,0")])
    marks = [line("breast feather", shape, THIN)]
    if shaft:
        marks.append(line("breast shaft", pen("0,3.4 0.2,5 0,6.8"), THIN))
    scene.put(figure(marks, at=(x, y)), cover=placed(lid, at=(x, y)))


def _wings(scene: Scene) -> None:
    text = "44.6,76! 39.6,86 36.4,100 37,116 42,130 50,141 56.5,147! 59.4,134 60,118 58.6,102 55,89 44.6,76!"
    for flip, shape in zip((False, True), twice(text, closed=True), strict=True):
        quills = Scene(*PAGE_MM, step=0.2)
        _quills(quills)
        quills.keep_within(pen(text, closed=True))
        inner = figure(quills.marks, flip=True, at=(2 * MIDDLE, 0.0)) if flip else quills.marks
        scene.put([line("wing", shape, FIRM), *inner], cover=shape)


def _quills(scene: Scene) -> None:
    for tip_x, tip_y, root_x in ((54.6, 142, 52.6), (49, 136.4, 47.6), (44, 130, 42.8)):
        shape = pen(
            f"{root_x - 3.6},106! {tip_x - 4.6},{tip_y - 9} {tip_x - 2.6},{tip_y - 1.4} {tip_x},{tip_y}"
            f" {tip_x + 1.6},{tip_y - 8} {root_x + 3.6},106!",
            closed=True,
        )
        shaft = pen(
            f"{root_x},108 {(root_x + tip_x) / 2 - 0.9},{(106 + tip_y) / 2} {tip_x - 0.6},{tip_y - 3}"
        )
        scene.put([line("quill", shape, SOFT), line("quill shaft", shaft, THIN)], cover=shape)
    for row in range(3, -2, -1):
        y, size = 80 + 8.6 * row, 1.0 + 0.1 * row
        for column in range(-2, 3):
            x = 47.5 + 7.6 * size * (column + 0.5 * (row % 2)) + 0.9 * row
            shape = placed(pen("-3.9,0! -4.2,4 -2.8,8.4 0,10.6 2.8,8.4 4.2,4 3.9,0!"), size=size, at=(x, y))
            lid = np.concatenate([shape, placed(pen("3.9,0 -3.9,0"), size=size, at=(x, y))])
            shaft = placed(pen("0,2.6 0.2,5.4 0,8"), size=size, at=(x, y))
            scene.put([line("covert", shape, SOFT), line("covert shaft", shaft, THIN)], cover=lid)


def _face(scene: Scene) -> None:
    disc = whole("75,51 69,46 60,45 51.6,49.6 47.6,59 49.4,70 56,78 65,81.6 71,80.6 75,77.6!")
    scene.put([line("face", disc, FIRM)], cover=disc)
    for side in (-1, 1):
        scene.put(_eye(MIDDLE + side * 12.6, 62.0, side))
    brow = whole("75,49.6! 69,44 60,39.6 53.4,33.4 49.4,26.6! 51.6,36 57.6,44.6 66,51 75,58.6!")
    scene.put([line("brow", brow, SOFT)], cover=brow)
    for fluff in ("75,42.4 74.2,45 75,48", "71.6,41.6 71,43.4 71.4,45.4", "78.4,41.6 79,43.4 78.6,45.4"):
        scene.put([line("forehead", pen(fluff), THIN)])
    beak = whole("75,62.4! 71.8,66 71.4,71 75,78.6!")
    scene.put([line("beak", beak, SOFT), line("beak ridge", pen("75,66 75.3,70 75,74"), THIN)], cover=beak)
    scene.put([dot("nostril", 73.2, 67.4, 0.8), dot("nostril", 76.8, 67.4, 0.8)])


def _eye(x: float, y: float, side: int) -> list[Mark]:
    pupil = pen(
        "-3.6,0 -2.5,2.7 0,3.7 2.7,2.5 3.7,0! 1.9,-0.2 0.9,-1.6 1.2,-3.5! -1.4,-3.4 -3,-2", closed=True
    )
    marks = [line("eye", ring((x, y), 9.0), FIRM), line("iris", ring((x, y), 6.4), SOFT)]
    marks += [solid("pupil", placed(pupil, at=(x, y)))]
    for angle in (*range(0, 140, 20), *range(240, 360, 20)):
        spots = np.array([polar(10.8, angle), polar(13.4 + 0.7 * (angle // 20 % 2), angle + 3)]) * (side, 1)
        marks.append(line("face feather", placed(through(spots), at=(x, y)), THIN))
    return marks


def _feet(scene: Scene) -> None:
    for middle in (65.5, 84.5):
        for lean in (-4.6, 4.6, 0.0):
            root, knuckle, tip = (middle + lean * share for share in (0.6, 1.0, 1.1))
            toe = pen(
                f"{root - 2.4},141.6 {knuckle - 2.7},147 {tip - 1.6},151.4 {tip},152"
                f" {tip + 1.6},151.4 {knuckle + 2.7},147 {root + 2.4},141.6",
                closed=True,
            )
            claw = placed(pen("-1.5,-0.8! -1.2,2.4 0.3,5! 1.2,2.4 1.5,-0.8!"), at=(tip, 152))
            wrinkle = placed(pen("-1.4,0 0,0.7 1.4,0"), at=(knuckle, 147.2))
            scene.put([line("toe", toe, SOFT), line("toe wrinkle", wrinkle, THIN)], cover=toe)
            scene.put([line("claw", claw, SOFT)])
        fluff = pen(
            "-5.6,-6! -7.8,-1 -6.6,3! -5.2,0.6 -4,0! -3.6,3 -1.4,4.6! 0,2.4 0.6,1! 1.6,3.6 3.8,4.2!"
            " 4.4,1.6 4.8,0!"
            " 6.4,1.6 7.6,2.4! 8.9,-1 8.6,-4.4!"
        )
        flip, at = middle > MIDDLE, (middle, 141.4)
        lid = placed(np.concatenate([fluff, pen("8.6,-4.4 -5.6,-6")]), flip=flip, at=at)
        scene.put(figure([line("leg down", fluff, SOFT)], flip=flip, at=at), cover=lid)
