"""report.html in a browser: quiet, whole without scripts, in reach of the keyboard, alive with scripts."""

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from browser import CHROMIUM, Browser
from sheets.pages import sizes, texts
from sheets.plans import small_plan, with_break
from sheets.test_page import page_of, picture

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs the browser chromium")

LAYERS = ("art", "grooves", "strokes", "numbers", "findings", "runs")
SHOWN = "[...document.querySelectorAll('.of-{}')].filter(e => e.getClientRects().length).length"
VIEW = "document.querySelector('svg.art').getAttribute('viewBox').split(' ').map(Number)"
MIDDLE = "(e => [e.cx.baseVal.value, e.cy.baseVal.value])(document.querySelector('{}'))"
PLAN = with_break(small_plan())


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    browser = Browser(tmp_path_factory.mktemp("profile"))
    yield browser
    browser.close()


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("page")
    page_of(PLAN, folder, art={0: picture()})
    return folder / "report.html"


@pytest.fixture
def shown(browser: Browser, page: Path) -> Browser:
    """Return the browser with the page just opened."""
    browser.show(page)
    return browser


@pytest.mark.parametrize("scripts", [True, False])
def test_page_asks_for_nothing_and_nobody_complains(browser: Browser, page: Path, scripts: bool) -> None:
    browser.show(page, scripts=scripts)
    if scripts:
        for button in ("closer", "farther", "whole", "on", "back", "play", "play"):
            browser.click(f"[data-do={button}]")
        browser.click("#finding-1 a")
    assert browser.requests == [page.as_uri()]
    assert browser.complaints == []


def test_a_page_that_complains_or_asks_is_caught(browser: Browser, tmp_path: Path) -> None:
    """The test above can fail: a script that throws, and a picture from elsewhere."""
    bad = tmp_path / "bad.html"
    bad.write_text("<img src=other.png alt=''><script>throw new Error('so')</script>", "utf-8")
    browser.show(bad)
    assert len(browser.requests) == 2
    assert any("so" in one for one in browser.complaints)


def test_without_scripts_all_words_are_there_and_no_dead_button(browser: Browser, page: Path) -> None:
    browser.show(page, scripts=False)
    seen = " ".join(browser.ask("document.body.innerText").split())
    html = page.read_text("utf-8")
    for finding in PLAN.findings:
        assert finding.message in seen
    words = re.sub(r"(?s)<(script|style|svg|div class=\"tools\").*?</(script|style|svg|div)>", "", html)
    headings = [unescape(re.sub("<.*?>", "", text)) for text in re.findall(r"<h[23].*?>(.*?)</h[23]>", words)]
    assert all(heading in seen for heading in headings)
    assert not browser.ask("[...document.querySelectorAll('button')].some(e => e.getClientRects().length)")
    for layer in LAYERS[:-1]:
        assert browser.ask(SHOWN.format(layer)) > 0


@pytest.mark.parametrize("scripts", [True, False])
@pytest.mark.parametrize("layer", LAYERS)
def test_each_layer_is_shown_and_hidden(browser: Browser, page: Path, layer: str, scripts: bool) -> None:
    browser.show(page, scripts=scripts)
    others = [one for one in LAYERS if one != layer]
    before = {one: browser.ask(SHOWN.format(one)) for one in LAYERS}
    assert (before[layer] > 0) == (layer != "runs")
    browser.click(f".show-{layer}")
    assert (browser.ask(SHOWN.format(layer)) > 0) == (layer == "runs")
    assert {one: browser.ask(SHOWN.format(one)) for one in others} == {one: before[one] for one in others}
    browser.click(f".show-{layer}")
    assert browser.ask(SHOWN.format(layer)) == before[layer]


def test_every_finding_is_reached_by_the_keyboard(shown: Browser) -> None:
    """Rows and marks, with the Tab key alone; Enter on a row goes to its mark, and there back to its row."""
    reached, numbers = set(), range(1, len(PLAN.findings) + 1)
    for _ in range(shown.ask("document.querySelectorAll('a, input, button, summary, [tabindex]').length")):
        shown.press("Tab")
        reached.add(shown.ask("(e => e.closest('tr')?.id || e.id)(document.activeElement)"))
    assert {f"finding-{number}" for number in numbers} <= reached
    placed = [number for number in numbers if PLAN.findings[number - 1].where]
    assert {f"mark-{number}" for number in placed} <= reached
    shown.ask("document.querySelector('#finding-1 a').focus()")
    shown.press("Enter")
    assert shown.ask("document.activeElement.id") == "mark-1"
    shown.press("Enter")
    assert shown.ask("location.hash") == "#finding-1"


def test_a_click_on_a_finding_goes_there(shown: Browser) -> None:
    whole = shown.ask(VIEW)
    shown.click(".show-findings")
    shown.click("#finding-2 a")
    x, y, width, height = shown.ask(VIEW)
    assert width < whole[2] / 2
    spot = shown.ask(MIDDLE.format("#mark-2 .spot"))
    assert x < spot[0] < x + width
    assert y < spot[1] < y + height
    assert shown.ask(SHOWN.format("findings")) > 0
    shown.click("[data-do=whole]")
    assert shown.ask(VIEW) == whole
    shown.click("#plunge-2 a")
    assert shown.ask(VIEW)[2] < whole[2]
    assert shown.ask(SHOWN.format("runs")) > 0


def test_zoom_and_pan_with_keys_wheel_and_drag(shown: Browser) -> None:
    whole = shown.ask(VIEW)
    shown.ask("document.querySelector('.pane').focus()")
    shown.press("ArrowRight")
    assert shown.ask(VIEW) == whole  # all is seen: the arrow scrolls the page
    shown.press("+")
    near = shown.ask(VIEW)
    assert near[2] == pytest.approx(whole[2] / 1.5, abs=0.01)
    shown.press("ArrowRight")
    right = shown.ask(VIEW)
    assert right[0] > near[0]
    assert right[1:] == near[1:]
    x, y = shown.ask("(b => [b.x + 400, b.y + 200])(document.querySelector('.pane').getBoundingClientRect())")
    for kind, dx, buttons in (("mousePressed", 0, 1), ("mouseMoved", 40, 1), ("mouseReleased", 40, 0)):
        shown.call(
            "Input.dispatchMouseEvent", type=kind, x=x + dx, y=y, button="left", buttons=buttons, clickCount=1
        )
    assert shown.ask(VIEW)[0] < right[0]
    before = shown.ask(VIEW)
    shown.call("Input.dispatchMouseEvent", type="mouseWheel", x=x, y=y, deltaX=0, deltaY=-90, modifiers=2)
    assert shown.ask(VIEW)[2] < before[2]
    shown.press("0")
    assert shown.ask(VIEW) == whole


def test_runs_are_gone_through_in_their_order(shown: Browser) -> None:
    told = "document.querySelector('.told').textContent"
    state = (
        "[...document.querySelectorAll('.pane .run')].map(e => e.classList.contains('done') ? 'd'"
        " : e.classList.contains('now') ? 'n' : '-').join('')"
    )
    for step, seen in enumerate(("n--", "dn-", "ddn", "ddn"), 1):
        shown.click("[data-do=on]")
        assert shown.ask(state) == seen
        assert shown.ask(told).startswith(f"Plunge {min(step, 3)}, {min(step, 3)} of 3 here. Down at ")
    shown.click("[data-do=back]")
    assert shown.ask(state) == "dn-"
    shown.click("[data-do=back]")
    assert shown.ask(state) == "n--"
    bit = shown.ask(MIDDLE.format(".bit"))
    end = shown.ask(
        "(w => { const p = w.getPointAtLength(w.getTotalLength()); return [p.x, p.y]; })"
        "(document.querySelectorAll('.pane .way')[0])"
    )
    assert bit == pytest.approx(end, abs=0.01)
    shown.ask("document.querySelector('input[type=range]').focus()")
    shown.press("ArrowLeft")
    assert shown.ask(state) == "---"


def test_playing_moves_the_bit_and_stops_when_asked(shown: Browser) -> None:
    place = "document.querySelector('.bit').getAttribute('cx')"

    def moves(within: int) -> object:
        return shown.ask(
            f"new Promise(done => {{ const at = {place}, began = Date.now(); const look = () =>"
            f" {place} !== at ? done(true) : Date.now() - began > {within} ? done(false)"
            " : setTimeout(look, 20); look(); })"
        )

    shown.click("[data-do=play]")
    assert moves(5000)
    assert moves(5000)
    shown.click("[data-do=play]")
    assert not moves(300)


def test_playing_goes_from_run_to_run_where_nothing_may_move(shown: Browser, page: Path) -> None:
    calm = {"name": "prefers-reduced-motion", "value": "reduce"}
    shown.call("Emulation.setEmulatedMedia", features=[calm])
    shown.show(page)
    shown.click("[data-do=play]")
    dashes = "document.querySelectorAll('.pane .way[stroke-dasharray]').length"
    assert shown.ask(f"new Promise(done => setTimeout(() => done({dashes}), 300))") == 0
    assert shown.ask("document.querySelectorAll('.pane .run.now').length") == 1
    shown.call("Emulation.setEmulatedMedia", features=[])


@pytest.mark.parametrize("width", [320, 1100])
def test_nothing_sticks_out_at_any_width(browser: Browser, page: Path, width: int) -> None:
    """320 CSS pixels: WCAG 2.2, criterion 1.4.10, reflow."""
    browser.show(page, width=width)
    assert browser.ask("document.documentElement.scrollWidth") <= width


def test_an_accessibility_checker_finds_no_fault(shown: Browser) -> None:
    """The rules of axe-core 4.4, which follow WCAG 2.1; all is opened and all layers are shown."""
    axe = pytest.importorskip("axe_core_python", reason="needs the package axe-core-python")
    shown.ask("document.querySelectorAll('details').forEach(e => { e.open = true; })")
    shown.click(".show-runs")
    shown.ask((Path(axe.__file__).parent / "axe.min.js").read_text("utf-8") + "; 0")
    look = "axe.run({}).then(found => JSON.stringify([found.passes.length, found.violations]))"
    told = json.loads(shown.ask(look.format("")))
    assert told[0] > 20
    assert [(fault["id"], fault["impact"], fault["nodes"][0]["html"]) for fault in told[1]] == []
    shown.ask("document.querySelector('button').textContent = ''")
    shown.ask("document.querySelector('img').removeAttribute('alt')")
    two = "{runOnly: ['button-name', 'image-alt']}"
    faults = {fault["id"] for fault in json.loads(shown.ask(look.format(two)))[1]}
    assert faults == {"button-name", "image-alt"}


def test_it_prints_on_paper_without_its_buttons(shown: Browser, tmp_path: Path) -> None:
    shown.click("[data-do=on]")
    shown.click("#finding-1 a")
    shown.print(tmp_path / "report.pdf")
    printed = " ".join(" ".join(texts(tmp_path / "report.pdf")).split())
    assert {(round(w), round(h)) for w, h in sizes(tmp_path / "report.pdf")} <= {(595, 842), (596, 842)}
    assert "Play the runs" not in printed
    assert "Show Art" not in printed
    for finding in PLAN.findings:
        assert finding.message.split(";")[0][:40] in printed
    assert shown.ask(VIEW)[2] == 240


@pytest.mark.parametrize("scripts", [True, False])
def test_folded_tables_are_printed_but_for_the_longest(
    browser: Browser, page: Path, tmp_path: Path, scripts: bool
) -> None:
    whole = page.read_text("utf-8")
    for name, tag in (("folded", "<details>"), ("long", '<details class="long">')):
        (tmp_path / f"{name}.html").write_text(whole.replace('<details class="long" open>', tag), "utf-8")
        browser.show(tmp_path / f"{name}.html", scripts=scripts)
        browser.print(tmp_path / f"{name}.pdf")
        printed = " ".join(" ".join(texts(tmp_path / f"{name}.pdf")).split())
        assert ("Gone over again" in printed) == (name == "folded")
        assert ("folded: open it to print it" in printed) == (name == "long")
        if scripts:
            assert browser.ask("document.querySelectorAll('details[open]').length") == 0
