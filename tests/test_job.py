import datetime
import re
import subprocess
import sys
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.acts import Acts, Join
from tracer.errors import BitError, JobError, LengthError, OutputError, TracerError
from tracer.job import Beside, Border, Job, PieceSpec
from tracer.job_file import KEYS, write_new_job
from tracer.lettering import Lettering
from tracer.new_job import new_job_text
from tracer.piece_words import PIECE_KEYS
from tracer.reading import Reading
from tracer.settle import resolve
from tracer.shop.bits import RoundNose, Straight, VBit
from tracer.shop.linkage import Linkage
from tracer.shop.printer import Printer
from tracer.shop.settings import Shop, parse_shop

DAY = datetime.date(2026, 11, 1)
COMMAND, FILE, SHOP = "said on the command line", "from the job file", "from the shop file"

WHOLE = """\
name = "Oak sign"
date = 2026-11-01
units = "in"
revision = "C"
finish = "wax"
art-from = "my daughter"
allowed_by = "herself"
[board]
size = "24 x 8 x 3/4 in"
margin = "1/2 in"
wood = "oak"
grain = "across"
[linkage]
ratio = 0.4
reach = "16 x 12"
turned = true
table = "40 x 30"
[router]
base = "6"
[bit]
spec = "round 1/4in"
depth = "1/8"
[sheets]
paper = "Legal"
hold = "landscape"
margin = "1/2 in"
overlap = "3/8"
bar = "99.2 mm x 100.4 mm"
[rules]
retrace = false
max-widening = 1.5
stops = 2
hand = "1 mm"
read-from = "12 ft"
land-along = "2 mm"
land-across = "3.5 mm"
thin = "keep"
[strokes]
leave_out = [4, "7-9"]
keep = [12]
join = [["3 End", "stroke 6 start"], ["1 start", "1 end"]]
thin-out = [["14-17"], [20, 22]]
stop = {5 = 2, 8-9 = 1}
[strokes.side]
5 = "inside"
[[bits]]
name = "fine"
spec = "V 30deg 1/4in"
[[pieces]]
art = "fox.png"
width = "6 in"
x = 2
y = 1
turn = 15
[[pieces]]
art = "/art/owl.png"
height = "4 in"
dpi = 300
"""


def job_of(tmp_path: Path, text: str, shop: Shop | None = None, **flags: object) -> Job:
    path = tmp_path / "my.toml"
    path.write_text(text)
    return resolve(flags, job_file=path, shop=shop)


def test_defaults() -> None:
    job = Job(date=DAY)
    assert resolve({"date": "2026-11-01"}) == replace(job, origins={"date": COMMAND})
    assert (job.ratio, job.depth, job.thickness) == (0.5, 25.4 / 16, 19.05)
    assert job.groove == pytest.approx(1.833, abs=5e-4)
    assert job.bit == VBit(60.0, 12.7)
    assert (job.wood.name, job.paper.name, job.units) == ("pine", "A4", "mm")
    assert job.origin("ratio") == "assumed"


def test_whole_job_file(tmp_path: Path) -> None:
    job = job_of(tmp_path, WHOLE)
    assert (job.name, job.date, job.units) == ("Oak sign", DAY, "in")
    assert job.board == pytest.approx((609.6, 203.2, 19.05))
    assert (job.margin, job.depth) == pytest.approx((12.7, 3.175))
    assert (job.wood.name, job.grain_deg, job.ratio, job.paper.name) == ("oak", 90.0, 0.4, "Legal")
    assert job.bit == RoundNose(6.35)
    assert (job.retrace, job.max_widening, job.thin) == (False, 1.5, "keep")
    assert (job.stops, job.hand_error, job.read_from) == (2, 1.0, pytest.approx(144 * 25.4))
    assert (job.wood.land_along, job.wood.land_across) == (2.0, 3.5)
    assert (job.linkage.reach, job.linkage.turned) == (pytest.approx((406.4, 304.8)), True)
    assert (job.linkage.table, job.router_base) == (pytest.approx((1016.0, 762.0)), pytest.approx(152.4))
    assert job.printer == Printer(99.2, 100.4, measured=True, margin=12.7)
    assert (job.hold, job.overlap, job.revision) == ("landscape", pytest.approx(9.525), "C")
    assert (job.finish, job.art_from, job.allowed_by) == ("wax", "my daughter", "herself")
    assert job.pieces == (
        PieceSpec(str(tmp_path / "fox.png"), width=152.4, x=50.8, y=25.4, turn_deg=15.0),
        PieceSpec(str(tmp_path / "/art/owl.png"), height=101.6, reading=Reading(dpi=300.0)),
    )
    assert job.acts == Acts(
        leave_out=(4, 7, 8, 9),
        keep=(12,),
        join=(Join(3, "end", 6, "start"), Join(1, "start", 1, "end")),
        thin_out=((14, 15, 16, 17), (20, 22)),
        stops={5: 2, 8: 1, 9: 1},
        sides={5: "inside"},
    )
    assert job.bits == (("fine", VBit(30.0, 6.35)),)
    assert {job.origin(key) for key in KEYS.values()} == {FILE}


def test_new_file_says_nothing(tmp_path: Path) -> None:
    job = job_of(tmp_path, new_job_text(DAY))
    assert job == Job()
    assert not job.origins


def test_every_line_of_a_new_file_says_the_default(tmp_path: Path) -> None:
    text = re.sub(r"^#(?=[a-z\[])", "", new_job_text(DAY), flags=re.MULTILINE)
    dpi_instead = re.sub(r"^(art-width|known|corners) = .*$", "", text, flags=re.MULTILINE)
    job = job_of(tmp_path, dpi_instead)
    other = {"art-width", "known", "corners", "above", "left-of", "right-of", "centred-on"}
    assert set(job.origins) == {*KEYS.values(), *PIECE_KEYS, "bits", "printer"} - other
    art, reading = str(tmp_path / "picture.png"), Reading(dpi=300.0)
    picture = PieceSpec(art, 200.0, 150.0, 30.0, 30.0, 0.0, reading, name="hare")
    said = Lettering("EMMA", "plain", "Bold", height=40.0, arc=300.0)
    words = PieceSpec(words=said, beside=Beside("below", "hare", 20.0))
    board = (600.0, 200.0, 19.05)
    bits = (("sign V", VBit(60.0, 12.7)),)
    pieces = (picture, words, PieceSpec(border=Border(20.0)))
    linkage = Linkage(0.5, reach=(400.0, 300.0), table=(900.0, 600.0))
    printer = Printer(99.2, 99.4, measured=True)
    own = Job(
        date=DAY, pieces=pieces, board=board, bits=bits, linkage=linkage, printer=printer,
        revision="B", finish="linseed oil", art_from="drawn by Emma", allowed_by="Emma", origins=job.origins,
    )  # fmt: skip
    assert job == replace(own, read_from=pytest.approx(120 * 25.4))


def test_a_bar_measured_for_this_job_wins_over_the_shops() -> None:
    shop = parse_shop('[printer]\nbar = "98.5 mm"\nmargin = "6 mm"', "shop.toml")
    job = resolve({"bar": "99.2mm"}, shop=shop)
    assert job.printer == Printer(99.2, 99.2, measured=True, margin=6.0)
    assert job.origin("printer") == f"{COMMAND}, measured"
    assert resolve({}, shop=shop).printer == Printer(98.5, 98.5, measured=True, margin=6.0)
    assert resolve({"paper-margin": "12 mm"}, shop=shop).printer.margin == 12.0


@pytest.mark.parametrize(
    ("flag", "value", "said"),
    [
        ("bar", "9.92 mm", r"--bar .* 80 to 120 mm is expected"),
        ("hold", "sideways", "portrait, landscape or fewest is expected"),
        ("overlap", "1 mm", "4 to 40 mm is expected"),
        ("reach", "400 mm", "--reach"),
        ("paper", "60 x 60 mm", "no sheet to print on: its sides are to be between 100 mm and 5 m"),
        ("paper", "10 x 10 mm", "no sheet to print on: its sides are to be between 100 mm and 5 m"),
        ("router-base", "2 m", "30 to 500 mm is expected"),
        ("router-base", "0", "is 0, .* 30 to 500 mm is expected"),
        ("bar", "0 mm", "is 0, .* 80 to 120 mm is expected: measure the bar"),
        ("overlap", "-5 mm", "is negative, .* 4 to 40 mm is expected"),
        ("paper-margin", "-3 mm", "is negative, .* 0 to 50 mm is expected"),
    ],
)
def test_a_bad_setting_of_the_sheets_is_refused(flag: str, value: str, said: str) -> None:
    with pytest.raises(TracerError, match=said):
        resolve({flag: value})


def test_flags_win_over_file_over_shop(tmp_path: Path) -> None:
    shop = parse_shop(
        'units = "in"\n[linkage]\nratio = 0.595\nmeasured = 2026-11-01\n'
        '[[bits]]\nname = "B"\nspec = "straight 1/8in"',
        "shop.toml",
    )
    text = '[linkage]\nratio = "1:3"\n[bit]\ndepth = "3 mm"\n'
    job = job_of(tmp_path, text, shop, ratio="40%")
    assert (job.ratio, job.origin("ratio")) == (0.4, COMMAND)
    assert (job.depth, job.origin("depth")) == (3.0, FILE)
    assert (job.bit, job.origin("bit")) == (Straight(3.175), SHOP)
    assert (job.units, job.origin("units"), job.paper.name) == ("in", SHOP, "Letter")
    assert job.linkage.measured_on is None
    job = job_of(tmp_path, text, shop)
    assert (job.ratio, job.origin("ratio")) == (1 / 3, FILE)
    job = resolve({}, shop=shop)
    assert (job.ratio, job.origin("ratio")) == (0.595, "from the shop file, measured 2026-11-01")
    assert job.linkage.measured_on == DAY


def test_said_again_a_measured_ratio_stays_measured() -> None:
    job = resolve({"ratio": "59.5%"}, shop=Shop(linkage=Linkage(0.595, DAY, turned=True)))
    assert job.linkage == Linkage(0.595, DAY, turned=True)
    assert job.origin("ratio") == "said on the command line, measured 2026-11-01"


def test_the_shop_goes_into_the_job() -> None:
    shop = Shop(
        linkage=Linkage(0.6, play=0.2),
        printer=Printer(99.2, 99.2, measured=True),
        speed_low=5.0,
        speed_high=6.0,
        plunge_low=7.0,
        plunge_high=8.0,
        hand_error=0.5,
        pass_limit=2.0,
    )
    job = resolve({}, shop=shop)
    assert (job.speed_low, job.speed_high, job.plunge_low, job.plunge_high) == (5.0, 6.0, 7.0, 8.0)
    assert (job.hand_error, job.pass_limit, job.printer) == (0.5, 2.0, shop.printer)
    assert (job.origin("ratio"), job.origin("printer")) == (SHOP, "from the shop file, measured")


def test_reach_without_ratio_leaves_the_ratio_assumed() -> None:
    job = resolve({}, shop=parse_shop('[linkage]\nreach = "600 x 400 mm"', "shop.toml"))
    assert (job.ratio, job.origin("ratio"), job.origin("reach")) == (0.5, "assumed", SHOP)


def test_a_bit_of_the_shop_by_its_name() -> None:
    shop = Shop(bits=(("wide", RoundNose(12.7)), ("Sign V", VBit(90.0, 12.7))))
    assert resolve({"bit": "sign v"}, shop=shop).bit == VBit(90.0, 12.7)
    assert resolve({"bit": "straight 1/8in"}, shop=shop).bit == Straight(3.175)
    with pytest.raises(BitError, match=r"--bit: .*the shop file has wide, Sign V"):
        resolve({"bit": "narrow"}, shop=shop)


def test_bits_of_the_job_file_stand_before_the_shops(tmp_path: Path) -> None:
    shop = Shop(bits=(("wide", RoundNose(12.7)), ("fine", VBit(90.0, 12.7))))
    own = '[[bits]]\nname = "Fine"\nspec = "V 30deg 1/4in"\n'
    job = job_of(tmp_path, own, shop)
    assert (job.bit, job.origin("bit"), job.origin("bits")) == (VBit(30.0, 6.35), FILE, FILE)
    assert job.bits == (("Fine", VBit(30.0, 6.35)),)
    assert job_of(tmp_path, own, shop, bit="fine").bit == VBit(30.0, 6.35)
    assert job_of(tmp_path, own, shop, bit="wide").bit == RoundNose(12.7)
    assert (resolve({}, shop=shop).bits, resolve({}, shop=shop).origin("bits")) == (shop.bits, SHOP)
    with pytest.raises(BitError, match=r"the job file has Fine and the shop file has wide, fine"):
        job_of(tmp_path, own, shop, bit="narrow")
    with pytest.raises(JobError, match=r'two bits of the job file are called "Fine"'):
        job_of(tmp_path, own + own.replace("Fine", "FINE"))
    with pytest.raises(JobError, match=r"my.toml: \[\[bits\]\] 1 has no spec"):
        job_of(tmp_path, '[[bits]]\nname = "Fine"\n')


def test_bare_numbers_are_read_in_the_units_said_beside_them(tmp_path: Path) -> None:
    with pytest.raises(LengthError, match=r"--depth “3” has no unit"):
        resolve({"depth": "3"})
    assert resolve({"depth": "3", "units": "mm"}).depth == 3.0
    assert resolve({"depth": "1/8"}, shop=parse_shop('units = "in"', "s.toml")).depth == pytest.approx(3.175)
    in_file = 'units = "mm"\n[bit]\ndepth = 3\n'
    assert job_of(tmp_path, in_file, margin="5").margin == 5.0
    assert job_of(tmp_path, in_file, units="in").depth == 3.0  # the file's number keeps the file's unit
    with pytest.raises(LengthError, match=r"my.toml: bit.depth “3” has no unit"):
        job_of(tmp_path, "[bit]\ndepth = 3\n", units="in")


def test_flags_of_the_only_picture(tmp_path: Path) -> None:
    job = resolve({"art": Path("art/lion.png"), "width": "12 in", "height": None})
    assert job.pieces == (PieceSpec(str(Path("art/lion.png")), width=304.8),)
    assert (job.name, job.origin("width"), job.origin("height")) == ("lion", COMMAND, "assumed")
    one = '[[pieces]]\nart = "fox.png"\nwidth = "100 mm"\nturn = 5\n'
    job = job_of(tmp_path, one, width="50 mm")
    assert job.pieces == (PieceSpec(str(tmp_path / "fox.png"), width=50.0, turn_deg=5.0),)


def test_board_and_thickness(tmp_path: Path) -> None:
    assert resolve({"board": "600 x 200 x 12 mm"}).thickness == 12.0
    assert resolve({"board": "600 x 200 mm"}).board == (600.0, 200.0, 19.05)
    job = resolve({"board": "600 x 200 mm", "thickness": "12 mm"})
    assert (job.board, job.origin("thickness")) == ((600.0, 200.0, 12.0), COMMAND)
    assert resolve({"thickness": "12 mm"}).board is None
    assert resolve({"board": "24 x 8 x 3/4 in", "thickness": "19.05 mm"}).thickness == pytest.approx(19.05)
    with pytest.raises(JobError, match="says another thickness"):
        resolve({"board": "600 x 200 x 12 mm", "thickness": "19 mm"})
    thick = '[board]\nthickness = "30 mm"\n'
    job = job_of(tmp_path, thick, board="600 x 200 x 12 mm")
    assert (job.thickness, job.origin("thickness")) == (12.0, COMMAND)
    job = job_of(tmp_path, '[board]\nsize = "600 x 200 x 12 mm"\n', thickness="30 mm")
    assert (job.board, job.origin("board")) == ((600.0, 200.0, 30.0), FILE)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("along", 0), ("Across", 90), ("30", 30), ("30 deg", 30), ("-15°", 165), ("180", 0)],
)
def test_grain(text: str, degrees: float) -> None:
    assert resolve({"grain": text}).grain_deg == degrees


@pytest.mark.parametrize(
    ("flags", "why"),
    [
        ({"depht": "1 mm"}, r'“depht” is not known; did you mean "depth"'),
        ({"ratio": "60"}, r"--ratio “60” can be read two ways"),
        ({"ratio": "0"}, r"--ratio “0” is nothing"),
        ({"depth": "11 mm"}, r"too deep for this V bit.*depth was said on the command line, the bit assumed"),
        ({"depth": "-1 mm"}, r"--depth “-1 mm” is negative"),
        ({"bit": "V 60deg 1/2in cutting 1mm"}, r"cuts at most .*depth was assumed"),
        ({"bit": "V 60"}, r"--bit: bit “V 60”"),
        ({"board": "30 x 300 mm"}, r"shorter side is 30 mm .* two margins of 20 mm .* take 41.8 mm"),
        ({"board": "600 mm"}, r"--board “600 mm” has 1 length;"),
        ({"board": "9 x 9 m"}, r"--board is “9 x 9 m”; 1 mm to 5 m is expected"),
        ({"width": "100 mm"}, r"--width is about a picture, and none is named"),
        ({"art": "a.png", "width": "0 mm"}, r"--width “0 mm”"),
        ({"art": "a.png", "width": "6 m"}, r"--width is “6 m”; 1 mm to 5 m is expected"),
        (
            {"art": "a.png", "width": "4 m", "ratio": "5%"},
            r"the template would be 80 m long, and at most 20 m",
        ),
        ({"art": "a.png", "dpi": "1"}, r"--dpi is “1”; 10 to 20000 is expected"),
        ({"art": "a.png", "turn": "left"}, r"--turn is “left”; a number is expected"),
        ({"art": " "}, r"--art is “”; words are expected"),
        ({"wood": "granite"}, r"--wood “granite” is not a known wood; known are hard maple"),
        ({"grain": "up"}, r"--grain is “up”; along, across, or degrees"),
        ({"paper": "B4"}, r"--paper “B4” is not known: say A4"),
        ({"units": "feet"}, r"--units is “feet”; mm or in is expected"),
        ({"date": "1 May"}, r"--date is “1 May”; a day is expected"),
        ({"retrace": "perhaps"}, r"--retrace is “perhaps”; yes or no"),
        ({"max_widening": 0.5}, r"--max-widening is 0.5; 1 to 100 is expected"),
        ({"thin": "perhaps"}, r"--thin is “perhaps”; drop or keep"),
    ],
)
def test_flags_that_cannot_be(flags: dict[str, object], why: str) -> None:
    with pytest.raises(TracerError, match=why):
        resolve(flags)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("[bit]\ndept = 1", r'my.toml: in \[bit\] “dept” is not known; did you mean "depth"'),
        ("art = 'a.png'", r"my.toml: “art” stands in the wrong place: put it under \[\[pieces\]\]"),
        ("[board]\nspec = 'V'", r"“spec” stands in the wrong place: put it under \[bit\] or \[\[bits\]\]"),
        ("[bits]\ndepth = 1", r"my.toml: bits is a table; tables are expected, each headed \[\[bits\]\]"),
        ("[rules]\nmax_widening = 2\nmax-widening = 3", r"in \[rules\] “max-widening” is said twice"),
        ("[[pieces]]\nwidth = '10 mm'", r"my.toml: \[\[pieces\]\] 1 has no art, no words and no border"),
        ("[[pieces]]\nart = 7", r"my.toml: \[\[pieces\]\] 1 art is 7; words are expected"),
        ("[[pieces]]\nart = 'a'\n[[pieces]]\nart = 'b'\nx = true", r"\[\[pieces\]\] 2 x is true; a length"),
        ("[pieces]\nart = 'a'", r"pieces is a table; tables are expected, each headed \[\[pieces\]\]"),
        ("[board]\nwood = ['oak']", "board.wood is a list; words are expected"),
        ("name = 3", "my.toml: name is 3; words are expected"),
        ("date = 07:32:00", "date is 07:32:00; a day is expected"),
        ("[linkage]\nratio = '2:1'", r"my.toml: linkage.ratio “2:1” .* did you mean 1:2"),
    ],
)
def test_job_files_that_cannot_be(tmp_path: Path, text: str, why: str) -> None:
    with pytest.raises(TracerError, match=why):
        job_of(tmp_path, text)


def test_flags_of_one_picture_and_a_file_of_two(tmp_path: Path) -> None:
    with pytest.raises(JobError, match=r"has 2 pieces of its own: leave third\.png out"):
        job_of(tmp_path, WHOLE, art="third.png")
    with pytest.raises(JobError, match=r"--width is for one piece, and the job file has 2"):
        job_of(tmp_path, WHOLE, width="10 mm")


def test_missing_job_file(tmp_path: Path) -> None:
    with pytest.raises(JobError, match=r"job file .*gone.toml is not there"):
        resolve({}, job_file=tmp_path / "gone.toml")


def test_a_new_job_file_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    path.write_text("mine")
    with pytest.raises(OutputError, match=r"is there already and was left alone"):
        write_new_job(path, date=DAY)
    assert path.read_text() == "mine"
    write_new_job(path, date=DAY, force=True)
    assert path.read_text() == new_job_text(DAY)


VALUES = (
    st.sampled_from(
        ["1:2", "3 mm", "1/8 in", "600 x 200 x 19 mm", "oak", "V 60deg 1/2in", "in", "2026-11-01"]
    )
    | st.text(max_size=10)
    | st.integers()
    | st.floats()
    | st.booleans()
    | st.none()
    | st.dates()
    | st.lists(st.integers(), max_size=2)
)


@given(st.dictionaries(st.sampled_from([*KEYS.values(), *PIECE_KEYS]), VALUES, max_size=8))
def test_any_flags_are_taken_or_refused(flags: dict[str, object]) -> None:
    with suppress(TracerError):
        job = resolve(flags)
        assert job.groove > 0
        assert 0 < job.ratio <= 1


TOML_VALUES = st.sampled_from(
    [
        '"1:2"',
        '"3 mm"',
        '"x"',
        '""',
        "3",
        "-1",
        "1e400",
        "nan",
        "true",
        "2026-11-01",
        "[]",
        "[{}]",
        "{a = 1}",
        "07:00:00",
    ]
) | st.text("0123456789.,:/%xmin ½'", max_size=12).map(lambda s: f'"{s}"')


@given(st.lists(st.tuples(st.sampled_from([*KEYS, "pieces", "board", "x.y"]), TOML_VALUES), max_size=6))
def test_any_job_file_is_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, lines: list[tuple[str, str]]
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_text("\n".join(f"{key} = {value}" for key, value in lines), encoding="utf-8")
    with suppress(TracerError):
        assert resolve({}, job_file=path).groove > 0


def test_loads_nothing_heavy() -> None:
    code = (
        "import sys, tracer.job, tracer.shop.shop_file, tracer.shop.shop_words\n"
        "print([m for m in ('numpy', 'cv2', 'scipy', 'PIL', 'tomlkit', 'shapely') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
