"""The setting guide in a browser without a window: widths, taps, the whole way offline, no script, a slow processor.

Run: python -m tests.benchmarks.guide_in_browser [--pictures FOLDER] [--cores 14] [--browser chromium]

It speaks the debugging protocol through two pipes, so that nothing has to be installed but the browser.
"""

from __future__ import annotations

import argparse
import base64
import fcntl
import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from inspect_tui.record.store import Record
from inspect_tui.report.kit import guide as dressed
from inspect_tui.report.kit.phrases import phrases
from inspect_tui.shop.answers import guide_file
from inspect_tui.shop.kit.paper.guide import guide
from tests.benchmarks.guide_jobs import job_with_photographs

WIDTHS = ((360, 740), (768, 1024), (1280, 900))  # telephone, tablet, desk
SLOWER = 6  # how much slower than this processor a telephone's is taken to be


class Browser:
    """One page of a browser without a window."""

    def __init__(self, program: str, folder: Path) -> None:
        read_there, self._write = os.pipe()
        self._read, write_there = os.pipe()
        given = [fcntl.fcntl(end, fcntl.F_DUPFD, 20) for end in (read_there, write_there)]

        def ends() -> None:
            os.dup2(given[0], 3)
            os.dup2(given[1], 4)

        self._program = subprocess.Popen(
            [
                program,
                "--headless=new",
                "--no-sandbox",
                "--disable-gpu",
                "--no-first-run",
                "--remote-debugging-pipe",
                f"--user-data-dir={folder / 'profile'}",
                "about:blank",
            ],
            preexec_fn=ends,
            close_fds=False,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for end in (read_there, write_there, *given):
            os.close(end)
        self._left, self._number, self._session, self._events = b"", 0, "", []  # type: ignore[var-annotated]
        pages = [t for t in self.call("Target.getTargets")["targetInfos"] if t["type"] == "page"]
        self._session = self.call("Target.attachToTarget", targetId=pages[0]["targetId"], flatten=True)["sessionId"]
        self.call("Page.enable")

    def call(self, method: str, **params: object) -> dict[str, Any]:
        """The answer to one request."""
        self._number += 1
        message: dict[str, object] = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            got = self._next()
            if got.get("id") == self._number:
                if "error" in got:
                    raise RuntimeError(f"{method}: {got['error']}")
                return dict(got["result"])
            self._events.append(got)

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._left:
            got = os.read(self._read, 1 << 20)
            if not got:
                raise RuntimeError("the browser ended")
            self._left += got
        message, _, self._left = self._left.partition(b"\0")
        return dict(json.loads(message))

    def size(self, wide: int, high: int) -> None:
        """How large the page's window is."""
        self.call("Emulation.setDeviceMetricsOverride", width=wide, height=high, deviceScaleFactor=1, mobile=wide < 600)

    def go(self, url: str) -> None:
        """Open a page anew and wait until it is there."""
        for address in ("about:blank", url):  # an address that differs behind # alone would load nothing
            self._events.clear()
            self.call("Page.navigate", url=address)
            while not any(event.get("method") == "Page.loadEventFired" for event in self._events):
                self._events.append(self._next())

    def ask(self, script: str) -> Any:
        """What an expression of the page's own script comes to."""
        got = self.call("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in got:
            raise RuntimeError(str(got["exceptionDetails"]))
        return got["result"].get("value")

    def tap(self, selector: str) -> None:
        """A finger on the middle of an element."""
        x, y = self.ask(
            f"(() => {{ const e = document.querySelector({json.dumps(selector)}); "
            "e.scrollIntoView({block: 'center', behavior: 'instant'}); const b = e.getBoundingClientRect(); "
            "return [b.x + b.width / 2, b.y + b.height / 2]; })()"
        )
        for kind in ("mousePressed", "mouseReleased"):
            self.call("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def picture(self, file: Path) -> None:
        """The whole page as a picture."""
        high = int(self.ask("document.documentElement.scrollHeight"))
        shot = self.call(
            "Page.captureScreenshot",
            format="png",
            captureBeyondViewport=True,
            clip={"x": 0, "y": 0, "width": self.ask("innerWidth"), "height": high, "scale": 1},
        )
        file.write_bytes(base64.b64decode(shot["data"]))

    def until(self, script: str) -> bool:
        """Whether it comes true before half a minute is over: what a busy machine does in its own time."""
        return bool(
            self.ask(
                f"new Promise((done) => {{ let n = 0; const look = () => {{ if ({script}) done(true); "
                "else if (++n > 300) done(false); else setTimeout(look, 100); }; look(); })"
            )
        )

    def choose(self, selector: str, file: Path) -> None:
        """A picture taken with the telephone, as the file of an input."""
        root = self.call("DOM.getDocument")["root"]["nodeId"]
        node = self.call("DOM.querySelector", nodeId=root, selector=selector)["nodeId"]
        self.call("DOM.setFileInputFiles", files=[str(file)], nodeId=node)

    def offline(self) -> None:
        """No network at all; files that are saved go to a folder of their own."""
        self.call("Network.enable")
        self.call("Network.emulateNetworkConditions", offline=True, latency=0, downloadThroughput=0, uploadThroughput=0)

    def close(self) -> None:
        """End it."""
        self.call("Browser.close")
        self._program.wait(20)


SOON = "new Promise((done) => setTimeout(done, 300))"  # what is kept on the device is written and read beside
SHOWN = "document.querySelector('.card.on')"


def widths(browser: Browser, url: str, pictures: Path | None) -> list[str]:
    """Every card at every width: what is wider than the window, and what can hardly be tapped."""
    wrong = []
    for wide, high in WIDTHS:
        browser.size(wide, high)
        browser.go(url)
        browser.ask(SOON)
        browser.ask("while (!document.getElementById('back').disabled) document.getElementById('back').click()")
        for n in range(int(browser.ask("document.querySelectorAll('.card').length"))):
            name = browser.ask(f"{SHOWN}.id")
            if browser.ask("document.documentElement.scrollWidth") > wide:
                wrong.append(f"{wide} px: {name} is wider than the window")
            small = browser.ask(
                f"[...{SHOWN}.querySelectorAll('button, input, textarea, summary')].filter((e) => e.offsetParent && "
                "Math.max(e.getBoundingClientRect().height, e.closest('label')?.getBoundingClientRect().height ?? 0) < 24)"
                ".length"
            )
            if small:
                wrong.append(f"{wide} px: {name} has {small} things too small to tap")
            if pictures is not None and n in (0, 1, 2, 3, 5):
                browser.picture(pictures / f"guide-{wide}-{name}.png")
            browser.tap("#next")
    return wrong


def answered(browser: Browser, url: str, folder: Path) -> list[str]:
    """Set the first two cores as a person would, come back after a reload, save; what the program reads of it."""
    browser.size(*WIDTHS[0])
    browser.go(f"{url}#step-1")
    browser.ask(SOON)
    browser.tap("[name='s1.result'][value='go']")
    browser.tap("[name='s1.reading']")
    browser.call("Input.insertText", text="6,1")
    browser.tap("[name='s1.done']")
    browser.tap("[name='s1.remark']")
    browser.call("Input.insertText", text="größer, <b>rubbed</b>")
    browser.tap("#next")
    browser.tap("[name='s2.done']")
    browser.ask(SOON)
    browser.go(url)
    browser.ask(SOON)
    wrong = [] if browser.ask(f"{SHOWN}.id") == "step-2" else ["after a reload it does not go on where it was"]
    browser.ask("document.querySelector('[name=who]').scrollIntoView()")
    file = folder / "answers.json"
    file.write_text(str(browser.ask("settingAnswers()")), "utf-8")
    answers = guide_file.read(file)
    said = {(row.sort, row.core is not None, row.text, row.result) for row in answers.rows}
    wanted = {
        ("check", True, "", "go"),
        ("check", True, "6,1", "go"),
        ("remark", True, "größer, <b>rubbed</b>", ""),
    }
    if answers.wrong or answers.changed or not wanted <= said:
        wrong.append(f"the answer file says {sorted(said)}, {answers.wrong}")
    return wrong


def begun(browser: Browser, url: str, cores: int, picture: Path) -> list[str]:
    """Half of the way as a person would go it, without a network: who, the count, each core with its check."""
    browser.size(*WIDTHS[0])
    browser.offline()
    browser.go(url)
    browser.ask(SOON)
    browser.ask("while (!document.getElementById('back').disabled) document.getElementById('back').click()")
    for name, words in (("who", "TK"), ("mould", "M 7")):
        browser.tap(f"[name='{name}']")
        browser.call("Input.insertText", text=words)
    browser.tap("#next")
    for n in range(1, cores + 1):
        browser.tap(f"[name='there.{n}']")
    browser.tap("#next")
    browser.tap("#next")
    half = cores // 2
    for n in range(1, half + 1):
        _step(browser, n)
        if n == 3:
            browser.tap("[name='s3.remark']")
            browser.call("Input.insertText", text="vent was blocked, cleared")
            browser.choose("[name='s3.pictures']", picture)
            browser.until("document.querySelector(\"[data-of='s3.pictures'] img\") !== null")
        browser.tap("#next")
    browser.ask(SOON)
    return [] if browser.ask(f"{SHOWN}.id") == f"step-{half + 1}" else ["half of the way does not end where it should"]


def _step(browser: Browser, n: int) -> None:
    browser.tap(f"[name='s{n}.result'][value='go']")
    browser.tap(f"[name='s{n}.reading']")
    browser.call("Input.insertText", text=f"6,{n % 5}")
    browser.tap(f"[name='s{n}.done']")


def ended(browser: Browser, url: str, cores: int, folder: Path, pictures: Path | None) -> list[str]:
    """The telephone was off: the rest of the way, the mould closed, the file saved by its button."""
    browser.size(*WIDTHS[0])
    browser.offline()
    browser.call("Page.setDownloadBehavior", behavior="allow", downloadPath=str(folder))
    browser.go(url)
    half = cores // 2
    wrong = []
    if not browser.until(f"{SHOWN}.id === 'step-{half + 1}'"):
        wrong.append("after it was off it does not go on where it was")
    if int(browser.ask("document.querySelectorAll(\"[data-of='s3.pictures'] img\").length")) != 1:
        wrong.append("after it was off the picture is gone")
    for n in range(half + 1, cores + 1):
        _step(browser, n)
        browser.tap("#next")
    if browser.ask("!document.getElementById('open').hidden"):
        wrong.append("every core is ticked, and the last card names some that are not")
    browser.ask("document.querySelector(\"[name='s2.done']\").click()")
    if browser.ask("document.querySelector('#open strong').textContent") != "2":
        wrong.append("a core that is not ticked is not named when the mould is closed")
    if pictures is not None:
        browser.picture(pictures / "guide-360-closing.png")
    browser.ask("document.querySelector(\"[name='s2.done']\").click()")
    for k in range(
        int(browser.ask("document.querySelectorAll(\"[name^='closing.']:not([type=file]):not(textarea)\").length"))
    ):
        browser.tap(f"[name='closing.{k}']")
    browser.tap("#save")
    for _ in range(300):
        if list(folder.glob("answers-*.json")):
            break
        browser.ask(SOON)
    return wrong


def taken_in(record: Path, folder: Path, cores: int) -> list[str]:
    """The file that was saved, taken in by the command: every core, every check, the remark, the picture."""
    from inspect_tui.cli import main as inspect_tui

    saved = list(folder.glob("answers-*.json"))
    if len(saved) != 1:
        return [f"{len(saved)} answer files were saved"]
    status = inspect_tui(["import", "answers", str(saved[0]), "--record", str(record), "--by", "TK"])
    if status:
        return [f"import answers ended with {status}"]
    with Record.open(record, state_dir=folder) as again:
        (job,) = again.jobs()
        said = again.setting_answers(job.of_id)
        by_sort = {sort: sum(one.sort == sort for one in said) for sort in ("check", "remark")}
        shown = again.attachments()
    wrong = [] if by_sort["check"] >= 2 * cores else [f"of the checks {by_sort['check']} came in"]
    if by_sort["remark"] != 1:
        wrong.append(f"{by_sort['remark']} remarks came in")
    if len(shown) != cores + 1:
        wrong.append(f"{len(shown) - cores} pictures came in")
    return wrong


def without_script(browser: Browser, url: str, cores: int, pictures: Path | None) -> list[str]:
    """With scripts forbidden every card is there, and printed each core begins a page."""
    browser.call("Emulation.setScriptExecutionDisabled", value=True)
    browser.size(*WIDTHS[2])
    browser.go(url)
    paper = browser.call("Page.printToPDF", preferCSSPageSize=True)["data"]
    browser.call("Emulation.setScriptExecutionDisabled", value=False)
    made = base64.b64decode(paper)
    if pictures is not None:
        (pictures / "guide-without-script.pdf").write_bytes(made)
    from io import BytesIO

    from pypdf import PdfReader

    pages = PdfReader(BytesIO(made)).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    wrong = [f"on paper step {n} is missing" for n in range(1, cores + 1) if f"step {n} " not in text]
    return wrong + ([] if cores + 1 <= len(pages) <= 3 * cores + 4 else [f"on paper it has {len(pages)} pages"])


def first_paint(browser: Browser, url: str) -> float:
    """Milliseconds from asking for the page to the first words of it, on a processor that many times slower."""
    browser.size(*WIDTHS[0])
    browser.call("Emulation.setCPUThrottlingRate", rate=SLOWER)
    browser.go(url)
    browser.ask(SOON)
    paint = browser.ask("performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? -1")
    browser.call("Emulation.setCPUThrottlingRate", rate=1)
    return float(paint)


def main() -> int:
    """0 when nothing is wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pictures", type=Path, help="keep pictures of the pages in this folder")
    parser.add_argument("--cores", type=int, default=14)
    parser.add_argument("--language", default="de")
    parser.add_argument("--browser", default=shutil.which("chromium") or shutil.which("chrome") or "")
    args = parser.parse_args()
    if not args.browser:
        print("there is no browser here: name one with --browser")
        return 2
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
        folder = Path(name)
        os.environ["INSPECT_TUI_STATE"] = name
        with Record.open(folder / "guide.db", create=True, state_dir=folder) as record:
            kit = job_with_photographs(record, folder, args.cores)
            page = dressed.html(guide(record, kit.job, ask="the shop"), phrases(args.language))
        (folder / "guide.html").write_bytes(page)
        url = (folder / "guide.html").as_uri()
        browser = Browser(args.browser, folder)
        try:
            wrong = begun(browser, url, args.cores, folder / "core-1.jpg")
        finally:
            browser.close()
        browser = Browser(args.browser, folder)
        try:
            wrong += ended(browser, url, args.cores, folder, args.pictures)
            wrong += taken_in(folder / "guide.db", folder, args.cores)
        finally:
            browser.close()
        browser = Browser(args.browser, folder / "another")
        try:
            wrong += widths(browser, url, args.pictures)
            wrong += answered(browser, url, folder)
            wrong += without_script(browser, url, args.cores, args.pictures)
            (folder / "bare.html").write_text("<!doctype html><title>bare</title><p>words</p>", "utf-8")
            paint, bare = (first_paint(browser, address) for address in (url, (folder / "bare.html").as_uri()))
        finally:
            browser.close()
    print(
        f"{args.cores} cores, {len(page) / 1e6:.2f} MB; first words after {paint:.0f} ms, those of a bare page after "
        f"{bare:.0f} ms, processor {SLOWER} times slower (load {os.getloadavg()[0]:.0f})"
    )
    print("\n".join(wrong) or "nothing is wrong: the way to its end, widths, taps, answers, paper")
    return int(bool(wrong))


if __name__ == "__main__":
    sys.exit(main())
