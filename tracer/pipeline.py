"""The hall: the only module that knows all stages; `tracing` is its wing for pictures."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Literal
from weakref import WeakKeyDictionary

from tracer.art.read import png_of
from tracer.errors import JobError
from tracer.hands import meanwhile
from tracer.job import Job
from tracer.laid_out import lay_out
from tracer.lengths import quoted
from tracer.lettering import PITCH, Align, Cut, Lettering
from tracer.model.drawing import Drawing
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.model.scan import Scan
from tracer.model.sizes import Sizes
from tracer.reading import Reading
from tracer.sheets import pack
from tracer.tracing import Say, silent, traced

if TYPE_CHECKING:
    from tracer.report.build import Planner
    from tracer.report.fix import Fix

Cards = Literal["smallest"] | tuple[float, float]

_PLANNERS: WeakKeyDictionary[Drawing | Layout, "Planner"] = WeakKeyDictionary()
"""The planner of each drawing or layout in use: asked again at another depth it need not begin anew."""


def load_planner() -> None:
    """Load what planning needs, ahead of a plan."""
    import_module("tracer.report.build")


def load_writers() -> None:
    """Load what planning and writing need."""
    load_planner()
    import_module("tracer.report.curve")
    pack.load_writers()


def letter(
    words: str,
    *,
    font: str | Path = Lettering.face,
    instance: str = "",
    height: float | None = None,
    cut: Cut = "middle",
    raised: bool = False,
    align: Align = "centre",
    tracking: float = 0.0,
    pitch: float = PITCH,
    arc: float | None = None,
    say: Say = silent,
) -> Drawing:
    """Return words as a drawing, with its `marks`: where each letter stands, and how far the next.

    Parameters
    ----------
    words : the text; a line feed begins a new line.
    font : name of a face that comes with tracer, or path of a font file.
    height : of the capitals on the wood, mm; without it the drawing has no size of its own, and the
        capitals are 100 units high.
    instance, cut, raised, align, tracking, pitch, arc : as in `tracer.lettering.Lettering`.
    say : is told what is being done.

    Raises
    ------
    LetterError
        Where the font cannot be read, lacks a letter, or cannot be cut so; and for nothing to set.
    """
    lettering = Lettering(words, str(font), instance, height, cut, raised, align, tracking, pitch, arc)
    return _set(lettering, say)


def _set(lettering: Lettering, say: Say) -> Drawing:
    """Set words in their face; outlines that are cut along their middle have it found first."""
    from tracer.letters.faces import face_named
    from tracer.letters.set_words import set_words

    say(f"setting {quoted(lettering.called)}")
    face = face_named(lettering)
    if lettering.cut != "middle" or face.single:
        return set_words(lettering, face)
    from tracer.middles.middle import figures

    return set_words(lettering, face, figure_of=figures(face))


def plan(drawing: Drawing | Layout, job: Job | None = None, *, say: Say = silent) -> Plan:
    """Return what will happen in the wood; a Drawing is laid on the job's board first."""
    job = job or Job()
    say("checking grooves, islands and runs")
    layout = _laid(drawing, job)
    return _planner(drawing, layout).plan(job)


def _laid(drawing: Drawing | Layout, job: Job) -> Layout:
    """Return a drawing on the job's board, as the first of its pieces that is no border."""
    if isinstance(drawing, Layout):
        return drawing
    return lay_out({next(iter(_drawn_pieces(job)), len(job.pieces)): drawing}, job)


def _planner(drawing: Drawing | Layout, layout: Layout) -> "Planner":
    """Return what plans this layout of a drawing, the last one's where it was alike."""
    from tracer.report.build import Planner

    planner = _PLANNERS.get(drawing)
    if planner is None or not planner.layout.alike(layout):
        planner = _PLANNERS[drawing] = Planner(layout)
    return planner


def sizes(drawing: Drawing | Layout, job: Job | None = None, *, say: Say = silent) -> Sizes:
    """Return what becomes of one figure at other sizes, and with other bits and depths.

    Raises
    ------
    JobError
        For a layout of more than one piece, or a figure without size.
    """
    from tracer.report.sizes import find_sizes

    job = job or Job()
    layout = _laid(drawing, job)
    _one_piece(len(layout.pieces))
    say("looking at other sizes and bits")
    return find_sizes(layout, job)


def _one_piece(count: int) -> None:
    if count != 1:
        raise JobError(
            f"sizes are answered for one piece alone, and this job has {count}: name one picture, or a job "
            "file with one piece"
        )


def write(
    plan: Plan,
    folder: Path | str,
    *,
    force: bool = False,
    art: Mapping[int, bytes] | None = None,
    cards: Cards | None = None,
    curve: pack.Curve | None = None,
    say: Say = silent,
) -> None:
    """Write the template pack into `folder`, all of it or nothing.

    `art` are pictures of the pieces' art for the report, by piece counted from 0. `cards` adds each
    different letter of words on a card of its own, on cards of that (width, height) in mm, or on the
    smallest that hold all. `curve` tells what other sizes lose, where that is being found already.

    Raises
    ------
    OutputError
        Where the folder is in use without `force`, or cannot be written.
    JobError
        Where cards were asked for without words, or are too small for the letters or too large for
        the paper.
    """
    writer = None
    if cards is not None:
        from tracer.sheets.cards import write_cards

        size = None if cards == "smallest" else cards
        writer = partial(write_cards, alone=letter_plans(plan, say=say), size=size)
    curve = curve or _curve(plan.layout, plan.job)
    pack.write_pack(plan, Path(folder), force=force, art=art or {}, say=say, cards=writer, curve=curve)


def _curve(layout: Layout, job: Job) -> pack.Curve:
    """Return what finds what a figure loses at other sizes."""
    from tracer.report.curve import find_curve

    return partial(find_curve, layout, job)


def letter_plans(plan: Plan, *, say: Say = silent) -> tuple[Plan, ...]:
    """Return the plan of each different letter of a plan's words alone, in the order of their cards."""
    from tracer.report.build import Planner
    from tracer.sheets.card_letters import alone, card_letters

    say("planning each letter alone")
    return tuple(Planner(layout).plan(job) for layout, job in map(partial(alone, plan), card_letters(plan)))


class Work:
    """The pictures and words of jobs, traced and set once however often depth, bit or size change.

    `ahead` is called while another process traces a picture, to load what will be needed.
    """

    def __init__(
        self,
        *,
        tolerance: float | None = None,
        keep_steps: Path | None = None,
        say: Say = silent,
        ahead: Callable[[], object] = load_planner,
    ):
        self.tolerance, self.keep_steps, self.say, self.ahead = tolerance, keep_steps, say, ahead
        self._layout: Layout | None = None
        self._traced: dict[tuple[str, Reading] | Lettering, tuple[Scan | None, Drawing]] = {}

    def plan(self, job: Job) -> Plan:
        """Return the plan of a job; only what changed since the last is done again."""
        layout = self._lay_out(job)
        if self._layout is None or not self._layout.alike(layout):
            self._layout = layout
        return plan(self._layout, job, say=self.say)

    def fix(self, job: Job) -> "Fix":
        """Return which strokes to leave out and to thin out so that less runs together and less breaks."""
        from tracer.report.fixes import propose

        layout = self.plan(job).layout
        self.say("looking for what to leave out")
        return propose(_planner(layout, layout), job)

    def sizes(self, job: Job) -> Sizes:
        """Return what becomes of the picture or the words of a job at other sizes."""
        _one_piece(max(1, len(job.pieces)))
        return sizes(self._lay_out(job), job, say=self.say)

    @contextmanager
    def curve(self, job: Job) -> Iterator[pack.Curve]:
        """Find what other sizes lose in another process, for a time: planning and writing need not wait."""
        with meanwhile(_curve(self._lay_out(job), job)) as curve:
            yield curve

    def pictures(self, job: Job) -> dict[int, bytes]:
        """Return a PNG of each piece's art, by piece counted from 0; only pictures have one."""
        scans = {k: self._look_at(job, k)[0] for k in _drawn_pieces(job)}
        return {k: png_of(scan) for k, scan in scans.items() if scan is not None}

    def _lay_out(self, job: Job) -> Layout:
        if not job.pieces:
            raise JobError("Nothing to carve was named: name a picture or words, or a job file with --job.")
        return lay_out({k: self._look_at(job, k)[1] for k in _drawn_pieces(job)}, job)

    def _look_at(self, job: Job, index: int) -> tuple[Scan | None, Drawing]:
        """Read and trace the picture of one piece, or set its words, or recall them."""
        spec = job.pieces[index]
        key = spec.words or (spec.art, spec.reading)
        if key not in self._traced:
            self._traced[key] = (None, _set(spec.words, self.say)) if spec.words else self._trace(job, index)
        return self._traced[key]

    def _trace(self, job: Job, index: int) -> tuple[Scan | None, Drawing]:
        spec = job.pieces[index]
        steps = self._steps_of(job, index)
        with meanwhile(partial(traced, spec.art, spec.reading, self.tolerance, steps, self.say)) as found:
            self.ahead()
            return found()

    def _steps_of(self, job: Job, index: int) -> Path | None:
        """Return the folder for the pictures of a piece's stages: where there are several, one each."""
        pictures = [spec for spec in job.pieces if spec.art]
        if self.keep_steps is None or len(pictures) == 1:
            return self.keep_steps
        return self.keep_steps / f"{index + 1}-{Path(job.pieces[index].art).stem}"


def _drawn_pieces(job: Job) -> list[int]:
    """Return the pieces that have a drawing before they are laid out: all but borders."""
    return [k for k, spec in enumerate(job.pieces) if spec.border is None]
