"""What is said of an SVG file: all that was left out, joined or could not be followed."""

from collections.abc import Iterator, Mapping

from tracer.errors import ArtError

_DARK = "light lines on a dark page: turned round, the light is followed as ink"
_WHITE = "all is drawn in white: taken as ink, as on something dark"
_MIDDLE = "for its middle, save the drawing as a picture (PNG, 300 dpi) and trace that"
_OFF = "all lies off the page that the file declares: the page was not heeded"

LEFT: Mapping[str, tuple[str, str]] = {
    "dark paper": (_DARK, _DARK),
    "all white": (_WHITE, _WHITE),
    "page": (_OFF, _OFF),
    "text": (
        "1 text is not followed, for no font comes with it",
        "{n} texts are not followed, for no font comes with them",
    ),
    "image": (
        "1 picture inside the file is not followed: trace that picture by itself",
        "{n} pictures inside the file are not followed: trace each by itself",
    ),
    "foreignObject": (
        "1 part is no drawing (foreignObject) and is not followed",
        "{n} parts are no drawing (foreignObject) and are not followed",
    ),
    "mask": (
        "1 mask is not heeded: what it hides is drawn",
        "{n} masks are not heeded: what they hide is drawn",
    ),
    "clip": (
        "1 clip path is not heeded: what it hides is drawn",
        "{n} clip paths are not heeded: what they hide is drawn",
    ),
    "marker": (
        "1 line has markers (arrow heads and the like), which are left out",
        "{n} lines have markers (arrow heads and the like), which are left out",
    ),
    "use": (
        "1 copy (use) points to nothing in this file and is left out",
        "{n} copies (use) point to nothing in this file and are left out",
    ),
    "circle": (
        "1 copy (use) that holds itself is left out",
        "{n} copies (use) that hold themselves are left out",
    ),
    "transform": (
        "1 transform cannot be read and is left out",
        "{n} transforms cannot be read and are left out",
    ),
    "broken": (
        "1 path has data that cannot be read: it is followed up to there",
        "{n} paths have data that cannot be read: they are followed up to there",
    ),
    "wild": (
        "1 path with a coordinate that is no number, or endless, is left out",
        "{n} paths with a coordinate that is no number, or endless, are left out",
    ),
    "outside": (
        "1 shape lies off the page and is left out",
        "{n} shapes lie off the page and are left out",
    ),
    "dashed": (
        "1 dashed line is followed as one whole line",
        "{n} dashed lines are followed as whole lines",
    ),
    "colouring": (
        "1 pale area is taken for colouring and left out",
        "{n} pale areas are taken for colouring and left out",
    ),
    "pale": (
        "1 line as pale as paper is left out",
        "{n} lines as pale as paper are left out",
    ),
    "knocked": (
        "1 pale line lies over ink: what it hides is left out",
        "{n} pale lines lie over ink: what they hide is left out",
    ),
    "twice": (
        "1 line drawn twice is followed once",
        "{n} lines drawn more than once are followed once",
    ),
    "hidden": (
        "1 line is wholly hidden by a fill or lost in dark ink, and left out",
        "{n} lines are wholly hidden by fills or lost in dark ink, and left out",
    ),
    "cut": (
        "1 line is partly hidden (by a fill, in dark ink, clipped, off the page): the rest is followed",
        "{n} lines are partly hidden (by a fill, in dark ink, clipped, off the page): the rest is followed",
    ),
    "loose": (
        "1 piece of an area's edge could not be closed to a ring: it is followed as an open edge",
        "{n} pieces of areas' edges could not be closed to rings: they are followed as open edges",
    ),
    "butts": (
        "1 point has no round end and shows nothing: it is left out",
        "{n} points have no round ends and show nothing: they are left out",
    ),
    "thin": (
        f"1 filled area is as thin as a line, both its sides are followed: {_MIDDLE}",
        f"{{n}} filled areas are as thin as lines, both sides of each are followed: {_MIDDLE}",
    ),
}
"""The sentences for one and for several of each kind, in the order they are told."""

TEXT_REMEDY = "in the drawing program turn text into paths, save, and read that file"


_AGAIN = (
    "Open it in the program that drew it and save it anew, "
    "or save it as a picture (PNG, 300 dpi) and trace that."
)
"""What helps of anything else."""


def sentences(counts: Mapping[str, int]) -> Iterator[str]:
    """Yield a sentence for each kind that was counted."""
    for kind, (one, several) in LEFT.items():
        number = counts.get(kind, 0)
        if number:
            said = one if number == 1 else several.format(n=number)
            yield f"{said}: {TEXT_REMEDY}" if kind == "text" else said


def nothing_to_follow(name: str, counts: Mapping[str, int]) -> ArtError:
    """Return the error for a file that draws no ink, with what it holds instead."""
    said = "; ".join(sentences(counts))
    if said:
        cure = "" if counts.get("text") or counts.get("image") else f" {_AGAIN}"
        return ArtError(f"{name} holds no line or dark area that can be followed: {said}.{cure}")
    return ArtError(f"{name} draws nothing: save it with lines, or check that its layers are visible.")
