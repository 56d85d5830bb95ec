"""What a schedule file may say, and that every other file gets one sentence that helps."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.errors import InputError
from supervisor.core.schedule import Atmosphere, FiringKind, Schedule, Step, parse_schedule
from supervisor.core.schedule.parse import MAX_STEPS, MAX_TEXT, cone_name
from supervisor.core.units import Unit

WHOLE = """\
name = "Everything"
units = "C"
kind = "glaze"
atmosphere = "reduction"
target_cone = "5.5"

[[step]]
rate = 100
to = 600
hold_min = 30
note = "wet glaze"

[[step]]
to = 1205.5

[[step]]
rate = 70.5
to = 900
"""
LEAST = 'name = "Least"\n[[step]]\nto = 600\n'


def refused(text: str, where: str = "s.toml") -> str:
    """The sentence by which ``text`` is refused."""
    with pytest.raises(InputError) as caught:
        parse_schedule(text, where)
    said = str(caught.value)
    assert "\n" not in said
    assert len(said) < 400
    assert said.startswith(where)
    return said


def step(line: str) -> str:
    """A schedule whose one step, from line 2 on, has ``line`` as its line 4."""
    return f'name = "x"\n[[step]]\nto = 600\n{line}\n'


def test_every_key_is_read() -> None:
    assert parse_schedule(WHOLE) == Schedule(
        name="Everything",
        units=Unit.C,
        kind=FiringKind.GLAZE,
        atmosphere=Atmosphere.REDUCTION,
        target_cone="5.5",
        steps=(
            Step(600.0, 100.0, 1800.0, "wet glaze"),
            Step(1205.5, None, 0.0, ""),
            Step(900.0, 70.5, 0.0, ""),
        ),
    )


def test_what_is_left_out_has_a_default() -> None:
    schedule = parse_schedule(LEAST)
    assert schedule == Schedule(name="Least", steps=(Step(600.0, None),))
    assert schedule.units is Unit.C
    assert schedule.kind is FiringKind.OTHER
    assert schedule.atmosphere is Atmosphere.OXIDATION
    assert schedule.target_cone is None


def test_the_same_plan_in_fahrenheit_is_the_same_plan() -> None:
    celsius = parse_schedule(
        'name = "x"\n[[step]]\nrate = 60\nto = 100\n[[step]]\nrate = 150\nto = 1205\nhold_min = 9\n'
    )
    fahrenheit = parse_schedule(
        'name = "x"\nunits = "F"\n[[step]]\nrate = 108\nto = 212\n'
        "[[step]]\nrate = 270\nto = 2201\nhold_min = 9\n"
    )
    assert fahrenheit.units is Unit.F
    for one, other in zip(celsius.steps, fahrenheit.steps, strict=True):
        assert other.to_c == pytest.approx(one.to_c, abs=1e-9)
        assert other.rate_c_per_h == pytest.approx(one.rate_c_per_h, abs=1e-9)
        assert other.hold_s == one.hold_s


@pytest.mark.parametrize("kind", ["bisque", "glaze", "other"])
@pytest.mark.parametrize("atmosphere", ["oxidation", "reduction"])
def test_kind_and_atmosphere_have_the_words_of_the_trade(kind: str, atmosphere: str) -> None:
    text = LEAST.replace("[[step]]", f'kind = "{kind}"\natmosphere = "{atmosphere}"\n[[step]]')
    schedule = parse_schedule(text)
    assert (schedule.kind.value, schedule.atmosphere.value) == (kind, atmosphere)


@pytest.mark.parametrize(
    ("written", "cone"),
    [("022", "022"), ("06", "06"), ("6", "6"), ("05.5", "05.5"), ("5.5", "5.5"), ("14", "14")],
)
def test_a_cone_is_text(written: str, cone: str) -> None:
    assert parse_schedule(f'target_cone = "{written}"\n{LEAST}').target_cone == cone


@pytest.mark.parametrize("spelling", ["cone 5.5", "5½", "5 1/2", "5-1/2", " 5.5 ", "Cone 5 1/2"])
def test_a_half_cone_may_be_spelt_as_potters_do(spelling: str) -> None:
    assert cone_name(spelling) == "5.5"


def test_a_peak_step_is_the_last_one_at_the_peak() -> None:
    schedule = parse_schedule(WHOLE)
    assert schedule.peak_c == 1205.5
    assert schedule.peak_step == 1


@pytest.mark.parametrize(
    ("text", "line", "key", "allowed"),
    [
        ('name = "x"\nspeed = 3\n[[step]]\nto = 1\n', 2, '"speed"', "target_cone"),
        (step("ramp = 100"), 4, '"ramp"', "rate, to, hold_min, note"),
        (step("rate = nan"), 4, "rate", "positive number of degrees an hour"),
        (step("rate = 0.1"), 4, "rate = 0.1", "0.5 to 2000"),
        (step("rate = inf"), 4, "rate", "0.5 to 2000"),
        (step("rate = -60"), 4, "rate = -60", "positive"),
        (step("rate = 0"), 4, "rate = 0", "positive"),
        (step("rate = true"), 4, "rate", "positive"),
        (step('rate = "fast"'), 4, 'rate = "fast"', "positive"),
        (step("rate = 2001"), 4, "rate = 2001", "0.5 to 2000"),
        (step("rate = 1" + "0" * 400), 4, "rate", "0.5 to 2000"),
        (step("hold_min = -1"), 4, "hold_min = -1", "0 to 10080 minutes"),
        (step("hold_min = false"), 4, "hold_min", "0 to 10080 minutes"),
        (step("hold_min = 1979-05-27"), 4, "hold_min", "0 to 10080 minutes"),
        (step("note = 3"), 4, "note = 3", "text in quotes"),
        (step(f'note = "{"x" * (MAX_TEXT + 1)}"'), 4, "note", f"{MAX_TEXT} characters"),
        ('name = "x"\n[[step]]\nto = nan\n', 3, "to = nan", "0 to 1500 °C"),
        ('name = "x"\n[[step]]\nto = -1\n', 3, "to = -1", "0 to 1500 °C"),
        ('name = "x"\n[[step]]\nto = 2000\n', 3, "to = 2000", "0 to 1500 °C"),
        ('name = "x"\n[[step]]\nto = [600]\n', 3, "to = [600]", "0 to 1500 °C"),
        ('name = "x"\nunits = "F"\n[[step]]\nto = 20\n', 4, "to = 20", "32 to 2732 °F"),
        ('name = "x"\nunits = "F"\n[[step]]\nto = 99\nrate = 3601\n', 5, "rate", "0.5 to 3600"),
        ('name = "x"\nunits = "K"\n[[step]]\nto = 600\n', 2, 'units = "K"', '"C", "F"'),
        ('name = "x"\nunits = ["C"]\n[[step]]\nto = 600\n', 2, "units", '"C", "F"'),
        ('kind = "raku"\n' + LEAST, 1, 'kind = "raku"', '"bisque", "glaze", "other"'),
        ("atmosphere = 1\n" + LEAST, 1, "atmosphere = 1", '"oxidation", "reduction"'),
        ("target_cone = 6\n" + LEAST, 1, "target_cone = 6", "in quotes"),
        ("target_cone = 06\n" + LEAST, 1, "target_cone = 06 needs quotes", "06 and 6"),
        (step("# x") + "[[step]]\nto = 1\ntarget_cone = 05.5 # mid\n", 7, "05.5", "quotes"),
        ('target_cone = "6.5"\n' + LEAST, 1, 'target_cone = "6.5"', '"022" to "14"'),
        ('target_cone = "15"\n' + LEAST, 1, 'target_cone = "15"', '"022" to "14"'),
        ("name = 3\n[[step]]\nto = 600\n", 1, "name = 3", "text in quotes"),
        ('name = " "\n[[step]]\nto = 600\n', 1, "name", "1 to 500 characters"),
        ('name = "x"\n[[step]]\nto = 600\n[[step]]\nrate = 9\n', 4, "`to`", "temperature"),
        ('name = "x"\nstep = [{to = 600, rate = -3}]\n', 2, "rate = -3", "positive"),
        ('name = "x"\nstep = [{to = 600}, {rate = 3}]\n', 2, "`to`", "temperature"),
        ('name = "x"\n[step]\nto = 600\n', 2, "[[step]]", ""),
        ('name = "x"\nstep = []\n', 2, "[[step]]", ""),
        ('name = "x"\nstep = 600\n', 2, "[[step]]", ""),
        ('name = "x"\nstep = [600]\n', 2, "[[step]]", ""),
        ('name = "x"\n[[step]\nto = 600\n', 2, "TOML", ""),
        ('name = "x\n', 1, "TOML", ""),
        ('name = "x"\nname = "y"\n', 2, "TOML", ""),
    ],
)
def test_a_mistake_is_named_with_line_and_key_and_what_is_allowed(
    text: str, line: int, key: str, allowed: str
) -> None:
    said = refused(text)
    # A mistake in the TOML itself is told with its column as well.
    assert said.startswith((f"s.toml, line {line}: ", f"s.toml, line {line}, column ")), said
    assert key in said
    assert allowed in said


def test_the_second_of_two_equal_mistakes_is_not_blamed_on_the_first_line() -> None:
    said = refused('name = "x"\n[[step]]\nto = 600\nrate = 5\n[[step]]\nto = 700\nrate = -5\n')
    assert said.startswith("s.toml, line 7: rate = -5")


def test_a_mistake_is_found_behind_windows_line_ends() -> None:
    assert refused('name = "x"\r\n[[step]]\r\nto = -5\r\n').startswith("s.toml, line 3: to = -5")


@pytest.mark.parametrize("text", ["", "\n\n", "# only a remark\n"])
def test_an_empty_file_is_told_what_it_needs(text: str) -> None:
    assert "at least one [[step]]" in refused(text)


def test_a_schedule_without_a_name_is_told_so() -> None:
    assert "`name` is missing" in refused("[[step]]\nto = 600\n")


def test_a_hundred_steps_are_read_and_more_are_not() -> None:
    one = "[[step]]\nto = 600\nrate = 100\n"
    assert len(parse_schedule('name = "x"\n' + one * MAX_STEPS).steps) == MAX_STEPS
    assert "at most 100 steps" in refused('name = "x"\n' + one * (MAX_STEPS + 1))


@pytest.mark.parametrize("key", ["name", "to", "rate"])
def test_deep_nesting_is_one_sentence(key: str) -> None:
    refused(f"{key} = {'[' * 5000}{']' * 5000}\n")
    refused('name = "x"\n[[step]]\nto = ' + "{a = " * 3000 + "1" + "}" * 3000 + "\n")


def test_a_value_of_a_million_characters_is_not_repeated() -> None:
    assert len(refused(f'units = "{"x" * 1_000_000}"\n{LEAST}')) < 200
    assert len(refused(f'"{"k" * 1_000_000}" = 1\n{LEAST}')) < 300
    assert len(refused('name = "x"\n[[step]]\nto = ' + "9" * 100_000 + "\n")) < 200


def test_what_can_not_be_printed_is_not_sent_to_the_terminal() -> None:
    said = refused('units = "\\u001b[31mred"\n' + LEAST)
    assert "\x1b" not in said


@given(st.text(max_size=300))
def test_any_text_at_all_is_read_or_refused(text: str) -> None:
    try:
        parse_schedule(text, "s.toml")
    except InputError as error:
        assert str(error).startswith("s.toml")  # noqa: PT017 - either outcome is right
        assert len(str(error)) < 600  # noqa: PT017


VALUES = st.one_of(
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.lists(st.integers(), max_size=3),
)


def toml(value: object) -> str:
    """A value as TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return '"' + "".join(f"\\U{ord(c):08x}" for c in value) + '"'
    if isinstance(value, list):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    return str(value)


@given(
    st.dictionaries(
        st.sampled_from(["name", "units", "kind", "atmosphere", "target_cone", "step"]), VALUES
    ),
    st.lists(
        st.dictionaries(st.sampled_from(["rate", "to", "hold_min", "note", "x"]), VALUES),
        max_size=3,
    ),
)
def test_any_values_at_all_are_read_or_refused(
    top: dict[str, object], steps: list[dict[str, object]]
) -> None:
    lines = [f"{key} = {toml(value)}" for key, value in top.items()]
    for one in steps:
        lines += ["[[step]]", *(f"{key} = {toml(value)}" for key, value in one.items())]
    try:
        schedule = parse_schedule("\n".join(lines), "s.toml")
    except InputError as error:
        assert "\n" not in str(error)  # noqa: PT017 - either outcome is right
        return
    for step_read in schedule.steps:
        assert math.isfinite(step_read.to_c)
        assert step_read.hold_s >= 0.0
        assert step_read.rate_c_per_h is None or 0.0 < step_read.rate_c_per_h <= 2000.0
