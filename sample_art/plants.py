"""Flowers, grass and mushrooms for the colouring page, in mm."""

from __future__ import annotations

import math

import numpy as np

from sample_art.curves import Chain, pen, placed, ring
from sample_art.scene import Mark, Scene, dot, figure, line

PEN = 1.2
FINE = 1.0
Place = tuple[float, float]


def polar(radius: float, angle_deg: float) -> Place:
    """Point at `radius`, `angle_deg` clockwise from the x axis."""
    return radius * math.cos(math.radians(angle_deg)), radius * math.sin(math.radians(angle_deg))


def lobes(radius: float, count: int, *, notch: float, turn_deg: float = 0.0) -> Chain:
    """Closed outline of `count` round lobes with corners between them at `notch` times the radius."""
    words = []
    step = 360 / count
    for index in range(count):
        start = turn_deg + index * step
        for share, size in ((0.22, 0.92), (0.5, 1.0), (0.78, 0.92)):
            words.append((*polar(radius * size, start + share * step), ""))
        words.append((*polar(radius * notch, start + step), "!"))
    return pen(" ".join(f"{x:.4f},{y:.4f}{mark}" for x, y, mark in words), closed=True)


def daisy(
    scene: Scene, at: Place, *, radius: float, petals: int, name: str = "daisy", turn_deg: float = 10
) -> None:
    """Daisy head: one lobed outline, a line between petals, a round eye."""
    outline = lobes(radius, petals, notch=0.72, turn_deg=turn_deg)
    eye = 0.33 * radius
    marks = [line(f"{name} petals", outline, PEN)]
    for index in range(petals):
        angle = turn_deg + index * 360 / petals
        spoke = np.array([polar(0.72 * radius, angle), polar(eye, angle)])
        marks.append(line(f"{name} petal line", pen(" ".join(f"{x:.4f},{y:.4f}" for x, y in spoke)), FINE))
    marks.append(line(f"{name} eye", ring((0, 0), eye), PEN))
    scene.put(figure(marks, at=at), cover=placed(outline, at=at), area=name)
    scene.tint(ring(at, eye), f"{name} eye")


def leaf(scene: Scene, at: Place, *, length: float, turn_deg: float, name: str = "leaf") -> None:
    """Pointed leaf with a midrib, growing from `at`."""
    outline = pen("0,0! 3,-2.6 7,-2.2 10,0! 7,2 3,2.2 0,0!", closed=True)
    size = length / 10
    shape = placed(outline, size=size, turn_deg=turn_deg, at=at)
    rib = placed(pen("0,0 4,-0.3 6.8,0"), size=size, turn_deg=turn_deg, at=at)
    scene.put([line(name, shape, PEN), line(f"{name} rib", rib, FINE)], cover=shape, area="leaf")


def stem(scene: Scene, text: str, name: str = "stem") -> None:
    """Flower stalk."""
    scene.put([line(name, pen(text), PEN)])


def tulip(scene: Scene, at: Place, *, size: float = 1.0, turn_deg: float = 0.0) -> None:
    """Tulip cup of three petals, its foot `at`, 17 mm high at size 1."""
    cup = pen(
        "0,0 5.5,-2 7.2,-8 6.4,-16! 3.2,-12.4! 0,-17.5! -3.2,-12.4! -6.4,-16! -7.2,-8 -5.5,-2", closed=True
    )
    petal = pen("-3.2,-12.4 -4,-8 -3,-3.5 0,0 3,-3.5 4,-8 3.2,-12.4")
    marks = figure([line("tulip", cup, PEN), line("tulip petal", petal, FINE)], size=size, turn_deg=turn_deg)
    scene.put(figure(marks, at=at), cover=placed(marks[0].curves, at=at), area="tulip")


def grass(scene: Scene, at: Place, *, size: float = 1.0, flip: bool = False) -> None:
    """Tuft of four blades, its foot `at`, 9 mm high at size 1."""
    blades = (
        "-3.4,0 -3.8,-3.4 -6,-6.4",
        "-1.4,0 -1.6,-4.6 -2.8,-8.6",
        "0.6,0 1,-5 3,-9.4",
        "2.4,0 3.2,-3 5.8,-5.6",
    )
    marks = [line("grass", pen(blade), PEN) for blade in blades]
    scene.put(figure(figure(marks, size=size, flip=flip), at=at))


def mushroom(scene: Scene, at: Place, *, size: float = 1.0, flip: bool = False) -> None:
    """Spotted toadstool, its foot `at`, 22 mm high at size 1."""
    foot = pen("-3.2,-11! -3.4,-5 -4.4,0 0,1.2 4.4,0 3.4,-5 3.2,-11!", closed=True)
    cap = pen(
        "-11,-10.5! -9.5,-17 -4.5,-21.4 0.5,-22 6,-20.6 10.5,-16 11.4,-10.5! 6,-8.6 0,-8 -6,-8.8 -11,-10.5!",
        closed=True,
    )
    frill = pen("-3.5,-6.2! -1.8,-4.6 0,-6! 1.8,-4.6 3.5,-6.2!")
    spots = [ring((-4.6, -15.6), 2.1, 1.8), ring((2, -18), 2.2, 1.9), ring((6.6, -13.4), 1.8, 1.6)]
    put = [
        (foot, [line("toadstool foot", foot, PEN), line("toadstool frill", frill, FINE)], "toadstool foot")
    ]
    put += [
        (
            cap,
            [line("toadstool cap", cap, PEN), *(line("toadstool spot", s, FINE) for s in spots)],
            "toadstool",
        )
    ]
    for cover, marks, area in put:
        scene.put(
            figure(figure(marks, size=size, flip=flip), at=at),
            cover=placed(placed(cover, size=size, flip=flip), at=at),
            area=area,
        )


def seeds(places: list[Place], width: float = 1.3) -> list[Mark]:
    """Dots in the grass."""
    return [dot("seed", x, y, width) for x, y in places]
