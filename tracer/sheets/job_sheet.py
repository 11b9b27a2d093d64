"""The job sheet: the paper that goes to the workshop with the template."""

import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from tracer.model.finding import Finding
from tracer.model.plan import Plan
from tracer.sheets.assembly import Assembly, assemblies
from tracer.sheets.bench_words import warnings_of
from tracer.sheets.blocks import READ, SMALL, Block, Column, draw_tick, gap, stack
from tracer.sheets.cautions import cautions
from tracer.sheets.job_facts import (
    Setting,
    facts_of,
    feeds_of,
    ratio_trust,
    rights_words,
    scrap_words,
    settings_of,
    tape_words,
)
from tracer.sheets.job_page import JobPage
from tracer.sheets.job_picture import FactsAndBoard
from tracer.sheets.marks import draw_start
from tracer.sheets.pdf import GREY, Pdf
from tracer.sheets.run_boxes import RunBoxes, shift_table
from tracer.sheets.said_names import title_of
from tracer.sheets.template import unsaid_of_board
from tracer.sheets.thumbnail import all_numbered, thumbnail
from tracer.shop.bit_words import describe
from tracer.shop.linkage import ratio_words

_BIG, _OF_SEVERAL, _CAREFUL = 14.0, 11.5, SMALL
"""Points: what the router is set by, each depth where there are several, and the cautions."""

_BIT = 11.0, 9.6
"""Points: the bit's words, on one line where one of them allows it."""

_WARNINGS = 5
"""Findings at most; the report holds all."""

_LABEL = 20.0
"""mm from a setting's label to its words."""

_SAID = 13.0
"""mm from a finding's mark to its words."""

_LARGE, _LARGE_AT_LEAST = 150.0, 75.0
"""mm of height for the picture on the page of the boxes; with less room what follows goes further on."""


def write_job_sheet(plan: Plan, path: Path, *, cards: bool = False) -> None:
    """Write job-sheet.pdf, one page held upright; further ones only where the runs need them.

    `cards` says that letter cards are made, too. On the job's paper, or on A4 or Letter where that is
    smaller. The same plan gives the same bytes. JobError where the paper is too small for a template.
    """
    page = JobPage(Pdf(path, title=f"{title_of(plan)}: job sheet", date=plan.job.date), plan)
    _fill(page, plan, "working from cards: tick letter-cards.pdf instead" if cards else "")
    page.pdf.save()


def _fill(page: JobPage, plan: Plan, aside: str) -> None:
    """Fill the pages: what is known, what to do first, what to look out for, the boxes to tick."""
    column = page.column
    page.turn(foot=_cautions(column, plan))
    sheets, boxes = assemblies(plan), RunBoxes(column, plan, aside)
    settings, checks = _settings(column, plan), _checks(column, plan, sheets)
    facts = FactsAndBoard(column, plan, facts_of(plan, sheets))
    moves = shift_table(column, plan, sheets)
    shifts = stack(moves)
    free = page.room - settings.height - checks.height
    single = facts.least + _warnings(column, plan, 0.0).height + shifts.height + boxes.height <= free
    free -= shifts.height + boxes.height if single else 0.0
    warned = _warnings(column, plan, free - facts.least)
    board = facts.within(free - warned.height, elsewhere="" if single else "page 2")
    for block in (settings, board.block, checks, warned):
        page.put(block)
    if not single:
        _notes(page)
        page.turn()
        if not board.numbered:
            page.put(_large_board(page, plan, shifts.height + boxes.height))
    page.put_each(moves)
    boxes.put(page)
    _ways(page, plan)
    _notes(page)


def _large_board(page: JobPage, plan: Plan, rest: float) -> Block:
    """The board once more, large; not as large where all numbers and the `rest` mm then fit on the page."""
    column = page.column
    most = min(_LARGE, page.room - rest - 5.0)
    if most < _LARGE_AT_LEAST or not all_numbered(column, plan, most):
        most = _LARGE
    return stack((column.rule(), thumbnail(column, plan, most), gap(2.0)))


def _settings(column: Column, plan: Plan) -> Block:
    """How the router and the linkage are set, in type to be read from the machine."""
    job, ratio, settings = plan.job, ratio_words(plan.job.ratio), settings_of(plan)
    trust = f"; depth{'s' if len(settings) > 1 else ''} {job.origin('depth')}"
    bit, _, limits = describe(job.bit, job.units).partition("; ")
    size = column.pdf.shrunk(bit, _BIT, column.width - _LABEL)
    rows = [
        _labelled(column, "Bit", bit, size, "; ".join(filter(None, (limits, job.origin("bit"))))),
        *(_setting(column, one, trust if one is settings[0] else "") for one in settings),
        _labelled(column, "Ratio", ratio[0].upper() + ratio[1:], _BIG, ratio_trust(plan)),
    ]
    return stack((column.rule(), *rows))


def _setting(column: Column, setting: Setting, trust: str) -> Block:
    """Return one depth of the router: its sign where there are several, depth and groove large."""
    words, small = f"{setting.depth} deep, groove {setting.groove} wide", f"{setting.rest}{trust}"
    if not setting.stop:
        return _labelled(column, "Depth", words, _BIG, small)
    sign = Block(0.0, lambda y: draw_start(column.pdf, np.array([column.left + 15.5, y + 3.0]), setting.stop))
    return stack((sign, _labelled(column, f"Stop {setting.stop}", words, _OF_SEVERAL, small)))


def _labelled(column: Column, label: str, words: str, size: float, small: str) -> Block:
    """Return bold words with their label on the left, and how they came: at their right, or under them."""
    pdf, inner = column.pdf, column.inner(_LABEL)
    room = inner.width - pdf.measure(small, SMALL) - 2.0
    at_left = Block(0.0, lambda y: pdf.text(column.left, y + 4.6, label, 9.0, bold=True))
    said = inner.paragraph(words, size, bold=True)
    if pdf.measure(words, size, bold=True) <= room:
        trust = Block(0.0, lambda y: pdf.text(column.right, y + 4.6, small, SMALL, anchor="right"))
        return stack((at_left, trust, said, gap(1.5)))
    return stack((at_left, said, inner.paragraph(small, SMALL), gap(1.5)))


def _checks(column: Column, plan: Plan, sheets: Sequence[Assembly]) -> Block:
    """What to do and measure before the first cut, with room to write."""
    said = (
        "Bars on every sheet: short edge ______ mm, long edge ______ mm (not 100: print again with --bar)",
        *tape_words(plan, sheets),
        scrap_words(plan),
        "Line of ______ mm on the template is ______ mm in the wood (middle to middle): ratio ______",
        *rights_words(plan),
        *unsaid_of_board(plan),
    )
    return stack(
        (column.rule(), column.title("Before you cut"), *(_to_tick(column, words) for words in said))
    )


def _to_tick(column: Column, words: str) -> Block:
    said = column.inner(7.0).paragraph(words, READ)
    box = Block(0.0, lambda y: draw_tick(column.pdf, column.left, y + 2.4))
    return stack((box, said, gap(max(5.2 - said.height, 0.0) + 1.2)))


def _warnings(column: Column, plan: Plan, room: float) -> Block:
    """The findings that cost most, as many as find place in `room` mm of height, but always the first.

    Where they do not all find it whole, each is told by its first sentence. What helps against a loss
    is told in any case.
    """
    findings = [one if one.severity == "loss" else replace(one, remedy="") for one in warnings_of(plan)]
    if not findings:
        return gap(0.0)
    head = stack((column.rule(), column.title("Look out for")))
    short = [replace(one, message=_first_sentence(one.message)) for one in findings]
    for count in range(min(len(findings), _WARNINGS), 0, -1):
        more = len(findings) - count
        said = f"And {more} of other kinds: see report.html." if more else ""
        last = column.inner(_SAID).paragraph(said, 9.0)
        for told in (findings, short):
            block = stack((head, *(_warning(column, one) for one in told[:count]), last, gap(1.0)))
            if block.height <= room:
                return block
    return block


def _first_sentence(words: str) -> str:
    """Return the first of several sentences; a full stop within a number ends none."""
    return re.split(r"(?<=\.)\s(?=[A-Z])", words, maxsplit=1)[0]


def _warning(column: Column, finding: Finding) -> Block:
    mark = {"loss": "LOSS", "risk": "RISK", "note": "note"}[finding.severity]
    bold = finding.severity != "note"
    sign = Block(0.0, lambda y: column.pdf.text(column.left, y + 3.4, mark, 9.0, bold=bold))
    said = f"{finding.message} {finding.remedy}".rstrip()
    return stack((sign, column.inner(_SAID).paragraph(said, 9.5), gap(0.9)))


def _ways(page: JobPage, plan: Plan) -> None:
    """Which way each run is followed, and why, where room is left."""
    column, ways = page.column, feeds_of(plan)
    said = [column.paragraph(f"{words} {runs[0].upper()}{runs[1:]}.", 9.5) for runs, words in ways]
    block = stack((column.rule(), column.title("Which way, and why"), *said, gap(1.0)))
    if ways and block.height <= page.room:
        page.put(block)


def _cautions(column: Column, plan: Plan) -> Block:
    """The cautions, for the foot of the first page."""
    pdf = column.pdf
    rule = Block(1.2, lambda y: pdf.line([(column.left, y), (column.right, y)], width=0.15, colour=GREY))
    title = Block(4.2, lambda y: pdf.text(column.left, y + 3.0, "Take care", 9.5, bold=True))
    return stack((rule, title, *(column.led(one.about, one.words, _CAREFUL) for one in cautions(plan))))


def _notes(page: JobPage) -> None:
    """Lines to write on where room is left."""
    column, lines = page.column, int((page.room - 11.0) // 8.0)
    if lines < 1:
        return
    line = Block(
        8.0,
        lambda y: page.pdf.line([(column.left, y + 8.0), (column.right, y + 8.0)], width=0.12, colour=GREY),
    )
    page.put(
        stack((column.rule(), column.title("Notes: finish, what to do otherwise next time"), *[line] * lines))
    )
