"""``spyhole setup``: asks little, writes a whole configuration or nothing, never overwrites."""

from __future__ import annotations

import io
import os
import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hardware.channel import TYPE_RANGE_C, ThermocoupleChannel
from hardware.selects import pin_numbers
from supervisor.commands import setup as command
from supervisor.core.errors import InputError
from supervisor.core.schedule import starter_names
from supervisor.service.config import Config, parse_config
from tests.commands.conftest import Outcome, Spyhole

ASKED = 12
"""Questions of a person with one thermocouple."""


@pytest.fixture
def answer(spyhole: Spyhole, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> type[Answering]:
    Answering.spyhole, Answering.patch, Answering.out = spyhole, monkeypatch, tmp_path / "s.toml"
    return Answering


class Answering:
    """``spyhole setup`` with a person's lines."""

    spyhole: Spyhole
    patch: pytest.MonkeyPatch
    out: Path

    @classmethod
    def with_lines(cls, *lines: str, options: tuple[str, ...] = ()) -> Outcome:
        cls.patch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return cls.spyhole("setup", "--out", cls.out, *options)

    @classmethod
    def config(cls) -> Config:
        return parse_config(cls.out.read_text(encoding="utf-8"), str(cls.out))


def test_empty_answers_are_the_defaults_and_so_is_asking_nobody(
    answer: type[Answering], spyhole: Spyhole, tmp_path: Path
) -> None:
    found = answer.with_lines(*[""] * ASKED)
    assert (found.code, found.err) == (0, "")
    assert f"written: {answer.out}" in found.out
    silent = spyhole("setup", "--defaults", "--out", tmp_path / "silent.toml")
    assert silent.code == 0
    assert "[" not in silent.out, "nothing is asked"
    assert (tmp_path / "silent.toml").read_bytes() == answer.out.read_bytes()
    config = answer.config()
    assert [(s.channel, s.chip_select, s.type) for s in config.sensor] == [("top", "CE0", "K")]
    assert config.watch.schedule == "midfire-glaze"
    assert config.page.host == "0.0.0.0"
    assert config.mqtt is None
    assert "sudo apt install mosquitto" in found.out
    assert "page and record still work" in found.out


def test_bad_answers_are_told_in_one_sentence_and_asked_again(answer: type[Answering]) -> None:
    found = answer.with_lines(
        *("K", "F"),
        *("!!!", "Big kiln"),
        *("coal", "GAS"),
        *("12", "nan", "2372"),
        *("0", "three", "2"),
        *("1st", "top", "X", "s", "CE2", "D9", "gpio5"),
        *("top", "bottom", "", "D5", "CE0", "6"),
        *("no-such-plan", "bisque"),
        *("two words", "broker.local"),
        *("perhaps", "n"),
    )
    assert found.code == 0, found.err
    complaints = found.err.splitlines()
    assert len(complaints) == 17
    for complaint in complaints:
        assert complaint.startswith("  ")
        assert "Traceback" not in complaint
    config = answer.config()
    assert config.units == "F"
    assert (config.kiln.name, config.kiln.kind, config.kiln.limit) == ("Big kiln", "gas", 2372.0)
    assert [(s.channel, s.chip_select, s.type) for s in config.sensor] == [
        ("top", "D5", "S"),
        ("bottom", "D6", "S"),
    ]
    assert config.watch.schedule == "bisque"
    assert config.watch.mains_hz == 60
    assert config.mqtt is not None
    assert config.mqtt.host == "broker.local"
    assert config.page.host == "127.0.0.1"


def test_what_is_there_is_never_overwritten(answer: type[Answering], tmp_path: Path) -> None:
    answer.out.write_text("mine", encoding="utf-8")
    found = answer.with_lines()
    assert found.code == 1
    assert found.err.count("\n") == 1
    assert "never overwritten" in found.err
    assert found.out == "", "it is said before anything is asked"
    assert answer.out.read_text(encoding="utf-8") == "mine"
    folder = answer.spyhole("setup", "--defaults", "--out", tmp_path)
    assert folder.code == 1
    assert "this is a folder: give the name of a file in it" in folder.err
    dangling = tmp_path / "link.toml"
    dangling.symlink_to(tmp_path / "elsewhere.toml")
    answer.out = dangling
    assert answer.with_lines(*[""] * ASKED).code == 1
    assert not (tmp_path / "elsewhere.toml").exists()


def test_a_file_that_appears_meanwhile_is_left_alone(answer: type[Answering]) -> None:
    class Late(io.StringIO):
        """Somebody else writes the file while the last question is answered."""

        def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]
            line = super().readline()
            if self.tell() == len(self.getvalue()):
                answer.out.write_text("theirs", encoding="utf-8")
            return line

    answer.patch.setattr("sys.stdin", Late("\n" * ASKED))
    found = answer.spyhole("setup", "--out", answer.out)
    assert found.code == 1
    assert answer.out.read_text(encoding="utf-8") == "theirs"


@pytest.mark.parametrize("answered", range(ASKED))
def test_answers_that_end_too_soon_leave_nothing_behind(
    answer: type[Answering], answered: int
) -> None:
    found = answer.with_lines(*[""] * answered)
    assert found.code == 1
    assert found.err.startswith("spyhole setup: the answers have ended")
    assert list(answer.out.parent.iterdir()) == []


@pytest.mark.parametrize("at", [0, 4, ASKED - 1])
def test_ctrl_c_leaves_nothing_behind(answer: type[Answering], at: int) -> None:
    count = 0

    def leave(_question: str) -> str:
        nonlocal count
        count += 1
        if count > at:
            raise KeyboardInterrupt
        return ""

    answer.patch.setattr("builtins.input", leave)
    found = answer.spyhole("setup", "--out", answer.out)
    assert (found.code, found.err) == (130, "spyhole setup: stopped\n")
    assert list(answer.out.parent.iterdir()) == []


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ("--limit", "hot"),
        ("--limit", "2350 °F"),
        ("--limit", "1290f"),
        ("--sensor", "top:S"),
        ("--sensor", "top:Q:D5"),
        ("--sensor", "top:S:D10"),
        ("--schedule", "no-such-plan"),
        ("--broker", "a b"),
        ("--name", "\t\n"),
        ("--name", "!!!"),
    ],
)
def test_a_bad_option_is_one_sentence_and_nothing_is_written(
    answer: type[Answering], option: str, words: str
) -> None:
    found = answer.with_lines(options=("--defaults", option, words))
    assert found.code == 1
    assert found.err.count("\n") == 1
    assert list(answer.out.parent.iterdir()) == []


def test_a_folder_that_is_not_there_is_said_before_the_questions(
    answer: type[Answering], tmp_path: Path
) -> None:
    answer.out = tmp_path / "no" / "s.toml"
    found = answer.with_lines()
    assert (found.code, found.out) == (1, "")
    assert "no such folder" in found.err


def test_a_schedule_beside_the_configuration_is_looked_into(
    answer: type[Answering], tmp_path: Path
) -> None:
    (tmp_path / "mine.toml").write_text("name = 3", encoding="utf-8")
    bad = answer.with_lines(options=("--defaults", "--schedule", "mine.toml"))
    assert bad.code == 1
    assert "mine.toml" in bad.err
    (tmp_path / "mine.toml").write_text('name = "m"\n[[step]]\nto = 900\nrate = 100\n', "utf-8")
    assert answer.with_lines(options=("--defaults", "--schedule", "mine.toml")).code == 0
    assert answer.config().watch.schedule == "mine.toml"


def test_a_new_file_has_the_permissions_of_any_new_file(answer: type[Answering]) -> None:
    mask = os.umask(0o027)
    try:
        assert answer.with_lines(options=("--defaults",)).code == 0
    finally:
        os.umask(mask)
    assert stat.S_IMODE(answer.out.stat().st_mode) == 0o640


def test_the_pins_that_are_offered_are_all_those_that_a_rig_takes() -> None:
    taken: list[str] = []
    for number in range(60):
        try:
            taken.append(
                f"D{pin_numbers([ThermocoupleChannel('top', f'D{number}')])[f'D{number}']}"
            )
        except InputError:
            continue
    assert sorted(taken) == sorted(command.FREE_PINS)
    assert len(command.FREE_PINS) >= 16


letter = st.characters(whitelist_categories=("Lu", "Ll"), max_codepoint=0x24F)
sensors = st.integers(1, 16).flatmap(
    lambda count: st.tuples(
        st.lists(
            st.text(letter, min_size=1, max_size=12),
            min_size=count,
            max_size=count,
            unique=True,
        ),
        st.lists(st.sampled_from(sorted(TYPE_RANGE_C)), min_size=count, max_size=count),
        st.permutations(command.FREE_PINS).map(lambda pins: pins[:count]),
    )
)


@pytest.mark.parametrize(
    ("count", "selects"),
    [(1, ["CE0"]), (2, ["CE0", "CE1"]), (3, ["D5", "D6", "D13"])],
)
def test_as_few_as_the_kernel_can_select_need_no_pin_of_their_own(
    answer: type[Answering], count: int, selects: list[str]
) -> None:
    found = answer.with_lines("", "", "", "", str(count), *[""] * (3 * count + 4))
    assert (found.code, found.err) == (0, "")
    config = answer.config()
    assert [sensor.chip_select for sensor in config.sensor] == selects
    assert set(pin_numbers(config.channels())) == {s for s in selects if s.startswith("D")}
    assert ("install-pi" in found.out) == (count > 2)


@pytest.mark.parametrize(
    "selects", [["CE0", "D5"], ["D5", "CE0"], ["CE0", "CE1", "D5"], ["CE1", "D5", "CE0"]]
)
def test_what_a_rig_would_refuse_is_not_written(
    answer: type[Answering], selects: list[str]
) -> None:
    options = [f"--sensor=place {n}:K:{select}" for n, select in enumerate(selects)]
    found = answer.with_lines(options=("--defaults", *options))
    assert found.code == 1
    assert "CE0" in found.err
    assert not answer.out.exists()
    channels = [ThermocoupleChannel(f"place {n}", select) for n, select in enumerate(selects)]
    with pytest.raises(InputError, match="CE0"):
        pin_numbers(channels)


def test_the_kernels_selects_are_known_by_their_pins_too(answer: type[Answering]) -> None:
    options = ("--defaults", "--sensor", "a:K:GPIO8", "--sensor", "b:K:d7")
    assert answer.with_lines(options=options).code == 0
    assert [sensor.chip_select for sensor in answer.config().sensor] == ["CE0", "CE1"]


@pytest.mark.parametrize(
    ("units", "given_limit", "kept", "complaint"),
    [
        ("C", "1290", 1290.0, ""),
        ("C", "1290 °C", 1290.0, ""),
        ("F", "2350f", 2350.0, ""),
        # 1290 alone could be either: its letter says that it is not of this file's scale.
        ("F", "1290 °C", None, "is in °C"),
        ("C", "1290 F", None, "is in °F"),
    ],
)
def test_a_limit_may_have_its_scale_with_it_but_no_other(
    answer: type[Answering], units: str, given_limit: str, kept: float | None, complaint: str
) -> None:
    found = answer.with_lines(options=("--defaults", "--units", units, "--limit", given_limit))
    assert complaint in found.err
    if kept is None:
        assert (found.code, answer.out.exists()) == (1, False)
    else:
        assert (found.code, answer.config().kiln.limit) == (0, kept)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    units=st.sampled_from("CF"),
    name=st.text(letter, min_size=1, max_size=60),
    kind=st.sampled_from(["electric", "gas", "wood"]),
    limit_c=st.none() | st.integers(300, 1600),
    sensors=sensors,
    schedule=st.sampled_from(sorted(starter_names())),
    broker=st.none() | st.sampled_from(["localhost", "broker.local", "192.168.1.7", "fe80::1"]),
    everybody=st.booleans(),
)
def test_every_combination_parses_and_asks_and_options_write_the_same(
    answer: type[Answering],
    units: str,
    name: str,
    kind: str,
    limit_c: int | None,
    sensors: tuple[list[str], list[str], list[str]],
    schedule: str,
    broker: str | None,
    everybody: bool,
) -> None:
    answer.out.unlink(missing_ok=True)
    limit = (
        "none" if limit_c is None else str(limit_c if units == "C" else round(limit_c * 1.8 + 32))
    )
    rows = list(zip(*sensors, strict=True))
    found = answer.with_lines(
        *(units, name, kind, limit, str(len(rows))),
        *(cell for channel, letter_, pin in rows for cell in (channel, letter_, pin)),
        *(schedule, broker or "none", *(("yes", "") if everybody else ("no",))),
    )
    assert (found.code, found.err) == (0, "")
    config, asked = answer.config(), answer.out.read_bytes()
    assert config.units == units
    assert (config.kiln.name, config.kiln.kind) == (name, kind)
    assert config.kiln.limit == (None if limit == "none" else float(limit))
    assert [(s.channel, s.type, s.chip_select) for s in config.sensor] == rows
    assert [c.name for c in config.channels()] == sensors[0]
    assert config.watch.schedule == schedule
    assert (None if config.mqtt is None else config.mqtt.host) == broker
    assert (config.broker() is None) == (broker is None)
    assert (config.page.host == "0.0.0.0") == everybody
    answer.out.unlink()
    options = [*("--defaults", "--units", units, "--name", name, "--kind", kind)]
    options += ["--limit", limit, "--schedule", schedule, "--broker", broker or "none"]
    options += ["--page", "network" if everybody else "here"]
    for row in rows:
        options += ["--sensor", ":".join(row)]
    assert answer.with_lines(options=tuple(options)).code == 0
    assert answer.out.read_bytes() == asked
