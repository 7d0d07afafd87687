"""Pictures of pages are taken only when the pictures on them have come."""

import contextlib
import importlib.util
import io
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import ModuleType

import pytest
from PIL import Image
from playwright.sync_api import Browser

ROOT = Path(__file__).resolve().parents[2]
LATE_S = 1.5


@pytest.fixture(scope="module")
def screenshots() -> ModuleType:
    told = importlib.util.spec_from_file_location("screenshots", ROOT / "script" / "screenshots.py")
    assert told
    assert told.loader
    module = importlib.util.module_from_spec(told)
    told.loader.exec_module(module)
    return module


def _red() -> bytes:
    into = io.BytesIO()
    Image.new("RGB", (40, 40), (255, 0, 0)).save(into, "PNG")
    return into.getvalue()


class Gallery(BaseHTTPRequestHandler):
    """A page whose only picture lies far below the window, and comes late, or not at all."""

    def do_GET(self) -> None:
        kind, content = "image/png", b"no picture"
        if self.path.startswith("/page"):
            picture = self.path.removeprefix("/page")
            kind = "text/html"
            content = (
                "<!doctype html><title>Gallery</title><body style='margin:0'>"
                "<div style='height:9000px'></div>"
                f"<img loading=lazy width=40 height=40 src='{picture}'>"
                "<img hidden loading=lazy src='/never'>"
            ).encode()
        elif self.path == "/late":
            time.sleep(LATE_S)
            content = _red()
        elif self.path == "/never":
            time.sleep(20)
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Security-Policy", "script-src 'self'")
        self.end_headers()
        # Who does not wait for an answer goes away before it.
        with contextlib.suppress(BrokenPipeError):
            self.wfile.write(content)

    def log_message(self, *told: object) -> None:
        """Keep quiet."""


@pytest.fixture
def address() -> Iterator[str]:
    server = ThreadingHTTPServer(("127.0.0.1", 0), Gallery)
    server.daemon_threads = True
    server.block_on_close = False
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


def _taken(
    browser: Browser, screenshots: ModuleType, url: str, file: Path
) -> tuple[list[str], tuple[int, ...]]:
    """What is wrong with the page, and the colour where its picture stands."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    shot = screenshots.Shot(name="gallery", url=url, status=200, is_guest=True)
    problems = screenshots.take(context, shot, file)
    context.close()
    with Image.open(file) as image:
        colour = image.convert("RGB").getpixel((20, 9020))
    assert isinstance(colour, tuple)
    return problems, colour


def test_a_picture_far_below_that_comes_late_is_waited_for(
    browser: Browser, screenshots: ModuleType, address: str, tmp_path: Path
) -> None:
    problems, colour = _taken(browser, screenshots, f"{address}/page/late", tmp_path / "a.png")

    assert problems == []
    assert colour == (255, 0, 0)


def test_a_picture_that_does_not_come_is_told(
    browser: Browser,
    screenshots: ModuleType,
    address: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(screenshots, "PICTURES_WITHIN_MS", 500)

    problems, _ = _taken(browser, screenshots, f"{address}/page/never", tmp_path / "b.png")

    assert problems == ["1 of its pictures not there within 0.5 s"]


def test_a_picture_that_is_none_is_told(
    browser: Browser, screenshots: ModuleType, address: str, tmp_path: Path
) -> None:
    problems, _ = _taken(browser, screenshots, f"{address}/page/other", tmp_path / "c.png")

    assert problems == ["1 of its pictures cannot be shown"]
