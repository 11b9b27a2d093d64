"""The different letters of words, each once: what a set of cards is made of. Wood mm."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from tracer.acts import Acts
from tracer.geometry import affine
from tracer.job import Job
from tracer.model.drawing import Drawing, Joint, Stroke
from tracer.model.layout import Layout
from tracer.model.plan import Plan
from tracer.sheets.placement import PlacedLetter, pieces_of_words, placed_letters, placed_lines

_ALIKE = 0.005
"""mm on the wood within which two letters begin at one mark."""


@dataclass(frozen=True)
class Follower:
    """Where letters begin that follow one: (x, y) from its origin, upright, y down; `turn` against its own.

    Attributes
    ----------
    x, y, turn : y and turn are 0 on a straight line; x is the advance, kerning and spaces included.
    letters : the letters that follow there.
    name : their names; where a letter follows at several marks, with its places in the order of letters.
    """

    x: float
    y: float
    turn: float
    letters: tuple[PlacedLetter, ...]
    name: str = ""


@dataclass(frozen=True)
class CardLetter:
    """One different letter: the places it stands in, in order, and the marks of what follows it.

    `name` is what it is called; of several that are called alike each has a number, as "e·2".
    """

    places: tuple[PlacedLetter, ...]
    followers: tuple[Follower, ...]
    name: str

    @property
    def first(self) -> PlacedLetter:
        """The letter whose strokes it has."""
        return self.places[0]


def card_letters(plan: Plan) -> tuple[CardLetter, ...]:
    """Return the different letters in the order of their first use.

    Letters are one where text, glyphs, face, size and way of cutting are; which strokes are left out
    is as in the first of them.
    """
    marks = {index: marks for index, _, marks in pieces_of_words(plan)}
    following = {a.number: b for line in placed_lines(plan) for a, b in pairwise(line.letters)}
    alike: dict[tuple[object, ...], list[PlacedLetter]] = {}
    for one in placed_letters(plan):
        how = marks[one.piece]
        set_as = (how.face, how.lettering.instance, how.lettering.cut, how.lettering.raised)
        alike.setdefault((one.text, one.glyphs, *set_as, round(one.height, 6)), []).append(one)
    names = _card_names([places[0].name for places in alike.values()])
    called = {one.number: name for name, places in zip(names, alike.values(), strict=True) for one in places}
    return tuple(
        CardLetter(tuple(places), _followers(places, following, called), name)
        for name, places in zip(names, alike.values(), strict=True)
    )


def _card_names(names: Sequence[str]) -> list[str]:
    """Number the names that stand on several cards: their letters look different."""
    return [
        name if names.count(name) == 1 else f"{name}·{names[: k + 1].count(name)}"
        for k, name in enumerate(names)
    ]


def alone(plan: Plan, letter: CardLetter) -> tuple[Layout, Job]:
    """Return a letter alone and upright, its origin where it is on the board, and the job for it.

    Its strokes keep their numbers in the plan, and what was decided about them. What is cleared inside
    of it is on its card; the ground round letters that stand is no letter's own.
    """
    first, own = letter.first, set(letter.first.strokes)
    piece, offset = plan.layout.pieces[first.piece], plan.layout.offsets[first.piece]
    x, y = first.origin
    about = (affine.translation(x, y), affine.rotation(-first.turn), affine.translation(-x, -y))
    drawing = _own(piece.drawing, own, offset, name=letter.name)
    upright = replace(piece, drawing=drawing, matrix=affine.compose(*about, piece.matrix), name=letter.name)
    return Layout(plan.layout.board, (upright,)), replace(plan.job, acts=_acts(plan.job, own))


def _followers(
    places: Sequence[PlacedLetter], following: Mapping[int, PlacedLetter], called: Mapping[int, str]
) -> tuple[Follower, ...]:
    """Return where what follows a letter begins, from the left; letters with equal places share one."""
    found: list[Follower] = []
    for one in places:
        other = following.get(one.number)
        if other is None:
            continue
        away = np.array(other.origin) - one.origin
        x, y = (float(value) for value in affine.rotation(-one.turn)[:, :2] @ away)
        new = Follower(x, y, other.turn - one.turn, (other,))
        same = next((k for k, old in enumerate(found) if _meet(old, new)), None)
        if same is None:
            found.append(new)
        else:
            found[same] = replace(found[same], letters=(*found[same].letters, other))
    marks = Counter(name for one in found for name in {called[letter.number] for letter in one.letters})
    named = (replace(one, name=_name(one.letters, marks, called)) for one in found)
    return tuple(sorted(named, key=lambda one: one.x))


def _meet(one: Follower, other: Follower) -> bool:
    near = np.hypot(one.x - other.x, one.y - other.y) <= _ALIKE
    return bool(near and abs(one.turn - other.turn) < 1e-6)


def _name(letters: Sequence[PlacedLetter], marks: Mapping[str, int], called: Mapping[int, str]) -> str:
    """Name the letters of one mark, each once, with its places where it stands at other marks, too."""
    places: dict[str, list[str]] = {}
    for one in letters:
        places.setdefault(called[one.number], []).append(str(one.number))
    return ", ".join(
        name if marks[name] == 1 else f"{name} ({', '.join(numbers)})" for name, numbers in places.items()
    )


def _own(drawing: Drawing, own: set[int], offset: int, *, name: str) -> Drawing:
    """Return the strokes with the plan's numbers `own`, and what belongs to them."""

    def renumbered(stroke: Stroke) -> Stroke:
        return replace(stroke, number=stroke.number + offset)

    strokes = tuple(one for one in map(renumbered, drawing.strokes) if one.number in own)
    joints = [
        Joint(joint.point, tuple((number, t) for number, t in members if number in own))
        for joint in drawing.joints
        for members in [[(number + offset, t) for number, t in joint.members]]
    ]
    regions = tuple(
        replace(
            region,
            outer=region.outer + offset,
            inner=tuple(number + offset for number in region.inner),
            clear=region.clear and region.side != "outside",
        )
        for region in drawing.regions
        if region.outer + offset in own
    )
    met = tuple(joint for joint in joints if len(joint.members) > 1)
    return replace(drawing, strokes=strokes, joints=met, regions=regions, mends=(), marks=None, name=name)


def _acts(job: Job, own: set[int]) -> Acts:
    """Return what was decided about a letter's own strokes."""
    acts = job.acts
    return Acts(
        leave_out=tuple(n for n in acts.leave_out if n in own),
        keep=tuple(n for n in acts.keep if n in own),
        join=tuple(one for one in acts.join if {one.a, one.b} <= own),
        thin_out=tuple(bundle for bundle in acts.thin_out if set(bundle) <= own),
        stops={n: stop for n, stop in acts.stops.items() if n in own},
        sides={n: side for n, side in acts.sides.items() if n in own},
    )
