"""What is said of words at the bench: their face, how they are cut and set, and where they came from."""

from collections.abc import Iterator

from tracer.lengths import both
from tracer.lettering import Lettering
from tracer.model.marks import Marks
from tracer.model.plan import Plan
from tracer.sheets.placement import pieces_of_words, placed_letters

_CUTS = {
    ("middle", False): "one groove along the middle of each stroke",
    ("outline", False): "the edge followed on its inner side, cut in",
    ("outline", True): "the edge followed on its outer side, letters standing",
    ("cleared", False): "the edge followed on its inner side and the letter cleared out",
    ("cleared", True): "the edge followed on its outer side and the ground cleared away",
}
_ALIGNED = {"left": "lines flush left", "centre": "lines centred", "right": "lines flush right"}


def letter_facts(plan: Plan) -> Iterator[tuple[str, str, str]]:
    """Yield (label, value, how it came) of each piece that is words, and where they are placed from."""
    letters = placed_letters(plan)
    heights = {one.piece: one.height for one in letters}
    came = plan.job.origins.get("words", "")
    for index, _, marks in pieces_of_words(plan):
        high = f"capitals {both(heights[index], plan.job.units)} high"
        yield "Letters", f"{face_words(marks)}: {high}, {set_words_of(marks.lettering)}", came
    if letters:
        yield "Placing", f"origins and shifts of {_many(len(letters))}: see placement.pdf", ""


def _many(letters: int) -> str:
    return "the only letter" if letters == 1 else f"the {letters} letters"


def face_words(marks: Marks) -> str:
    """Name the face and its licence."""
    return f"{marks.face} ({marks.licence or 'its licence is not told'})"


def set_words_of(how: Lettering) -> str:
    """Say how words are cut and set."""
    said = [_CUTS.get((how.cut, how.raised), how.cut)]
    if how.tracking:
        said.append(f"tracking {how.tracking:g} of a capital")
    if "\n" in how.words:
        said.append(_ALIGNED[how.align])
    if how.arc is not None:
        said.append(f"on an arc of {abs(how.arc):g} mm, {'a hill' if how.arc > 0 else 'a bowl'}")
    return ", ".join(said)
