"""Oak branch, leaves and acorns of the pencil sketch, in mm."""

from __future__ import annotations

from sample_art.curves import pen, placed, ring
from sample_art.scene import Scene, figure, line

FIRM = 0.8
SOFT = 0.65
THIN = 0.5
Place = tuple[float, float]


def branch(scene: Scene) -> None:
    """Branch across the sheet, with bark, a knot, twigs, leaves and acorns."""
    for chain in (
        "36,154 33,163 26,170",
        "116,141 121,131 129,124",
        "108,147 113,156 121,163",
        "21,152 17,143 19,135",
    ):
        scene.put([line("twig", pen(chain), FIRM)])
    wood = pen(
        "0,153 24,148.6 50,148.4 78,147 104,141.4 128,131 152,122! 152,132 130,142 106,151.6 80,157.4 52,159"
        " 26,160.4 0,166!",
        closed=True,
    )
    grain = (
        "4,157.6 16,154.8 24,154.4",
        "44,152.6 50,153.6 56,153",
        "94,148.4 104,146.4 112,143",
        "114,146 124,141 136,136.4",
        "98,152 104,150 110,147.8",
        "128,136 135,132.4 144,129.4",
        "8,161.4 18,158.4 28,157.8",
        "44,156.6 52,156.2 57,156.6",
    )
    marks = [line("branch", wood, FIRM), *(line("bark", pen(g), THIN) for g in grain)]
    marks += [
        line("knot", ring((33.5, 154.4), 4.6, 2.6, turn_deg=-6), SOFT),
        line("knot", ring((33.5, 154.4), 2.0, 1.0), THIN),
    ]
    marks += [line("bark", pen("25.6,156.4 29,158.4 35,158.6 40.6,156.4"), THIN)]
    scene.put(marks, cover=wood)
    for at, size, turn in (
        ((27, 169), 1.0, 158),
        ((30, 166.6), 0.9, 92),
        ((128.6, 124.4), 0.86, -62),
        ((126, 126.4), 0.72, -128),
        ((120, 162), 1.0, 22),
        ((18.8, 136), 0.78, -70),
    ):
        oak_leaf(scene, at, size=size, turn_deg=turn)
    scene.put(
        [
            line("twig", pen("111,152 109,158 110,163"), SOFT),
            line("twig", pen("113,156 117,163 118,169"), SOFT),
        ]
    )
    acorn(scene, (110.0, 167.5), turn_deg=8)
    acorn(scene, (118.4, 173.5), turn_deg=-12, size=0.9)
    scene.put([line("twig", pen("35,158.8 42,163 44,168"), SOFT)])
    acorn(scene, (44.4, 172.5), turn_deg=-6)


def oak_leaf(scene: Scene, at: Place, *, size: float, turn_deg: float) -> None:
    """Lobed leaf with veins, growing from `at`, 27 mm long at size 1."""
    half = [
        (3, -1.8, ""),
        (5, -5.4, ""),
        (8.4, -3.4, "!"),
        (9.8, -7.8, ""),
        (13.6, -8.2, ""),
        (14.6, -4.2, "!"),
        (17.4, -8, ""),
        (21.2, -6.4, ""),
        (20.8, -3.2, "!"),
        (24.4, -4.2, ""),
    ]
    words = [f"{x},{y}{m}" for x, y, m in half] + ["27,0"] + [f"{x},{-y}{m}" for x, y, m in reversed(half)]
    outline = pen(" ".join(["0,0!", *words]), closed=True)
    veins = [pen("0,0 9,-0.4 17,0.3 23.6,0")]
    veins += [
        pen(t)
        for t in (
            "4,-0.25 5.4,-3",
            "8.6,-0.35 11.4,-5.6",
            "14.4,0 18.2,-5.2",
            "4,-0.25 5.6,2.8",
            "8.6,-0.35 11.6,5.2",
            "14.4,0 18.4,5",
        )
    ]
    marks = [line("oak leaf", outline, SOFT), *(line("vein", v, THIN) for v in veins)]
    there = figure(marks, size=size, turn_deg=turn_deg, at=at)
    scene.put(there, cover=there[0].curves)


def acorn(scene: Scene, at: Place, *, turn_deg: float = 0.0, size: float = 1.0) -> None:
    """Acorn in its cross-hatched cup, the middle of the cup's rim `at`, 17 mm long at size 1."""
    nut = pen("-4.2,-1 -4.4,5 -2.6,9 0,11.6! 2.6,9 4.4,5 4.2,-1", closed=True)
    marks = figure(
        [line("acorn", nut, SOFT), line("acorn shine", pen("-1.8,3 -1.9,5.4 -1,7.8"), THIN)], size=size
    )
    there = figure(marks, turn_deg=turn_deg, at=at)
    scene.put(there, cover=there[0].curves)
    cup = pen(
        "-5.4,0.6! -5.6,-2.6 -3,-5 0,-5.6 3,-5 5.6,-2.6 5.4,0.6! 3,1.7 0,2 -3,1.7 -5.4,0.6!", closed=True
    )
    hatch = Scene(20.0, 20.0, step=0.15)
    for shift in (-6.0, -2.4, 1.2, 4.8):
        hatch.put(
            [
                line("cup hatch", pen(f"{shift - 2.4},3 {shift + 2.4},-6"), THIN),
                line("cup hatch", pen(f"{shift + 2.4 + 1.2},3 {shift - 2.4 + 1.2},-6"), THIN),
            ]
        )
    hatch.keep_within(cup)
    there = figure(figure([line("acorn cup", cup, SOFT), *hatch.marks], size=size), turn_deg=turn_deg, at=at)
    scene.put(there, cover=placed(placed(cup, size=size), turn_deg=turn_deg, at=at))
