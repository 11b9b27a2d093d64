"""The colouring page for a headboard: hares in a meadow under a sleeping moon; A4 landscape, mm."""

from __future__ import annotations

from sample_art.crayon import Rubbing
from sample_art.curves import Chain, pen
from sample_art.hare import sitting_hare, sleeping_leveret
from sample_art.meadow import (
    FRAME,
    bird,
    cloud,
    cottage,
    fence,
    headboard,
    hill,
    moon,
    moth,
    sheep,
    snail,
    star,
    tree,
)
from sample_art.plants import daisy, grass, leaf, mushroom, seeds, stem, tulip
from sample_art.scene import Scene, line

PAGE_MM = (297.0, 210.0)
RUBBINGS = (
    Rubbing("sky", "light blue", -38, stop_x=118, press=0.62, spacing=1.8),
    Rubbing("sky", "light blue", -52, start_x=150, stop_x=200, press=0.5, spacing=2.0),
    Rubbing("moon", "yellow", 62),
    Rubbing("star", "yellow", 20, stop_x=232),
    Rubbing("nightcap", "orange", -30, stop_x=238),
    Rubbing("nightcap band", "pink", 80),
    Rubbing("far hill", "green", -20, press=0.7),
    Rubbing("meadow", "green", 12, stop_x=100, press=0.62, spacing=1.8),
    Rubbing("near meadow", "green", 70, stop_x=66, press=0.8),
    Rubbing("near meadow", "green", 48, start_x=66, stop_x=104, press=0.5, spacing=2.1),
    Rubbing("roof", "orange", 8, press=0.9),
    Rubbing("window", "yellow", 45, stop_x=52),
    Rubbing("crown", "green", 35, stop_x=92, press=0.85),
    Rubbing("head", "orange", 28, press=0.6),
    Rubbing("ear", "orange", 75, press=0.6),
    Rubbing("body", "orange", 64, stop_x=121, press=0.6, spacing=1.7),
    Rubbing("foot", "orange", -40, stop_x=121, press=0.6),
    Rubbing("inner ear", "pink", 78, press=0.9),
    Rubbing("nose", "pink", 10, press=1.0, spacing=1.2),
    Rubbing("cheek", "pink", -50, press=0.9, spacing=1.2),
    Rubbing("pad", "pink", 20, stop_x=121, press=0.95, spacing=1.2),
    Rubbing("ear daisy", "yellow", 50, press=0.8),
    Rubbing("daisy", "pink", -62, stop_x=70, press=0.85),
    Rubbing("daisy eye", "yellow", 30, stop_x=70, press=1.0, spacing=1.2),
    Rubbing("tulip", "orange", 84, stop_x=110, press=0.85),
    Rubbing("leaf", "green", 35, stop_x=72, press=0.9),
    Rubbing("bird", "light blue", 25, press=0.85),
    Rubbing("shell", "pink", -25, stop_x=172, press=0.85),
)


def hare_page() -> Scene:
    """The whole page, back to front."""
    scene = Scene(*PAGE_MM)
    _sky(scene)
    _land(scene)
    sitting_hare(scene, (124.0, 91.0))
    sleeping_leveret(scene, (206.0, 163.0))
    _foreground(scene)
    scene.keep_within(headboard(inner=True))
    scene.put([line("frame", headboard(), FRAME), line("inner frame", headboard(inner=True), FRAME)])
    return scene


def _sky(scene: Scene) -> None:
    scene.tint(headboard(inner=True), "sky")
    moon(scene, (213.0, 71.0))
    for x, y, radius, turn in (
        (62, 49, 6.2, 8),
        (183, 33, 4.6, -12),
        (181, 74, 5.4, 14),
        (264, 66, 4.6, 0),
        (38, 66, 4.2, -10),
        (78, 73, 4.2, 15),
        (161, 55, 3.8, 20),
    ):
        star(scene, (x, y), radius, turn)
    scene.put(
        seeds(
            [(50, 62), (73, 58), (171, 44), (192, 53), (252, 78), (174, 84), (26, 78), (90, 60), (196, 92)],
            1.6,
        )
    )
    cloud(scene, (240.0, 101.0), size=0.85)
    cloud(scene, (104.0, 33.0), size=0.8, flip=True)


def _land(scene: Scene) -> None:
    hill(scene, "0,122 24,111 50,106 76,110 104,122 130,138", "far hill")
    cottage(scene, (52.0, 107.5))
    tree(scene, (77.0, 111.5), size=0.85)
    tree(scene, (27.0, 111.5), size=0.65)
    scene.put([line("path", _path(0.0), 1.0), line("path", _path(3.6), 1.0)])
    hill(scene, "112,142 150,126 190,114 226,109 262,112 297,122", "right hill")
    tree(scene, (268.0, 114), size=0.9)
    tree(scene, (203.0, 111.8), size=0.55)
    sheep(scene, (229.0, 121.0))
    sheep(scene, (186.0, 132.0), flip=True)
    hill(scene, "0,138 40,133 84,138 150,149 220,141 297,132", "meadow")
    fence(scene, [26.0, 49.0, 72.0], top=130.0, start=0.0, end=84.0)
    bird(scene, (49.0, 128.0))
    fence(scene, [229.0, 251.0, 273.0], top=124.0, start=218.0, end=297.0)
    hill(scene, "0,166 50,160 110,164 170,160 230,157 297,163", "near meadow")
    moth(scene, (172.0, 108.0), turn_deg=24)


def _path(shift: float) -> Chain:
    return pen(f"{50.2 + shift},108.6 {52 + shift * 1.3},114 {47 + shift * 1.6},121 {51 + shift * 2.2},135")


def _foreground(scene: Scene) -> None:
    stem(scene, "32,196 31,188 33,179")
    leaf(scene, (31.6, 190.0), length=11, turn_deg=-28)
    leaf(scene, (31.4, 192.0), length=10, turn_deg=-150)
    daisy(scene, (33.0, 172.5), radius=9, petals=10)
    stem(scene, "57,197 58,190 56,183")
    leaf(scene, (57.6, 192.0), length=10, turn_deg=-38)
    daisy(scene, (56.0, 178.0), radius=7.4, petals=9, turn_deg=4)
    stem(scene, "80,198 79,190 81,183")
    leaf(scene, (79.4, 193.0), length=13, turn_deg=-118)
    leaf(scene, (79.4, 194.0), length=12, turn_deg=-58)
    tulip(scene, (81.0, 184.0), size=1.0, turn_deg=4)
    mushroom(scene, (264.0, 191.0), size=1.05)
    mushroom(scene, (277.5, 195.0), size=0.62, flip=True)
    snail(scene, (172.0, 192.0))
    stem(scene, "236,197 237,191 235.6,186")
    leaf(scene, (236.6, 194.0), length=9, turn_deg=-150)
    daisy(scene, (235.4, 183.0), radius=6.6, petals=8, turn_deg=0)
    stem(scene, "246.6,197 246.2,193 247,190")
    tulip(scene, (247.2, 190.5), size=0.72, turn_deg=6)
    for x, y, size, flip in (
        (20, 183, 1.0, False),
        (45, 193, 0.9, True),
        (97, 192, 1.0, False),
        (148, 190, 1.1, True),
        (197, 193, 1.0, False),
        (276, 172, 0.9, False),
        (189, 184, 0.7, True),
    ):
        grass(scene, (x, y), size=size, flip=flip)
    scene.put(
        seeds([(69, 189), (112, 193), (134, 194), (210, 187), (217, 194), (157, 183), (268, 171), (90, 178)])
    )
