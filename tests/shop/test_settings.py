import datetime
import sys
import tomllib
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tracer.errors import JobError, OutputError, TracerError
from tracer.shop.bits import RoundNose, VBit
from tracer.shop.linkage import Linkage
from tracer.shop.printer import Printer
from tracer.shop.settings import FORM, Shop, load_shop, parse_shop, shop_path
from tracer.shop.shop_file import save_shop
from tracer.shop.shop_words import shop_lines

WHOLE = """\
# ours
units = "mm"
[linkage]
ratio = 0.595   # traced twice
measured = 2026-11-01
play = "0.3 mm"
reach = "600 x 400 mm"
turned = true
table = "1000 x 700 mm"
[[bits]]
name = "sign V"
spec = "V 60deg 1/2in"
[[bits]]
name = "wide"
spec = "round 1/4in"
[printer]
bar = "99.2 x 100.4 mm"
margin = "12 mm"
[hand]
error = 0.8
speed = "12 to 18 mm/s"
plunge = "8 s"
[router]
pass-limit = "1/16 in"
base = "6 in"
"""


def test_whole_file_is_read() -> None:
    shop = parse_shop(WHOLE, "shop.toml")
    assert shop == Shop(
        linkage=Linkage(
            0.595,
            datetime.date(2026, 11, 1),
            play=0.3,
            reach=(600.0, 400.0),
            turned=True,
            table=(1000.0, 700.0),
        ),
        bits=(("sign V", VBit(60.0, 12.7)), ("wide", RoundNose(6.35))),
        printer=Printer(99.2, 100.4, measured=True, margin=12.0),
        units="mm",
        speed_low=12.0,
        speed_high=18.0,
        plunge_low=8.0,
        plunge_high=8.0,
        hand_error=0.8,
        pass_limit=25.4 / 16,
        router_base=pytest.approx(152.4),
        said=frozenset(FORM.keys) | {"bits.sign V", "bits.wide"},
    )


def test_empty_file_is_the_default() -> None:
    assert parse_shop("", "shop.toml") == Shop()


def test_speed_in_inches() -> None:
    shop = parse_shop('[hand]\nspeed = "1/2 in/s"'.replace("1/2", "0.5"), "shop.toml")
    assert (shop.speed_low, shop.speed_high) == pytest.approx((12.7, 12.7))


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("a = [", "shop.toml is not valid TOML"),
        ("a = " + "[" * 5000, "shop.toml is not valid TOML"),
        ("unit = 'mm'", r'shop.toml: “unit” is not known; did you mean "units"'),
        ("zzz = 1", "known are bits, hand, linkage"),
        ("[linkage]\nratoi = 1", r'in \[linkage\] “ratoi” is not known; did you mean "ratio"'),
        ("[[bits]]\nnme = 1", r'in \[\[bits\]\] “nme” is not known; did you mean "name"'),
        ("linkage = 3", r"shop.toml: linkage is 3; a table is expected, headed \[linkage\]"),
        ("bits = 3", r"bits is 3; tables are expected, each headed \[\[bits\]\]"),
        ("[[bits]]\nname = 'x'", "1 has no spec"),
        ("[[bits]]\n[[bits]]\nname = 'x'", "1 has no name"),
        ("[[bits]]\nname = 'x'\nspec = 'V 60'", "shop.toml: .*bits.* spec: bit “V 60”"),
        ("bits = [{name='X', spec='round 1/4in'}, {name='x', spec='round 1/8in'}]", "two bits .* called"),
        ("units = 'feet'", "shop.toml: units is “feet”; mm or in is expected"),
        ("units = 1", "units is 1; mm or in"),
        ("[linkage]\nratio = 60", r"shop.toml: linkage.ratio “60” can be read two ways"),
        ("[linkage]\nratio = true", "linkage.ratio is true; a number is expected"),
        ("[linkage]\nratio = nan", "linkage.ratio is nan; a number is expected"),
        ("[linkage]\nratio = 0x" + "f" * 5000, "a number beyond reason"),
        ("[linkage]\nmeasured = 2026-11-01", "what was measured"),
        ("[linkage]\nratio = 0.5\nmeasured = 'last week'", "a day is expected, year first"),
        ("[linkage]\nratio = 0.5\nmeasured = '2026-02-31'", "a day is expected"),
        ("[linkage]\nplay = 0.3", "linkage.play “0.3” has no unit"),
        ("[linkage]\nplay = '30 mm'", "at most 20 mm"),
        ("[linkage]\nturned = 'sideways'", "yes or no"),
        ("[linkage]\nreach = ['600 mm', '400 mm']", "linkage.reach is a list; a length"),
        ("[printer]\nbar = '10 mm'", "80 to 120 mm is expected: measure the bar"),
        ("[hand]\nspeed = '20 to 10 mm/s'", "the smaller number is expected first"),
        ("[hand]\nspeed = '15'", r'"10 mm/s" or "10 to 20 mm/s" is expected'),
        ("[hand]\nspeed = '0 mm/s'", "1 to 500 is expected"),
        ("[hand]\nplunge = 10", "words are expected"),
    ],
)
def test_slips_are_named(text: str, why: str) -> None:
    with pytest.raises(TracerError, match=why):
        parse_shop(text, "shop.toml")


def test_bare_lengths_are_read_in_the_units_said() -> None:
    assert parse_shop('units = "in"\n[router]\npass-limit = "1/8"', "shop.toml").pass_limit == pytest.approx(
        3.175
    )


SCALARS = (
    st.none().map(lambda _: "2026-11-01")
    | st.integers().map(str)
    | st.floats().map(str)
    | st.booleans().map(lambda b: str(b).lower())
    | st.text("0123456789.,:/%xmin to-s½\"'", max_size=15).map(lambda s: f'"{s.replace(chr(34), "")}"')
    | st.sampled_from(
        ["[]", "[1, 'a']", "{}", "{a = 1}", "07:32:00", "1979-05-27T07:32:00Z", '"1:2"', '"mm"']
    )
)


@given(st.lists(st.tuples(st.sampled_from([*FORM.keys, "bits", "bits.name", "x"]), SCALARS), max_size=6))
def test_any_value_is_read_or_refused(lines: list[tuple[str, str]]) -> None:
    with suppress(TracerError):
        parse_shop("\n".join(f"{key} = {value}" for key, value in lines), "shop.toml")


@given(st.text(max_size=60) | st.text("[]{}=.\"'#ab1\n", max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    with suppress(TracerError):
        parse_shop(text, "shop.toml")


def test_path_from_the_environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TRACER_SHOP", str(tmp_path / "mine.toml"))
    assert shop_path() == tmp_path / "mine.toml"
    assert load_shop() == Shop()
    monkeypatch.delenv("TRACER_SHOP")
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert shop_path() == tmp_path / "tracer" / "shop.toml"


def test_unreadable_files(tmp_path: Path) -> None:
    with pytest.raises(JobError, match=r"shop file .*gone.toml is not there"):
        load_shop(tmp_path / "gone.toml")
    with pytest.raises(JobError, match="cannot be read"):
        load_shop(tmp_path)
    (tmp_path / "x.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(JobError, match="not text in UTF-8"):
        load_shop(tmp_path / "x.toml")


def test_byte_order_mark_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_bytes(b'\xef\xbb\xbfunits = "in"')
    assert load_shop(tmp_path / "x.toml").units == "in"


def test_saving_keeps_comments_and_order(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(WHOLE)
    shop = save_shop(
        {"linkage.ratio": "1:2", "linkage.measured": None, "bits.WIDE": "round 1/2in"}, path=path
    )
    assert shop.linkage is not None
    assert (shop.linkage.ratio, shop.linkage.measured_on) == (0.5, None)
    text = path.read_text()
    assert "# ours" in text
    assert "# traced twice" in text
    expected = WHOLE.replace("measured = 2026-11-01\n", "").replace("round 1/4in", "round 1/2in")
    assert text == expected.replace("ratio = 0.595 ", 'ratio = "1:2" ')


@pytest.mark.parametrize(
    "start",
    [
        None,
        "",
        "# only a comment",
        'linkage.ratio = "1:3"\n',
        'linkage = {ratio = "1:3"}\nbits = [{name = "a", spec = "round 1/8in"}]\n',
        "bits = []\n",
        '[printer]\nbar = "99 mm"\n\n[[bits]]\nname = "a"\nspec = "round 1/8in"\n\n[hand]\nerror = "1 mm"\n',
        WHOLE,
    ],
)
def test_saving_into_any_shape_of_file(tmp_path: Path, start: str | None) -> None:
    path = tmp_path / "new folder" / "shop.toml"
    if start is not None:
        path.parent.mkdir()
        path.write_text(start)
    save_shop({"linkage.ratio": "59.5%", "linkage.measured": "2026-11-01"}, path=path)
    save_shop({"bits.a": "V 90deg 1/4in", "bits.new": "straight 1/8in"}, path=path)
    shop = save_shop({"linkage.turned": "yes", "router.pass-limit": "2 mm"}, path=path)
    assert load_shop(path) == shop
    assert shop.linkage is not None
    assert (shop.linkage.ratio, shop.linkage.turned) == (0.595, True)
    assert shop.linkage.measured_on == datetime.date(2026, 11, 1)
    assert dict(shop.bits)["a"] == VBit(90.0, 6.35)
    assert "new" in dict(shop.bits)
    assert shop.pass_limit == 2.0
    without = save_shop({"bits.a": None, "linkage.turned": None}, path=path)
    assert "a" not in dict(without.bits)
    tomllib.loads(path.read_text())


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"linkage.ratio": "60"}, "two ways"),
        ({"linkage.ratoi": "1:2"}, r'did you mean "linkage.ratio"'),
        ({"bits.": "V 60deg 1/2in"}, "is not known"),
        ({"bits.x": "V 60"}, "spec: bit"),
        ({"linkage.measured": "soon"}, "a day is expected"),
        ({"units": "in"}, "hand.error “0.8” has no unit"),
    ],
)
def test_a_bad_change_leaves_the_file(tmp_path: Path, changes: dict[str, str | None], why: str) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(WHOLE)
    with pytest.raises(TracerError, match=why):
        save_shop(changes, path=path)
    assert path.read_text() == WHOLE
    assert [one.name for one in tmp_path.iterdir()] == ["shop.toml"]


@pytest.mark.parametrize("broken", ["a = [", "a = " + "[" * 5000, "bits = 3", "linkage = 3"])
def test_a_broken_file_is_not_changed(tmp_path: Path, broken: str) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(broken)
    with pytest.raises(JobError):
        save_shop({"bits.x": "V 60deg 1/2in", "linkage.ratio": "1:2"}, path=path)
    assert path.read_text() == broken


def test_a_failing_disk_leaves_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(WHOLE)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tracer.shop.toml_file.os.fsync", full)
    with pytest.raises(OutputError, match="No space left on device; nothing was changed"):
        save_shop({"linkage.ratio": "1:2"}, path=path)
    assert path.read_text() == WHOLE
    assert [one.name for one in tmp_path.iterdir()] == ["shop.toml"]


def test_a_linked_file_stays_linked(tmp_path: Path) -> None:
    real = tmp_path / "real.toml"
    real.write_text("")
    link = tmp_path / "shop.toml"
    link.symlink_to(real)
    save_shop({"linkage.ratio": "1:2"}, path=link)
    assert link.is_symlink()
    assert "1:2" in real.read_text()


KEYS_AND_VALUES = st.sampled_from([*FORM.keys, "bits.a", "bits.", "", "bits", "linkage", "x.y"])


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    key=KEYS_AND_VALUES,
    value=st.text(max_size=12) | st.sampled_from(["1:2", "2 mm", "yes", "in", "2026-11-01"]),
)
def test_any_change_is_made_or_refused(tmp_path: Path, key: str, value: str) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(WHOLE)
    try:
        shop = save_shop({key: value}, path=path)
    except TracerError:
        assert path.read_text() == WHOLE
    else:
        assert load_shop(path) == shop


def test_every_setting_is_shown_with_how_it_is_known() -> None:
    said = {line.key: line for line in shop_lines(parse_shop(WHOLE, "shop.toml"))}
    assert said["linkage.ratio"].known == "measured 2026-11-01"
    assert said["printer.bar"].known == "measured"
    assert said["linkage.play"].known == "said"
    assert said["hand.speed"].value == "12 to 18 mm/s"
    assert set(FORM.keys) - set(said) == {"linkage.measured"}
    assumed = shop_lines(Shop())
    assert {line.known for line in assumed} == {"assumed"}


def test_a_key_with_an_underscore_is_the_same_key(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text('[router]\npass_limit = "3 mm"   # hard maple\n')
    assert load_shop(path).pass_limit == 3.0
    assert save_shop({"router.pass-limit": "2 mm"}, path=path).pass_limit == 2.0
    assert path.read_text() == '[router]\npass_limit = "2 mm"   # hard maple\n'
