"""The web picture: a cat sails past a lighthouse; 600 x 480, drawn in px of that picture, y down."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sample_art.curves import Chain, pen, placed, ring
from sample_art.plants import polar
from sample_art.sailor import mouse, sailor
from sample_art.scene import Scene, dot, figure, line, solid

SIZE_PX = (600, 480)
MM_PER_PX = 200 / 600
BOLD = 3.0
MEDIUM = 2.2
HAIR = 1.15


def boat_picture() -> Scene:
    """The whole picture, back to front, in px; waves, horizon and clouds run past the edges."""
    scene = Scene(float(SIZE_PX[0]), float(SIZE_PX[1]), step=0.6)
    _sky(scene)
    _sea_behind(scene)
    _lighthouse(scene)
    _mast_and_sails(scene)
    mouse(scene, (386.0, 296.0))
    sailor(scene, (146.0, 268.0))
    _hull(scene)
    _waves(scene)
    return scene


def to_page(scene: Scene) -> Scene:
    """The same scene in mm of a page 200 mm wide."""
    marks = [replace(m, curves=m.curves * MM_PER_PX, width=m.width * MM_PER_PX) for m in scene.marks]
    return Scene(scene.width * MM_PER_PX, scene.height * MM_PER_PX, marks)


def _sky(scene: Scene) -> None:
    scene.put([line("sun", ring((86, 84), 36), BOLD)])
    for index in range(16):
        (a, b), (c, d) = polar(46, 22.5 * index + 6), polar(66 if index % 2 else 57, 22.5 * index + 6)
        ray = pen(f"{86 + a:.3f},{84 + b:.3f} {86 + c:.3f},{84 + d:.3f}")
        scene.put([line("ray", ray, MEDIUM if index % 2 else HAIR)])
    scene.put(
        [
            line("sun eye", pen("70,80 75,75 80,80"), MEDIUM),
            line("sun eye", pen("92,80 97,75 102,80"), MEDIUM),
        ]
    )
    scene.put(
        [
            line("sun smile", pen("72,92 79,100 88,102 97,98 101,91"), MEDIUM),
            line("sun cheek", ring((66, 91), 4), HAIR),
        ]
    )
    scene.put([line("sun cheek", ring((106, 90), 4), HAIR)])
    for text in (
        "-14,168! -10,148 10,144 20,154! 26,138 52,136 58,152! 76,146 88,158 80,170! 40,172 -14,168!",
        "614,92! 600,96 560,96 520,94! 506,84 516,68 536,72! 540,50 572,44 582,62! 592,52 606,52 616,60",
    ):
        scene.put([line("cloud", pen(text), MEDIUM)], cover=pen(text, closed=True))
    for curl in ("24,160 32,153 42,156 40,164", "548,82 552,72 564,72 566,82"):
        scene.put([line("cloud curl", pen(curl), HAIR)])
    for x, y, size in ((172, 60, 1.0), (204, 96, 0.7), (420, 70, 0.9), (448, 44, 0.6)):
        gull = pen("-26,-3 -19,-12 -9,-10 0,0! 7,-11 17,-14 28,-7")
        scene.put(figure([line("gull", gull, MEDIUM)], size=size, at=(x, y)))


def _sea_behind(scene: Scene) -> None:
    scene.put([line("horizon", pen("-12,300 612,300"), MEDIUM)])
    island = pen("-14,301! 10,284 34,280 52,290 74,287 96,301!")
    scene.put([line("far island", island, MEDIUM), line("far palm", pen("38,281 36,266 40,252"), MEDIUM)])
    for tip in (
        "40,252 30,246 22,254",
        "40,252 36,242 26,240",
        "40,252 50,244 60,252",
        "40,252 44,242 54,240",
    ):
        scene.put([line("palm leaf", pen(tip), HAIR)])


def _lighthouse(scene: Scene) -> None:
    tower = pen("482,336! 494,176! 536,176! 550,336!", closed=True)
    scene.put([line("tower", tower, BOLD)], cover=tower)
    for low, high in ((204, 230), (262, 290)):
        scene.put([solid("tower band", pen(" ".join(f"{x},{y}!" for x, y in _band(low, high)), closed=True))])
    scene.put([line("tower window", pen("509,256! 509,244 515,238 521,244 521,256!", closed=True), MEDIUM)])
    door = pen("506,336! 506,312 516,302 526,312 526,336!", closed=True)
    scene.put([solid("tower door", door)])
    gallery = pen("484,168! 546,168! 546,177! 484,177!", closed=True)
    scene.put([line("gallery", gallery, MEDIUM)], cover=gallery)
    for x in (486, 499, 531, 544):
        scene.put([line("gallery post", pen(f"{x},168 {x},150"), HAIR)])
    scene.put([line("gallery rail", pen("484,150 546,150"), HAIR)])
    room = pen("500,168! 500,136! 530,136! 530,168!", closed=True)
    scene.put([line("lamp room", room, MEDIUM)], cover=room)
    scene.put([solid("lamp", pen("508,164! 508,148 515,141 522,148 522,164!", closed=True))])
    roof = pen("494,137! 500,122 515,112 530,122 536,137!", closed=True)
    scene.put(
        [
            line("lamp roof", roof, BOLD),
            line("spike", pen("515,112 515,100"), MEDIUM),
            dot("spike ball", 515, 98, 6),
        ],
        cover=roof,
    )
    for text in ("492,144 452,134", "492,156 448,162", "538,144 612,128", "538,156 612,164"):
        scene.put([line("beam", pen(text), HAIR)])
    rock = pen(
        "438,352! 446,334 462,330 468,318 486,322! 498,332 520,334! 536,322 556,316 566,326! 584,322"
        " 600,330 616,326!"
        " 616,380! 438,380!"
    )
    lid = np.concatenate([rock, pen("438,380 438,352")])
    cracks = [
        pen("462,338 470,346 468,356"),
        pen("560,330 556,340 564,350"),
        pen("508,342 512,352"),
        pen("584,334 590,344 586,356"),
    ]
    scene.put([line("rock", rock, BOLD), *(line("rock crack", c, HAIR) for c in cracks)], cover=lid)


def _band(low: float, high: float) -> list[tuple[float, float]]:
    def left(y: float) -> float:
        return 482 + 12 * (336 - y) / 160

    def right(y: float) -> float:
        return 550 - 14 * (336 - y) / 160

    return [(left(low), low), (right(low), low), (right(high), high), (left(high), high)]


def _mast_and_sails(scene: Scene) -> None:
    for text in ("270,44 112,306", "272,44 424,288"):
        scene.put([line("stay", pen(text), HAIR)])
    jib = pen("283,70! 318,136 357,205 402,273! 340,274 284,262! 289,200 287,130 283,70!", closed=True)
    main = pen("260,56! 218,120 178,188 146,247! 200,258 259,258! 256,190 257,120 260,56!", closed=True)
    jib_seams = (
        "270,128 320,126",
        "270,178 310,174 372,164",
        "270,228 324,224 392,206",
        "270,252 340,256 420,250",
    )
    main_seams = (
        "266,102 200,110",
        "266,146 222,152 160,156",
        "266,197 222,205 140,206",
        "266,234 204,240 130,230",
    )
    for name, sail, seams in (("jib", jib, jib_seams), ("mainsail", main, main_seams)):
        cloth = Scene(scene.width, scene.height, step=scene.step)
        cloth.put([line(f"{name} seam", pen(seam), HAIR) for seam in seams])
        cloth.keep_within(sail)
        scene.put([line(name, sail, BOLD), *cloth.marks], cover=sail)
    fish = placed(
        pen("-21,0 -12,-9 1,-10 11,-2! 20,-9! 17.5,0 20,9! 11,2! 1,10 -12,9", closed=True),
        at=(216, 180),
        turn_deg=-14,
    )
    scene.put([line("sail fish", fish, MEDIUM), dot("sail fish eye", 204.6, 180.8, 4.4)], cover=fish)
    gill = placed(pen("-6,-7 -3.6,0 -6,7"), at=(216, 180), turn_deg=-14)
    scene.put([line("sail fish gill", gill, HAIR)])
    mast = pen("265,300! 266,40! 276,40! 278,300!", closed=True)
    scene.put(
        [line("mast", mast, MEDIUM), line("mast grain", pen("270.6,120 271.4,170 270.8,230"), HAIR)],
        cover=mast,
    )
    boom = pen("140,258! 268,268! 268,276! 140,265!", closed=True)
    scene.put([line("boom", boom, MEDIUM)], cover=boom)
    scene.put(
        [
            solid(
                "pennant",
                pen("276,42! 292,36 304,46 330,38! 318,47 328,57! 306,60 292,52 276,60!", closed=True),
            )
        ]
    )
    scene.put([dot("mast ball", 271, 36, 10)])


def _hull(scene: Scene) -> None:
    cabin = pen("226,312! 232,282! 336,276! 354,310!", closed=True)
    scene.put([line("cabin", cabin, BOLD)], cover=cabin)
    scene.put(
        [
            solid("cabin window", ring((258, 295), 8)),
            solid("cabin window", ring((286, 294), 8)),
            solid("cabin window", ring((314, 292), 8)),
        ]
    )
    rims = [line("window rim", ring(c, 11.5), HAIR) for c in ((258, 295), (286, 294), (314, 292))]
    scene.put([*rims, line("cabin roof", pen("222,283 282,277.4 344,275"), BOLD)])
    hull = pen(
        "98,300! 180,318 300,318 372,306 446,278! 428,326 404,366 380,410! 260,420 140,410! 118,380"
        " 104,340 98,300!",
        closed=True,
    )
    planks = [
        pen("104,336 200,352 310,352 426,330"),
        pen("110,360 200,374 310,374 410,356"),
        pen("120,382 200,392 300,393 394,382"),
    ]
    marks = [line("hull", hull, BOLD), *(line("plank", p, HAIR) for p in planks)]
    scene.put(marks, cover=hull)
    stripe = pen("99.6,311! 180,329.4 300,329.4 372,317.6 440.4,292!")
    lower = pen("436.6,303! 372,327 300,339 180,339 101.6,321!")
    scene.put(
        [
            solid(
                "hull stripe",
                np.concatenate([stripe, pen("440.4,292 436.6,303"), lower, pen("101.6,321 99.6,311")]),
            )
        ]
    )
    anchor = Scene(1, 1, step=0.4)
    anchor.put(
        [
            line("anchor ring", ring((0, -14), 3.4), HAIR),
            line("anchor", pen("0,-10.6 0,12"), MEDIUM),
            line("anchor stock", pen("-7,-5 7,-5"), MEDIUM),
            line("anchor arms", pen("-12,3 -8,10.4 0,13 8,10.4 12,3"), MEDIUM),
        ]
    )
    scene.put(figure(anchor.marks, at=(388, 350)))
    scene.put(
        [line("bowsprit", pen("444,279 478,262"), BOLD), line("bow stay", pen("478,262 404,273"), HAIR)]
    )


def _waves(scene: Scene) -> None:
    for row, (level, length, height) in enumerate(
        ((368, 74, 12), (400, 88, 15), (438, 104, 17), (474, 122, 18))
    ):
        edge = _wave_row(level, length, height, start=-70 - 31 * row)
        right, left = edge[-1, 3], edge[0, 0]
        lid = np.concatenate(
            [edge, pen(f"{right[0]},{right[1]} {right[0]},520 {left[0]},520 {left[0]},{left[1]}")]
        )
        scene.put([line("wave", edge, BOLD)], cover=lid)
        for crest in range(9):
            x = -70 - 31 * row + length * (crest + 0.42)
            ripple = pen(f"{x - 12},{level + 16} {x - 2},{level + 20} {x + 12},{level + 15}")
            scene.put([line("ripple", ripple, HAIR)])
        if row == 0:
            _leaping_fish(scene, (66.0, 378.0))


def _leaping_fish(scene: Scene, at: tuple[float, float]) -> None:
    fish = pen("-25,2 -14,-10 4,-12 19,-3! 31,-12! 28,1 34,11! 18,7! 2,11 -14,10", closed=True)
    marks = [
        line("fish", fish, MEDIUM),
        dot("fish eye", -15, -2, 4.0),
        line("fish gill", pen("-7,-7 -4,0 -7,7"), HAIR),
    ]
    marks += [line("fish fin", pen("4,-3 12,0.6 4,4"), HAIR)]
    there = figure(marks, at=at, turn_deg=38)
    scene.put(there, cover=there[0].curves)
    drops = ("40,392 34,386 33,378", "30,398 22,396 18,390", "106,392 111,386 111,378")
    scene.put([line("splash", pen(drop), HAIR) for drop in drops])


def _wave_row(level: float, length: float, height: float, *, start: float) -> Chain:
    words = []
    for index in range(int(800 / length) + 1):
        x = start + length * index
        words.append(f"{x:.3f},{level:.3f}!")
        words.append(f"{x + 0.28 * length:.3f},{level + 0.62 * height:.3f}")
        words.append(f"{x + 0.66 * length:.3f},{level + 0.2 * height:.3f}")
        words.append(f"{x + 0.90 * length:.3f},{level - 0.42 * height:.3f}")
    return pen(" ".join([*words, f"{start + length * (int(800 / length) + 1):.3f},{level:.3f}"]))
