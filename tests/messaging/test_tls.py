"""TLS with a studio's own authority, against a real Mosquitto: who is trusted, and who is not.

What is refused is said in one sentence with what to mend, and tried again.
"""

from __future__ import annotations

import asyncio
import socket
import ssl
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.errors import InputError
from supervisor.messaging.client import CONNECT_WITHIN_S
from supervisor.messaging.mqtt import BrokerSettings, LinkState
from supervisor.messaging.words import in_words
from tests.messaging.authority import Authority, Signed
from tests.messaging.brokers import Mosquitto, program
from tests.messaging.shelf import Shelf, running

HERE = "IP:127.0.0.1,DNS:localhost"


@pytest.fixture(scope="module")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("studio"))


@pytest.fixture(scope="module")
def stranger(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("stranger"), "Stranger")


@pytest.fixture
def broker_with(tmp_path: Path) -> Iterator[Callable[..., Mosquitto]]:
    """Starts a Mosquitto that shows this certificate, with further lines of its own."""
    running: list[Mosquitto] = []

    def start(signed: Signed, *lines: str) -> Mosquitto:
        broker = Mosquitto(
            program("mosquitto"),
            tmp_path,
            "allow_anonymous true",
            f"certfile {signed.certificate}",
            f"keyfile {signed.key}",
            *lines,
        )
        broker.start()
        running.append(broker)
        return broker

    yield start
    for broker in running:
        broker.stop()


def trusting(broker: Mosquitto, authority: Authority) -> BrokerSettings:
    return BrokerSettings("127.0.0.1", broker.port, uses_tls=True, ca_file=authority.certificate)


async def delivered(settings: BrokerSettings) -> None:
    """Fail unless an alert gets through."""
    shelf = Shelf("alert")
    async with running(settings.port, shelf, settings=settings) as (_, _, states):
        await states.wait_for(LinkState.CONNECTED)
        async with asyncio.timeout(10.0):
            while shelf.sent != [1]:
                await asyncio.sleep(0.01)
        assert states.trouble == []


async def refused(settings: BrokerSettings) -> str:
    """What is said when nothing gets through, after several attempts."""
    pauses: list[float] = []
    shelf = Shelf("alert")
    async with running(settings.port, shelf, settings=settings, pauses=pauses) as (_, _, states):
        await _several(pauses)
        assert LinkState.CONNECTED not in states.seen
        assert shelf.sent == []
        (sentence,) = states.trouble
    assert "\n" not in sentence
    assert len(sentence) < 260
    assert sentence.startswith(f"the broker at {settings.host}:{settings.port} ")
    assert sentence.endswith("; it is tried again")
    return sentence


async def _several(pauses: list[float]) -> None:
    async with asyncio.timeout(30.0):
        while len(pauses) < 3:
            await asyncio.sleep(0.02)


@pytest.mark.broker
async def test_a_broker_whose_authority_is_known_is_trusted(
    studio: Authority, broker_with: Callable[..., Mosquitto]
) -> None:
    await delivered(trusting(broker_with(studio.sign("broker", may_be=HERE)), studio))


@pytest.mark.broker
async def test_another_authority_is_refused_in_one_sentence_and_tried_again(
    studio: Authority, stranger: Authority, broker_with: Callable[..., Mosquitto]
) -> None:
    broker = broker_with(studio.sign("broker", may_be=HERE))
    wrong = trusting(broker, stranger)
    assert f"is not signed by the authority in {stranger.certificate}" in await refused(wrong)
    unnamed = await refused(replace(wrong, ca_file=None))
    assert "is signed by nobody whom this machine knows; name the authority's own" in unnamed
    assert "`ca_file` under [mqtt]" in unnamed


@pytest.mark.broker
async def test_an_authority_that_is_put_right_is_used_without_a_restart(
    tmp_path: Path, studio: Authority, stranger: Authority, broker_with: Callable[..., Mosquitto]
) -> None:
    broker = broker_with(studio.sign("broker", may_be=HERE))
    named = tmp_path / "ca-here.pem"
    named.write_bytes(stranger.certificate.read_bytes())
    settings = replace(trusting(broker, studio), ca_file=named)
    async with running(broker.port, Shelf(), settings=settings, steady_s=0.1) as (_, _, states):
        await states.wait_for_trouble("is not signed")
        named.unlink()
        await states.wait_for_trouble(f"{named}: the authority's certificate can't be used")
        named.write_bytes(studio.certificate.read_bytes())
        await states.wait_for(LinkState.CONNECTED)
        async with asyncio.timeout(10.0):
            while not states.notices:
                await asyncio.sleep(0.01)
        assert states.notices == [f"the broker at 127.0.0.1:{broker.port} is back"]


@pytest.mark.broker
async def test_a_certificate_for_another_host_is_refused(
    studio: Authority, broker_with: Callable[..., Mosquitto]
) -> None:
    broker = broker_with(studio.sign("elsewhere", may_be="DNS:broker.elsewhere"))
    by_number = trusting(broker, studio)
    assert "its certificate is not for “127.0.0.1”" in await refused(by_number)
    by_name = replace(by_number, host="localhost")
    assert "its certificate is not for “localhost”" in await refused(by_name)


@pytest.mark.broker
async def test_a_broker_that_asks_for_our_certificate_gets_it(
    studio: Authority, stranger: Authority, broker_with: Callable[..., Mosquitto]
) -> None:
    broker = broker_with(
        studio.sign("broker", may_be=HERE),
        f"cafile {studio.certificate}",
        "require_certificate true",
    )
    bare = trusting(broker, studio)
    ours, theirs = studio.sign("kiln"), stranger.sign("kiln")
    await delivered(replace(bare, cert_file=ours.certificate, key_file=ours.key))
    assert "wants a certificate of ours: name one as `cert_file`" in await refused(bare)
    wrong = replace(bare, cert_file=theirs.certificate, key_file=theirs.key)
    assert "does not trust our certificate" in await refused(wrong)


@pytest.mark.broker
async def test_tls_where_there_is_none_and_none_where_there_is(
    studio: Authority, mosquitto: Mosquitto, broker_with: Callable[..., Mosquitto]
) -> None:
    said = await refused(trusting(mosquitto, studio))
    assert "hangs up before TLS is agreed on; does it speak TLS on this port?" in said
    secret = broker_with(studio.sign("broker", may_be=HERE))
    said = await refused(BrokerSettings("127.0.0.1", secret.port))
    assert "hangs up in place of an answer; if it wants TLS, set `tls = true`" in said


async def test_a_peer_that_never_shakes_hands_does_not_keep_the_program(
    studio: Authority,
) -> None:
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        port = silent.getsockname()[1]
        settings = BrokerSettings(
            "127.0.0.1", port, uses_tls=True, ca_file=studio.certificate, keepalive_s=60
        )
        async with running(port, Shelf(), settings=settings):
            await asyncio.sleep(0.3)
        begun_s = time.monotonic()
        working = [t for t in threading.enumerate() if t.name.startswith("asyncio_")]
        while any(_is_in(thread, "do_handshake") for thread in working):
            assert time.monotonic() - begun_s < 4 * CONNECT_WITHIN_S, "the handshake goes on"
            await asyncio.sleep(0.05)


def _is_in(thread: threading.Thread, function: str) -> bool:
    frame = sys._current_frames().get(thread.ident or -1)
    while frame is not None:
        if frame.f_code.co_name == function:
            return True
        frame = frame.f_back
    return False


def test_files_that_do_not_do_are_named(tmp_path: Path, studio: Authority) -> None:
    def said(
        *, ca_file: Path | None = None, cert_file: Path | None = None, key_file: Path | None = None
    ) -> str:
        settings = BrokerSettings(
            "broker", uses_tls=True, ca_file=ca_file, cert_file=cert_file, key_file=key_file
        )
        with pytest.raises(InputError) as caught:
            settings.tls_context()
        assert "\n" not in str(caught.value)
        return str(caught.value)

    missing, junk = tmp_path / "ca.pem", tmp_path / "junk.pem"
    junk.write_text("not a certificate")
    ours, other = studio.sign("kiln"), studio.sign("other")
    locked = studio.sign("locked", passphrase="clay and fire")
    assert f"{missing}: the authority's certificate can't be used (No such" in said(ca_file=missing)
    assert "there is no PEM certificate or key in it" in said(ca_file=junk)
    assert f"{missing}: our certificate, or its key, can't be used" in said(cert_file=missing)
    assert "there is no PEM" in said(cert_file=junk)
    assert f"{other.key}: the key does not belong to the certificate in {ours.certificate}" in said(
        cert_file=ours.certificate, key_file=other.key
    )
    assert f"{locked.key}: the key is locked with a passphrase" in said(
        cert_file=locked.certificate, key_file=locked.key
    )
    assert BrokerSettings("broker").tls_context() is None


@pytest.mark.parametrize(
    ("code", "said"),
    [(9, "is not valid yet; is this machine's clock right?"), (10, "has run out; is this machine")],
)
def test_a_wrong_clock_is_thought_of(code: int, said: str) -> None:
    """A Pi that has just booted believes to be in the past; codes of OpenSSL's x509_vfy.h."""
    error = ssl.SSLCertVerificationError(1, "certificate verify failed")
    error.verify_code, error.verify_message = code, "certificate"
    sentence = in_words(error, BrokerSettings("broker.local", 8883, uses_tls=True), None)
    assert sentence.startswith("the broker at broker.local:8883 is not trusted: its certificate ")
    assert said in sentence
