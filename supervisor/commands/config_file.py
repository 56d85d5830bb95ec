"""The configuration that a command is given or finds: read whole, or refused in one sentence."""

from __future__ import annotations

from pathlib import Path

from supervisor.commands.files import is_there, read_text
from supervisor.core.errors import InputError
from supervisor.service.config import Config, parse_config
from supervisor.service.config_together import check_together

DEFAULT_FILE = "spyhole.toml"


def read_config(
    named: str | None, *, may_be_missing: bool = False, example: str = ""
) -> tuple[Config, Path]:
    """The configuration of that name, or ``spyhole.toml``, and the folder that it lies in.

    With ``may_be_missing`` the defaults will do where none is named and there is none; else
    ``example`` is shown beside the sentence that says so. Raises InputError where there is none
    to read, or for a mistake in it.
    """
    if named == "":
        raise InputError("--config names no file")
    path = Path(named or DEFAULT_FILE)
    if named is None and not is_there(path):
        if may_be_missing:
            return Config(), Path()
        raise InputError(
            f"there is no {DEFAULT_FILE} in this folder: let `spyhole setup` write it, or name "
            f"yours with --config; `spyhole demo` and `spyhole rig --simulated` need none{example}"
        )
    text = read_text(path, "a configuration in TOML")
    config = parse_config(text, str(path))
    check_together(config, text, str(path))
    return config, path.parent
