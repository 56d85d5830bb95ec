"""The configuration that a command is given or finds: read whole, or refused in one sentence."""

from __future__ import annotations

from pathlib import Path

from supervisor.commands.files import is_there, read_text
from supervisor.core.errors import InputError
from supervisor.service.config import Config, parse_config
from supervisor.service.config_together import check_together

DEFAULT_FILE = "spyhole.toml"

NEEDS = """\
spyhole needs to know the thermocouples. Let spyhole setup write a file spyhole.toml,
or write one yourself, for example:

    units = "C"

    [kiln]
    name = "big kiln"
    kind = "electric"          # electric, gas or wood
    limit = 1290               # the kiln maker's limit

    [[sensor]]
    channel = "top"            # the name you will see
    chip_select = "CE0"        # at the MAX31856's CS: CE0 is GPIO8, CE1 is GPIO7
    type = "K"                 # B E J K N R S or T
    offset = 0.0               # added to every reading

    [watch]
    schedule = "midfire-glaze" # a starter's name, or a file of yours

    [mqtt]                     # leave out for no messages
    host = "localhost"

    [page]
    host = "0.0.0.0"           # the whole network; leave out for this machine only

and name it with --config, unless it is in the folder that you are in.
To see it work without hardware: spyhole demo, spyhole rig --simulated
"""


def read_config(named: str | None, *, may_be_missing: bool = False) -> tuple[Config, Path]:
    """The configuration of that name, or ``spyhole.toml``, and the folder that it lies in.

    With ``may_be_missing`` the defaults will do where none is named and there is none. Raises
    InputError where there is none to read, or for a mistake in it.
    """
    path = Path(named or DEFAULT_FILE)
    if named is None and not is_there(path):
        if may_be_missing:
            return Config(), Path()
        raise InputError(f"there is no {DEFAULT_FILE} in this folder.\n\n{NEEDS}")
    text = read_text(path, "a configuration in TOML")
    config = parse_config(text, str(path))
    check_together(config, text, str(path))
    return config, path.parent
