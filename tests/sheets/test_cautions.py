"""Cautions fit the job.

Sources: [S27] OSHA, NIOSH and ACGIH, [S28] UK HSE on wood dust; [S24] published charts of router speeds;
[S12] a hand router's operator's manual; [S30][S31] CPSC and 16 CFR on cots and bunk beds.
"""

from dataclasses import replace

import pytest
from sheets.plans import small_plan, with_passes
from sheets.words import word_plan

from tracer.sheets.cautions import cautions
from tracer.shop.bits import Straight, VBit
from tracer.shop.wood import WOODS


def said(plan, about):
    return next((one.words for one in cautions(plan) if one.about == about), "")


def of_wood(name, **changes):
    plan = small_plan(**changes)
    board = replace(plan.layout.board, wood=name)
    return replace(plan, layout=replace(plan.layout, board=board))


@pytest.mark.parametrize(
    ("wood", "part"),
    [
        ("MDF", "carries its glue"),  # counted as mixed dust [S28]
        ("birch plywood", "carries its glue"),
        ("oak", "the dust of oak, as of hard woods at large, can cause cancer of the nose"),  # [S28]
        ("cedar", "asthma"),  # ACGIH: half the limit of other woods [S27]
        ("pine", "wood dust harms the lungs"),
    ],
)
def test_the_dust_is_that_of_this_wood(wood, part):
    assert part in said(of_wood(wood), "Eyes, ears, lungs")


@pytest.mark.parametrize("wood", [wood.name for wood in WOODS])
def test_each_wood_has_its_dust_and_no_other_woods_name(wood):
    words = said(of_wood(wood), "Eyes, ears, lungs")
    assert "extraction and a mask" in words
    assert not any(other.name in words for other in WOODS if other.name not in wood)


def test_woods_that_scorch_are_to_be_kept_moving():
    assert "scorches" in said(of_wood("cherry"), "Burns")
    assert "scorches" not in said(of_wood("pine"), "Burns")


def test_only_a_cut_through_names_the_rules_for_beds_and_first_of_all():
    plan = small_plan()
    assert not said(plan, "Cut through")
    through = replace(plan, stops=(replace(plan.stops[0], depth=plan.layout.board.thickness),))
    first, *_ = cautions(through)
    for rule in ("16 CFR 1213", "1219", "1220", "1513", "EN 716", "EN 747"):  # [S30][S31]; EN from memory
        assert rule in first.words


# To 1 in 24 000 turns a minute, to 2 in 18 000, to 3 1/2 in 12 000 [S24]
@pytest.mark.parametrize(
    ("diameter", "part"), [(12.7, None), (40.0, "18000 times a minute"), (88.0, "12000 times a minute")]
)
def test_wide_bits_turn_slower(diameter, part):
    words = said(small_plan(bit=VBit(60.0, diameter)), "Bit")
    assert words.startswith("its marking, the router's manual and your local rules come first")
    assert ("So wide" in words) == (part is not None)
    assert part is None or part in words


# never over 1/8 in a pass, whatever the bit or wood [S12]
@pytest.mark.parametrize(("depths", "warned"), [((3.175,), False), ((3.0, 6.0), False), ((1.0, 5.0), True)])
def test_passes_over_an_eighth_of_an_inch_are_more_than_some_manuals_allow(depths, warned):
    assert ("routers' manuals allow" in said(with_passes(small_plan(), *depths), "Bit")) == warned


def test_thin_straight_bits_snap():
    assert "snaps" in said(small_plan(bit=Straight(3.175)), "Bit")
    assert "snaps" not in said(small_plan(bit=Straight(6.35)), "Bit")


def test_a_small_board_is_held_on_a_larger_one():
    assert "screw or tape it to a larger one" in said(small_plan(), "Holding")
    assert "larger one" not in said(small_plan(board=(400.0, 300.0, 19.0)), "Holding")
    assert "larger one" not in said(small_plan(declared=False), "Holding")


def test_pictures_and_fonts_have_rights_of_their_own():
    assert "child's with their say" in said(small_plan(), "Copyright")
    assert "font" not in said(small_plan(), "Copyright")
    assert said(word_plan("EM"), "Copyright").startswith("a font has a licence")


def test_nothing_is_called_safe():
    assert "Nothing here says that a bed, cot or toy is safe" in said(small_plan(), "For a child")
