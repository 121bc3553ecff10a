"""The app's own files over HTTP: whole, compressed, known by hash, and under the agreed headers."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import shutil
import subprocess
from pathlib import Path
from urllib.parse import urljoin

import pytest
from flask import Flask
from flask.testing import FlaskClient
from playwright.sync_api import Browser, Route
from werkzeug.test import TestResponse

from scout.installed import web_folder
from scout.notebook.notebook import Notebook
from scout.records.schema import describe
from scout.server import headers, web
from scout.server.app import create_app
from scout.server.doors import HERE, HOSTS, Door, marked
from scout.server.shell import ENGINE_FOLDER, NOT_ON_THE_PHONE, Shell, without_comments
from tests.web.node_packages import packages
from tests.web.test_node_tests import node_program

WEB = web_folder()
# The agreed weight of everything but the engine's runtime, as it goes over the line.
MOST_BYTES = 400_000


@pytest.fixture
def client() -> FlaskClient:
    app = Flask("test")
    headers.protect(app)
    app.register_blueprint(web.web_files)
    app.wsgi_app = marked(app.wsgi_app, Door(HERE, HOSTS))  # type: ignore[method-assign]
    return app.test_client()


@pytest.fixture
def shell() -> Shell:
    return Shell(WEB, web.made_texts())


def told(worker: TestResponse) -> tuple[str, dict[str, str]]:
    """Answer the version and the files that the service worker is told of."""
    version, files, *_ = worker.get_data(as_text=True).split("\n")
    said = re.fullmatch(r'const VERSION = "([0-9a-f]{12})";', version)
    assert said is not None
    return said[1], json.loads(files.removeprefix("const FILES = ").removesuffix(";"))


def test_the_shell_weighs_little(shell: Shell) -> None:
    files = shell.files()
    assert {"index.html", "main.js", "look.css", "schema.json"} <= set(files)
    weight = sum(len(file.zipped or file.plain) for file in files.values())
    print(f"{len(files)} files, {weight} bytes compressed")
    assert weight < MOST_BYTES


def test_lines_keep_their_numbers_and_no_types_are_sent(shell: Shell) -> None:
    for name, file in shell.files().items():
        on_disk = WEB / name
        if not name.endswith(".js") or name.startswith("vendor/") or not on_disk.is_file():
            continue
        assert on_disk.read_bytes().count(b"\n") == file.plain.count(b"\n"), name
        assert b"@type" not in file.plain, name


def test_what_is_sent_means_what_stands_on_the_disk(shell: Shell, tmp_path: Path) -> None:
    """A compiler's parser and printer (TypeScript's) make the same of both, comments aside."""
    ours = [name for name in shell.files() if name.endswith(".js") and (WEB / name).is_file()]
    ours = [name for name in ours if not name.startswith("vendor/")]
    files = shell.files()
    for name in ours:
        for folder, content in (("disk", (WEB / name).read_bytes()), ("sent", files[name].plain)):
            file = tmp_path / folder / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content)
    printed = tmp_path / "printed"
    compiler = packages() / "node_modules" / "typescript" / "bin" / "tsc"
    options = "--allowJs --noCheck --noResolve --removeComments --target esnext --module esnext"
    run = subprocess.run(
        [node_program(), compiler, *options.split(), "--rootDir", tmp_path, "--outDir", printed]
        + [tmp_path / folder / name for folder in ("disk", "sent") for name in ours],
        capture_output=True,
        encoding="utf-8",
    )
    assert (run.stdout, run.stderr, len(ours) > 100) == ("", "", True)
    for name in ours:
        meant, sent = (printed / folder / name for folder in ("disk", "sent"))
        assert meant.read_bytes() == sent.read_bytes(), name


def test_only_comments_go() -> None:
    program = (
        b"/** Told. */\n/** @type {A} */ (a).b = `\n /* c */`; // d\n  /**\n   * e\n   */\nf();\n"
    )
    left = b"\n(a).b = `\n /* c */`; // d\n  \n\n\nf();\n"
    assert without_comments(program, ".js") == left
    assert without_comments(b"/* a */\nb { c: d; } /*\n*/\n", ".css") == b"\nb { c: d; } \n\n"
    assert without_comments(b"/** a */", ".json") == b"/** a */"


def test_the_first_page_names_what_the_program_starts_with(shell: Shell, browser: Browser) -> None:
    page = shell.file("index.html")
    assert page is not None
    named = re.findall(r'<link rel="modulepreload" href="([^"]+)">', page.plain.decode())
    assert named[0] == "main.js"
    # A browser that links a program and then misses a name in it has fetched all, and runs nothing.
    start = '<script type="module">import { nothing_like_it } from "./main.js";</script>'
    asked: list[str] = []

    def answer(route: Route) -> None:
        name = route.request.url.removeprefix("http://app.test/")
        if name == "":
            return route.fulfill(body=start, content_type="text/html")
        asked.append(name)
        file = shell.file(name)
        assert file is not None, name
        return route.fulfill(body=file.plain, content_type=file.type)

    tab = browser.new_page()
    tab.route("http://app.test/**", answer)
    tab.goto("http://app.test/")
    tab.wait_for_load_state("networkidle")
    tab.close()
    assert sorted(asked) == sorted(named)


def test_the_worker_is_told_every_file_with_the_hash_of_what_is_served(client: FlaskClient) -> None:
    _, files = told(client.get("/sw.js"))
    for name, integrity in files.items():
        content = client.get(f"/{name}").data
        # W3C Subresource Integrity: base64 of the SHA-256 of the content before any coding.
        assert integrity == f"sha256-{base64.b64encode(hashlib.sha256(content).digest()).decode()}"
    assert "sw.js" not in files
    assert not [name for name in files if name.startswith(ENGINE_FOLDER)]


def test_every_file_that_a_module_or_style_names_is_kept(shell: Shell) -> None:
    kept = shell.files()
    named = re.compile(r"""(?:from|import|url)\s*\(?\s*['"]([^'"]+)['"]""")
    missing = [
        f"{name}: {path}"
        for name, file in kept.items()
        if name.endswith((".js", ".css"))
        for path in named.findall(re.sub(r"/\*.*?\*/", "", file.plain.decode(), flags=re.DOTALL))
        if path.startswith(".") and not _beside(name, path).startswith(ENGINE_FOLDER)
        if _beside(name, path) not in (*kept, *NOT_ON_THE_PHONE)
    ]
    assert missing == []


def _beside(name: str, path: str) -> str:
    return (WEB / name).parent.joinpath(path).resolve().relative_to(WEB.resolve()).as_posix()


def test_no_file_names_another_server(shell: Shell) -> None:
    # Namespaces are names; what stands in a library's comments and credits is asked by nobody.
    allowed = re.compile(r"http://www\.w3\.org/")
    said = [
        f"{name}: {address}"
        for name, file in shell.files().items()
        if not name.startswith("vendor/")
        if name.endswith((".js", ".css", ".html", ".json", ".webmanifest", ".svg"))
        for address in re.findall(r"https?://[^\s\"'`)<>]+", file.plain.decode())
        if not allowed.match(address)
    ]
    assert said == []


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("main.js", "text/javascript; charset=utf-8"),
        ("look.css", "text/css; charset=utf-8"),
        ("manifest.webmanifest", "application/manifest+json"),
        ("vendor/letters/latin.woff2", "font/woff2"),
        ("vendor/pyodide/pyodide.asm.wasm", "application/wasm"),
        ("icons/mark-192.png", "image/png"),
        ("schema.json", "application/json"),
    ],
)
def test_types(client: FlaskClient, name: str, kind: str) -> None:
    answer = client.get(f"/{name}")
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == kind
    assert answer.headers["Cache-Control"] == "no-cache"


def test_a_file_is_gzipped_for_whom_takes_that(client: FlaskClient) -> None:
    plain = client.get("/main.js")
    zipped = client.get("/main.js", headers={"Accept-Encoding": "gzip, br"})
    refused = client.get("/main.js", headers={"Accept-Encoding": "gzip;q=0"})
    assert "Content-Encoding" not in plain.headers
    assert "Content-Encoding" not in refused.headers
    assert zipped.headers["Content-Encoding"] == "gzip"
    assert zipped.headers["Vary"] == "Accept-Encoding"
    assert gzip.decompress(zipped.data) == plain.data
    assert len(zipped.data) < len(plain.data) / 2


def test_what_a_browser_has_is_not_sent_again(client: FlaskClient) -> None:
    first = client.get("/main.js")
    again = client.get("/main.js", headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_the_schema_is_the_records_own(client: FlaskClient) -> None:
    assert client.get("/schema.json").json == json.loads(json.dumps(describe()))


@pytest.mark.parametrize(
    "name",
    [
        "package.json",
        "package-lock.json",
        "tsconfig.json",
        "vendor_hook.py",
        ".npmrc",
        "types.d.ts",
        "vendor/stamp",
        "../pyproject.toml",
        "doors/../package.json",
        "%2e%2e/pyproject.toml",
        "doors\\idb.js",
        "nothing.js",
        "doors",
        "doors/",
    ],
)
def test_what_is_no_part_of_the_app_is_not_there(client: FlaskClient, name: str) -> None:
    assert client.get(f"/{name}").status_code == 404


def test_a_changed_file_is_another_version(tmp_path: Path) -> None:
    folder = tmp_path / "web"
    folder.mkdir()
    for name in ("sw.js", "main.js", "look.css"):
        shutil.copy(WEB / name, folder)
    shell = Shell(folder, {"schema.json": "{}"})
    first, again = shell.worker(), shell.worker()
    (folder / "look.css").write_text("p{}", "utf-8")
    changed = shell.worker()
    assert first is not None
    assert again is not None
    assert changed is not None
    assert first.plain == again.plain
    assert first.plain[:33] != changed.plain[:33]
    assert b'"look.css"' in changed.plain
    schema = Shell(folder, {"schema.json": "{ }"}).worker()
    assert schema is not None
    assert schema.plain[:33] != changed.plain[:33]


def test_the_headers_stand_on_every_answer(notebook: Notebook) -> None:
    client = create_app(notebook).test_client()
    host = {"Host": "localhost"}
    asked = ["/index.html", "/sw.js", "/nothing", "/plain", "/api/v1/ping", "/api/v1/nothing"]
    answers = [client.get(path, headers=host) for path in asked]
    answers.append(client.post("/main.js", headers=host))
    answers.append(client.get("/index.html", headers={"Host": "elsewhere.example"}))
    assert {answer.status_code for answer in answers} >= {200, 404, 403, 421}
    for answer in answers:
        policy = answer.headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'")
        assert "unsafe-inline" not in policy
        assert "'unsafe-eval'" not in policy
        for name, value in headers.HEADERS.items():
            assert answer.headers[name] == value


def test_the_bare_address_opens_the_app_and_names_the_pages_without_script(
    notebook: Notebook,
) -> None:
    client = create_app(notebook).test_client()
    host = {"Host": "localhost"}
    first = client.get("/", headers=host)
    assert first.status_code == 200
    assert first.data == client.get("/index.html", headers=host).data
    manifest = json.loads(client.get("/manifest.webmanifest", headers=host).data)
    start = urljoin("/manifest.webmanifest", manifest["start_url"])
    assert client.get(start, headers=host).data == first.data
    without = re.search(r"<noscript>(.*?)</noscript>", first.get_data(as_text=True), re.DOTALL)
    assert without is not None
    (way,) = re.findall(r'href="([^"]+)"', without[1])
    plain = client.get(f"/{way}", headers=host)
    assert plain.status_code == 200
    assert '<a href="/">The app</a>' in plain.get_data(as_text=True)


def test_over_https_what_is_insecure_is_upgraded(client: FlaskClient) -> None:
    policy = "Content-Security-Policy"
    secure = client.get("/index.html", base_url="https://localhost")
    assert secure.headers[policy].endswith("upgrade-insecure-requests")
    assert "upgrade-insecure-requests" not in client.get("/index.html").headers[policy]
