"""The JSON of a firing is what its schema says, and the schema is that of the code."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.commands.conftest import Spyhole
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
