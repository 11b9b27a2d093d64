"""Words built by hand from a few letters of straight strokes, with advances and kerning of their own.

Import it as `from sheets.words import drawn_words, word_plan`. The alphabet's capitals are 100 units high
and stand on y = 0, y up; so a drawing of height H has H / 100 mm for each.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
from sheets.plans import DATE

from tracer.geometry import affine
from tracer.geometry.joints import find_joints
from tracer.job import Job, PieceSpec
from tracer.lettering import Lettering
from tracer.model.drawing import Drawing, Joint, Stroke
from tracer.model.marks import Letter, Marks
from tracer.model.plan import Plan
from tracer.pipeline import lay_out
from tracer.pipeline import plan as plan_of
from tracer.shop.linkage import Linkage

ALPHABET: dict[str, tuple[float, list[list[tuple[float, float]]]]] = {
    "A": (71.3, [[(5, 0), (35.65, 100), (66.3, 0)], [(15, 33), (56.3, 33)]]),
    "E": (60.7, [[(58, 100), (10, 100), (10, 0), (58, 0)], [(10, 52), (50, 52)]]),
    "I": (26.1, [[(13, 0), (13, 100)]]),
    "L": (54.9, [[(10, 100), (10, 0), (52, 0)]]),
    "M": (88.3, [[(10, 0), (10, 100), (44, 20), (78, 100), (78, 0)]]),
    "N": (74.7, [[(10, 0), (10, 100), (65, 0), (65, 100)]]),
    "T": (62.2, [[(2, 100), (60, 100)], [(31, 100), (31, 0)]]),
    "V": (68.9, [[(4, 100), (34.4, 0), (65, 100)]]),
    "j": (24.0, [[(12, 70), (12, -22), (-6, -28)]]),
}
"""For each letter its advance and its polylines."""

KERN = {
    ("A", "V"): -9.37, ("V", "A"): -9.37, ("L", "T"): -11.03, ("L", "V"): -12.71, ("T", "A"): -8.11,
    ("A", "T"): -8.11, ("L", "A"): 1.9,
}  # fmt: skip
SPACE = 31.7


def drawn_words(
    words: str, *, height: float = 50.0, tracking: float = 0.0, arc: float | None = None, **lettering: Any
) -> Drawing:
    """Return a drawing in wood mm of words, capitals `height` high, lines 1.6 capitals apart."""
    unit, strokes, letters = height / 100, [], []
    for number, line in enumerate(words.split("\n")):
        pen = 0.0
        cut = [place for place, text in enumerate(line) if text != " "]
        for place, follows in zip(cut, [*cut[1:], None], strict=True):
            between = line[place : len(line) if follows is None else follows]
            kern = KERN.get((line[place], line[follows]), 0.0) if follows == place + 1 else 0.0
            width, shape = ALPHABET[line[place]]
            advance = (width + kern + tracking + SPACE * between.count(" ")) * unit
            at = _arc(pen, arc) if arc else affine.translation(pen, 1.6 * height * number)
            place_it = affine.compose(at, np.array([[unit, 0, 0], [0, -unit, 0]]))
            points = [affine.apply(place_it, np.array(polyline)) for polyline in shape]
            own = [_stroke(len(strokes) + k, one) for k, one in enumerate(points, 1)]
            strokes += own
            letters.append(
                Letter(
                    text=line[place],
                    glyphs=(line[place],),
                    line=number,
                    origin=(float(at[0, 2]), float(at[1, 2])),
                    turn=math.atan2(at[1, 0], at[0, 0]),
                    advance=advance,
                    kern=kern * unit,
                    strokes=tuple(stroke.number for stroke in own),
                )
            )
            pen += advance
    return Drawing(
        strokes=tuple(strokes),
        joints=tuple(
            Joint(np.array(meeting.point), tuple((strokes[k].number, t) for k, t in meeting.members))
            for meeting in find_joints([(stroke.curves, stroke.closed) for stroke in strokes], 1e-3)
        ),
        size_px=(1, 1),
        mm_per_px=1.0,
        scale_source="capital height",
        name=words.replace("\n", " "),
        marks=Marks(
            tuple(letters), height, 0.0, "Bench Plain", "in the public domain",
            Lettering(words, height=height, arc=arc, **lettering),
        ),
    )  # fmt: skip


def word_plan(words: str, *, at: dict[str, Any] | None = None, height: float = 50.0, **job: Any) -> Plan:
    """Return the plan of words on a board; `at` goes to the piece, other keywords to the Job."""
    settings: dict[str, Any] = {
        "name": "Name board",
        "date": DATE,
        "board": (600.0, 200.0, 19.05),
        "linkage": Linkage(0.5),
        "pieces": (PieceSpec(art="", **(at or {})),),
    } | job
    return laid(drawn_words(words, height=height), Job(**settings))


def laid(drawing: Drawing, job: Job) -> Plan:
    """Return the plan of a drawing of words at its own size."""
    return plan_of(natural(drawing, job), job)


def natural(drawing: Drawing, job: Job) -> Any:
    """Return the layout of a drawing at its own size, not blown up to the board."""
    spec = job.pieces[0]
    x0, _, x1, _ = drawing.bounds
    sized = replace(job, pieces=(replace(spec, width=spec.width or x1 - x0),))
    return lay_out({0: drawing}, sized)


def _arc(pen: float, radius: float) -> np.ndarray:
    """Return the frame of a letter `pen` along a circle whose top is at the origin."""
    turn = pen / radius
    down, up = affine.translation(0, radius), affine.translation(0, -radius)
    return affine.compose(down, affine.rotation(turn), up)


def _stroke(number: int, points: np.ndarray) -> Stroke:
    curves = np.stack([points[:-1] + k / 3 * np.diff(points, axis=0) for k in range(4)], axis=1)
    return Stroke(number, curves, closed=False, kind="line")
