"""The page by HTTPS and behind a proxy: a real handshake, and who is believed."""

from __future__ import annotations

import asyncio
import contextlib
import re
import shlex
import socket
import ssl
import subprocess
from collections.abc import AsyncIterator
from pathlib import Path

import httpx
import pytest

from supervisor.core.errors import InputError
from tests.messaging.authority import Authority
from tests.messaging.brokers import program
from tests.web.access.doors import OWN, PIN, WRONG, Door, note, sign_in
from web import serve as serving_module
from web.serve import bind, serve
from web.tls import server_tls

README = Path(__file__).parents[2] / "README.md"
SOON_S = 20.0


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Certificate and key, made as the README says."""
    found = re.search(r"^openssl req (?:.*\\\n)*.*$", README.read_text("utf-8"), re.MULTILINE)
    assert found is not None
    folder = tmp_path_factory.mktemp("certificate")
    words = shlex.split(found[0].replace("\\\n", " "))
    subprocess.run([program("openssl"), *words[1:]], check=True, cwd=folder, capture_output=True)
    return folder / "page.pem", folder / "page-key.pem"


@contextlib.asynccontextmanager
async def served(
    door: Door, tls: ssl.SSLContext | None = None, *, behind_proxy: bool = False
) -> AsyncIterator[int]:
    """The port of a server that runs until the block ends."""
    ready: asyncio.Future[int] = asyncio.get_running_loop().create_future()
    task = asyncio.create_task(
        serve(
            door.app,
            bind("127.0.0.1", 0),
            on_ready=ready.set_result,
            tls=tls,
            behind_proxy=behind_proxy,
        )
    )
    try:
        yield await asyncio.wait_for(ready, SOON_S)
    finally:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


async def test_the_page_speaks_https_with_a_certificate_made_as_the_readme_says(
    files: tuple[Path, Path],
) -> None:
    door = Door()
    trust = ssl.create_default_context(cafile=str(files[0]))
    async with (
        served(door, server_tls(*files)) as port,
        httpx.AsyncClient(verify=trust, headers=OWN | {"host": f"kiln.local:{port}"}) as phone,
    ):
        by_name = {"sni_hostname": "kiln.local"}
        base = f"https://127.0.0.1:{port}"
        answer = await phone.post(
            f"{base}/api/session/begin", json={"pin": PIN, "name": "Ana"}, extensions=by_name
        )
        assert answer.status_code == 200
        assert f"__Host-spyhole-{port}=" in answer.headers["set-cookie"]
        assert "Secure" in answer.headers["set-cookie"]
        async with phone.stream("GET", f"{base}/api/stream", extensions=by_name) as told:
            assert await anext(told.aiter_lines()) == "event: snapshot"
        with pytest.raises(httpx.HTTPError):
            await phone.get(f"http://127.0.0.1:{port}/healthz")
    assert server_tls(*files).minimum_version is ssl.TLSVersion.TLSv1_2


async def test_who_never_ends_a_handshake_counts_as_a_connection(
    files: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving_module, "MOST", 3)
    trust = ssl.create_default_context(cafile=str(files[0]))
    loop = asyncio.get_running_loop()
    async with served(Door(), server_tls(*files)) as port:
        hung = [socket.socket() for _ in range(8)]
        for one in hung:
            one.setblocking(False)
            await loop.sock_connect(one, ("127.0.0.1", port))
        hung_up_on = 0
        for one in hung[3:]:
            async with asyncio.timeout(SOON_S):
                with contextlib.suppress(ConnectionError):
                    assert await loop.sock_recv(one, 1) == b""
                hung_up_on += 1
        assert hung_up_on == 5
        for one in hung:
            one.close()
        async with asyncio.timeout(SOON_S):
            while True:
                try:
                    async with httpx.AsyncClient(verify=trust) as phone:
                        answer = await phone.get(
                            f"https://127.0.0.1:{port}/healthz",
                            extensions={"sni_hostname": "kiln.local"},
                        )
                except httpx.HTTPError:
                    await asyncio.sleep(0.05)
                else:
                    break
        assert answer.status_code == 200


def test_files_that_are_no_certificate_are_one_sentence(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    certificate, key = files
    other = Authority(tmp_path / "other").sign("other")
    locked = Authority(tmp_path / "locked").sign("locked", passphrase="long enough")
    junk = tmp_path / "junk.pem"
    junk.write_text("-----BEGIN NOTHING-----\n")
    missing = tmp_path / "missing.pem"
    for wrong, why in {
        (certificate, other.key): "they don't belong together",
        (junk, key): "PEM files are wanted",
        (certificate, junk): "PEM files are wanted",
        (locked.certificate, locked.key): "without a passphrase",
        (missing, key): "the certificate for the page can't be read (No such file",
        (certificate, missing): "the key for the page can't be read (No such file",
        (certificate, tmp_path): "the key for the page can't be read (Is a directory",
    }.items():
        with pytest.raises(InputError) as caught:
            server_tls(*wrong)
        assert why in str(caught.value)
        assert "\n" not in str(caught.value)


FORWARDED = {"x-forwarded-for": "192.168.1.20", "x-forwarded-proto": "https"}


async def test_a_proxy_on_this_machine_is_believed_only_where_one_is_said_to_be() -> None:
    door = Door(behind_proxy=True)
    async with served(door, behind_proxy=True) as port:
        host = {"host": "kiln.example.org"}
        async with httpx.AsyncClient(
            base_url=f"http://127.0.0.1:{port}", headers=OWN | host | FORWARDED
        ) as proxy:
            await sign_in(proxy, WRONG)
            answer = await sign_in(proxy)
            assert "__Host-spyhole" in answer.headers["set-cookie"]
            assert "Secure" in answer.headers["set-cookie"]
    assert [deed.address for deed in door.trail.deeds] == ["192.168.1.20"] * 2

    door = Door()
    async with (
        served(door) as port,
        httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}", headers=OWN | FORWARDED) as liar,
    ):
        answer = await sign_in(liar)
        assert "Secure" not in answer.headers["set-cookie"]
        assert (await note(liar)).status_code == 201
    assert [deed.address for deed in door.trail.deeds] == ["127.0.0.1"] * 2
