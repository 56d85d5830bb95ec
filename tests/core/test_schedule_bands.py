"""What a schedule may say of the bands of the ware, and how a mistake is answered."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.errors import InputError
from supervisor.core.phases import bands_of
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.schedule.model import BandChange, BandName, Way
from supervisor.core.schedule.parse import MAX_BANDS

STEP = "[[step]]\nto = 1000\nrate = 100\nhold_min = 20\n"


def text(*bands: str, top: str = "") -> str:
    """A schedule with these tables; the first table's first line is line 8."""
    head = f'name = "x"\n{top}\n{STEP}'
    return head + "\n" + "".join(f"[[band]]\n{band}\n" for band in bands)


def parsed(*bands: str, top: str = "") -> Schedule:
    return parse_schedule(text(*bands, top=top), "s.toml")


def test_a_schedule_without_bands_changes_none() -> None:
    assert parsed().bands == ()


def test_every_key_of_a_band_is_read() -> None:
    schedule = parsed(
        'name = "drying"\nfrom = 20\nto = 150\nfastest = 40\nwhy = "thick tiles burst."',
        'name = "opening"\nleave_out = true',
        'name = "quartz turns"\nfastest = "any"',
        'name = "glass anneals"\nfrom = 520\nto = 460\nfastest = 30.5',
    )
    assert schedule.bands == (
        BandChange("drying", 20.0, 150.0, 40.0, why="thick tiles burst"),
        BandChange("opening", is_left_out=True),
        BandChange("quartz turns", at_any_rate=True),
        BandChange("glass anneals", 520.0, 460.0, 30.5),
    )


def test_a_band_in_fahrenheit_is_the_same_band() -> None:
    celsius = parsed('name = "quartz turns"\nfrom = 550\nto = 650\nfastest = 60')
    fahrenheit = parse_schedule(
        'name = "x"\nunits = "F"\n[[step]]\nto = 1832\n'
        '[[band]]\nname = "quartz turns"\nfrom = 1022\nto = 1202\nfastest = 108\n'
    )
    (one,), (other,) = celsius.bands, fahrenheit.bands
    assert (other.from_c, other.to_c) == pytest.approx((one.from_c, one.to_c))
    assert other.fastest_c_per_h == pytest.approx(one.fastest_c_per_h)


BISQUE = 'kind = "bisque"'
QUARTZ = 'name = "quartz turns"\n'


@pytest.mark.parametrize(
    ("band", "line", "key", "allowed"),
    [
        ("", 8, "`name`", '"drying", "chemical water"'),
        ("name = 3", 9, "name = 3", "printable characters in quotes"),
        ('name = " "', 9, "name", "printable"),
        ('name = "a\\u0007"', 9, "name", "printable"),
        (f'name = "{"x" * 61}"', 9, "name", "1 to 60"),
        (QUARTZ + "speed = 3", 10, '"speed"', "name, from, to, fastest, leave_out, why"),
        (QUARTZ + "from = 500", 10, "`from` and `to`", "both"),
        (QUARTZ + "to = 500", 10, "`from` and `to`", "both"),
        (QUARTZ + "from = 500\nto = 515", 11, "`from` and `to`", "at least 20 °C apart"),
        (QUARTZ + "from = 620\nto = 520", 11, "heating band", "above its `from`"),
        ('name = "opening"\nfrom = 60\nto = 120', 11, "cooling band", "below its `from`"),
        (QUARTZ + "from = -5\nto = 520", 10, "from = -5", "0 to 1500 °C"),
        (QUARTZ + "from = 500\nto = nan", 11, "to = nan", "0 to 1500 °C"),
        (QUARTZ + "fastest = 0", 10, "fastest = 0", '0.5 to 2000 (or "any"'),
        (QUARTZ + "fastest = -60", 10, "fastest = -60", "positive"),
        (QUARTZ + "fastest = false", 10, "fastest", '"any"'),
        (QUARTZ + 'fastest = "slow"', 10, 'fastest = "slow"', '"any"'),
        (QUARTZ + 'leave_out = "yes"', 10, 'leave_out = "yes"', "true or false"),
        (QUARTZ + "fastest = 60\nleave_out = true", 11, "leave_out", "stands alone"),
        ('name = "mine"\nleave_out = true', 10, "leave_out", "known band"),
        ('name = "mine"', 9, '"mine"', "needs them"),
        ('name = "mine"\nfastest = 60', 9, '"mine"', '"quartz turns back"'),
        ('name = "levelling"\nfrom = 900\nto = 1000', 10, "levelling", "hold at the peak"),
        ('name = "levelling"\nfastest = 60', 10, "levelling", "no rate"),
        (QUARTZ + "why = 3", 10, "why = 3", "text in quotes"),
    ],
)
def test_a_mistake_is_one_sentence_with_its_line(
    band: str, line: int, key: str, allowed: str
) -> None:
    with pytest.raises(InputError) as caught:
        parsed(band)
    said = str(caught.value)
    assert said.startswith(f"s.toml, line {line}: "), said
    assert key in said
    assert allowed in said
    assert "\n" not in said
    assert len(said) < 500


def test_a_band_that_is_there_twice_is_refused_at_the_second() -> None:
    with pytest.raises(InputError, match=r"line 12: .*twice"):
        parsed('name = "opening"\nleave_out = true', 'name = "opening"\nfastest = 30')


@pytest.mark.parametrize("written", ["band = 3", "band = [3]", "[band]\nname = 'x'"])
def test_bands_are_tables(written: str) -> None:
    top = "" if written.startswith("[") else written
    tail = written if written.startswith("[") else ""
    with pytest.raises(InputError, match=r"written as \[\[band\]\]"):
        parse_schedule(text(top=top) + tail, "s.toml")


def test_more_bands_than_anyone_needs_are_refused() -> None:
    bands = [f'name = "own {n}"\nfrom = 100\nto = 200' for n in range(MAX_BANDS + 1)]
    assert len(parsed(*bands[:-1]).bands) == MAX_BANDS
    with pytest.raises(InputError, match="at most 50 bands"):
        parsed(*bands)


def test_what_is_said_of_a_band_holds_for_this_schedule() -> None:
    schedule = parsed(
        'name = "quartz turns"\nfrom = 540\nto = 640\nfastest = 90',
        'name = "burning out"\nleave_out = true',
        'name = "drying"\nfastest = "any"',
        'name = "glass anneals"\nfrom = 520\nto = 460\nfastest = 30\nwhy = "glass relaxes"',
        top=BISQUE,
    )
    bands = {str(band.name): band for band in bands_of(schedule)}
    quartz, own = bands["quartz turns"], bands["glass anneals"]
    assert (quartz.from_c, quartz.to_c, quartz.fastest_c_per_h) == (540.0, 640.0, 90.0)
    assert quartz.source == "this schedule"
    assert "burning out" not in bands
    assert bands["drying"].fastest_c_per_h is None
    assert (own.way, own.fastest_c_per_h, own.why) == (Way.COOLING, 30.0, "glass relaxes")
    assert (
        bands["chemical water"]
        == {b.name: b for b in bands_of(parsed(top=BISQUE))}["chemical water"]
    )


def test_a_schedule_that_names_a_band_has_it_whatever_its_kind() -> None:
    glaze = 'kind = "glaze"\n'
    assert BandName.CHEMICAL_WATER not in [b.name for b in bands_of(parsed(top=glaze))]
    named = list(bands_of(parsed('name = "chemical water"', top=glaze)))
    assert [b.fastest_c_per_h for b in named if b.name == BandName.CHEMICAL_WATER] == [170.0]
    names = [b.name for b in named]
    assert len(names) == len(set(names))


def test_a_firing_of_something_else_is_guarded_only_where_it_says_so() -> None:
    assert {b.fastest_c_per_h for b in bands_of(parsed())} == {None}
    guarded = bands_of(parsed('name = "drying"\nfastest = 60'))
    assert [b.name for b in guarded if b.fastest_c_per_h is not None] == [BandName.DRYING]


VALUES = st.one_of(
    st.booleans(),
    st.integers(-2000, 4000),
    st.floats(),
    st.sampled_from([*BandName, "any", "mine", "", "levelling"]),
)


def toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value)


@given(
    st.lists(
        st.dictionaries(
            st.sampled_from(["name", "from", "to", "fastest", "leave_out", "why"]), VALUES
        ),
        max_size=4,
    ),
    st.sampled_from(["bisque", "glaze", "other"]),
    st.sampled_from(["C", "F"]),
)
def test_any_bands_at_all_are_read_or_refused(
    bands: list[dict[str, object]], kind: str, units: str
) -> None:
    tables = ["\n".join(f"{k} = {toml(v)}" for k, v in band.items()) for band in bands]
    try:
        schedule = parsed(*tables, top=f'kind = "{kind}"; units = "{units}"'.replace("; ", "\n"))
    except InputError as error:
        assert "\n" not in str(error)  # noqa: PT017 - either outcome is right
        return
    for band in bands_of(schedule):
        assert band.fastest_c_per_h is None or band.fastest_c_per_h > 0.0
        assert (band.to_c < band.from_c) is band.cooling
