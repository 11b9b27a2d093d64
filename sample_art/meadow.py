"""What stands about the hares: frame, moon, stars, clouds, hills, cottage, fence, bird, snail; in mm."""

from __future__ import annotations

import numpy as np

from sample_art.curves import Chain, pen, placed, ring, through
from sample_art.plants import polar
from sample_art.scene import Scene, dot, figure, line

PEN = 1.2
FINE = 1.0
FRAME = 1.4
Place = tuple[float, float]


def headboard(*, inner: bool = False) -> Chain:
    """Outline of the headboard, or the inner line 4 mm within it: straight sides, shoulders, one low arch."""
    half = "14,54.5! 22.4,50.4 31,41.4 53.6,30 98.7,17.4" if inner else "10,52! 20,47 28,38 52,26 98,13.4"
    side, floor = (14, 198) if inner else (10, 202)
    spots = [tuple(map(float, word.rstrip("!").split(","))) for word in half.split()]
    other = " ".join(f"{297 - x},{y}" for x, y in reversed(spots))
    return pen(
        f"{side},{floor}! {half} 148.5,{14 if inner else 10} {other}! {297 - side},{floor}!", closed=True
    )


def star(scene: Scene, at: Place, radius: float, turn_deg: float = 0.0) -> None:
    """Five-pointed star."""
    spots = [polar(radius * (1 if k % 2 == 0 else 0.47), -90 + turn_deg + 36 * k) for k in range(10)]
    shape = placed(pen(" ".join(f"{x:.4f},{y:.4f}!" for x, y in spots), closed=True), at=at)
    scene.put([line("star", shape, PEN)], cover=shape, area="star")


def moon(scene: Scene, at: Place) -> None:
    """Sleeping crescent in profile, looking left, 54 mm high, with a nightcap."""
    text = (
        "-9,-24! 2,-27 14,-23.5 23,-13 26,0 23,13 14,23.5 2,27 -9,24! -4.5,20.5 -2.6,16.6 -2.4,13"
        " 0.8,10.6! -0.8,9.2"
        " 0.2,7.6 3.4,7! -0.6,6.6 -1.4,4.8 0.6,3.4! -3.6,3.6 -6.6,2.4 -5.6,0 -1,-3 1.4,-6! 2.4,-12"
        " -1,-19 -9,-24!"
    )
    disc = pen(text, closed=True)
    marks = [line("moon", disc, PEN), line("moon eye", pen("5,-2.6 7.6,-0.2 11,-0.4 13,-3.2"), PEN)]
    marks += [line("moon lash", pen("7.6,-0.2 6.6,2"), FINE), line("moon lash", pen("11,-0.4 12,1.8"), FINE)]
    marks += [
        line("moon smile", pen("3.4,7 6.4,7.6 8.6,5.8"), FINE),
        line("moon brow", pen("5,-7 8,-8.8 11.6,-8"), FINE),
    ]
    marks += [line("moon cheek", ring((13, 7), 3.2), FINE)]
    scene.put(figure(marks, at=at), cover=placed(disc, at=at), area="moon")
    _nightcap(scene, at)


def _nightcap(scene: Scene, at: Place) -> None:
    cap = pen("-9,-20! -5,-31 5,-38 17,-38 27,-31 33.5,-18! 27,-22 22,-22 21,-16! 6,-21 -9,-20!", closed=True)
    marks = [line("nightcap", cap, PEN), line("nightcap fold", pen("8,-31 14,-29.5 19,-25"), FINE)]
    marks += [line("nightcap stripe", pen("2,-36.9 4.6,-29 4.4,-21.4"), FINE)]
    scene.put(figure(marks, at=at), cover=placed(cap, at=at), area="nightcap")
    band = pen(
        "-12,-21 -11,-17 -5,-16.6 6,-17.4 16,-14 21.5,-11.2 24,-14 22,-18 12,-22.4 2,-24.4 -8,-23.6",
        closed=True,
    )
    scene.put(
        figure([line("nightcap band", band, PEN)], at=at), cover=placed(band, at=at), area="nightcap band"
    )
    scene.put(
        [line("tassel string", pen(f"{at[0] + 33.5},{at[1] - 18} {at[0] + 34.6},{at[1] - 14.4}"), FINE)]
    )
    star(scene, (at[0] + 35.4, at[1] - 9), 5.4, 12)


def cloud(scene: Scene, at: Place, *, size: float = 1.0, flip: bool = False) -> None:
    """Cloud with a flat foot, 40 mm long at size 1."""
    text = (
        "-20,0! -24,-4 -20.5,-9.4 -14,-8.4! -13,-15 -4,-17.5 1.4,-11.6! 7,-15 13.4,-11 13,-5.6!"
        " 18.6,-6.6 22,-1.6 18,0!"
    )
    shape = placed(placed(pen(text, closed=True), size=size, flip=flip), at=at)
    curl = placed(placed(pen("-9,-6.6 -6.4,-9.4 -3,-8 -3.4,-5.2"), size=size, flip=flip), at=at)
    scene.put([line("cloud", shape, PEN), line("cloud curl", curl, FINE)], cover=shape, area="cloud")


def hill(scene: Scene, text: str, name: str) -> None:
    """Hill whose edge runs through the points of `text`, left to right; hides all below the edge."""
    edge = pen(text)
    right, left = edge[-1, 3], edge[0, 0]
    below = through(np.array([right, [right[0], 215.0]]))
    foot = through(np.array([[right[0], 215.0], [left[0], 215.0]]))
    above = through(np.array([[left[0], 215.0], left]))
    scene.put([line(name, edge, PEN)], cover=np.concatenate([edge, below, foot, above]), area=name)


def cottage(scene: Scene, at: Place) -> None:
    """Thatched cottage with a smoking chimney; the middle of its doorstep `at`, 30 mm wide."""
    stack = pen("6,-24! 6,-33! 11,-33! 11,-22!", closed=True)
    scene.put(figure([line("chimney", stack, PEN)], at=at), cover=placed(stack, at=at), area="chimney")
    smoke = pen("8.5,-35.5 6.5,-39 10.5,-42 9.5,-46.5 14.5,-49 19,-46 17.5,-42.4 14.2,-43.6")
    scene.put(figure([line("smoke", smoke, FINE)], at=at))
    wall = pen("-12,0.5! -12,-14! 12,-14! 12,0.5!", closed=True)
    door = pen("-2.6,0.5! -2.6,-7 0.6,-9.6 3.8,-7 3.8,0.5!")
    marks = [
        line("cottage wall", wall, PEN),
        line("cottage door", door, FINE),
        dot("door knob", 2.2, -3.6, 1.2),
    ]
    for x in (-7.4, 8.2):
        pane = pen(f"{x - 2.4},-4! {x - 2.4},-9! {x + 2.4},-9! {x + 2.4},-4!", closed=True)
        marks += [line("window", pane, FINE), line("window bar", pen(f"{x},-4 {x},-9"), FINE)]
        marks += [line("window bar", pen(f"{x - 2.4},-6.5 {x + 2.4},-6.5"), FINE)]
    scene.put(figure(marks, at=at), cover=placed(wall, at=at), area="cottage wall")
    for x in (-7.4, 8.2):
        pane = pen(f"{x - 2.4},-4! {x - 2.4},-9! {x + 2.4},-9! {x + 2.4},-4!", closed=True)
        scene.tint(placed(pane, at=at), "window")
    roof = pen(
        "-15.5,-11.4! -10,-25.4! 0,-26.4 10,-25.4! 15.5,-11.4! 11,-12.4! 7.5,-11 3.8,-12.4! 0,-11 -3.8,-12.4!"
        " -7.5,-11 -11,-12.4! -13,-11.2 -15.5,-11.4!",
        closed=True,
    )
    thatch = [
        pen("-12,-20.4! -8.6,-18.6 -5,-20.6! -1.6,-18.8 2,-20.6! 5.6,-18.8 9,-20.4!"),
        pen("-8,-16.4! -5,-15 -2,-16.4!"),
        pen("3,-16.4! 6,-15 9,-16.4!"),
    ]
    scene.put(
        figure([line("roof", roof, PEN), *(line("thatch", t, FINE) for t in thatch)], at=at),
        cover=placed(roof, at=at),
        area="roof",
    )


def tree(scene: Scene, at: Place, *, size: float = 1.0) -> None:
    """Round leafy tree, the foot of its trunk `at`, 30 mm high at size 1."""
    trunk = pen("-2.4,-10! -2.2,-3 -4,0.5! 4,0.5! 2.2,-3 2.4,-10!", closed=True)
    crown = pen(
        "-9,-9! -13.4,-11 -11.6,-15.6! -14.4,-20 -9.4,-22.4! -7.6,-28.6 -1,-26.4! 5,-30 8.6,-24.2! 13.6,-21.6"
        " 10.8,-16.6! 13.6,-11.6 8.4,-9.6! 4.4,-6.6 0.4,-9! -4,-6 -9,-9!",
        closed=True,
    )
    leaves = [
        pen("-6,-19 -4,-16.6 -1.8,-18.6"),
        pen("2.6,-21 4.8,-18.6 7,-20.8"),
        pen("0,-14.2 2.2,-12 4.4,-14"),
    ]
    for cover, marks, area in (
        (trunk, [line("trunk", trunk, PEN)], "trunk"),
        (crown, [line("crown", crown, PEN), *(line("crown leaf", c, FINE) for c in leaves)], "crown"),
    ):
        scene.put(
            figure(figure(marks, size=size), at=at), cover=placed(placed(cover, size=size), at=at), area=area
        )


def fence(scene: Scene, posts: list[float], *, top: float, start: float, end: float) -> None:
    """Two rails from x = `start` to `end` nailed to posts at the given x whose tips are at y = `top`."""
    for drop in (9.0, 24.0):
        y = top + drop
        rail = pen(
            f"{start},{y}! {(start + end) / 2},{y + 0.9} {end},{y}! {end},{y + 6}!"
            f" {(start + end) / 2},{y + 6.8} {start},{y + 6}!",
            closed=True,
        )
        span = (end - start) / 5
        grain = [
            pen(f"{x - 4},{y + 3} {x},{y + 3.6} {x + 5},{y + 3.1}")
            for x in (start + span * k for k in range(1, 5))
        ]
        scene.put(
            [line("rail", rail, PEN), *(line("rail grain", g, FINE) for g in grain)], cover=rail, area="fence"
        )
    for index, x in enumerate(posts):
        _post(scene, (x, top + 0.8 * (index % 2)))


def _post(scene: Scene, at: Place) -> None:
    board = pen("-5,44! -5,4.5! 0,-1! 5,4.5! 5,44!", closed=True)
    grain = [pen("-1.8,8 -1.1,12.4 -2,16.4"), pen("1.4,28.4 0.7,33 1.6,37"), pen("1.7,17.6 1,20.2 1.7,22.6")]
    marks = [line("post", board, PEN), *(line("post grain", g, FINE) for g in grain)]
    marks += [dot("nail", 2.4, 12, 1.3), dot("nail", -2.4, 27, 1.3)]
    scene.put(figure(marks, at=at), cover=placed(board, at=at), area="fence")


def bird(scene: Scene, at: Place) -> None:
    """Round little bird looking left, its feet `at`, 17 mm long."""
    tail = pen("7,-7! 13.5,-11.6! 15.6,-8.6! 8.5,-3.4!", closed=True)
    body = pen(
        "-8,-9 -7,-13.4 -2.4,-15.8 2.2,-13.8 5.4,-9.6 9,-6.4 8,-2.6 2.4,-0.4 -3.4,-1 -7,-4.4", closed=True
    )
    wing = pen("0.4,-9.4! 5,-9.4 9.6,-5.4! 5.4,-3.4 1.4,-4.4 0.4,-9.4!", closed=True)
    scene.put(figure([line("bird tail", tail, PEN)], at=at), cover=placed(tail, at=at), area="bird")
    beak = pen("-7.6,-12.2! -11.4,-10.4! -7.9,-9.4!")
    legs = [pen("-1,-0.9 -1.2,1.8"), pen("2,-0.6 2.2,1.8")]
    marks = [
        line("bird", body, PEN),
        line("wing", wing, FINE),
        line("beak", beak, FINE),
        dot("bird eye", -4, -11.4, 1.4),
    ]
    marks += [line("bird breast", pen("-8,-8.4 -4.2,-7.4 -2.4,-4.6 -3.4,-1"), FINE)]
    marks += [line("bird leg", leg, FINE) for leg in legs]
    scene.put(figure(marks, at=at), cover=placed(body, at=at), area="bird")


def snail(scene: Scene, at: Place) -> None:
    """Snail creeping left, the middle of its foot `at`, 28 mm long."""
    foot = pen(
        "-14,-5.4 -15.4,-8.6 -12.6,-11 -9.8,-9 -8.6,-4.4 -4,-2.8 4,-3 10,-2.4 15,0! 0,0.6 -10,0.4 -13,-1.8",
        closed=True,
    )
    horns = [pen("-13.6,-10.8 -15.4,-14.4"), pen("-11.4,-10.6 -10.8,-14.6")]
    marks = [line("snail", foot, PEN), *(line("snail horn", h, FINE) for h in horns)]
    marks += [dot("snail horn tip", -15.6, -15.2, 1.8), dot("snail horn tip", -10.7, -15.4, 1.8)]
    marks += [dot("snail eye", -13, -8.2, 1.2)]
    scene.put(figure(marks, at=at), cover=placed(foot, at=at), area="snail")
    shell = ring((2, -9.4), 8.6, 8.2)
    coil = [polar(6.6 - 0.0078 * a, 60 - a) for a in range(0, 660, 45)]
    spiral = pen("6.1,-2.2 " + " ".join(f"{2 + x:.4f},{-9.4 + y:.4f}" for x, y in coil))
    scene.put(
        figure([line("shell", shell, PEN), line("shell coil", spiral, FINE)], at=at),
        cover=placed(shell, at=at),
        area="shell",
    )


def sheep(scene: Scene, at: Place, *, flip: bool = False) -> None:
    """Woolly sheep grazing to the left, its feet `at`, 17 mm long."""
    legs = [pen(f"{x},-4! {x},0.5! {x + 2.2},0.5! {x + 2.2},-4!") for x in (-3.4, 2.6)]
    scene.put(figure(figure([line("sheep leg", leg, FINE) for leg in legs], flip=flip), at=at))
    wool = pen(
        "-6.6,-4! -9.4,-6.4 -7,-9! -6.6,-12.4 -2.4,-11.6! 0.6,-14 3.4,-11.4! 7.6,-11.6 7,-7.8! 9.4,-5 6,-3.2!"
        " 3.4,-1.2 0.8,-2.8! -2.4,-0.8 -4,-3! -5.6,-2.6 -6.6,-4!",
        closed=True,
    )
    head = pen("-6.6,-9.6 -9.6,-8.8 -11.8,-5 -10.4,-2.6 -8,-3.4 -5.8,-6.4", closed=True)
    curl = pen("1,-8.4 3,-9.4 4.4,-7.6 3,-6.2")
    for marks in (
        [line("sheep wool", wool, PEN), line("sheep curl", curl, FINE)],
        [line("sheep head", head, PEN), line("sheep ear", pen("-6.2,-9 -4,-8.4 -4.2,-6"), FINE)],
    ):
        there = figure(figure(marks, flip=flip), at=at)
        scene.put(there, cover=there[0].curves, area=marks[0].name)


def moth(scene: Scene, at: Place, *, turn_deg: float = 0.0) -> None:
    """Moth seen from above, 20 mm across."""
    wing = pen("0.8,-2.4! 4,-7.6 9.4,-8 10.6,-3.4 6.4,0! 8.6,2.6 7.4,6.2 4,6 0.8,2.2!", closed=True)
    spot = ring((6.6, -4.2), 1.5)
    marks = [line("moth wing", wing, PEN), line("moth spot", spot, FINE)]
    both = [*marks, *figure(marks, flip=True)]
    feelers = [pen("0.4,-4.6 1.4,-8 4,-10"), pen("-0.4,-4.6 -1.4,-8 -4,-10")]
    body = ring((0, 0), 1.5, 5)
    for mark in figure(figure(both, turn_deg=turn_deg), at=at):
        covers = mark.name == "moth wing"
        scene.put([mark], cover=mark.curves if covers else None, area="moth")
    marks = [line("moth body", body, PEN), *(line("feeler", f, FINE) for f in feelers)]
    scene.put(
        figure(figure(marks, turn_deg=turn_deg), at=at),
        cover=placed(body, turn_deg=turn_deg, at=at),
        area="moth",
    )
