"""What becomes of each paint: lines, edges, dots, and what is left out and told of."""

import math

import numpy as np
import pytest
from art.svg_files import PEN, kinds, read, told, user_scale

from tracer.art.svg_paint import colour_of
from tracer.errors import ArtError
from tracer.geometry import bezier

FACE = '<circle cx="50" cy="50" r="30" fill="white" stroke="black" stroke-width="2"/>'


@pytest.mark.parametrize(
    ("paint", "found"),
    [
        ('fill="none" stroke="black"', ["line"]),
        ('fill="white" stroke="black"', ["line"]),
        ('fill="#fc9" stroke="#000"', ["line"]),  # colouring in a line
        ('fill="red" stroke="black"', ["line"]),  # red is darker than half, and paler than its outline
        ('fill="#000" stroke="black"', ["edge"]),  # a black nose
        ('fill="navy" stroke="black"', ["edge"]),
        ('fill="black"', ["edge"]),
        ("", ["edge"]),  # nothing said fills black
        ('fill="black" stroke="black" stroke-width="0"', ["edge"]),
        ('fill="white" stroke="red"', ["line"]),  # a line of colour is a line
        ('fill="none" stroke="#bbb"', ["line"]),  # a grey one, too
        ('fill="#08f"', ["edge"]),  # the darkest there is
        ('fill="rgb(50% 50% 50% / .9)" stroke="none"', ["edge"]),
        ('fill="url(#dark)"', ["edge"]),
        ('fill="url(#nowhere) black"', ["edge"]),
        ('fill="url(#pattern)"', ["edge"]),
        ('style="fill:none;stroke:currentColor;color:blue"', ["line"]),
        ('fill="none" stroke="black" stroke-opacity=".5"', ["line"]),
    ],
)
def test_lines_and_edges(tmp_path, paint, found):
    defs = (
        '<linearGradient id="dark" href="#more"/><linearGradient id="more"><stop stop-color="#111"/>'
        '<stop style="stop-color:#333"/></linearGradient><pattern id="pattern"/>'
    )
    drawing = read(tmp_path, f'{defs}<circle cx="50" cy="50" r="30" {paint}/>')
    assert kinds(drawing) == found
    assert drawing.strokes[0].closed
    assert len(drawing.regions) == found.count("edge")


@pytest.mark.parametrize(
    "hidden",
    [
        '<g display="none">{}</g>',
        '<g style="display:none"><g display="inline">{}</g></g>',
        '<g visibility="hidden">{}</g>',
        '<g opacity="0"><g opacity="1">{}</g></g>',
        '<g fill-opacity="0">{}</g>',
        "<defs>{}</defs>",
        "<symbol>{}</symbol>",
        '<clipPath id="c">{}</clipPath>',
        '<mask id="m">{}</mask>',
        '<marker id="k">{}</marker>',
        "<pattern>{}</pattern>",
        "<metadata>{}</metadata>",
        '<svg width="0">{}</svg>',
        '<svg viewBox="0 0 0 5">{}</svg>',
        '<g transform="translate(900 0)">{}</g>',
        '<g clip-path="url(#small)">{}</g>',
        "<!-- {} -->",
        '<switch><rect x="0" y="90" width="9" height="4"/>{}</switch>',
        '<f:g xmlns:f="urn:elsewhere"><f:path d="M0 0h50"/></f:g>',
    ],
)
def test_what_does_not_show_is_not_followed(tmp_path, hidden):
    small = '<clipPath id="small"><rect x="190" y="90" width="5" height="5"/></clipPath>'
    shown = f'<path d="M10 10h50" {PEN}/>' if "switch" not in hidden else ""
    drawing = read(tmp_path, small + shown + hidden.format('<rect x="20" y="20" width="50" height="50"/>'))
    assert kinds(drawing) == (["line"] if shown else ["edge"])
    assert drawing.strokes[0].length < 60 * user_scale(drawing)


def test_visible_children_of_hidden_parents_show(tmp_path):
    body = (
        f'<g visibility="hidden"><path d="M0 0h50" {PEN}/><path visibility="visible" d="M0 9h50" {PEN}/></g>'
    )
    assert len(read(tmp_path, body).strokes) == 1


def test_subpaths_are_strokes(tmp_path):
    drawing = read(tmp_path, f'<path d="M10 10h50M10 30h50l-20 20zM10 70h50v20L10 70" {PEN}/>')
    assert [s.closed for s in drawing.strokes] == [False, True, True]
    assert [s.number for s in drawing.strokes] == [1, 2, 3]


@pytest.mark.parametrize("cap", ["round", "square"])
def test_points_with_caps_are_dots(tmp_path, cap):
    body = f'<g {PEN} stroke-linecap="{cap}"><path d="M10 10h80"/><path d="M10 50h.01M40 50zM70 50h.7"/></g>'
    drawing = read(tmp_path, body)
    k = user_scale(drawing)
    assert kinds(drawing) == ["line", "dot", "dot", "dot"]
    assert [s.width / k for s in drawing.strokes] == pytest.approx([2] * 4)
    # The middle of a point .7 long and .35 from its start.
    assert drawing.strokes[3].curves[0, 0] / k == pytest.approx((70.35, 50))


def test_points_without_caps_show_nothing(tmp_path):
    drawing = read(tmp_path, f'<path d="M10 10h80M50 50z" {PEN}/>')
    assert kinds(drawing) == ["line"]
    assert told(drawing, "no round end")


def test_small_filled_circles_beside_lines_are_dots(tmp_path):
    drawing = read(
        tmp_path,
        f'<path d="M10 10h80" {PEN}/><circle cx="50" cy="50" r="1.2"/><circle cx="50" cy="80" r="4"/>',
    )
    assert kinds(drawing) == ["line", "dot", "edge"]
    assert drawing.strokes[1].width / user_scale(drawing) == pytest.approx(2.4, rel=1e-4)


def test_solids_nest_by_either_rule(tmp_path):
    rings = "M10 10h80v80h-80zM20 20h60v60h-60zM30 30h40v40h-40z"
    back = "M10 10h80v80h-80zM20 20v60h60v-60z"
    nested = read(tmp_path, f'<path fill-rule="evenodd" d="{rings}"/>')
    assert [(r.outer, r.inner) for r in nested.regions] == [(1, (2,)), (3, ())]
    assert [(r.outer, r.inner) for r in read(tmp_path, f'<path d="{rings}"/>').regions] == [(1, ())]
    assert [(r.outer, r.inner) for r in read(tmp_path, f'<path d="{back}"/>').regions] == [(1, (2,))]


def test_white_painted_over_black_is_cut_out(tmp_path):
    eye = '<circle cx="50" cy="50" r="20"/><circle cx="55" cy="45" r="6" fill="white"/>'
    assert [(r.outer, r.inner) for r in read(tmp_path, eye).regions] == [(1, (2,))]
    moon = '<circle cx="50" cy="50" r="20"/><circle cx="62" cy="50" r="16" fill="#fff"/>'
    assert len(read(tmp_path, moon).strokes) == 1


def test_what_a_fill_hides_is_left_out(tmp_path):
    drawing = read(tmp_path, f'<path d="M10 50h100" {PEN}/>{FACE}')
    assert kinds(drawing) == ["line"] * 3
    ends = sorted(x for s in drawing.strokes if not s.closed for x in s.bounds[::2])
    assert np.array(ends) / user_scale(drawing) == pytest.approx([10, 20, 80, 110])
    assert told(drawing, "partly hidden")
    assert len(drawing.joints) == 2
    assert told(read(tmp_path, f'<path d="M40 50h20" {PEN}/>{FACE}'), "wholly hidden")
    # A line drawn after the fill, or under glass, is seen.
    assert len(read(tmp_path, f'{FACE}<path d="M10 50h100" {PEN}/>').strokes) == 2
    glass = FACE.replace("/>", ' fill-opacity=".3"/>')
    assert len(read(tmp_path, f'<path d="M10 50h100" {PEN}/>{glass}').strokes) == 2


def test_pale_lines_hide_what_they_cross(tmp_path):
    # The gap of a plait: a white line 6 wide over a black one leaves 3 free to either side of its middle.
    body = f'<path d="M10 50h100" {PEN}/><path d="M60 10v80" fill="none" stroke="white" stroke-width="6"/>'
    drawing = read(tmp_path, f'{body}<path d="M60 10v80" {PEN}/>')
    ends = sorted(x for s in drawing.strokes for x in s.bounds[::2])
    assert np.array(ends) / user_scale(drawing) == pytest.approx([10, 57, 60, 60, 63, 110], abs=0.01)
    assert told(drawing, "1 pale line lies over ink")
    ring = '<circle cx="50" cy="50" r="10" fill="none" stroke="#fff" stroke-width="4"/>'
    rings = read(tmp_path, f'<circle cx="50" cy="50" r="20"/>{ring}')
    k = user_scale(rings)
    # Black to 20, a white ring from 12 to 8, black within.
    assert sorted(s.length / k / (2 * math.pi) for s in rings.strokes) == pytest.approx([8, 12, 20], rel=1e-3)
    assert sorted(len(r.inner) for r in rings.regions) == [0, 1]


def test_an_area_with_its_own_outline_ends_where_its_ink_does(tmp_path):
    drawing = read(tmp_path, '<circle cx="50" cy="50" r="20" stroke="black" stroke-width="6"/>')
    (edge,) = drawing.strokes
    # Half of 6 outside of a radius of 20: within the tolerance of .05 art pixels.
    assert edge.length / user_scale(drawing) == pytest.approx(2 * math.pi * 23, rel=1e-3)


@pytest.mark.parametrize("rule", ["evenodd", "nonzero"])
def test_a_hole_shrinks_by_half_its_outline(tmp_path, rule):
    def circle(r: int, way: int) -> str:
        return f"M{50 + r} 50A{r} {r} 0 1 {way} {50 - r} 50A{r} {r} 0 1 {way} {50 + r} 50z"

    d = circle(20, 0) + circle(10, int(rule == "nonzero"))
    body = f'<path fill-rule="{rule}" stroke="black" stroke-width="4" d="{d}"/>'
    drawing = read(tmp_path, body)
    k = user_scale(drawing)
    assert sorted(s.length / k / (2 * math.pi) for s in drawing.strokes) == pytest.approx([8, 22], rel=2e-3)


def test_dashes_hide_nothing(tmp_path):
    white = '<path d="M60 10v80" fill="none" stroke="white" stroke-width="6" stroke-dasharray="2 9"/>'
    assert len(read(tmp_path, f'<path d="M10 50h100" {PEN}/>{white}').strokes) == 1


def test_what_is_left_under_the_line_that_hides_is_left_out(tmp_path):
    # The line reaches .7 out of the circle's path, which its own line, 2 wide, covers to 1.
    drawing = read(tmp_path, f'<path d="M19.3 50h40" {PEN}/>{FACE}')
    assert len(drawing.strokes) == 1
    assert len(read(tmp_path, f'<path d="M17 50h40" {PEN}/>{FACE}').strokes) == 2


def test_what_cannot_be_seen_is_not_told_of(tmp_path):
    body = '<g opacity="0"><text>a</text></g><text visibility="hidden">b</text><image display="none"/>'
    assert len(read(tmp_path, f'<path d="M10 50h100" {PEN}/>{body}').notes) == 1


def test_a_copy_of_what_it_lies_in_is_not_drawn_once_more(tmp_path):
    body = f'<g id="a"><path d="M10 50h50" {PEN}/><use href="#a" y="20"/></g>'
    assert len(read(tmp_path, body).strokes) == 1


def test_a_closed_black_path_without_an_inside_is_a_line(tmp_path):
    assert kinds(read(tmp_path, '<path d="M10 10L90 60" stroke="black"/>')) == ["line"]
    assert kinds(read(tmp_path, '<line x1="10" y1="10" x2="90" y2="60" stroke="black"/>')) == ["line"]


def test_lines_drawn_twice_are_followed_once(tmp_path):
    body = (
        f'<path d="M10 10L90 60" {PEN}/><path d="M90 60L10 10" {PEN}/><circle cx="50" cy="50" r="9" {PEN}/>'
    )
    drawing = read(tmp_path, body)
    assert len(drawing.strokes) == 2
    assert told(drawing, "1 line drawn twice")


def test_a_dark_page_is_turned_round(tmp_path):
    body = '<rect width="100%" height="100%" fill="#123"/><path d="M9 9h50" fill="none" stroke="#fff"/>'
    drawing = read(tmp_path, body)
    assert kinds(drawing) == ["line"]
    assert told(drawing, "turned round")
    white = read(tmp_path, '<path d="M9 9h50" fill="none" stroke="#fff"/>')
    assert told(white, "drawn in white")


def test_a_page_of_paper_is_no_area(tmp_path):
    drawing = read(tmp_path, f'<rect width="200" height="100" fill="#ffe"/><path d="M9 9h50" {PEN}/>')
    assert kinds(drawing) == ["line"]
    assert drawing.mends == ()


def test_colouring_is_listed_with_its_place(tmp_path):
    drawing = read(
        tmp_path, f'<rect x="20" y="30" width="40" height="20" fill="#fc8"/><path d="M9 9h50" {PEN}/>'
    )
    (mend,) = drawing.mends
    assert mend.kind == "colouring left out"
    assert np.array([mend.x, mend.y, mend.size_px]) / user_scale(drawing) == pytest.approx([40, 40, 40])


def test_lines_end_at_the_page(tmp_path):
    drawing = read(tmp_path, f'<path d="M-50 50h300" {PEN}/><rect width="200" height="100" {PEN}/>')
    line = next(s for s in drawing.strokes if not s.closed)
    assert np.array(line.bounds)[::2] / user_scale(drawing) == pytest.approx([0, 200])
    assert told(read(tmp_path, f'<path d="M300 50h90" {PEN}/>'), "the page was not heeded")


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ('<text x="9" y="50">Emma</text>', "turn text into paths"),
        ("<text>a</text><text>b</text>", "2 texts are not followed"),
        ('<image href="a.png" width="50" height="50"/>', "trace that picture by itself"),
        ('<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject>', "foreignObject"),
        (f'<path d="M0 9h50" stroke-dasharray="4 2" {PEN}/>', "dashed"),
        (f'<path d="M0 9h50" marker-end="url(#m)" {PEN}/>', "markers"),
        (f'<path d="M0 9h50" mask="url(#m)" {PEN}/>', "mask"),
        ('<path d="M0 9h50" stroke="#eee"/>', "pale as paper"),
        ('<circle cx="9" cy="9" r="9"/><path d="M0 9h50" stroke="#fff"/>', "lies over ink"),
        (f'<path d="M0 9h50" transform="wobble(3" {PEN}/>', ""),
        (f'<path d="M0 9h50M0 0L1e999 0" {PEN}/>', "endless"),
        (f'<path d="M0 9h50Z L 5" {PEN}/>', "cannot be read"),
        ('<path d="M0 40h100v1h-100z"/>', "as thin as a line"),
    ],
)
def test_what_is_not_followed_is_said(tmp_path, body, words):
    drawing = read(tmp_path, f'<path d="M10 90h50" {PEN.replace("2", "1.5")}/>{body}')
    assert told(drawing, words)
    assert told(drawing, "nothing was rasterised")


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("", "draws nothing"),
        ("<text>Emma</text>", "turn text into paths"),
        ('<image href="a.png"/>', "trace that picture by itself"),
        ('<path d="M0 0h50" fill="none"/>', "draws nothing"),
    ],
)
def test_files_without_ink_say_what_they_hold(tmp_path, body, words):
    with pytest.raises(ArtError, match=words):
        read(tmp_path, body)


@pytest.mark.parametrize(
    ("text", "darkness", "opacity"),
    # Luma of ITU-R BT.601: .299 R + .587 G + .114 B.
    [
        ("black", 1, 1),
        ("#fff", 0, 1),
        ("#F00", 1 - 0.299, 1),
        ("lime", 1 - 0.587, 1),
        ("rgb(0,0,255)", 1 - 0.114, 1),
        ("rgb(100%, 100%, 100%)", 0, 1),
        ("rgba(0,0,0,.5)", 1, 0.5),
        ("rgb(0 0 0 / 50%)", 1, 0.5),
        ("hsl(0, 0%, 50%)", 0.5, 1),
        ("#00000080", 1, 0.5),
        ("#000 icc-color(x, 1)", 1, 1),
    ],
)
def test_colours(text, darkness, opacity):
    paint = colour_of(text)
    assert paint is not None
    assert (paint.darkness, paint.opacity) == pytest.approx((darkness, opacity), abs=0.005)


@pytest.mark.parametrize("text", ["none", "nonsense", "", "12", "context-fill"])
def test_what_is_no_colour(text):
    assert colour_of(text) is None


def test_style_sheets(tmp_path):
    sheet = (
        "<style>/* pens */ path { stroke-width: 3 } .a, .b { stroke: black; fill: none }"
        " #big { stroke-width: 8 } g > .b { stroke-width: 5 !important } g .c { stroke: black; fill: none }"
        " path:hover { stroke-width: 99 } @media print { path { display: none } }"
        " @media screen { .d {stroke:red} }"
        "</style>"
    )
    body = (
        '<path class="a" d="M0 10h90"/><g><path class="x b" style="stroke-width:7" d="M0 20h90"/></g>'
        '<path id="big" class="a" d="M0 30h90"/><g><g><path class="c" stroke-width="9" d="M0 40h90"/></g></g>'
        '<path class="a" style="stroke-width:4" d="M0 50h90"/><path class="d" fill="none" d="M0 60h90"/>'
    )
    drawing = read(tmp_path, sheet + body)
    k = user_scale(drawing)
    # CSS 2.1 6.4.3: importance, then style attributes, ids, classes, elements; presentation attributes last.
    assert [s.width / k for s in drawing.strokes] == pytest.approx([3, 5, 8, 3, 4, 3])


def test_symbols_and_copies(tmp_path):
    body = (
        '<symbol id="s" viewBox="0 0 10 10"><path d="M0 5h10" fill="none"/></symbol>'
        '<g stroke="black"><use href="#s" x="20" y="10" width="50" height="50"/>'
        '<use xlink:href="#l" x="5" stroke-width="3"/></g>'
        '<defs><path id="l" d="M0 90h50" fill="none"/></defs>'
    )
    drawing = read(tmp_path, body)
    k = user_scale(drawing)
    assert [np.array(s.bounds) / k for s in drawing.strokes] == [
        pytest.approx([20, 35, 70, 35]),
        pytest.approx([5, 90, 55, 90]),
    ]
    assert [s.width / k for s in drawing.strokes] == pytest.approx([5, 3])


def test_joints_are_found(tmp_path):
    drawing = read(tmp_path, f'<path d="M10 10h80M50 10v50M20 0v90" {PEN}/>')
    assert len(drawing.joints) == 2
    assert drawing.line_width / user_scale(drawing) == pytest.approx(2)
    assert bezier.length(drawing.strokes[0].curves) > 0
