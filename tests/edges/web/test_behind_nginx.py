"""The page behind the web server that deploy/README.md sets up: the block that is written there, in a real nginx.

It needs nginx and openssl (`apt-get install nginx-light openssl`). Where one of them is missing this is skipped, and
the last lines of deploy/test say so.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import socket
import ssl
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import httpx2
import numpy as np
import pytest
from page_farm import AT, KEY, InMemory, token_in
from PIL import Image

from sentinel.edges.web import WebServer, make_app, sign_entry
from sentinel.edges.web.forms.photos import PHOTO_LENGTH

ROOT = Path(__file__).resolve().parents[3]
NGINX = shutil.which("nginx", path=f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/local/sbin")
OPENSSL = shutil.which("openssl")
STARTS_WITHIN_S = 10

pytestmark = [
    pytest.mark.skipif(
        not NGINX or not OPENSSL, reason="the page is not tried behind nginx: it is not on this machine"
    ),
    pytest.mark.timeout(120),
]

AROUND = """\
daemon off;
master_process off;
pid {folder}/nginx.pid;
error_log {folder}/error.log info;
events {{}}
http {{
    access_log {folder}/access.log;
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
{block}
}}
"""
"""What a distribution has around a server's block, for one process that leaves nothing outside its folder."""


def documented() -> str:
    """The block that a farm is told to use."""
    (block,) = re.findall(
        r"^```nginx\n(.*?)^```$", (ROOT / "deploy" / "README.md").read_text(encoding="utf-8"), re.M | re.S
    )
    return block


def filled(block: str, **own: str) -> str:
    """The block with what is this machine's own in place of each of the examples, all of which must be there."""
    for example, mine in own.items():
        shown = {"listen": "listen 443 ssl;", "page": "http://127.0.0.1:8710;"}.get(example)
        shown = shown or {"certificate": "/etc/ssl/farm.example.pem", "key": "/etc/ssl/farm.example.key"}[example]
        assert block.count(shown) == 1, shown
        block = block.replace(shown, mine)
    return block


class Behind(NamedTuple):
    """A farm's page behind nginx, and a browser that has come to it."""

    farm: InMemory
    base: str
    folder: Path
    browser: httpx2.Client


def free_port() -> int:
    """A port on which nothing listens."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


def wait_for(port: int, process: subprocess.Popen[bytes]) -> None:
    """Wait until something listens."""
    for _ in range(STARTS_WITHIN_S * 20):
        with socket.socket() as tried:
            if tried.connect_ex(("127.0.0.1", port)) == 0:
                return
        try:
            process.wait(0.05)
        except subprocess.TimeoutExpired:
            continue
        break
    raise AssertionError(f"nginx did not start: {process.communicate()[1].decode()}")


def certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate for this test and its key."""
    paths = folder / "farm.pem", folder / "farm.key"
    asked = ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2"]
    names = ["-subj", "/CN=farm.example", "-addext", "subjectAltName=DNS:farm.example,IP:127.0.0.1"]
    files = ["-out", str(paths[0]), "-keyout", str(paths[1])]
    assert OPENSSL
    subprocess.run([OPENSSL, *asked, *names, *files], check=True, capture_output=True)
    return paths


@pytest.fixture(scope="module")
def behind(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Behind]:
    """A farm's page, and nginx in front of it as documented, with ports, certificate and folder of their own."""
    folder = tmp_path_factory.mktemp("nginx")
    farm, port = InMemory(), free_port()
    pem, key = certificate(folder)
    with WebServer(make_app(farm, KEY, lambda: farm.now, secure=True), "127.0.0.1", 0) as page:
        own = {"certificate": str(pem), "key": str(key), "listen": f"listen 127.0.0.1:{port} ssl;"}
        block = filled(documented(), **own, page=f"http://127.0.0.1:{page.port};")
        (folder / "nginx.conf").write_text(AROUND.format(folder=folder, block=block), encoding="utf-8")
        assert NGINX
        process = subprocess.Popen(
            [NGINX, "-p", str(folder), "-c", str(folder / "nginx.conf")],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
        try:
            wait_for(port, process)
            base = f"https://127.0.0.1:{port}"
            with httpx2.Client(base_url=base, verify=ssl.create_default_context(cafile=pem), timeout=60) as browser:
                yield Behind(farm, base, folder, browser)
        finally:
            process.terminate()
            process.communicate(timeout=10)


def photo_of_megabytes() -> bytes:
    """A photo that no compression makes small, as a camera's of a field is."""
    out = io.BytesIO()
    noise = np.random.default_rng(1).integers(0, 256, (1800, 2400, 3), dtype=np.uint8)
    Image.fromarray(noise).save(out, "JPEG", quality=85)
    return out.getvalue()


def sent(behind: Behind, content: bytes, number: str) -> Any:
    """Send a photo by the alert's form, as a browser does."""
    assert behind.browser.get(sign_entry(behind.base, KEY, 1, "Marit"), follow_redirects=True).status_code == 200
    fields = {"kind": "photo", "token": token_in(behind.browser.get("/alert/17").text)}
    return behind.browser.post(
        "/alert/17/photo",
        data={**fields, "number": number, "alert": "17"},
        files={"photo": ("photo.jpg", content, "image/jpeg")},
        headers={"Origin": behind.base, "Sec-Fetch-Site": "same-origin"},
    )


def test_a_page_and_a_redirect_and_the_health_check_come_through(behind: Behind) -> None:
    """A person's own link leads to the page on the same address, with a cookie that goes by https alone."""
    link = sign_entry(behind.base, KEY, 1, "Marit")
    redirect = behind.browser.get(link)
    page = behind.browser.get(redirect.headers["location"])

    assert (redirect.status_code, redirect.headers["location"]) == (303, "/")
    assert "__Host-sentinel=" in redirect.headers["set-cookie"] and "Secure" in redirect.headers["set-cookie"]
    assert page.status_code == 200
    assert "Box 2: 5 failed attachments" in page.text
    assert behind.browser.get("/health").json()["ok"] is True


def test_a_photo_of_several_megabytes_comes_through(behind: Behind) -> None:
    """As a phone takes it: it is kept with its alert, and the browser is led back to that."""
    content = photo_of_megabytes()
    assert 2_000_000 < len(content) < PHOTO_LENGTH

    answer = sent(behind, content, "a-photo-of-mine")
    shown = behind.browser.get("/photo/" + next(iter(behind.farm.photos)))

    assert (answer.status_code, answer.headers["location"]) == (303, "/alert/17")
    assert len(behind.farm.photos) == 1
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.content[:2] == b"\xff\xd8"


def test_what_is_longer_than_a_photo_is_refused_by_the_page_itself(behind: Behind) -> None:
    """The web server lets through whatever the page may take, so that what is refused is said in the farm's words."""
    before = len(behind.farm.photos)

    answer = sent(behind, b"\xff\xd8" + bytes(PHOTO_LENGTH), "too-long-a-photo")

    assert answer.status_code == 413
    assert "It is too long." in answer.text
    assert len(behind.farm.photos) == before


def test_no_link_is_written_into_a_log_of_the_web_server(behind: Behind) -> None:
    """Whoever could read it there could answer; where someone comes from is the address that nginx saw."""
    link = sign_entry(behind.base, KEY, 1, "Marit")
    assert behind.browser.get(link).status_code == 303
    logs = "".join(path.read_text(encoding="utf-8") for path in behind.folder.glob("*.log"))

    assert link.rpartition("/")[2] not in logs
    assert (behind.folder / "access.log").read_text(encoding="utf-8") == ""


def test_bad_links_are_counted_by_the_address_they_come_from(behind: Behind) -> None:
    """What a stranger writes into X-Forwarded-For himself is not believed: each counts as nginx saw him."""
    answers = [
        behind.browser.get(f"/a/nothing-{n}", headers={"X-Forwarded-For": f"203.0.113.{n}"}).status_code
        for n in range(40)
    ]

    assert answers[0] == 404
    assert answers[-1] == 429
    assert behind.farm.now == AT
