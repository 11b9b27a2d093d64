"""Names as people and programs write them, in every file of the pack: shown as text, breaking nothing.

The directional marks are those of Unicode Standard Annex 9; control letters and half pairs are what XML 1.0
cannot hold (section 2.2).
"""

import json
import re
import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pypdfium2.raw as raw
import pytest
from sheets import pages
from sheets.plans import DATE, small_plan
from sheets.test_page import Tree, page_of
from sheets.words import word_plan

from tracer.errors import JobError
from tracer.model.plan import Plan
from tracer.pipeline import letter_plans
from tracer.settle import resolve
from tracer.sheets.cards import write_cards
from tracer.sheets.pack import FILES, LETTER_FILES
from tracer.sheets.page import printable
from tracer.sheets.pdf_letters import shown
from tracer.sheets.said_names import title_of

NAMES = {
    "script": "<script>alert(1)</script>",
    "end of tags": "--></title></desc></style></svg>]]><h1>in</h1>",
    "quotes": "\"' onload='x\" `y` \u201cz\u201d",
    "references": "&amp;&lt;b&gt; &#60; %3Cb%3E",
    "template": "{{ 7 * 7 }}{% raw %}${x} %s {0}",
    "pdf": "(a\\) Tj ET endstream endobj << /JavaScript >>",
    "paths": "../../a/b\\c:d",
    "absolute": "/dev/null",
    "right to left": "\u202egnp.evil\u2066 \u05e9\u05dc\u05d5\u05dd",
    "emoji": "\U0001f989\u200d\U0001f3fd owl \U0001f1e9\U0001f1f0",
    "scripts": "\u0141\xf3d\u017a \u0416\u0443\u043a \u2116 five (\u05d0\u05d1) \u0633\u0644\u0627 12",
    "accents": "e\u0301te\u0301 a\u0300\u0316\u0317\u0318 \u6728",
    "one long word": "n" * 250,
    "many words": "owl and " * 31 + "hare",
    "control": "nul\x00 tab\t esc\x1b line\n bell\x07",
    "half a pair": "half\udcff pair\ud83d",
    "blank": " \t ",
    "empty": "",
}

DC = "{http://purl.org/dc/elements/1.1/}"
"""Facts of the file, which are left out where they are empty."""

STEERING = re.compile("[\u202a-\u202e\u2066-\u2069\x00-\x08\x0b\x0c\x0e-\x1f]")


def named(name: str, plan: Plan | None = None) -> Plan:
    """Return a plan that holds the name wherever one can stand."""
    plan = plan or small_plan(art=name)
    job = replace(plan.job, name=name, revision=name, finish=name, art_from=name, allowed_by=name)
    found = replace(plan.findings[0], message=f"Of {name}.", remedy=name)
    pieces = tuple(replace(piece, name=name) for piece in plan.layout.pieces)
    layout = replace(plan.layout, pieces=pieces)
    return replace(plan, job=job, layout=layout, findings=(found, *plan.findings[1:]))


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the files of a plan whose names are harmless."""
    folder = tmp_path_factory.mktemp("plain")
    write_all(named("Owl sign"), folder)
    return folder


def write_all(plan: Plan, folder: Path) -> None:
    """Write the pack's files but the preview, which names nothing."""
    for name, writer in FILES.items():
        if not name.endswith(".png"):
            writer(plan, folder / name)
    page_of(plan, folder)


@pytest.mark.parametrize("kind", NAMES)
def test_a_hostile_name_is_text_in_every_file(kind: str, tmp_path: Path, plain: Path) -> None:
    folder = tmp_path / "here" / "pack"
    folder.mkdir(parents=True)
    write_all(named(NAMES[kind]), folder)
    assert {one.name for one in tmp_path.rglob("*") if one.is_file()} == {one.name for one in plain.iterdir()}
    for file in sorted(folder.iterdir()):
        CHECKS[file.suffix](file, plain / file.name, NAMES[kind])


def check_pdf(file: Path, like: Path, name: str) -> None:
    """As many pages, nothing in their margins, the name's beginning to be read, no actions or links."""
    assert pages.sizes(file) == pages.sizes(like)
    said = pages.texts(file)
    assert not STEERING.search("".join(said))
    assert DATE.isoformat() in said[0]  # no long revision takes its room
    words = shown(name)
    if shown(title_of(named(name))) == words:
        assert words[:12].strip() in " ".join(said[0].split())
    for number in range(len(said)):
        x0, y0, x1, _ = pages.extent_mm(pages.rendered(file, number, dpi=50).min(axis=2) < 200, dpi=50)
        assert min(x0, y0, pages.sizes(file)[number][0] * 25.4 / 72 - x1) > 9.0
    document = pypdfium2.PdfDocument(file)
    assert document.get_metadata_value("Title").startswith(title_of(named(name))[:12].strip() or ":")
    assert raw.FPDFDoc_GetJavaScriptActionCount(document) == 0
    assert [raw.FPDFPage_GetAnnotCount(page) for page in document] == [0] * len(document)
    document.close()


def check_svg(file: Path, like: Path, name: str) -> None:
    """The same elements and attributes; the title is the name."""
    root, plain = (ET.parse(one).getroot() for one in (file, like))
    skeletons = [
        [(one.tag, sorted(one.attrib)) for one in whole.iter() if not one.tag.startswith(DC)]
        for whole in (root, plain)
    ]
    assert skeletons[0] == skeletons[1]
    assert not STEERING.search("".join(root.itertext()))
    title = next(root.iter("{http://www.w3.org/2000/svg}title")).text or ""
    if name.isascii() and name.isprintable():
        assert title == " ".join(name.split())


def check_json(file: Path, like: Path, name: str) -> None:
    """The same keys; the name whole, but for half pairs, which no UTF-8 holds."""
    record, plain = (json.loads(one.read_text("utf-8")) for one in (file, like))
    assert list(record) == list(plain)
    whole = name.encode("utf-8", "replace").decode()
    job = record["job"]
    for said in (job["name"], job["revision"], job["finish"], job["art_from"], job["allowed_by"]):
        assert said.encode("utf-8", "replace").decode() == whole


def check_html(file: Path, like: Path, name: str) -> None:
    """The same elements and attributes; the name among the words."""
    page = file.read_text("utf-8")
    tree, plain = Tree(page), Tree(like.read_text("utf-8"))
    drawn, usual = ([(tag, *sorted(attrs)) for tag, attrs in one.elements] for one in (tree, plain))
    assert drawn == usual if name else not Counter(drawn) - Counter(usual)  # what nobody said has no row
    assert not STEERING.search(page)
    assert " ".join(printable(name).split()) in tree.text


CHECKS = {".pdf": check_pdf, ".svg": check_svg, ".json": check_json, ".html": check_html}


@pytest.mark.parametrize("kind", NAMES)
def test_a_hostile_name_breaks_no_page_of_letters(kind: str, tmp_path: Path) -> None:
    plan = named(NAMES[kind], WORDS)
    for name, writer in LETTER_FILES.items():
        writer(plan, tmp_path / name)
        said = pages.texts(tmp_path / name)
        assert title_of(plan)[:12].strip() in " ".join(said[0].split())
        assert not STEERING.search("".join(said))


@pytest.mark.parametrize("kind", NAMES)
def test_a_hostile_name_breaks_no_letter_card(kind: str, tmp_path: Path) -> None:
    plan = named(NAMES[kind], WORDS)
    (tmp_path / "here").mkdir()
    write_cards(plan, tmp_path / "here" / "letter-cards.pdf", alone=letter_plans(WORDS))
    assert [one.name for one in tmp_path.rglob("*.pdf")] == ["letter-cards.pdf"]
    file = tmp_path / "here" / "letter-cards.pdf"
    for number, said in enumerate(pages.texts(file)):
        assert title_of(plan)[:12].strip() in " ".join(said.split())
        assert not STEERING.search(said)
        x0, y0, x1, _ = pages.extent_mm(pages.rendered(file, number, dpi=50).min(axis=2) < 200, dpi=50)
        assert min(x0, y0, pages.sizes(file)[number][0] * 25.4 / 72 - x1) > 9.0


WORDS = word_plan("EM")


@pytest.mark.parametrize("kind", [kind for kind, name in NAMES.items() if name.strip()])
def test_a_job_file_holds_a_hostile_name_as_it_is(kind: str, tmp_path: Path) -> None:
    name = NAMES[kind]
    keys = ("name", "revision", "finish", "art-from", "allowed-by")
    text = "".join(f"{key} = {json.dumps(name, ensure_ascii=False)}\n" for key in keys)
    (tmp_path / "job.toml").write_bytes(text.encode("utf-8", "replace"))
    job = resolve({}, job_file=tmp_path / "job.toml")
    whole = name.encode("utf-8", "replace").decode()
    assert {job.name, job.revision, job.finish, job.art_from, job.allowed_by} == {whole}


@pytest.mark.parametrize("name", ["", " \\t "])
def test_a_job_file_without_a_name_in_its_name_is_refused(name: str, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(f'name = "{name}"\n')
    with pytest.raises(JobError, match="words are expected"):
        resolve({}, job_file=tmp_path / "job.toml")
