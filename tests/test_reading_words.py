"""How a picture is to be read, as it is said on the command line and in a job file."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.errors import JobError, TracerError
from tracer.reading import AS_IT_IS, Known, Reading
from tracer.settle import resolve
from tracer.shop.paper import PAPERS


def reading(**said: object) -> Reading:
    return resolve({"art": "hare.png", **said}).pieces[0].reading


def test_nothing_said() -> None:
    assert reading() == AS_IT_IS


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ({"page": "3"}, Reading(page=3)),
        ({"art-width": "8 1/4 in"}, Reading(art_width=209.55)),  # 8.25 x 25.4
        ({"known": "120,340 560,340 = 85 mm"}, Reading(known=Known((120, 340), (560, 340), 85))),
        ({"known": "1.5,2 3,4 1in"}, Reading(known=Known((1.5, 2), (3, 4), 25.4))),
        ({"photo-of": "letter"}, Reading(photo_of=PAPERS[2])),
        ({"photo-of": "No"}, Reading(photo_of="no")),
        ({"corners": "1,2 30,2 30,40 1,40"}, Reading(corners=((1, 2), (30, 2), (30, 40), (1, 40)))),
        (
            {"corners": "-1,-2.5 30,2 30,40 1,40"},
            Reading(corners=((-1, -2.5), (30, 2), (30, 40), (1, 40))),
        ),
        ({"deskew": True}, Reading(deskew=True)),
        ({"close-gaps": False}, Reading(close_gaps=False)),
        ({"open-gaps": "2, 5-7"}, Reading(open_gaps=(2, 5, 6, 7))),
        ({"insist": True}, Reading(insist=True)),
        ({"follow": "edge"}, Reading(follow="edge")),
    ],
)
def test_each_setting(said: dict[str, object], expected: Reading) -> None:
    assert reading(**said) == expected


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"page": "0"}, "--page is “0”; 1 to 10000 is expected"),
        ({"page": "1.5"}, "a whole number is expected"),
        ({"art-width": "1 mm"}, "5 mm to 10 m is expected"),
        ({"known": "85 mm"}, "two places in the picture and the length between"),
        ({"known": "5,5 5,5 = 85 mm"}, "both places are the same"),
        ({"known": "1,2 3,4.5.6 = 85 mm"}, "places in pixels are expected"),
        ({"corners": "1,2 3,4 5,6"}, "the sheet's four corners are expected in pixels"),
        ({"photo-of": "vellum"}, "--photo-of “vellum” is not known: say A4, A3"),
        ({"open-gaps": "two"}, "numbers of closed gaps are expected, as 2,5-7"),
        ({"follow": "edge", "open-gaps": "2"}, "where edges are followed no gaps are closed"),
        ({"follow": "ink"}, "line or edge is expected"),
        ({"dpi": "300", "art-width": "210 mm"}, "--dpi says how large the art is already"),
        ({"dpi": "300", "photo-of": "A4"}, "--dpi is “300”; the size of a sheet in a photo is its paper's"),
        ({"art-width": "1 m", "photo-of": "any"}, "the size of a sheet in a photo is its paper's"),
        ({"dpi": "300", "corners": "1,2 30,2 30,40 1,40"}, "the size of a sheet in a photo"),
        ({"photo-of": "no", "corners": "1,2 30,2 30,40 1,40"}, "--photo-of says that there is no sheet"),
    ],
)
def test_what_cannot_be_read(said: dict[str, object], message: str) -> None:
    with pytest.raises(JobError) as raised:
        reading(**said)
    assert message in str(raised.value)


def test_the_size_on_the_command_line_wins_over_another_in_the_file(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text('[[pieces]]\nart = "hare.png"\ndpi = 300\n')
    now = resolve({"art-width": "210 mm"}, job_file=file).pieces[0].reading
    assert (now.dpi, now.art_width) == (None, 210.0)


@given(st.text(alphabet="0123456789,. =mincorx-", max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    for key in ("known", "corners", "open-gaps", "page"):
        try:
            found = reading(**{key: text})
        except TracerError:  # LengthError, too
            continue
        assert found != AS_IT_IS or found.page == 1
