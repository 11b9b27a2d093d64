"""The pieces of a job file: pictures, words and borders, and where each lies."""

from pathlib import Path

import pytest

from tracer.errors import TracerError
from tracer.job import Beside, Border, Job, PieceSpec
from tracer.lettering import Lettering
from tracer.settle import resolve

HEADBOARD = """\
[board]
size = "900 x 400 x 19 mm"
[[pieces]]
name = "hare"
art = "hare.png"
height = "200 mm"
[[pieces]]
words = "EMMA"
font = "fonts/oak.ttf"
cap_height = "40 mm"
below = "Hare"
gap = "15 mm"
line-up = "starts"
[[pieces]]
border = "20 mm"
border-radius = "30 mm"
"""


def job_of(tmp_path: Path, text: str, **flags: object) -> Job:
    path = tmp_path / "my.toml"
    path.write_text(text)
    return resolve(flags, job_file=path)


def test_a_picture_words_and_a_border(tmp_path: Path) -> None:
    job = job_of(tmp_path, HEADBOARD)
    words = Lettering("EMMA", str(tmp_path / "fonts/oak.ttf"), height=40.0)
    assert job.pieces == (
        PieceSpec(str(tmp_path / "hare.png"), height=200.0, name="hare"),
        PieceSpec(words=words, beside=Beside("below", "Hare", 15.0, "starts")),
        PieceSpec(border=Border(20.0, 30.0)),
    )
    assert (job.name, job.origin("cap-height"), job.origin("name")) == (
        "hare",
        "from the job file",
        "assumed",
    )


def test_the_title_of_words_is_the_words_in_short(tmp_path: Path) -> None:
    assert job_of(tmp_path, "[[pieces]]\nwords = ['To the', 'shed']").name == "To the shed"
    long = job_of(tmp_path, f"[[pieces]]\nwords = '{'shed ' * 50}'").name
    assert (len(long), long[-1]) == (40, "…")
    border = "[[pieces]]\nborder = '9 mm'\n[board]\nsize = '90 x 90 mm'\n"
    assert job_of(tmp_path, border).name == "carving"
    assert job_of(tmp_path, border + '[[pieces]]\nwords = "\\u200f\\u200f"').name == "carving"


def test_options_of_the_only_piece(tmp_path: Path) -> None:
    job = resolve({"words": "EMMA\nTOM", "cap-height": "1 in", "font": "plain"})
    assert job.pieces == (PieceSpec(words=Lettering("EMMA\nTOM", height=25.4)),)
    one = "[[pieces]]\nwords = 'EMMA'\ncap-height = '10 mm'\nturn = 5\nname = 'a'\n"
    job = job_of(tmp_path, one, words="TOM", **{"cap-height": "20 mm"}, name="Board")
    assert job.pieces == (PieceSpec(words=Lettering("TOM", height=20.0), turn_deg=5.0, name="a"),)
    assert job.name == "Board"
    with pytest.raises(TracerError, match="has a piece of another kind: leave “TOM” out, or that piece"):
        job_of(tmp_path, "[[pieces]]\nart = 'a.png'\n", words="TOM")
    with pytest.raises(TracerError, match=r"has a piece of another kind: leave b\.png out, or that piece"):
        job_of(tmp_path, one, art="b.png")
    with pytest.raises(TracerError, match=r"has 3 pieces of its own: leave “TOM” out"):
        job_of(tmp_path, HEADBOARD, words="TOM")
    with pytest.raises(TracerError, match=r"--height is “40 kg”|--height “40 kg”"):
        resolve({"words": "EMMA", "cap-height": "40 kg"})


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("turn = 3", r"my.toml: \[\[pieces\]\] 1 has no art, no words and no border: give it one"),
        ("art = 'a'\nwords = 'b'", r"\[\[pieces\]\] 1 art and .* 1 words are two kinds of piece: leave one"),
        ("words = 'b'\nborder = '9 mm'", "words and .* border are two kinds"),
        ("words = 'b'\ndpi = 300", "1 dpi is about a picture, and this piece has none"),
        ("art = 'b'\ncut = 'outline'", "1 cut is about words, and this piece has none"),
        ("art = 'b'\nborder-radius = '9 mm'", "1 border-radius is about a border, and this piece is none"),
        ("words = 'b'\ncap-height = '9 mm'\nwidth = '80 mm'", "width and .* cap-height both say how large"),
        ("border = '9 mm'\nx = '80 mm'", "1 x is said of a border, and that goes round the board"),
        ("border = '9 mm'\nbelow = 'a'", "1 below is said of a border"),
        ("border = '0 mm'", "border “0 mm”"),
        ("border = '9 mm'\nborder-radius = '-1 mm'", "border-radius “-1 mm” is negative"),
        ("border = '6 m'", "border is “6 m”; 1 mm to 5 m is expected"),
        ("border = '9 mm'", "piece 1 .“border”. is a border, and there is nothing for it to go round"),
        ("art = 'a'\nbelow = 'b'\nabove = 'c'", "above and .* below are two places"),
        ("art = 'a'\nbelow = 'b'\nx = '9 mm'", "1 x and .* 1 below are two places"),
        ("art = 'a'\ngap = '9 mm'", "1 gap is about a place beside another piece, and this piece has none"),
        ("art = 'a'\ncentred-on = 'b'\ngap = '9 mm'", "gap is about a place beside another piece"),
        ("art = 'a'\nbelow = 'b'\nline-up = 'left'", "line-up is “left”; starts"),
        ("art = 'a'\nbelow = 7", "1 below is 7; words are expected"),
        ("art = 'a'\nbelow = 'b'", "piece 1 .“a”. lies below “b”, and no piece has that name"),
        ("art = 'a'\nname = ''", "1 name is “”; words are expected"),
        ("art = 'a'\nbeneath = 'b'", "in .*pieces.* “beneath” is not known"),
    ],
)
def test_pieces_that_cannot_be(tmp_path: Path, text: str, why: str) -> None:
    with pytest.raises(TracerError, match=why):
        job_of(tmp_path, f"[[pieces]]\n{text}")


def test_pieces_are_looked_at_before_anything_is_read(tmp_path: Path) -> None:
    """A slip in the last piece is said at once, not after the pictures were traced."""
    with pytest.raises(
        TracerError, match="lies below “fox”, and no piece has that name; the names are “hare”"
    ):
        job_of(tmp_path, HEADBOARD.replace("Hare", "fox"))
