"""A small plan built by hand: a kite on a string, a smile inside it, a whisker that is too thin.

Import it as `from sheets.plans import small_plan`.
"""

import datetime
import math
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.acts import Acts, Join
from tracer.geometry import affine, bezier
from tracer.job import Job
from tracer.model.drawing import Drawing, Joint, Stroke
from tracer.model.finding import Finding
from tracer.model.layout import Board, Layout, Piece
from tracer.model.plan import DepthStop, Dropped, Groove, Island, Land, Leg, Plan, Run, Totals
from tracer.shop.linkage import Linkage

Array = NDArray[np.float64]

GROOVE = 1.8331
DEPTH = 1.5875
MM_PER_PX = 0.2
DATE = datetime.date(2026, 11, 25)


def oval(cx: float, cy: float, rx: float, ry: float) -> Array:
    """Return a closed chain of four cubics, from its top clockwise, within 0.03 % of an ellipse."""
    k = 4 / 3 * math.tan(math.pi / 8)
    quarter = np.array([[0.0, -1.0], [k, -1.0], [1.0, -k], [1.0, 0.0]])
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]])
    chain = [quarter]
    for _ in range(3):
        chain.append(chain[-1] @ turn)
    return np.array(chain) * [rx, ry] + [cx, cy]


def strokes() -> tuple[Stroke, ...]:
    """Strokes 1-6 in art pixels: ring, string, bow, smile, whisker (thin), eye (a dot)."""
    thick, thin = np.full(3, 6.0), np.full(3, 1.0)
    string = np.array([[[300, 260], [320, 290], [280, 330], [300, 360]]], float)
    left, right = (
        [[220, 380], [250, 360], [280, 360], [300, 360]],
        [[300, 360], [320, 360], [350, 360], [380, 380]],
    )
    bow = np.array([left, right], float)
    smile = np.array([[[250, 150], [270, 190], [330, 190], [350, 150]]], float)
    whisker = np.array([[[420, 120], [450, 110], [480, 110], [510, 118]]], float)
    return (
        Stroke(1, oval(300, 150, 180, 110), closed=True, kind="line", widths=thick),
        Stroke(2, string, closed=False, kind="line", widths=thick),
        Stroke(3, bow, closed=False, kind="line", widths=thick),
        Stroke(4, smile, closed=False, kind="line", widths=thick),
        Stroke(5, whisker, closed=False, kind="line", widths=thin),
        Stroke(6, bezier.dot(np.array([300.0, 100.0])), closed=False, kind="dot", widths=np.array([8.0])),
    )


def small_plan(
    *,
    name: str = "Kite sign",
    art: str = "kite.png",
    board: tuple[float, float, float] = (140.0, 100.0, 19.05),
    scale: float = 1.0,
    grain_deg: float = 0.0,
    declared: bool = True,
    **job: Any,
) -> Plan:
    """Return a plan of 6 strokes: three runs (the last retraces half the bow), stroke 5 dropped.

    The figure is 78 x 68 mm between outermost middles (120..510 by 40..380 px at 0.2 mm),
    times `scale`, its top left at (20, 12) on the board; other keywords go to the Job.
    """
    settings: dict[str, Any] = {
        "name": name,
        "date": DATE,
        "board": board,
        "grain_deg": grain_deg,
        "linkage": Linkage(0.5, None),
    } | job
    drawing = Drawing(
        strokes=strokes(),
        joints=(
            Joint(np.array([300.0, 260.0]), ((1, 2.0), (2, 0.0))),
            Joint(np.array([300.0, 360.0]), ((2, 1.0), (3, 1.0))),
        ),
        size_px=(600, 450),
        mm_per_px=MM_PER_PX,
        scale_source="the picture's own 127 dpi",
        line_width=6.0,
        tolerance=0.5,
        name=art,
        sha256="ab" * 32,
        notes=("turned upright",),
    )
    size = MM_PER_PX * scale
    to_board, to_origin = affine.translation(20.0, 12.0), affine.translation(-120.0, -40.0)
    matrix = affine.compose(to_board, affine.scaling(size), to_origin)
    wood = Board(*board, wood="pine", grain_deg=grain_deg, declared=declared)
    return _plan(Layout(wood, (Piece(drawing, matrix, art),)), Job(**settings))


def _plan(layout: Layout, job: Job) -> Plan:
    """Return the plan for the layout of `small_plan`."""
    shape = {stroke.number: stroke.curves for stroke in layout.strokes}
    ring, string, bow, smile, eye = (shape[n] for n in (1, 2, 3, 4, 6))
    runs = (
        Run(1, 2, (Leg(4, 0, 1, False, smile),)),
        Run(2, 3, (Leg(6, 0, 1, False, eye),)),
        Run(
            3,
            1,
            (
                Leg(1, 2, 6, False, np.roll(ring, -2, axis=0)),
                Leg(2, 0, 1, False, string),
                Leg(3, 1, 0, False, bezier.reverse(bow[:1])),
                Leg(3, 0, 1, True, bow[:1]),
                Leg(3, 1, 2, False, bow[1:]),
            ),
        ),
    )
    everything = np.concatenate([run.curves for run in runs])
    retraced = bezier.length(bow[:1])
    carving = bezier.length(everything)
    return Plan(
        layout=layout,
        job=job,
        grooves=tuple(Groove(n, DEPTH, GROOVE) for n in (1, 2, 3, 4, 6)),
        dropped=(
            Dropped(
                5,
                "stroke too thin",
                _at(shape[5]),
                0.2,
                GROOVE,
                0.4,
                "make the carving at least 1.1 m wide, or cut less deep",
            ),
        ),
        lands=(Land((1, 4), _at(smile), 2.1, 3.0, 12.0),),
        islands=(
            Island(1, "enclosed strokes", _at(smile), (20.0, 6.0), (4,), (1,)),
            Island(2, "standing wood", _at(ring), (70.0, 42.0), (), (1,)),
        ),
        runs=runs,
        strokes=layout.strokes,
        stops=(DepthStop(1, DEPTH, job.bit.width_at(DEPTH), (DEPTH,)),),
        totals=Totals(
            plunges=3,
            plunges_with_passes=3,
            plunges_with_retracing=3,
            plunges_without_retracing=4,
            passes=1,
            carving_length=carving - retraced,
            template_length=(carving - retraced) / job.ratio,
            retraced=retraced,
            time_low=carving / job.ratio / 20 + 30,
            time_high=carving / job.ratio / 10 + 30,
        ),
        findings=(
            Finding(
                "stroke too thin",
                "loss",
                "Stroke 5 is drawn 0.2 mm wide; its groove would be 1.8 mm, so it is left out.",
                (5,),
                _at(shape[5]),
                0.2,
                0.4,
                "Make the carving larger or the groove narrower.",
            ),
            Finding(
                "wood between too thin",
                "risk",
                "Between strokes 1 and 4 stand 2.1 mm of wood; pine asks for 3.0 mm.",
                (1, 4),
                _at(smile),
                2.1,
                3.0,
                "Cut less deep, or make the carving larger.",
            ),
            Finding(
                "ratio not measured",
                "note",
                "The ratio 1:2 is assumed, not measured.",
                remedy="Trace a line of known length.",
            ),
        ),
    )


def _at(curves: Array) -> tuple[float, float]:
    """Return a place on the chain as a pair."""
    x, y = bezier.points_at(curves, np.array([0.5]))[0]
    return float(x), float(y)


def with_passes(plan: Plan, *depths: float) -> Plan:
    """Return the plan with one depth stop of these passes."""
    return replace(plan, stops=(replace(plan.stops[0], depth=depths[-1], pass_depths=depths),))


def with_stops(plan: Plan) -> Plan:
    """Return the small plan with three stops: the ring, string and bow at 1, the smile at 2, the eye at 3."""
    bit, of_stroke = plan.job.bit, {4: 2, 6: 3}
    stops = tuple(
        DepthStop(number, depths[-1], bit.width_at(depths[-1]), depths)
        for number, depths in ((1, (1.7, 2.4)), (2, (1.6,)), (3, (0.8,)))
    )
    grooves = tuple(
        Groove(groove.stroke, stop.depth, stop.width, stop.number)
        for groove in plan.grooves
        for stop in (stops[of_stroke.get(groove.stroke, 1) - 1],)
    )
    runs = tuple(replace(run, stop=of_stroke.get(run.legs[0].stroke, 1)) for run in plan.runs)
    totals = replace(plan.totals, passes=2, plunges_with_passes=4, removed_ml=1.25)
    return replace(
        plan, job=replace(plan.job, stops=3), stops=stops, grooves=grooves, runs=runs, totals=totals
    )


def with_break(plan: Plan) -> Plan:
    """Return the plan with its standing wood, island 2, too thin to stand."""
    part, wood = plan.islands
    wood = replace(wood, where=(56.0, 34.0), area=12.5, widest=2.2, least=4.5)
    return replace(plan, islands=(part, wood))


def with_join(plan: Plan) -> Plan:
    """Return the plan with stroke 7, which joins the bow's end to the whisker's start and is not cut."""
    ends = {stroke.number: stroke.curves for stroke in plan.strokes}
    start, end = ends[3][-1, 3], ends[5][0, 0]
    join = Stroke(7, np.linspace(start, end, 4)[None], closed=False, kind="line", widths=np.full(2, 1.0))
    acts = Acts(leave_out=(7,), join=(Join(3, "end", 5, "start"),))
    where = tuple(float(x) for x in (start + end) / 2)
    gone = Dropped(7, "left out by you", (where[0], where[1]), 1.0, GROOVE, 2.0, "")
    return replace(
        plan,
        job=replace(plan.job, acts=acts),
        strokes=(*plan.strokes, join),
        dropped=(*plan.dropped, gone),
    )
