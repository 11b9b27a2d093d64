"""What is said of words: from how far they read, how bold they are, how their letters and lines stand."""

from collections.abc import Iterator

from tracer.job import Job
from tracer.lengths import Units, both, format_length
from tracer.model.finding import Finding
from tracer.report import reading_distance as reading
from tracer.report.cut import Cut
from tracer.report.letter_heights import capitals_from, capitals_to, grooves_between
from tracer.report.lettered import Words
from tracer.report.remedy import either
from tracer.report.spacing import about_spacing
from tracer.report.trial import Trials

THIN, BOLD = 0.10, 0.30
"""Stroke of a letter in capital heights: 2010 ADA Standards 703.5.7, of the capital I [S1]."""

MOST_RAISED = 0.15
"""The same of letters that are read by touch, at most: 703.2.6 [S2][S2b]."""

HEAVY = 0.22
"""Stem in capital heights from which the middle alone makes crooked letters (our own choice, by eye: bows of
B and R in bold faces, whose stems are 0.28 and more; faces for reading have 0.14 to 0.18)."""

ABOUT = 0.8
"""Groove in stems, or stem in grooves, from which a track down the middle is the letter (our own choice)."""


def about_letters(trials: Trials, cut: Cut) -> Iterator[Finding]:
    """Say of each piece of words from how far it reads, how bold it is, and how its letters and lines stand.

    `cut` is what is cut, edges moved to their sides.
    """
    for words in trials.letters.words:
        if not words.numbers or words.height <= 0:
            continue
        yield from _read_from(trials, words)
        yield from _bold(trials, words, cut)
        yield from _stems(trials, words, cut)
        yield from about_spacing(trials, words, cut)


def _read_from(trials: Trials, words: Words) -> Iterator[Finding]:
    job, height = trials.job, words.height
    if job.read_from is None:
        yield _carries(job, words)
        return
    asked = {
        "the trade's 1 in of letter for every 10 ft": reading.trade_height(job.read_from),
        "the 2010 ADA Standards (table 703.5.5, at eye height)": reading.ada_height(job.read_from),
    }
    best = reading.best_case_height(job.read_from)
    wanted = max(asked.values())
    if height >= wanted - 1e-9:
        return
    figures = " and ".join(
        f"{who} {'asks' if 'trade' in who else 'ask'} for {both(mm, job.units)}" for who, mm in asked.items()
    )
    verdict = "too small" if height < best else "small"
    yield Finding(
        check="letters small for their distance",
        severity="risk" if height < reading.trade_height(job.read_from) else "note",
        message=(
            f"Capitals {both(height, job.units)} high are {verdict} to be read from "
            f"{far(job.read_from, job.units)}: {figures}. Plain dark letters on white can be made out there "
            f"from {both(best, job.units)} on (chart from a study of 1998, 25 ft an inch). {_BARE}"
        ),
        measured=height,
        limit=wanted,
        remedy=f"By all three it holds with {capitals_from(trials, words, wanted)}.",
    )


_BARE = "These are for flat print; letters cut into bare wood read worse: paint them, or go larger still."


def _carries(job: Job, words: Words) -> Finding:
    height = words.height
    ada = reading.ada_distance(height)
    allowed = (
        f"table 703.5.5 of the 2010 ADA Standards allows them as far as {far(ada, job.units)}"
        if ada
        else f"the 2010 ADA Standards (703.5.5) want {both(reading.ADA_LEAST, job.units)} at the least"
    )
    return Finding(
        check="from how far letters read",
        severity="note",
        message=(
            f"Capitals {both(height, job.units)} high read well from "
            f"{far(reading.trade_distance(height), job.units)}, by the trade's rule of 1 in for every 10 ft; "
            f"{allowed}; in the best case, plain and dark on white, they can be made out from "
            f"{far(reading.best_case_distance(height), job.units)} (chart from a study of 1998). {_BARE}"
        ),
        measured=height,
        remedy="Say from how far they are to be read with --read-from, to hear what height that takes.",
    )


def far(mm: float, units: Units) -> str:
    """Return a distance to read from, roughly: "10 ft (3 m)"."""
    feet, metres = f"{_rough(mm / reading.FOOT)} ft", f"{_rough(mm / 1000)} m"
    return f"{feet} ({metres})" if units == "in" else f"{metres} ({feet})"


def _rough(number: float) -> str:
    return f"{number:.0f}" if number >= 10 else f"{number:.1f}".removesuffix(".0")


def _bold(trials: Trials, words: Words, cut: Cut) -> Iterator[Finding]:
    if words.marks.lettering.cut == "middle":
        yield from _groove_share(trials, words, cut)
    elif words.stem:
        yield from _stem_share(words)


def _groove_share(trials: Trials, words: Words, cut: Cut) -> Iterator[Finding]:
    """Compare the groove with the capitals' height."""
    job, height = trials.job, words.height
    groove = _groove(words, cut)
    if groove is None or THIN <= groove / height <= BOLD:
        return
    thin = groove < THIN * height
    other = list(grooves_between(job, THIN * height, BOLD * height))
    heights = capitals_to(trials, groove / THIN) if thin else capitals_from(trials, words, groove / BOLD)
    ways = [*other, *([f"with {heights}"] if heights else [])]
    yield Finding(
        check="letters thin for their height" if thin else "letters bold for their height",
        severity="note",
        message=(
            f"The letters come out {'thin' if thin else 'bold'}: the groove is {both(groove, job.units)} "
            f"wide, {groove / height:.0%} of the capitals' {both(height, job.units)}. Strokes of 10% to 30% "
            "read best (2010 ADA Standards 703.5.7). This groove suits capitals from "
            f"{format_length(groove / BOLD, job.units)} to {both(groove / THIN, job.units)}."
        ),
        measured=groove,
        limit=(THIN if thin else BOLD) * height,
        remedy=f"It holds {either(ways)}." if ways else "",
    )


def _groove(words: Words, cut: Cut) -> float | None:
    """Return the width of most of the words' groove, mm; None where nothing of them is cut."""
    own = [number for numbers in words.numbers for number in numbers if number in cut.groove]
    length: dict[float, float] = {}
    strokes = dict(zip(cut.numbers, cut.strokes, strict=True))
    for number in own:
        width = cut.groove[number].width
        length[width] = length.get(width, 0.0) + strokes[number].length
    return max(length, key=lambda width: length[width], default=None)


def _stem_share(words: Words) -> Iterator[Finding]:
    """Compare the face's stems with the capitals' height."""
    share, raised = words.stem / words.height, words.marks.lettering.raised
    if THIN <= share <= (MOST_RAISED if raised else BOLD):
        return
    touch = raised and share >= THIN
    band = "at most 15% (703.2)" if touch else "10% to 30% (703.5.7)"
    yield Finding(
        check="face bold for its height" if share > THIN else "face thin for its height",
        severity="note",
        message=(
            f"The stems of {words.marks.face} are {share:.0%} of the capitals' height; the 2010 ADA "
            f"Standards want {band} for letters that are {'also read by touch' if touch else 'easy to read'}."
        ),
        measured=words.stem,
        limit=(THIN if share < THIN else MOST_RAISED if raised else BOLD) * words.height,
        remedy=f"Take a {'bolder' if share < THIN else 'lighter'} face, if that matters for this sign.",
    )


def _stems(trials: Trials, words: Words, cut: Cut) -> Iterator[Finding]:
    """Compare the face's stems with the groove: middle, outline, or neither."""
    job, stem, groove = trials.job, words.stem, _groove(words, cut)
    if not stem or groove is None:
        return
    fits = min(stem, groove) / max(stem, groove) >= ABOUT
    middle = words.marks.lettering.cut == "middle"
    if middle == fits:
        return
    if middle:
        yield _other_weight(trials, words, groove)
    elif not words.marks.lettering.raised and groove <= stem:
        yield Finding(
            check="stems as wide as the groove",
            severity="note",
            message=(
                f"The stems of {words.marks.face} are {both(stem, job.units)} wide here, and the groove is "
                f"{both(groove, job.units)}: going round their edge cuts nearly the same wood twice."
            ),
            measured=stem,
            limit=groove,
            remedy="One track down the middle of each stem does, in half the way: cut them in the middle.",
        )


_CROOKED = (
    ", and crooked where strokes meet, as in B and R: strokes this heavy have no middle that is the letter"
)


def _other_weight(trials: Trials, words: Words, groove: float) -> Finding:
    """Say that a track down the middle makes letters lighter or heavier than the face has them."""
    job, stem = trials.job, words.stem
    light = groove < stem
    ways = list(grooves_between(job, ABOUT * stem, stem / ABOUT))
    if not light:
        ways.append(f"with {capitals_from(trials, words, ABOUT * groove / stem * words.height)}")
    heavy = light and stem > HEAVY * words.height
    outline = "Or go round their edges and clear them (cut cleared)." if light else ""
    if heavy:
        outline = "Cut their edges (--cut outline, or cleared), or take a lighter face."
    as_drawn = f"They come out as the face has them {either(ways)}." if ways and not heavy else ""
    return Finding(
        check="letters lighter than their face" if light else "letters heavier than their face",
        severity="note",
        message=(
            f"The stems of {words.marks.face} are {both(stem, job.units)} wide at this height, and the "
            f"groove down their middle is {both(groove, job.units)}: the letters come out "
            f"{'lighter' if light else 'heavier'} than the face has them{_CROOKED if heavy else ''}."
        ),
        measured=groove,
        limit=stem,
        remedy=f"{as_drawn} {outline}".strip(),
    )
