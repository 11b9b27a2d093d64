"""The strokes found, drawn again, look like the file as another program draws it.

Outside reference: resvg, by its Python wheel; both pictures are its own, compared by the share of
black that they have in common. The rest is ends (drawn round here) and the grey rim of lines.
"""

import io
from pathlib import Path

import numpy as np
import pytest
from art.svg_files import svg
from PIL import Image

from tracer.art.vector_art import read_svg
from tracer.model.drawing import Drawing, Stroke

resvg = pytest.importorskip("resvg_py")

SIDE = 700

SCENES = {
    "knock-outs": (
        '<circle cx="120" cy="150" r="90"/><circle cx="170" cy="120" r="70" fill="white"/>'
        '<circle cx="180" cy="120" r="40"/><rect x="150" y="100" width="200" height="30" fill="#fff"/>'
        '<path d="M20 250H380" stroke="#000" stroke-width="9"/><circle cx="300" cy="220" r="40" fill="#fff"/>'
    ),
    "fill rules": (
        '<path fill-rule="evenodd" d="M60 20L100 140L0 60H120L20 140Z"/>'
        '<path d="M190 20L230 140L130 60H250L150 140Z"/><path d="M270 20h100v100h-100zM290 40h60v60h-60z"/>'
        '<path d="M20 160h80v50h-80zM30 170v30h60v-30z"/><path d="M220 160h60v50h-60zM250 150h60v50h-60z"/>'
        '<path fill-rule="evenodd" d="M120 160h80v50h-80zM130 170h60v30h-60zM140 178h40v14h-40z"/>'
    ),
    "clips": (
        '<clipPath id="c"><circle cx="100" cy="100" r="60"/></clipPath>'
        '<clipPath id="r"><rect x="180" y="20" width="100" height="160"/></clipPath>'
        '<g clip-path="url(#c)"><rect x="60" y="60" width="120" height="120"/>'
        '<path d="M20 50H200" stroke="#000" stroke-width="9"/></g>'
        '<circle clip-path="url(#r)" cx="200" cy="100" r="50" fill="none" stroke="#000" stroke-width="9"/>'
    ),
    "copies and nested views": (
        '<defs><g id="leaf" fill="none" stroke-linecap="round" stroke-linejoin="round">'
        '<path d="M0 0C20 -30 60 -30 80 0C60 30 20 30 0 0zM0 0H80"/></g>'
        '<symbol id="s" viewBox="0 0 10 10"><rect x="1" y="1" width="8" height="8" rx="2" fill="none"/>'
        '</symbol></defs><g stroke="#000" stroke-width="6"><use href="#leaf" x="40" y="60"/>'
        '<use href="#leaf" transform="translate(200 60) rotate(30) scale(1.4)"/>'
        '<use href="#s" x="280" y="150" width="100" height="60" stroke-width="1"/></g>'
        '<svg x="20" y="120" width="100" height="150" viewBox="0 0 50 50" '
        'preserveAspectRatio="xMinYMax meet">'
        '<circle cx="25" cy="25" r="20" fill="none" stroke="#000" stroke-width="4"/></svg>'
        '<svg x="150" y="120" width="100" height="150" viewBox="0 0 50 50" '
        'preserveAspectRatio="xMidYMid slice">'
        '<circle cx="25" cy="25" r="20"/></svg>'
    ),
    "plait": (
        '<g fill="none" stroke-linecap="round"><path d="M20 60C150 60 250 220 380 220" stroke="#000" '
        'stroke-width="10"/><path d="M20 220C150 220 250 60 380 60" stroke="#fff" stroke-width="30"/>'
        '<path d="M20 220C150 220 250 60 380 60" stroke="#000" stroke-width="10"/></g>'
    ),
    "arcs, smooth curves and caps": (
        '<g fill="none" stroke="#000" stroke-width="8" stroke-linecap="round" stroke-linejoin="round">'
        '<path d="M40 60a60 30 30 1 0 90 20A20 70 -20 0 1 200 200"/><path d="M220 40q30 60 60 0t60 0t20 40"/>'
        '<path d="M40 220c20 -60 60 -60 80 0s60 60 80 0"/><path d="M300 150h.01M330 150z"/></g>'
        '<ellipse cx="300" cy="220" rx="60" ry="30"/><rect x="220" y="110" width="50" height="40" rx="12"/>'
    ),
}


def picture(text: str) -> np.ndarray:
    data = bytes(resvg.svg_to_bytes(svg_string=text, background="#ffffff", width=SIDE))
    with Image.open(io.BytesIO(data)) as image:
        return np.asarray(image.convert("L")) < 128


def data(stroke: Stroke) -> str:
    start = "M{},{}".format(*stroke.curves[0, 0])
    return start + "".join("C{},{} {},{} {},{}".format(*c[1:].ravel()) for c in stroke.curves)


def redrawn(drawing: Drawing) -> str:
    by_number = {stroke.number: stroke for stroke in drawing.strokes}
    solids = [
        f'<path fill-rule="evenodd" d="{" ".join(data(by_number[n]) + "Z" for n in (r.outer, *r.inner))}"/>'
        for r in drawing.regions
    ]
    lines = [
        f'<path d="{data(s)}" fill="none" stroke="#000" stroke-width="{s.width}" stroke-linecap="round" '
        f'stroke-linejoin="round"/>'
        for s in drawing.strokes
        if s.kind != "edge"
    ]
    width, height = drawing.size_px
    return svg("".join(solids + lines), f'width="{width}" height="{height}" viewBox="0 0 {width} {height}"')


@pytest.mark.parametrize("name", SCENES)
def test_strokes_look_like_the_file(tmp_path: Path, name: str):
    text = svg(SCENES[name], 'width="400" height="300"')
    (tmp_path / "a.svg").write_text(text)
    drawing = read_svg(tmp_path / "a.svg")
    wanted, found = picture(text), picture(redrawn(drawing))
    rows = min(len(wanted), len(found))
    wanted, found = wanted[:rows], found[:rows]
    assert (wanted & found).sum() / (wanted | found).sum() > 0.97
