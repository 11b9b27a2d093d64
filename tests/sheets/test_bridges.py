"""Sheets printed only to join others: all hang together along edges, and no fewer would do."""

from dataclasses import replace
from itertools import combinations

import networkx as nx
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from sheets import pages
from sheets.test_paper_words import slanted

from tracer.sheets.assembly import assemble
from tracer.sheets.bridges import joined_up
from tracer.sheets.template import write_template
from tracer.sheets.tiling import tile_held
from tracer.shop.paper import PAPERS

TILING = tile_held(430.0, 330.0, (120.0, 120.0), kept=(5.0, 10.0, 0.0, 0.0))  # 4 x 3 sheets
EDGES = nx.grid_2d_graph(3, 4)


def places(cells):
    return {(cell.row, cell.column) for cell in cells}


@given(st.sets(st.sampled_from(sorted(EDGES)), min_size=1, max_size=12))
def test_sheets_hang_together_and_none_is_lost(asked):
    found = places(joined_up(TILING, [TILING.at(*place) for place in asked]))
    assert asked <= found
    assert nx.is_connected(EDGES.subgraph(found))
    if nx.is_connected(EDGES.subgraph(asked)):
        assert found == asked


@given(st.sets(st.sampled_from(sorted(EDGES)), min_size=2, max_size=2))
@settings(max_examples=40)
def test_two_sheets_are_joined_by_as_few_as_can_be(asked):
    """By trying every number of further sheets from none upwards."""
    found = joined_up(TILING, [TILING.at(*place) for place in asked])
    others = sorted(set(EDGES) - asked)
    fewest = next(
        n
        for n in range(len(others) + 1)
        if any(nx.is_connected(EDGES.subgraph(asked | set(more))) for more in combinations(others, n))
    )
    assert len(found) == 2 + fewest


def test_no_sheets_need_no_bridge():
    assert joined_up(TILING, []) == ()


def test_a_sheet_that_only_joins_others_says_so(tmp_path):
    """Two short strokes 700 mm apart on paper: a sheet for each, and one between."""
    plan = slanted(20.0, 10.0, PAPERS[0])
    far = replace(plan.strokes[0], number=2, curves=plan.strokes[0].curves + np.array([350.0, 0.0]))
    plan = replace(plan, strokes=(*plan.strokes, far))
    write_template(plan, tmp_path / "t.pdf")
    words = [" ".join(said.split()) for said in pages.texts(tmp_path / "t.pdf")]
    assert assemble(plan).names == ("A1", "A2", "A3")
    said = ["Nothing to follow on this sheet: tape it in" in one for one in words]
    assert said == [False, True, False]
