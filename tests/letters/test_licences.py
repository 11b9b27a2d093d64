"""A font's licence in a few words; the texts are those that fonts have in their name table."""

import pytest

from tracer.letters.licences import NONE, UNKNOWN, short_licence
from tracer.letters.single_strokes import STROKE_FACES, open_single

OFL = (
    "This Font Software is licensed under the SIL Open Font License, Version 1.1. This license is available "
    "with a FAQ at: https://openfontlicense.org"
)
VERA = (
    "Fonts are (c) the burrow (see below). Bitstream Vera Fonts Copyright. Permission is hereby granted, "
    "free of charge, to any person obtaining a copy of the fonts accompanying this license"
)


@pytest.mark.parametrize(
    ("said", "owner", "short"),
    [
        (OFL, "Copyright 2011 by a hare (hare@example.org)", "OFL 1.1"),
        ("https://scripts.sil.org/OFL", "", "OFL"),
        ("", "Copyright a hare. SIL Open Font License, 1.1", "OFL 1.1"),
        ("Licensed under the Apache License, Version 2.0", "", "Apache 2.0"),
        ("http://www.apache.org/licenses/LICENSE-2.0", "", "Apache 2.0"),
        ("Permission is hereby granted to any person obtaining a copy of this software", "", "MIT"),
        (VERA, "", "Bitstream Vera licence"),
        ("Licensed under the Ubuntu Font Licence 1.0", "", "Ubuntu Font Licence 1.0"),
        ("GNU General Public License, version 2 with exception", "", "GPL 2"),
        ("Free for signs of all kinds. Ask before you sell it.", "", "Free for signs of all kinds"),
        ("To be used by anyone, for anything", "", "To be used by anyone, for anything"),
        ("Made by A. V. Hare, all rights with him", "", UNKNOWN),
        ("Copyright (c) the burrow. Free to use", "", UNKNOWN),
        ("https://example.org/terms", "Copyright the burrow", UNKNOWN),
        ("", "Copyright the burrow", NONE),
        ("", "", NONE),
    ],
)
def test_licences_by_their_common_name(said: str, owner: str, short: str) -> None:
    assert short_licence(said, owner) == short


LONG = "The meadow grants whoever carves it on wood all rights there are"


@pytest.mark.parametrize("said", ["meadow " * 40, LONG])
def test_a_long_sentence_ends_with_a_whole_word(said: str) -> None:
    short = short_licence(said)
    assert 40 < len(short) <= 60
    assert short.endswith("…")
    assert set(short[:-1].split()) <= set(said.split())


@pytest.mark.parametrize("face", STROKE_FACES)
def test_faces_of_single_strokes_say_mit_alone(face: str) -> None:
    assert open_single(face).licence == "MIT"
