"""Names in many scripts on paper. Orders: Unicode Standard Annex 9, by python-bidi; forms: its code charts.

Which letters a language uses: from memory.
"""

import datetime
from dataclasses import replace
from pathlib import Path

import pytest
from bidi import get_display
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics
from sheets import pages
from sheets.plans import small_plan

from tracer.sheets.assembly import assemblies
from tracer.sheets.job_facts import facts_of
from tracer.sheets.pdf import Pdf
from tracer.sheets.pdf_letters import fonts, lacking, shown, spans
from tracer.sheets.said_names import unshown

SHOWN = {
    "German, Polish": "Größe Łódź Żółw № 5",
    "Turkish, Romanian": "ığşİ ășț",
    "Vietnamese": "Nguyễn Đặng Ơn",
    "Ukrainian": "Жук Їжак Ґава",
    "Greek": "Ελένη",
    "Armenian": "Դավիթ",
    "Georgian": "გიორგი",
    "Hebrew": "אבג שלום",
    "Arabic": "سلام",
    "Persian": "پگاه چی",
    "fractions and primes": "⅛″ 5′ →",
}


def seen(words: str) -> str:
    """The words from left to right as they stand on the page."""
    return "".join(part for _, part in spans(shown(words), bold=False))


@pytest.mark.parametrize("language", SHOWN)
def test_names_keep_their_letters(language: str) -> None:
    assert shown(SHOWN[language]) == SHOWN[language]
    assert lacking(SHOWN[language]) == []


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("language", SHOWN)
def test_each_letter_is_drawn_in_a_font_that_has_it(language: str, bold: bool) -> None:
    fonts()
    for font, part in spans(SHOWN[language], bold=bold):
        face = pdfmetrics.getFont(font).face
        assert ("Bold" in str(face.name)) == bold
        assert {ord(one) for one in part} <= set(face.charToGlyph)


def test_words_are_measured_as_they_are_drawn(tmp_path: Path) -> None:
    pdf = Pdf(tmp_path / "a.pdf", title="", date=datetime.date(2026, 3, 1))
    pdf.page(200.0, 20.0)
    words = "Łódź Жук אבג سلام H"
    pdf.text(10.0, 12.0, words, 20.0)
    pdf.save()
    x0, _, x1, _ = pages.extent_mm(pages.rendered(tmp_path / "a.pdf", 0, dpi=200).min(axis=2) < 128, dpi=200)
    # Side bearings of L and H are about a tenth of the type size: 7 mm.
    assert x0 == pytest.approx(10.7, abs=0.7)
    assert x1 == pytest.approx(10.0 + pdf.measure(words, 20.0) - 0.7, abs=0.7)


@given(
    st.text("אבגש 0123,.!", max_size=12).map(lambda inner: f"ש{inner}ם").filter(lambda w: "  " not in w),
    st.sampled_from(["", "sign of ", "Łódź: "]),
)
def test_right_to_left_runs_are_seen_in_their_order(name: str, before: str) -> None:
    assert seen(f"{before}{name} A1") == f"{before}{get_display(name, base_dir='R')} A1"


@pytest.mark.parametrize(
    ("name", "left_to_right"),
    [
        ("שלום 12", "םולש 12"),  # what follows keeps its place: it may be the sheets' number
        ("שלום (עולם) 12", "(םלוע) םולש 12"),
        ("(שלום) עולם", "םלוע (םולש)"),
        ("(שלום)", "(םולש)"),
        ("<i>אבג</i>", "<i>גבא</i>"),
    ],
)
def test_brackets_and_what_follows_keep_their_place(name: str, left_to_right: str) -> None:
    assert seen(name) == left_to_right


@pytest.mark.parametrize(
    ("name", "left_to_right"),
    [
        ("بيت", "\ufe96\ufef4\ufe91"),  # final teh, medial yeh, initial beh
        ("دار", "\ufead\ufe8d\ufea9"),  # none of the three joins the next: isolated
        ("سلام", "\ufee1\ufefc\ufeb3"),  # isolated meem, lam with alef final, initial seen
        ("لا", "\ufefb"),
    ],
)
def test_arabic_letters_join(name: str, left_to_right: str) -> None:
    assert seen(name) == left_to_right


def test_letters_that_no_font_has_are_named_once() -> None:
    plan = small_plan()
    named = replace(plan, job=replace(plan.job, name="\U0001f407 of Zo\u00eb \U0001f407?", finish="\u6f06"))
    assert not unshown(plan)
    assert unshown(named) == (
        'The sheets print "?" for letters that their type lacks: rabbit, cjk unified ideograph-6f06.'
    )
    many = replace(plan, job=replace(plan.job, name="".join(map(chr, range(0x4E00, 0x4E08)))))
    assert unshown(many).endswith("4e04 and 3 more.")
    (fact,) = [one for one in facts_of(named, assemblies(named)) if one.label == "Letters not shown"]
    assert fact.value == unshown(named)


def test_plain_names_embed_no_second_font(tmp_path: Path) -> None:
    sizes = []
    for name in ("Kite é", "Kite Жук אבג"):
        pdf = Pdf(tmp_path / "a.pdf", title=name, date=datetime.date(2026, 3, 1))
        pdf.page(100.0, 20.0)
        pdf.text(10.0, 12.0, name, 20.0)
        pdf.save()
        data = (tmp_path / "a.pdf").read_bytes()
        assert (b"DejaVu" in data) == (name != "Kite é")
        sizes.append(len(data))
    assert sizes[1] - sizes[0] < 40_000  # a subset: the whole font has 756 kB
