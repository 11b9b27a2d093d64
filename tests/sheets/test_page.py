"""report.html as a browser reads it: whole without network or scripts, safe whatever things are called."""

import base64
import hashlib
import io
import re
import shlex
import sys
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jinja2 import Environment
from PIL import Image, ImageDraw
from sheets.plans import small_plan, with_break, with_join, with_passes, with_stops

from tracer.geometry import affine
from tracer.model.finding import Finding
from tracer.model.ink import Mend
from tracer.model.layout import Layout, Piece
from tracer.model.plan import Plan, SetUp
from tracer.model.sizes import Losses, SizeCurve, SizeRow
from tracer.sheets.clean_up import clean_up
from tracer.sheets.figure import MARK, WIDTH, figures
from tracer.sheets.page import printable, report_page, write_report
from tracer.sheets.page_words import PageWords
from tracer.sheets.spread import around, spread
from tracer.sheets.verdict import verdict
from tracer.shop.bits import Straight
from tracer.shop.linkage import Linkage

VOID = {"meta", "img", "br", "link", "input", "hr", "base", "source"}
HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onload='x",
    "</title></style></svg><h1>in</h1>",
    "{{ 7 * 7 }}{% raw %}",
    "a/../../b\\c:d",
    "\u202egnp.evil\u2066",
    "\U0001f98a\u200d\U0001f3fd été 木",
    "n" * 250,
    "nul\x00 tab\t esc\x1b \udcff",
    "&amp;&lt;b&gt;",
)


class Tree(HTMLParser):
    """Elements in order, and whether each that was opened was closed in its turn."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self._open: list[str] = []
        self.feed(page)
        self.close()
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), (tag, names)
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] not in ("style", "script"):
            self.words.append(data)

    def all(self, *tags: str) -> Iterator[dict[str, str | None]]:
        return (attrs for tag, attrs in self.elements if tag in tags)

    @property
    def ids(self) -> list[str]:
        return [attrs["id"] or "" for _, attrs in self.elements if "id" in attrs]

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def picture(size: tuple[int, int] = (600, 450)) -> bytes:
    image = Image.new("L", size, 255)
    ImageDraw.Draw(image).ellipse((120, 40, 480, 260), outline=0, width=6)
    file = io.BytesIO()
    image.save(file, "PNG")
    return file.getvalue()


def page_of(plan: Plan, folder: Path, **more: Any) -> str:
    """Return the page; its preview is a small stand-in for one drawn anew."""
    write_report(plan, folder / "report.html", **{"preview": picture((160, 120)), **more})
    return (folder / "report.html").read_text("utf-8")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    return page_of(small_plan(), tmp_path_factory.mktemp("page"), art={0: picture()}, preview=None)


def test_page_is_well_formed_and_names_are_unique(page: str) -> None:
    tree = Tree(page)
    assert page.startswith("<!DOCTYPE html>")
    assert len(tree.ids) == len(set(tree.ids))
    assert next(tree.all("html"))["lang"] == "en"
    assert [attrs for attrs in tree.all("img") if not attrs.get("alt")] == []


def test_page_fetches_nothing_and_runs_no_script_but_its_own(page: str) -> None:
    assert not re.search(r"https?://|url\(|@import", page)
    tree = Tree(page)
    assert not list(tree.all("link", "iframe", "object", "embed", "base", "form"))
    assert list(tree.all("script")) == [{}]
    (script,) = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    rule = next(str(attrs["content"]) for attrs in tree.all("meta") if "http-equiv" in attrs)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert "default-src 'none'; img-src data:; style-src 'unsafe-inline'; " in rule
    assert f"script-src 'sha256-{digest}'" in rule
    for _, attrs in tree.elements:
        assert not [name for name in attrs if name.startswith("on")]
        for name in ("src", "href"):
            assert (attrs.get(name) or "#").startswith(("#", "data:image/jpeg;base64,"))


def test_every_link_within_the_page_arrives(page: str) -> None:
    tree = Tree(page)
    for attrs in tree.all("a"):
        assert (attrs["href"] or "")[1:] in tree.ids


def test_every_finding_has_its_row_and_its_mark(page: str) -> None:
    plan, tree = small_plan(), Tree(page)
    links = [attrs["href"] for attrs in tree.all("a")]
    for number, finding in enumerate(plan.findings, 1):
        assert f"finding-{number}" in tree.ids
        assert finding.message in tree.text
        assert finding.remedy in tree.text
        assert (f"mark-{number}" in tree.ids) == (finding.where is not None)
        assert (f"#mark-{number}" in links) == (finding.where is not None)
        assert (f"#finding-{number}" in links) == (finding.where is not None)


def test_headings_are_in_order(page: str) -> None:
    levels = [int(tag[1]) for tag, _ in Tree(page).elements if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))


def test_both_units_and_the_facts_wanted_first(page: str) -> None:
    text = Tree(page).text
    assert "78 mm × 68 mm (3 5/64 in × 2 43/64 in)" in text
    assert "1.83 mm (5/64 in) wide at 1.59 mm (1/16 in) deep" in text
    assert "1 of 6 strokes is left out" in text
    assert "156 mm × 136 mm" in text  # the template of a carving half its size
    assert "3 (4 without going back over grooves)" in text
    assert "Assumed" in text
    inches = verdict(small_plan(units="in"))
    assert inches == verdict(small_plan())


def test_inches_come_first_where_the_user_reads_them(tmp_path: Path) -> None:
    assert "5/64 in (1.83 mm) wide" in Tree(page_of(small_plan(units="in"), tmp_path)).text


def table(page: str, heading: str) -> list[list[str]]:
    """Return the cells of all rows between a heading's id and the next heading of its kind."""
    part = re.split(r"<h2", page.split(f'id="{heading}"', 1)[1])[0]
    rows = re.findall(r"<tr.*?>(.*?)</tr>", part, re.DOTALL)
    cells = [re.findall(r"<t[hd].*?>(.*?)</t[hd]>", row, re.DOTALL) for row in rows]
    return [[" ".join(re.sub(r"<[^>]+>", " ", cell).split()) for cell in row] for row in cells]


def test_findings_are_gathered_by_kind_in_the_order_of_their_costliest(tmp_path: Path) -> None:
    plan = small_plan()
    thin, land, note = plan.findings
    rows = table(page_of(replace(plan, findings=(thin, land, thin, note)), tmp_path), "findings")
    assert [row[0] for row in rows[1:]] == [
        "Stroke too thin (lost): 2 findings", "1", "3",
        "Wood between too thin (at risk)", "2",
        "Ratio not measured (worth knowing)", "4",
    ]  # fmt: skip
    assert rows[5][2].startswith("Middle ")
    assert rows[5][3:5] == ["2.1 mm (5/64 in)", "3 mm (1/8 in)"]
    assert rows[5][5] == land.remedy


@given(st.sampled_from(["3 5/64 in", "5/64 in", "78 mm"]), st.sampled_from(["", "at ", "stroke 3, "]))
def test_numbers_stay_with_their_units(length: str, before: str) -> None:
    said = PageWords(small_plan()).sentence(f"{before}{length} deep and stroke 4 too")
    assert said.replace("\N{NO-BREAK SPACE}", " ") == f"{before}{length} deep and stroke 4 too"
    assert length.replace(" ", "\N{NO-BREAK SPACE}") in said
    assert said.endswith(" deep and stroke 4 too")


def test_grooves_that_overlap_are_said_without_a_minus(tmp_path: Path) -> None:
    plan = small_plan()
    merged = replace(plan.findings[1], measured=-0.6)
    text = Tree(page_of(replace(plan, findings=(merged,)), tmp_path)).text
    assert "overlap of 0.6 mm (1/32 in)" in text
    assert "-0.6" not in text


def test_each_stroke_says_its_stop_width_and_groove(tmp_path: Path) -> None:
    rows = table(page_of(with_stops(small_plan()), tmp_path), "strokes")
    assert rows[0] == ["Stroke", "Kind", "Length", "Drawn width", "Groove", "Depth stop", "Where it goes"]
    by_number = {row[0]: row[1:] for row in rows[1:]}
    assert by_number["4"][2:] == ["1.2 mm", "1.85 mm", "2", "plunge 1"]  # 6 px of 0.2 mm; 2 x 1.6 tan 30
    assert by_number["1"][3:] == ["2.77 mm", "1", "plunge 3"]
    assert by_number["5"][2:] == ["0.2 mm", "–", "–", "stroke too thin"]
    assert "Depth stop" not in table(page_of(small_plan(), tmp_path), "strokes")[0]


def test_bands_on_the_figure_are_as_wide_as_each_groove(tmp_path: Path) -> None:
    plan = with_stops(small_plan())
    uses = (use for use in Tree(page_of(plan, tmp_path)).all("use") if "stroke-width" in use)
    bands = {str(use["href"]): float(str(use["stroke-width"])) for use in uses}
    x0, _, x1, _ = plan.layout.extent
    per_mm = WIDTH / 1.12 / (x1 - x0)  # a margin of 6 % either side
    widths = {f"#stroke-{groove.stroke}": groove.width * per_mm for groove in plan.grooves}
    assert bands == pytest.approx(widths, abs=0.006)


def test_depth_stops_are_tabled_in_the_order_of_cutting(tmp_path: Path) -> None:
    rows = table(page_of(with_stops(small_plan()), tmp_path), "plunges")
    assert [row[0] for row in rows[1:4]] == ["2", "3", "1"]
    assert rows[3][1:] == [
        "2.4 mm (3/32 in)", "2.77 mm (7/64 in)",
        "2: 1.7 mm (1/16 in), then 2.4 mm (3/32 in) deep", "3", "1, times 2 passes: 2",
    ]  # fmt: skip
    page = page_of(with_stops(small_plan()), tmp_path)
    assert 'class="stop-2"' in page
    assert "stop 2: 1.6 mm (1/16 in) deep" in Tree(page).text


def test_plunges_are_said_both_ways_with_passes(tmp_path: Path) -> None:
    plan = with_passes(small_plan(), 1.0, 1.5875)
    plan = replace(plan, totals=replace(plan.totals, passes=2, plunges_with_passes=6))
    text = Tree(page_of(plan, tmp_path)).text
    assert "3 a pass, 6 in all (4 a pass, 8 in all, without going back over grooves)" in text
    text = Tree(page_of(with_stops(small_plan()), tmp_path)).text  # one stop of two passes, two of one
    assert "3 a pass, 4 in all (4 a pass without going back over grooves)" in text


@pytest.mark.parametrize(
    ("units", "said"),
    [("mm", "1.25 mL (0.042 fl oz, 0.076 cu in)"), ("in", "0.042 fl oz, 0.076 cu in (1.25 mL)")],
)
def test_wood_removed_is_a_volume_in_both_kinds_of_units(tmp_path: Path, units: str, said: str) -> None:
    """1.25 / 29.5735 and 1.25 / 16.3871, the factors of NIST SP 811, appendix B."""
    assert said in Tree(page_of(with_stops(small_plan(units=units)), tmp_path)).text


def test_wood_that_breaks_out_is_said_tabled_and_marked(tmp_path: Path) -> None:
    plan = with_break(small_plan())
    page = page_of(plan, tmp_path)
    assert "1 piece of standing wood will break out." in verdict(plan)
    rows = table(page, "islands")
    assert rows[1] == [
        "i2", "Standing wood: will break out", "Upper 56 mm from left, 34 mm from top",
        "70 mm × 42 mm 12.5 mm²", "2.2 mm (3/32 in)", "4.5 mm (11/64 in)", "1",
    ]  # fmt: skip
    assert rows[3][:2] == ["i1", "Enclosed strokes: 4"]
    (mark,) = figures(plan, {})[0].breaks
    assert mark.number == 2
    assert 'href="#break-2"' in page
    assert "break-2" in Tree(page).ids
    x0, _, x1, _ = plan.layout.extent
    per_mm = WIDTH / 1.12 / (x1 - x0)  # a margin of 6 % either side
    assert mark.radius == pytest.approx(1.1 * per_mm)
    assert "wood that will break out" in Tree(page).text
    whole = page_of(small_plan(), tmp_path)
    assert "break out" not in Tree(whole).text
    assert figures(small_plan(), {})[0].breaks == ()


def test_a_join_is_drawn_on_the_piece_whose_stroke_it_continues() -> None:
    plan = with_join(small_plan())
    first = plan.layout.pieces[0]
    second = Piece(first.drawing, affine.compose(affine.translation(60.0, 5.0), first.matrix), "second.png")
    join = replace(plan.strokes[-1], number=13)
    layout = Layout(plan.layout.board, (first, second))
    both = replace(plan, layout=layout, strokes=(*layout.strokes, join))
    one, other = figures(both, {})
    assert [line.number for line in one.lines] == [1, 2, 3, 4, 5, 6, 13]
    assert [line.number for line in other.lines] == list(range(7, 13))
    found = Finding("on the join", "note", "There.", (13,), (120.0, 60.0))
    assert [len(figure.marks) for figure in figures(replace(both, findings=(found,)), {})] == [1, 0]


def test_what_the_user_left_out_is_told_from_what_is_lost(tmp_path: Path) -> None:
    plan = with_join(small_plan())
    assert verdict(plan) == (
        "It cuts with losses: 1 of 7 strokes is left out, and 1 place needs care. "
        "1 stroke is left out as you asked."
    )
    page = page_of(plan, tmp_path)
    text = Tree(page).text
    assert "Stroke too thin: 1 stroke" in text
    assert "Left out by you: 1 stroke" in text
    drawn = {attrs["id"]: attrs.get("class") for attrs in Tree(page).all("path") if "id" in attrs}
    ghosts = {name: look for name, look in drawn.items() if look}
    assert ghosts == {"stroke-5": "gone", "stroke-7": "gone chosen"}
    assert table(page, "strokes")[-1][1] == "join"
    too_thin = replace(plan.dropped[0], stroke=2)  # in a bundle, but not left out for that
    acts = replace(plan.job.acts, thin_out=((2, 3),))
    both = replace(plan, job=replace(plan.job, acts=acts), dropped=(*plan.dropped, too_thin))
    assert "2 of 7 strokes are left out" in verdict(both)


def test_a_side_that_moves_an_edge_moves_it_on_the_figure() -> None:
    """The figure shows where the bit goes: 1 mm on the wood is 5 px of the art here."""
    plan = small_plan()
    ring = plan.strokes[0]
    moved = replace(ring, curves=ring.curves + np.array([1.0, 0.0]))
    before = figures(plan, {0: "data:"})[0].lines[0].path
    after = figures(replace(plan, strokes=(moved, *plan.strokes[1:])), {0: "data:"})[0].lines[0].path
    x = [float(re.match(r"M([\d.]+)", path)[1]) for path in (before, after)]  # type: ignore[index]
    assert x[1] - x[0] == pytest.approx(5 * WIDTH / 600, abs=0.011)


def test_long_lists_are_folded_and_need_no_scripts(tmp_path: Path) -> None:
    plan = small_plan()
    runs = tuple(replace(plan.runs[0], number=number) for number in range(1, 101))
    page = page_of(replace(plan, runs=runs), tmp_path)
    found = re.findall(r"<(details[^>]*)><summary>(.*?)</summary>", page)
    folded = {summary: "open" not in tag for tag, summary in found}
    assert folded["plunges 1 to 100, stroke by stroke"]
    assert not folded["6 strokes: drawn width, groove, plunge"]
    short = page_of(plan, tmp_path)
    assert '<details class="long" open><summary>plunges 1 to 3, stroke by stroke' in short


def test_the_rule_for_the_wood_between_is_among_the_settings(tmp_path: Path) -> None:
    text = Tree(page_of(small_plan(), tmp_path)).text
    assert "3 mm (1/8 in) along the grain, 4.76 mm (3/16 in) across, and at least half the depth" in text
    assert "Hand error on the template not counted" in text
    straight = Tree(page_of(small_plan(bit=Straight(3.175)), tmp_path)).text
    assert "and at least the depth along the grain, twice the depth across" in straight
    shaky = Tree(page_of(small_plan(hand_error=1.0, stops=3), tmp_path)).text
    assert "1 mm (3/64 in); with the play 0.5 mm (1/64 in) on the wood" in shaky  # the ratio is a half
    assert "more by twice what the hand strays" in shaky
    assert "Depth stops at most 3" in shaky


def test_positions_of_the_board_are_tabled(tmp_path: Path) -> None:
    plan = small_plan()
    assert "Positions of the board" not in page_of(plan, tmp_path)
    first = SetUp(1, (-10.0, 0.0, 70.0, 120.0), (1, 2))
    both = replace(plan, set_ups=(first, SetUp(2, (50.0, 0.0, 130.0, 120.0), (3,))))
    rows = table(page_of(both, tmp_path), "plunges")
    assert rows[:3] == [
        ["Set-up", "Cut in it", "The board is moved", "What the bit reaches of the board"],
        ["1", "Runs 1, 2", "Where it lies first", "0 mm to 70 mm from left, 0 mm to 100 mm from top"],
        [
            "2", "Run 3", "60 mm (2 23/64 in) towards its left edge",
            "50 mm to 130 mm from left, 0 mm to 100 mm from top",
        ],
    ]  # fmt: skip


def test_what_the_user_says_of_the_job_is_among_the_settings(tmp_path: Path) -> None:
    rows = {row[0]: row[1:] for row in table(page_of(small_plan(), tmp_path), "settings")}
    assert "Revision" not in rows
    assert "What the bit reaches on the wood" not in rows
    assert rows["Paper held"] == ["whichever way takes fewer sheets", "Assumed"]
    told = small_plan(
        linkage=Linkage(0.5, reach=(400.0, 300.0), table=(900.0, 600.0)),
        revision="B",
        finish="oil",
        art_from="drawn by Ida",
        allowed_by="Ida",
        hold="portrait",
        origins={"revision": "from the job file"},
    )
    rows = {row[0]: row[1:] for row in table(page_of(told, tmp_path), "settings")}
    assert rows["Revision"] == ["B", "From the job file"]
    assert [rows[name][0] for name in ("Finish", "Where the art is from", "Who allowed it")] == [
        "oil", "drawn by Ida", "Ida",
    ]  # fmt: skip
    assert rows["What the bit reaches on the wood"][0] == "400 mm × 300 mm (15 3/4 in × 11 13/16 in)"
    assert rows["Largest template under the stylus"][0].startswith("900 mm × 600 mm")
    assert rows["Paper held"][0] == "portrait"


def test_marks_lie_on_the_art_where_the_findings_are() -> None:
    """Wood to art by hand: x px = (x mm - 20) / 0.2 + 120; the figure shows 600 px across its width."""
    plan = small_plan()
    marks = figures(plan, {0: "data:"})[0].marks
    assert [mark.number for mark in marks] == [1, 2]
    for mark in marks:
        x, y = plan.findings[mark.number - 1].where or (0, 0)
        expected = np.array([(x - 20) / 0.2 + 120, (y - 12) / 0.2 + 40]) * WIDTH / 600
        assert (mark.to_x, mark.to_y) == pytest.approx(tuple(expected), abs=1e-6)


def test_each_piece_has_its_own_figure_and_marks(tmp_path: Path) -> None:
    plan = small_plan()
    first = plan.layout.pieces[0]
    second = Piece(first.drawing, affine.compose(affine.translation(60.0, 5.0), first.matrix), "second.png")
    found = (
        Finding("on the first", "risk", "One.", (1,), (50.0, 40.0)),
        Finding("on the second", "risk", "Two.", (7,), (110.0, 45.0)),
    )
    layout = Layout(plan.layout.board, (first, second))
    both = replace(plan, layout=layout, strokes=layout.strokes, findings=found, dropped=())
    assert [[mark.number for mark in figure.marks] for figure in figures(both, {})] == [[1], [2]]
    assert [line.number for line in figures(both, {})[1].lines] == list(range(7, 13))
    tree = Tree(page_of(both, tmp_path, art={1: picture()}))
    assert sum(attrs.get("class") == "look" for attrs in tree.all("figure")) == 2
    assert len(list(tree.all("image"))) == 1


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_shown_as_text(name: str, tmp_path: Path) -> None:
    plan = small_plan(name=name, art=name)
    odd = replace(plan.findings[0], message=name, remedy=name, check=name)
    page = page_of(replace(plan, findings=(odd, *plan.findings[1:])), tmp_path)
    tree = Tree(page)
    shown = " ".join(printable(name).split())
    assert tree.text.count(shown) >= 4
    plain = Tree(page_of(plan := small_plan(), tmp_path))
    assert [tag for tag, _ in tree.elements] == [tag for tag, _ in plain.elements]
    assert [sorted(attrs) for _, attrs in tree.elements] == [sorted(attrs) for _, attrs in plain.elements]
    assert not re.search("[\u202a-\u202e\u2066-\u2069\x00\x1b]", page)


def mended(plan: Plan, *mends: Mend) -> Plan:
    piece = plan.layout.pieces[0]
    piece = replace(piece, drawing=replace(piece.drawing, mends=mends))
    return replace(plan, layout=Layout(plan.layout.board, (piece,)))


GAPS = (
    Mend("gap closed", 50.0, 60.0, 3.2, 1),
    Mend("gap left open", 150.0, 90.0, 4.0, 2),
    Mend("gap closed", 250.0, 200.0, 5.0, 3),
)


def test_what_was_changed_is_said_by_kind_and_placed(tmp_path: Path) -> None:
    specks = [Mend("speck dropped", float(n), 2.0 * n, 1.0 + n) for n in range(100)]
    page = page_of(mended(small_plan(), *GAPS, *specks), tmp_path, art={0: picture()})
    text = Tree(page).text
    assert "2 gaps closed (1, 3) : two ends" in text
    assert "1 gap left open (2) : as you asked" in text
    assert "100 specks dropped :" in text
    assert "And 88 smaller; report.json lists them all." in text
    assert "Nothing was changed." not in text
    # Places on the art's own paper: 99 px and 198 px of 0.2 mm, 100 px across.
    assert table(page, "clean-up")[1] == ["Speck dropped", "19.8 mm from left, 39.6 mm from top", "20 mm"]


def test_gaps_are_numbered_on_the_picture_and_looked_at_before_and_after(tmp_path: Path) -> None:
    page = page_of(mended(small_plan(), *GAPS), tmp_path, art={0: picture()})
    tree = Tree(page)
    assert tuple(re.findall(r"Gap \d , (?:closed|left open)", tree.text)) == (
        "Gap 1 , closed",
        "Gap 2 , left open",
        "Gap 3 , closed",
    )
    before_and_after = [
        attrs["aria-label"] for attrs in tree.all("svg") if "Gap " in str(attrs.get("aria-label"))
    ]
    assert before_and_after[:2] == ["Gap 1, in the art", "Gap 1, and the strokes there"]
    assert len(before_and_after) == 6
    assert "0.64 mm wide; 10 mm from left, 12 mm from top" in tree.text
    assert "say --open-gaps 1, or write open-gaps = [1] into the job file" in tree.text
    assert {attrs["href"] for attrs in tree.all("use")} >= {"#art-1", "#drawn-1"}
    assert {"art-1", "drawn-1"} <= set(tree.ids)


def test_marks_of_the_clean_up_lie_where_it_changed_something() -> None:
    """The figure shows 600 px of art across its width: a pixel is WIDTH / 600."""
    plan = mended(small_plan(), *GAPS, Mend("shading left out", 300.0, 225.0, 50.0))
    figure = figures(plan, {0: "data:"})[0]
    marks = clean_up(plan.layout.pieces[0].drawing, figure, PageWords(plan)).marks
    found = {(mark.look, mark.number, round(mark.x, 6), round(mark.y, 6)) for mark in marks}
    per_px = WIDTH / 600
    assert found == {
        ("area", 0, 300 * per_px, 225 * per_px),
        ("closed", 1, 50 * per_px, 60 * per_px),
        ("open", 2, 150 * per_px, 90 * per_px),
        ("closed", 3, 250 * per_px, 200 * per_px),
    }
    assert figure.gaps == ((50 * per_px, 60 * per_px), (250 * per_px, 200 * per_px))
    assert marks[0].radius == pytest.approx(25 * per_px)


def test_what_concerns_the_whole_picture_has_no_mark(tmp_path: Path) -> None:
    plan = mended(small_plan(), Mend("turned round", 300.0, 225.0, 600.0))
    assert "White on black turned round : the art has" in Tree(page_of(plan, tmp_path)).text
    figure = figures(plan, {})[0]
    assert clean_up(plan.layout.pieces[0].drawing, figure, PageWords(plan)).marks == ()


def test_verdicts() -> None:
    plan = small_plan()
    loss, risk, note = plan.findings
    clean = replace(plan, dropped=(), findings=(note,))
    assert verdict(clean) == "It cuts as drawn."
    careful = verdict(replace(clean, findings=(risk, note)))
    assert careful == "Every stroke can be cut, but 1 place needs care."
    assert verdict(replace(clean, findings=(loss, risk))) == (
        "It cuts with losses in 1 place, and 1 place needs care."
    )
    assert verdict(plan) == "It cuts with losses: 1 of 6 strokes is left out, and 1 place needs care."
    assert verdict(replace(plan, grooves=())) == (
        "Nothing can be cut like this: none of the 6 strokes can be kept."
    )


def test_nothing_to_cut_still_makes_a_page(tmp_path: Path) -> None:
    plan = replace(small_plan(), grooves=(), runs=(), islands=(), findings=(), stops=(), lands=())
    text = Tree(page_of(plan, tmp_path)).text
    assert "Nothing can be cut like this" in text
    assert "None: nothing is cut." in text


def test_cutting_through_warns_of_beds(tmp_path: Path) -> None:
    """16 CFR 1213 and 1513 are the rules for bunk beds, 1219 and 1220 those for cots (titles from memory)."""
    deep = with_passes(small_plan(), 10.0, 19.05)
    assert "16 CFR 1213, 1219, 1220 and 1513" in Tree(page_of(deep, tmp_path)).text
    assert "16 CFR" not in Tree(page_of(small_plan(), tmp_path)).text


def test_page_is_the_same_twice_and_not_too_large(tmp_path: Path) -> None:
    noise = np.random.default_rng(1).integers(0, 255, (900, 1200, 3), np.uint8)
    file = io.BytesIO()
    Image.fromarray(noise).save(file, "PNG", compress_level=1)
    pages = [page_of(small_plan(), tmp_path, art={0: file.getvalue()}, preview=None) for _ in range(2)]
    assert pages[0] == pages[1]
    assert len(pages[0].encode()) < 1_500_000


def test_pictures_take_what_words_and_lines_leave(tmp_path: Path) -> None:
    plan = small_plan()
    wordy = replace(plan.findings[0], message="Much to say. " * 80_000)
    noise = np.random.default_rng(2).integers(0, 255, (900, 1200, 3), np.uint8)
    file = io.BytesIO()
    Image.fromarray(noise).save(file, "PNG", compress_level=1)
    art = file.getvalue()
    page = page_of(replace(plan, findings=(wordy,)), tmp_path, art={0: art}, preview=art)
    pictures = sum(len(uri) for uri in re.findall('"data:[^"]*"', page))
    assert len(page.encode()) - pictures > 1_040_000
    assert len(page.encode()) < 1_500_000
    assert pictures > 50_000


HEADS = ("strokes too thin", "grooves run together", "wood too thin", "wood breaks out")
CURVE = SizeCurve(
    job=small_plan().job,
    width=78.0,
    height=68.0,
    side="wide",
    rows=(
        SizeRow(39.0, 34.0, Losses(6, 5, 4, 3, all_thin=True)),
        SizeRow(78.0, 68.0, Losses(1, 0, 2, 0)),
        SizeRow(156.0, 136.0, Losses(0, 0, 0, 0)),
    ),
)


def test_what_other_sizes_lose_is_drawn_and_tabled(tmp_path: Path) -> None:
    page = page_of(small_plan(), tmp_path, curve=CURVE)
    assert table(page, "sizes") == [
        ["Finished size, wide", *(head.capitalize() for head in HEADS)],
        ["39 mm (1 17/32 in) *", "6", "5", "4", "3"],
        ["78 mm (3 5/64 in), as asked", "1", "0", "2", "0"],
        ["156 mm (6 9/64 in)", "0", "0", "0", "0"],
    ]
    tree = Tree(page)
    assert "* Every line comes out too wide there" in tree.text
    labels = [attrs.get("aria-label") for attrs in tree.all("svg")]
    assert "Kite sign: what is lost at which size" in labels
    assert "http:" not in page
    without = page_of(small_plan(), tmp_path)
    art = small_plan().layout.pieces[0].drawing.name
    assert f'tracer size {shlex.quote(art)} --width "78 mm"' in Tree(without).text
    larger = page_of(small_plan(), tmp_path, curve=replace(CURVE, rows=CURVE.rows[1:]))
    assert "* Every line" not in larger


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_text_in_the_chart(name: str, tmp_path: Path) -> None:
    job = replace(small_plan().job, name=name)
    tree = Tree(page_of(small_plan(), tmp_path, curve=replace(CURVE, job=job)))
    plain = Tree(page_of(small_plan(), tmp_path, curve=CURVE))
    assert [tag for tag, _ in tree.elements] == [tag for tag, _ in plain.elements]
    assert " ".join(printable(name).split())[:40] in tree.text


def test_preview_that_is_given_is_not_drawn_anew(tmp_path: Path) -> None:
    page = page_of(small_plan(), tmp_path, preview=picture((321, 123)))
    assert next(Tree(page).all("img"))["width"] == "321"


@given(st.integers(1, 40), st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=30)
def test_labels_keep_apart_and_inside_where_there_is_room(count: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    points = random.uniform(20, 180, (count, 2))
    sizes = [(6.0, 4.0)] * count
    choices = [around(point, (5.0, 12.0, 20.0, 30.0, 45.0), 16) for point in points]
    middles = spread(choices, sizes, lines=points, room=(200.0, 200.0))
    assert (middles >= [3.0, 2.0]).all()
    assert (middles <= [197.0, 198.0]).all()
    apart = np.abs(middles[:, None] - middles[None])
    meets = (apart[..., 0] < 6.0 - 1e-9) & (apart[..., 1] < 4.0 - 1e-9)
    assert meets.sum() == count  # each meets only itself


def test_labels_keep_off_lines() -> None:
    line = np.column_stack([np.linspace(0, 100, 400), np.full(400, 50.0)])
    beside, above = np.array([[58.0, 50.0], [50.0, 42.0]])  # the one wished for lies on the line
    middle = spread([np.array([beside, above])], [(4.0, 4.0)], lines=line, room=(100.0, 100.0))
    assert tuple(middle[0]) == tuple(above)


def test_marks_stand_clear_of_each_other() -> None:
    plan = small_plan()
    crowd = tuple(Finding("crowd", "risk", f"{n}", (1,), (50.0 + n % 3, 40.0 + n // 3)) for n in range(12))
    marks = figures(replace(plan, findings=crowd), {})[0].marks
    places = np.array([(mark.x, mark.y) for mark in marks])
    apart = np.abs(places[:, None] - places[None]).max(axis=2) + 1e3 * np.eye(12)
    assert apart.min() >= 2 * MARK - 1e-6


def test_the_pages_code_is_kept_and_gives_the_same_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Compiling it anew takes longer than all else that the report needs."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "compiled"))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    pages = []
    for code in ("made", "read again"):
        report_page.cache_clear()
        monkeypatch.setattr(Environment, "compile", Environment.compile if code == "made" else None)
        write_report(small_plan(), tmp_path / f"{code}.html")
        pages.append((tmp_path / f"{code}.html").read_bytes())
    assert pages[0] == pages[1]
    report_page.cache_clear()


def test_the_page_is_made_where_no_code_can_be_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "no-folder").touch()
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "no-folder"))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    report_page.cache_clear()
    write_report(small_plan(), tmp_path / "report.html")
    report_page.cache_clear()
    assert (tmp_path / "report.html").stat().st_size > 10_000
