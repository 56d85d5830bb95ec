"""Keys that are good one by one and not together: file, line, table and keys of the mistake."""

from __future__ import annotations

import pytest

from supervisor.core.errors import InputError
from supervisor.service.config import parse_config
from supervisor.service.config_together import check_together

SENSORS = '[[sensor]]\nchannel = "a"\nchip_select = "{}"\n[[sensor]]\nchannel = "{}"\n{}'

MISTAKES = {
    '[alerts]\nescalate_min = 5\nquiet_from = "22:00"': (
        "line 3",
        "[alerts] needs quiet_from and quiet_to, or neither",
    ),
    '[alerts]\nquiet_to = "07:00"\nquiet_from = "07:00"': ("line 3", "are the same"),
    '[mqtt]\nhost = "b"\nca_file = "ca.pem"\nport = 1': (
        "line 3",
        "[mqtt] names certificate files (ca_file), but not `tls = true`",
    ),
    '[mqtt]\nhost = "b"\ntls = true\nkey_file = "k"': ("line 4", "a key_file, but no cert_file"),
    '[mqtt]\nhost = "b"\npassword_file = "w"': ("line 3", "[mqtt] gives a password, but no user"),
    '[mqtt]\nhost = "b"\nuser = "u"\npassword = "p"\npassword_file = "w"': (
        "line 5",
        "both a password and a password_file",
    ),
    '[mqtt]\nhost = "b"\ndiscovery = true\ndiscovery_prefix = "#"': ("line 4", "discovery_prefix"),
    '[page]\nport = 1\ncertificate = "c"': ("line 3", "[page] names a certificate, but no key"),
    '[page]\nkey = "k"': ("line 2", "[page] names a key, but no certificate"),
    '[kiln]\nname = "---"\n[mqtt]\nhost = "b"': ("line 2", "[kiln] name: the kiln's name"),
    'units = "C"\n[kiln]\nambient = 68': (
        "line 3",
        '[kiln] ambient = 68 with units = "C" is no air that anybody fires in; give -40 to 60',
    ),
    "[watch]\nopen_below = 25\n[kiln]\nambient = 30": (
        "line 4",
        "[watch] open_below = 25 is no warmer than the air, [kiln] ambient = 30",
    ),
    SENSORS.format("CE0", "b", 'type = "K"\nchip_select = "CE0"'): (
        "line 7",
        "[[sensor]] 2, chip_select: two channels both use the chip select CE0 of SPI0",
    ),
    SENSORS.format("CE0", "a", 'chip_select = "CE1"'): (
        "line 5",
        "[[sensor]] 2, channel: two channels are both named a",
    ),
    SENSORS.format("CE0", "b", 'chip_select = "D5"'): ("line 6", "can't be used beside plain pins"),
    'units = "F"\n' + SENSORS.format("CE0", "b", 'chip_select = "CE1"\noffset = 95'): (
        "line 8",
        "[[sensor]] 2, offset: channel b: an offset of 52.7778 °C is not a correction",
    ),
    SENSORS.format("CE0", "b", 'chip_select = "CE1"\nbus = "SPI2"'): (
        "line 7",
        '[[sensor]] 2, bus: channel b: there is no bus "SPI2"',
    ),
}


@pytest.mark.parametrize("text", MISTAKES, ids=lambda text: text.replace("\n", "|")[-50:])
def test_keys_that_do_not_go_together_are_named_with_their_line(text: str) -> None:
    config = parse_config(text, "spyhole.toml")
    line, said = MISTAKES[text]
    with pytest.raises(InputError) as caught:
        check_together(config, text, "spyhole.toml")
    assert str(caught.value).startswith(f"spyhole.toml, {line}: ")
    assert said in str(caught.value)


def test_what_goes_together_is_left_alone() -> None:
    text = (
        'units = "F"\n[kiln]\nambient = 68\n[watch]\nopen_below = 120\n'
        '[alerts]\nquiet_from = "22:00"\nquiet_to = "07:00"\n'
        '[mqtt]\nhost = "b"\nuser = "u"\npassword_file = "not looked at yet"\n'
        + SENSORS.format("CE0", "b", 'chip_select = "CE1"')
    )
    check_together(parse_config(text, "spyhole.toml"), text, "spyhole.toml")
