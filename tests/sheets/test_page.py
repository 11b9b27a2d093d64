"""report.html as a browser reads it: whole without network or scripts, safe whatever things are called."""

import io
import re
import shutil
import subprocess
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
from PIL import Image, ImageDraw
from sheets.plans import small_plan, with_passes

from tracer.geometry import affine
from tracer.model.finding import Finding
from tracer.model.ink import Mend
from tracer.model.layout import Layout, Piece
from tracer.model.plan import Plan
from tracer.sheets.figure import MARK, WIDTH, figures
from tracer.sheets.page import printable, verdict, write_report
from tracer.sheets.spread import around, spread

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
        if self._open and self._open[-1] != "style":
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


def test_page_fetches_nothing_and_has_no_scripts(page: str) -> None:
    assert not re.search(r"https?://|url\(|@import", page)
    tree = Tree(page)
    assert not list(tree.all("script", "link", "iframe", "object", "embed", "base", "form"))
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
    assert sum("viewbox" in attrs and attrs.get("class") == "art" for attrs in tree.all("svg")) == 2
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


def test_mends_are_counted_and_placed(tmp_path: Path) -> None:
    plan = small_plan()
    mends = tuple(Mend("speck dropped", float(n), 2.0 * n, 1.0 + n) for n in range(100))
    piece = plan.layout.pieces[0]
    mends = (Mend("gap closed", 50.0, 60.0, 3.2), *mends)
    piece = replace(piece, drawing=replace(piece.drawing, mends=mends))
    text = Tree(page_of(replace(plan, layout=Layout(plan.layout.board, (piece,))), tmp_path)).text
    assert "Gap closed: 1" in text
    assert "Speck dropped: 100" in text
    assert "And 89 smaller." in text
    assert "Nothing was changed." not in text


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
    noise = np.random.default_rng(1).integers(0, 255, (1500, 2000, 3), np.uint8)
    file = io.BytesIO()
    Image.fromarray(noise).save(file, "PNG", compress_level=1)
    pages = [page_of(small_plan(), tmp_path, art={0: file.getvalue()}, preview=None) for _ in range(2)]
    assert pages[0] == pages[1]
    assert len(pages[0].encode()) < 1_500_000


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


@pytest.mark.skipif(shutil.which("chromium") is None, reason="needs the browser chromium")
def test_browser_shows_it_without_complaint(page: str, tmp_path: Path) -> None:
    file = tmp_path / "report.html"
    file.write_text(page, "utf-8")
    seen = subprocess.run(
        ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr", "--v=0",
         f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", file.as_uri()],
        capture_output=True, text=True, timeout=60, check=True,
    )  # fmt: skip
    assert "CONSOLE" not in seen.stderr
    assert seen.stdout.count('<tr id="finding-') == len(small_plan().findings)
