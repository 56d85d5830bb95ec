"""The JSON of a firing, and of commands, is what its schema says, and that is of the code."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.commands.conftest import Spyhole
from tests.commands.make_schemas import SCHEMAS
from tests.describing import text_of
from tests.record import make_schema
from tests.reports import keep_every_kind


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    """Of the schema as it is installed."""
    text = files("supervisor.record").joinpath("firing.schema.json").read_text(encoding="utf-8")
    schema = json.loads(text)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    folder = tmp_path_factory.mktemp("data")
    return folder, keep_every_kind(folder)


def document_of(spyhole: Spyhole, kept: tuple[Path, dict[str, str]], kind: str, out: Path) -> Any:
    folder, ids = kept
    found = spyhole("report", ids[kind], "--out", out / f"{kind}.json", "--data", folder)
    assert (found.code, found.err) == (0, "")
    return json.loads((out / f"{kind}.json").read_text(encoding="utf-8"))


def test_the_schema_is_that_of_the_code() -> None:
    shipped = files("supervisor.record").joinpath("firing.schema.json")
    assert shipped.read_text(encoding="utf-8") == make_schema.text(), (
        "make it anew: python -m tests.record.make_schema"
    )


def test_every_kind_of_firing_is_as_the_schema_says(
    spyhole: Spyhole,
    kept: tuple[Path, dict[str, str]],
    validator: Draft202012Validator,
    tmp_path: Path,
) -> None:
    for kind in kept[1]:
        document = document_of(spyhole, kept, kind, tmp_path)
        wrong = [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]
        assert wrong == [], kind
        assert document["facts"]["readings"] == len(document["readings"])


def test_the_schema_refuses_what_is_otherwise(
    spyhole: Spyhole,
    kept: tuple[Path, dict[str, str]],
    validator: Draft202012Validator,
    tmp_path: Path,
) -> None:
    document = document_of(spyhole, kept, "stalled", tmp_path)
    assert document["alerts"]
    spoils: tuple[Callable[[Any], object], ...] = (
        lambda d: d.pop("facts"),
        lambda d: d.update(version=2),
        lambda d: d["facts"]["peak"].update(temp_c="hot"),
        lambda d: d["facts"]["peak"].update(temp_f=2000.0),
        lambda d: d["facts"]["bands"][0].update(way="sideways"),
        lambda d: d["events"][0].pop("message"),
        lambda d: d["alerts"][0].update(severity="dire"),
        lambda d: d["readings"][0].update(temps_c=["20"]),
        lambda d: d["firing"].update(units="K"),
    )
    for spoil in spoils:
        spoilt = json.loads(json.dumps(document))
        spoil(spoilt)
        assert not validator.is_valid(spoilt)


def shipped(command: str) -> str:
    """The schema of a command as it is installed."""
    name = f"{command}.schema.json"
    return files("supervisor.commands").joinpath(name).read_text(encoding="utf-8")


@pytest.mark.parametrize("command", SCHEMAS)
def test_the_schema_of_a_command_is_that_of_the_code(command: str) -> None:
    assert shipped(command) == text_of(SCHEMAS[command]()), (
        "make them anew: python -m tests.commands.make_schemas"
    )


SAID = [
    ("compare", ["healthy", "uneven", "fahrenheit", "broken"], []),
    ("compare", ["healthy", "stalled"], ["--align", "temperature"]),
    ("compare", ["blind", "planless", "short"], ["--align", "peak", "--units", "F"]),
    ("compare", ["healthy"], ["--plan"]),
    ("trends", [], []),
    ("trends", [], ["--warnings"]),
    ("unload", ["reduced"], ["--look", "--defect", "crazing,pinholes,carbon-trapped,dunting"]),
    ("unload", ["uneven"], ["--look", "--defect", "underfired"]),
    ("repeat", ["healthy"], ["--defect", "pinholes"]),
    ("repeat", ["reduced"], []),
    ("repeat", ["blind"], ["--within", "9F"]),
]


@pytest.mark.parametrize(("command", "kinds", "options"), SAID)
def test_what_a_command_says_is_as_its_schema_says(
    spyhole: Spyhole,
    kept: tuple[Path, dict[str, str]],
    command: str,
    kinds: list[str],
    options: list[str],
) -> None:
    folder, ids = kept
    schema = json.loads(shipped(command))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    given = [ids[kind] for kind in kinds]
    found = spyhole(command, *given, *options, "--data", folder, "--json")
    assert (found.code, found.err) == (0, "")
    document = found.document
    wrong = [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]
    assert wrong == []
    # Nothing may be missing, and nothing may be there that is not described.
    for key in document:
        assert not validator.is_valid({name: one for name, one in document.items() if name != key})
    assert not validator.is_valid({**document, "more": 1})


def test_the_schemas_refuse_what_is_otherwise_within(
    spyhole: Spyhole, kept: tuple[Path, dict[str, str]]
) -> None:
    folder, ids = kept
    words: dict[str, list[str]] = {
        "compare": [ids["healthy"], ids["uneven"]],
        "trends": [],
        "unload": [ids["uneven"], "--look", "--defect", "underfired"],
        "repeat": [ids["healthy"]],
    }
    said = {
        command: spyhole(command, *more, "--data", folder, "--json").document
        for command, more in words.items()
    }
    spoils: tuple[tuple[str, Callable[[Any], object]], ...] = (
        ("compare", lambda d: d["compared"][0]["parted"][0].update(by_s=3.0)),
        ("compare", lambda d: d["compared"][0]["differences"][0].update(unit="K")),
        ("compare", lambda d: d["reference"]["peak"].update(temp_c="hot")),
        ("compare", lambda d: d["reference"]["work"].pop("hold")),
        ("trends", lambda d: d["kilns"][0]["firings"][0].update(peak_f=2200.0)),
        ("trends", lambda d: d["kilns"][0]["trends"][0]["said"].pop("F")),
        ("trends", lambda d: d["kilns"][0]["trends"][0].update(kind="moon")),
        ("unload", lambda d: d["defects"][0]["causes"][0].update(verdict="maybe")),
        ("unload", lambda d: d["defects"][0]["outside"][0].pop("source")),
        ("repeat", lambda d: d["steps"][0].update(to_c=None)),
        ("repeat", lambda d: d["heatwork"].update(plan="6")),
    )
    for command, spoil in spoils:
        spoilt = json.loads(json.dumps(said[command]))
        spoil(spoilt)
        assert not Draft202012Validator(json.loads(shipped(command))).is_valid(spoilt), command
