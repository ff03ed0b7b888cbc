"""A shared page in a real browser: encrypted, kept from sitting to sitting, and for those who only look."""

import base64
import hashlib
import io
import os
import shutil
import socket
import ssl
import subprocess
import threading
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from at_the_page import CALLING, WELL, Answers, got, hand, inside, joined
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from cryptography.x509 import load_pem_x509_certificate
from forging import forged
from in_a_browser import CUT_OFF, LOOKS, PLACES, SCREENS, TOO_SMALL, VIEWS, at_rest, opened, shows
from PIL import Image
from waiting import wait

from assistant.senses.page import door as doors
from assistant.senses.page import kept
from assistant.senses.page.authority import AUTHORITY, LEAF, _keep, certified
from assistant.senses.page.door import Door
from assistant.senses.page.page import Page
from assistant.session.events import Kind
from assistant.words.language import codes, load

HOST = "127.0.0.2"  # in a network that is this machine
WATCH_WAKING = """() => {
  window.asked = [];
  navigator.wakeLock.request = async (what) => window.asked.push(what);
}"""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What is kept of all sittings here."""
    folder = tmp_path_factory.mktemp("home")
    (folder / kept.FOLDER).mkdir(0o700)
    certified(HOST, folder / kept.FOLDER)
    return folder


@pytest.fixture(scope="module")
def chromium(home: Path) -> Iterator[Any]:
    """A browser that is warned of every certificate but this one, as where the authority is installed."""
    api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("chromium is not installed; apt install chromium")
    key = load_pem_x509_certificate((home / kept.FOLDER / LEAF).read_bytes()).public_key()
    known = hashlib.sha256(key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).digest()
    spki = f"--ignore-certificate-errors-spki-list={base64.b64encode(known).decode()}"
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox", spki])
        yield browser
        browser.close()


@pytest.fixture(autouse=True)
def apart(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(home))
    monkeypatch.setattr(doors, "own_address", lambda: HOST)


@contextmanager
def sitting(answers: Answers, code: str = "en") -> Iterator[tuple[Page, Door]]:
    page = Page(load(code), share=True)
    with closing(page):
        page.start(answers, {})
        page.show(CALLING, WELL)
        assert page.secure
        yield page, page.secure


def test_the_encrypted_page_may_keep_the_screen_awake_and_is_worked_like_any(chromium: Any, answers: Answers) -> None:
    with sitting(answers) as (_, door), opened(chromium, door.address) as window:
        shows(window, "1", "2", "3", "4")
        assert window.evaluate("() => isSecureContext")
        window.evaluate(WATCH_WAKING)
        window.mouse.click(5, 5)
        assert window.evaluate("() => window.asked") == ["screen"]
        window.get_by_role("button", name="Next").tap()
        assert wait(lambda: answers.taken)
        window.get_by_role("button", name="Help").click()
        assert window.locator(".if-overheard").is_hidden()
        assert window.get_by_role("link", name="Download authority.crt").is_visible()


def test_help_of_the_open_page_says_what_it_lacks_and_leads_to_the_encrypted_one(
    chromium: Any, answers: Answers
) -> None:
    with sitting(answers) as (page, door), opened(chromium, page.door.address) as window:
        shows(window, "1", "2", "3", "4")
        window.get_by_role("button", name="Help").click()
        assert "may let the screen dim" in window.locator(".if-overheard").inner_text()
        assert window.locator("link[rel=manifest]").count() == 0
        assert hand(door).word not in window.content()
        window.get_by_role("link", name="Open the encrypted page").click()
        window.wait_for_function("() => location.protocol === 'https:'")
        shows(window, "1", "2", "3", "4")
        assert window.evaluate("() => location.href") == door.to(page.door.keys[0].hand)
        assert window.locator("link[rel=manifest]").count() == 0  # this address is the sitting's


def test_a_page_that_was_left_open_is_taken_up_by_the_next_sitting(chromium: Any, answers: Answers) -> None:
    with sitting(answers) as (_, door):
        before = door
        context = chromium.new_context()
        window = context.new_page()
        window.goto(door.address)
        shows(window, "1", "2", "3", "4")
        window.evaluate("() => (window.old = true)")
    window.get_by_text("The next one is shown here by itself.").wait_for()
    with sitting(answers) as (page, door):
        assert door.address == before.address
        page.show(replace(CALLING, title="The next evening"), WELL)
        window.wait_for_function("() => document.title.startsWith('The next evening')", timeout=20_000)
        assert not window.evaluate("() => window.old")  # opened anew
        assert window.locator("#lost").is_hidden()
        window.evaluate("() => (window.old = true)")
        page._server.complete(lambda: drop(page), 5)
        window.get_by_text("Connection lost").wait_for()
        window.locator("#lost").wait_for(state="hidden")
        assert window.evaluate("() => window.old")  # within a sitting it stays as it is
    context.close()


async def drop(page: Page) -> None:
    for connection in list(page._server._server.server_state.connections):
        connection.transport.abort()


def test_who_takes_the_port_in_between_is_told_no_key(chromium: Any, answers: Answers, tmp_path: Path) -> None:
    """With a certificate of its own; it is asked by a page that was left open, and by an icon on a home screen."""
    with sitting(answers) as (_, door):
        context = chromium.new_context()
        window, icon = context.new_page(), context.new_page()
        window.goto(door.address)
        shows(window, "1", "2", "3", "4")
    heard: list[bytes] = []
    called = threading.Event()
    mimic, _ = certified(HOST, tmp_path)

    def answer(listening: socket.socket) -> None:
        while True:
            try:
                caller, _ = listening.accept()
                called.set()
                with mimic.wrap_socket(caller, server_side=True) as encrypted:
                    heard.append(encrypted.recv(4096))
            except ssl.SSLError as error:
                heard.append(str(error).encode())
            except OSError:
                return

    with socket.create_server((HOST, door.port)) as listening:
        threading.Thread(target=answer, args=(listening,), daemon=True).start()
        assert called.wait(20)
        with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
            icon.goto(door.address)
        assert wait(lambda: len(heard) > 1)
        assert not any(b"GET" in each for each in heard)
        assert "lost" in window.locator("#lost").inner_text() or "over" in window.locator("#lost").inner_text()
        listening.shutdown(socket.SHUT_RDWR)
    context.close()


def test_a_server_that_does_not_know_the_proof_is_not_believed(chromium: Any, answers: Answers) -> None:
    """Though it has the certificate, as whoever stole that has."""
    with sitting(answers) as (page, door), opened(chromium, door.address) as window:
        shows(window, "1", "2", "3", "4")
        first, page._first = page._first, lambda key, at: {"at": at, "proof": "x"}  # type: ignore[method-assign]
        page._server.complete(lambda: drop(page), 5)
        window.get_by_text("Somebody else answers at this address").wait_for()
        page._first = first  # type: ignore[method-assign]
        window.locator("#lost").wait_for(state="hidden")


def test_the_seventeenth_page_is_told_and_comes_in_once_there_is_room(
    chromium: Any, answers: Answers, monkeypatch: pytest.MonkeyPatch
) -> None:
    with sitting(answers) as (page, _), ExitStack() as others:
        for _ in range(16):
            others.enter_context(joined(page.door))
        assert wait(lambda: not page._joining[False].spend())
        with opened(chromium, page.door.address, bypass_csp=True) as window:
            window.get_by_text("As many pages are open as there may be.").wait_for()
            others.close()
            shows(window, "1", "2", "3", "4")
            assert window.locator("#lost").is_hidden()


@pytest.mark.parametrize("screen", ["smallest", "phone, large type", "on its side", "tablet"])
def test_a_page_to_look_at_has_nothing_to_press_and_all_in_its_place(
    chromium: Any, answers: Answers, screen: str
) -> None:
    size, root_px = SCREENS[screen]
    with (
        sitting(answers) as (page, door),
        opened(chromium, door.to(door.keys[0].eye), size, bypass_csp=True) as window,
    ):
        window.add_style_tag(content=f"html {{ font-size: {root_px}px }}")
        shows(window, "1", "2", "3", "4")
        for view in VIEWS.values():
            page.show(view, WELL)
            window.wait_for_function("mode => document.body.dataset.mode === mode", arg=view.mode.value)
            at_rest(window)
            assert (window.evaluate(PLACES), window.evaluate(TOO_SMALL), window.evaluate(CUT_OFF)) == ([], [], [])
            assert window.get_by_role("button").all_inner_texts() == ["Big", "Full screen", "Help"]
        window.keyboard.press("Space")
        window.keyboard.press("q")
        assert window.locator("dialog[open]").count() == 0
        page.show(CALLING, WELL)
        shows(window, "1", "2", "3", "4")
        window.get_by_role("button", name="Big").click()
        window.get_by_role("button", name="Small").click()
    assert answers.taken == []


@pytest.mark.parametrize(("look", "key"), [*((look, "hand") for look in LOOKS), ("light", "eye"), ("light", "open")])
def test_axe_finds_nothing_in_help(chromium: Any, answers: Answers, look: str, key: str) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    with sitting(answers) as (page, door):
        address = page.door.address if key == "open" else door.to(getattr(door.keys[0], key))
        with opened(chromium, address, (390, 844), **LOOKS[look]) as window:
            shows(window, "1", "2", "3", "4")
            at_rest(window)
            assert axe.Axe().run(window).violations_count == 0
            window.get_by_role("button", name="Help").click()
            if key != "eye":
                window.get_by_role("button", name="Show the codes").click()
                assert window.get_by_role("img", name="Code of the address to look only").is_visible()
            found = axe.Axe().run(window)
            assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("code", codes())
def test_help_has_its_place_in_every_language(chromium: Any, answers: Answers, code: str) -> None:
    with sitting(answers, code) as (page, door):
        for address in (page.door.address, door.address, door.to(door.keys[0].eye)):
            with opened(chromium, address, (320, 568)) as window:
                window.wait_for_function("() => document.body.dataset.mode === 'calling'")
                at_rest(window)
                assert (window.evaluate(PLACES), window.evaluate(CUT_OFF)) == ([], [])
                window.locator("#ask-help").click()
                wide = "() => [document.getElementById('help')].map((one) => one.scrollWidth - one.clientWidth)[0]"
                assert window.evaluate(wide) <= 0


def test_the_whole_screen_is_taken_and_given_back_by_one_button(chromium: Any, answers: Answers) -> None:
    with sitting(answers) as (_, door), opened(chromium, door.address) as window:
        shows(window, "1", "2", "3", "4")
        button = window.get_by_role("button", name="Full screen")
        for pressed in ("true", "false"):
            button.click()
            window.wait_for_function(
                "on => document.getElementById('ask-whole-screen').getAttribute('aria-pressed') === on", arg=pressed
            )
            assert window.evaluate("() => document.fullscreenElement !== null") == (pressed == "true")


def test_a_browser_takes_the_manifest_and_would_put_the_page_on_the_home_screen(
    chromium: Any, answers: Answers, home: Path
) -> None:
    trust = ssl.create_default_context(cafile=home / kept.FOLDER / AUTHORITY)
    with sitting(answers) as (_, door), opened(chromium, door.address) as window:
        shows(window, "1", "2", "3", "4")
        asking = window.context.new_cdp_session(window)
        told = asking.send("Page.getAppManifest")
        assert told["errors"] == []
        assert told["url"] == f"{door.address}manifest.webmanifest"
        assert told["manifest"]["startUrl"] == door.address
        assert told["manifest"]["scope"] == door.address
        for size in (180, 192, 512):
            answer = got(door, inside(door, f"/icon-{size}.png"), trust=trust)
            assert answer.getheader("content-type") == "image/png"
            assert answer.content[16:24] == 2 * size.to_bytes(4, "big")  # type: ignore[attr-defined]


def test_a_phone_reads_the_codes_off_the_page(chromium: Any, answers: Answers) -> None:
    """With the reader of the ZXing project."""
    zxing = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed")
    with sitting(answers) as (page, door):
        for address, keys in ((door.address, door.keys[0]), (page.door.address, page.door.keys[0])):
            with opened(chromium, address, (1024, 1400)) as window:
                shows(window, "1", "2", "3", "4")
                window.locator("#ask-help").click()
                window.locator("#ask-codes").click()
                window.wait_for_function(
                    "() => [...document.querySelectorAll('#codes img')].every((one) => one.naturalWidth)"
                )
                for one, key in zip(window.locator("#codes img").all(), (keys.hand, keys.eye), strict=True):
                    (read,) = zxing.read_barcodes(Image.open(io.BytesIO(one.screenshot())))
                    assert read.text == door.to(key)


def test_no_word_of_help_is_about_what_only_hands_do(chromium: Any, answers: Answers) -> None:
    with sitting(answers) as (_, door), opened(chromium, door.to(door.keys[0].eye)) as window:
        shows(window, "1", "2", "3", "4")
        window.get_by_role("button", name="Help").click()
        told = window.locator("#help").inner_text()
        assert "This page is there to look at" in told
        assert "Touch" not in told
        assert Kind.NEXT.value not in told.lower().split()


@pytest.mark.skipif(not shutil.which("certutil"), reason="needs certutil; apt install libnss3-tools")
def test_where_the_authority_is_installed_the_page_is_known_and_no_name_of_the_internet(
    chromium: Any, answers: Answers, home: Path, tmp_path: Path
) -> None:
    """In Chromium's own store; the other certificate is what a thief of the authority's key could make."""
    (tmp_path / ".pki" / "nssdb").mkdir(parents=True)
    store = ["-d", f"sql:{tmp_path}/.pki/nssdb"]
    subprocess.run(["certutil", "-N", "--empty-password", *store], check=True)

    def came_to(address: str) -> str:
        browser = chromium.browser_type.launch(
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox", f"--host-resolver-rules=MAP loom.example {HOST}"],
            env={**os.environ, "HOME": str(tmp_path)},
        )
        with closing(browser):
            window = browser.new_page()
            try:
                window.goto(address)
            except Exception as error:
                return str(error)
            shows(window, "1", "2", "3", "4")
            return str(window.evaluate("() => isSecureContext"))

    with sitting(answers) as (page, door):
        assert "ERR_CERT_AUTHORITY_INVALID" in came_to(door.address)
        (tmp_path / "authority.crt").write_bytes(page.entrance.authority)
        added = ["-A", "-n", "heddlecall", "-t", "C,,", "-i", str(tmp_path / "authority.crt")]
        subprocess.run(["certutil", *added, *store], check=True)
        assert came_to(door.address) == "True"
    _keep(tmp_path / LEAF, forged(home / kept.FOLDER, "loom.example"))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(tmp_path / LEAF)
    mimic = ThreadingHTTPServer((HOST, 0), BaseHTTPRequestHandler)
    mimic.socket = context.wrap_socket(mimic.socket, server_side=True)
    threading.Thread(target=mimic.serve_forever, daemon=True).start()
    assert "ERR_CERT" in came_to(f"https://loom.example:{mimic.server_port}/")
    mimic.shutdown()
    mimic.server_close()
