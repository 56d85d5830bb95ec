"""The page's files as they are sent: found by name, compressed once, marked by their content."""

from __future__ import annotations

import gzip
import json
import re
import struct
from pathlib import Path

import pytest
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException

from web.files import STATIC, PageFiles

GZIP = Headers({"accept-encoding": "gzip, br"})


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "static" / "views").mkdir(parents=True)
    (tmp_path / "secret.txt").write_text("of nobody's business", encoding="utf-8")
    static = tmp_path / "static"
    (static / "index.html").write_text("<!doctype html>" * 99, encoding="utf-8")
    (static / "views" / "one.js").write_text("export {};", encoding="utf-8")
    (static / "sw.js").write_text("self.SHELL;", encoding="utf-8")
    return static


def test_a_file_is_sent_small_where_that_is_worth_it_and_taken(folder: Path) -> None:
    files = PageFiles(folder)
    small = files.answer("index.html", GZIP)
    assert small.headers["content-encoding"] == "gzip"
    assert gzip.decompress(bytes(small.body)) == (folder / "index.html").read_bytes()
    plain = files.answer("index.html", Headers())
    assert "content-encoding" not in plain.headers
    assert len(plain.body) > len(small.body)
    assert "content-encoding" not in files.answer("views/one.js", GZIP).headers


def test_a_file_that_has_changed_is_sent_anew_and_one_that_has_not_is_not(folder: Path) -> None:
    files = PageFiles(folder)
    etag = files.answer("views/one.js", GZIP).headers["etag"]
    asked = Headers({"if-none-match": f'"other", W/{etag}'})
    assert files.answer("views/one.js", asked).status_code == 304
    (folder / "views" / "one.js").write_text("export { two };", encoding="utf-8")
    assert files.answer("views/one.js", asked).status_code == 200


@pytest.mark.parametrize("name", ["", "views", "none.js", "../secret.txt", "/etc/passwd", "a\0b"])
def test_nothing_outside_the_folder_is_found(folder: Path, name: str) -> None:
    with pytest.raises(HTTPException):
        PageFiles(folder).answer(name, GZIP)


def shell_of(files: PageFiles) -> tuple[str, list[str]]:
    script = bytes(files.service_worker().body).decode()
    found = re.match(r"self\.SHELL = (\{.*\});\n", script)
    assert found is not None
    shell = json.loads(found[1])
    return shell["VERSION"], shell["FILES"]


def test_what_is_kept_for_times_without_a_link_is_versioned_by_content(folder: Path) -> None:
    version, names = shell_of(PageFiles(folder))
    assert names == ["/", "/static/views/one.js"]
    assert shell_of(PageFiles(folder))[0] == version
    (folder / "views" / "one.js").write_text("export { two };", encoding="utf-8")
    assert shell_of(PageFiles(folder))[0] != version


def test_the_home_screens_icons_are_as_large_as_the_manifest_says() -> None:
    manifest = json.loads((STATIC / "site.webmanifest").read_text(encoding="utf-8"))
    assert {icon["sizes"] for icon in manifest["icons"]} == {"192x192", "512x512"}
    for icon in manifest["icons"]:
        data = (STATIC / icon["src"]).read_bytes()
        # PNG (W3C, 3rd edition, 5.2 and 11.2.1): signature, then IHDR with width and height.
        assert data[:8] == b"\x89PNG\r\n\x1a\n"
        assert "{}x{}".format(*struct.unpack(">II", data[16:24])) == icon["sizes"]


def test_comments_stay_at_home_and_lines_keep_their_numbers(folder: Path) -> None:
    (folder / "views" / "one.js").write_text(
        "/**\n * What it knows.\n */\n\n"
        "// why\n"
        'const a = "/* not a comment */"; // behind code\n'
        "  /** @type {HTMLElement} */ (b).focus();\n"
        "  /** alone */\n"
        "const c = 4 / 2; /* behind */\n",
        encoding="utf-8",
    )
    sent = bytes(PageFiles(folder).answer("views/one.js", Headers()).body).decode()
    assert sent.split("\n") == [
        *[""] * 5,
        'const a = "/* not a comment */"; // behind code',
        "  /** @type {HTMLElement} */ (b).focus();",
        "",
        "const c = 4 / 2; /* behind */",
        "",
    ]


def test_no_text_of_the_pages_scripts_looks_like_a_comment() -> None:
    """Template texts of several lines would be cut if one of their lines began like a comment."""
    for script in STATIC.rglob("*.js"):
        if "vendor" in script.parts:
            continue
        inside = False
        for number, line in enumerate(script.read_text(encoding="utf-8").split("\n"), start=1):
            starts = line.strip()
            assert not (inside and starts.startswith(("//", "/*"))), f"{script.name}:{number}"
            if not starts.startswith(("*", "/*", "//")):
                inside ^= line.count("`") % 2 == 1
