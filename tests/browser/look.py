"""look.py REPORT.html PICTURES - opens the report in a browser and uses it as a reader would: 390 and 1280 px wide, light
and dark, by keyboard, without a script, printed. Every check that fails is told; the last line counts. Pictures go into the
folder PICTURES. Chromium is driven through chromedriver by the W3C WebDriver protocol; nothing else than Python is needed."""

import base64
import json
import os
import pathlib
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request

REPORT = pathlib.Path(sys.argv[1]).resolve().as_uri()
PICTURES = pathlib.Path(sys.argv[2])
LISTENERS = 13
passed, failed = 0, 0


def want(holds, what):
    global passed, failed
    if holds:
        passed += 1
    else:
        failed += 1
        print("FAILED: " + what)


class Browser:
    """One window of its own: no profile, no cookies, a size and a colour scheme."""

    def __init__(self, port, width, scheme="light", script=True):
        self.base = f"http://127.0.0.1:{port}"
        options = {"binary": shutil.which("chromium"),
                   "args": ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars"]}
        caps = {"browserName": "chrome", "goog:chromeOptions": options,
                "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"}}
        self.id = self.call("POST", "/session", {"capabilities": {"alwaysMatch": caps}}, bare=True)["sessionId"]
        self.cdp("Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=False)
        self.cdp("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
        if not script:
            self.cdp("Emulation.setScriptExecutionDisabled", value=True)
        self.call("POST", "/url", {"url": REPORT})

    def call(self, method, path, body=None, bare=False):
        url = self.base + (path if bare else f"/session/{self.id}{path}")
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(url, data, {"Content-Type": "application/json"}, method=method)
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as fault:
            raise RuntimeError(path + ": " + json.load(fault)["value"]["message"]) from None

    def cdp(self, command, **params):
        return self.call("POST", "/goog/cdp/execute", {"cmd": command, "params": params})

    def js(self, script, *args):
        return self.call("POST", "/execute/sync", {"script": script, "args": list(args)})

    def until(self, script, what, seconds=30):
        """Holds within some seconds: a busy machine is no fault of the page's."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if self.js(script):
                break
            time.sleep(0.05)
        want(self.js(script), what)

    def count(self, css):
        return self.js("return document.querySelectorAll(arguments[0]).length", css)

    def text(self, css):
        return self.js("return document.querySelector(arguments[0]).innerText", css)

    def texts(self, css):
        return self.js("return [...document.querySelectorAll(arguments[0])].map(e => e.innerText)", css)

    def click(self, css, holding=""):
        """A real click in the middle of the first element that matches and holds the text, once it stands still."""
        box = self.js("""const e = [...document.querySelectorAll(arguments[0])].find(e => e.textContent.includes(arguments[1]));
            if (!e) return null;
            e.scrollIntoView({block: "center", behavior: "instant"});
            const frame = () => new Promise(done => requestAnimationFrame(done));
            return frame().then(frame).then(() => {
              const r = e.getBoundingClientRect();
              return [r.x + r.width / 2, r.y + r.height / 2];
            });""", css, holding)
        if box is None:
            raise RuntimeError(f"nothing to click: {css} {holding}")
        for kind in ("mousePressed", "mouseReleased"):
            self.cdp("Input.dispatchMouseEvent", type=kind, x=box[0], y=box[1], button="left", clickCount=1)

    def keys(self, *codes):
        """Held keys first; each is pressed in turn and all are let go from the last to the first."""
        steps = [{"type": "keyDown", "value": c} for c in codes] + [{"type": "keyUp", "value": c} for c in reversed(codes)]
        self.call("POST", "/actions", {"actions": [{"type": "key", "id": "keyboard", "actions": steps}]})

    def picture(self, name, css=None):
        """Of the window, of an element, or (css "page") of the whole page."""
        box = {}
        if css:
            clip = self.js("""const e = arguments[0] === "page" ? document.documentElement : document.querySelector(arguments[0]);
                const r = e.getBoundingClientRect();
                return {x: r.x + scrollX, y: r.y + scrollY, width: r.width, height: r.height, scale: 1};""", css)
            clip["height"] = min(clip["height"], 16000)
            box = {"clip": clip, "captureBeyondViewport": True}
        data = self.cdp("Page.captureScreenshot", format="png", **box)["data"]
        (PICTURES / (name + ".png")).write_bytes(base64.b64decode(data))

    def console(self):
        return [e["message"] for e in self.call("POST", "/se/log", {"type": "browser"}) if e["level"] in ("WARNING", "SEVERE")]

    def requests(self):
        asked, seen = [], False
        for entry in self.call("POST", "/se/log", {"type": "performance"}):
            event = json.loads(entry["message"])["message"]
            if event["method"] == "Network.requestWillBeSent":
                url = event["params"]["request"]["url"].split("#")[0]
                seen = seen or url == REPORT
                if url != REPORT and not url.startswith(("data:", "blob:")):
                    asked.append(url)
        want(seen, "the log of requests has the page itself")
        return asked

    def close(self):
        self.call("DELETE", "")


LEFT, UP, SHIFT, ESCAPE, TAB, ENTER = "\ue012", "\ue013", "\ue008", "\ue00c", "\ue004", "\ue007"
PIXELS = "return document.querySelector('#map-live canvas').toDataURL().length + document.querySelector('#map-live canvas').toDataURL().slice(-4000)"


def ready(b, name):
    b.until("return !!document.querySelector('#map-live canvas') && !!document.querySelector('#readout dd')", f"{name}: the map is drawn")


def changed(b, before):
    end = time.monotonic() + 30
    while time.monotonic() < end:
        now = b.js(PIXELS)
        if now != before:
            return now
        time.sleep(0.05)
    return before


def names_are_text(b, name):
    want(b.js("return window.hurt === undefined"), f"{name}: a name ran as a script")
    want(b.count("#table h1, #table th img, #table th script, #answer h1 b, #sheet b b, #sheet td b") == 0, f"{name}: a name became an element")
    table = b.text("#table")
    for who in ("<script>window.hurt=1</script>", "Q2TRN &lt;b&gt; & {{json}}", "Q7XAN </script><h1>Sorrel", "שלום עליכם", "مرحبا", "\"Arm\" 'Wood'"):
        want(who in table, f"{name}: {who} stands in the table as written")


def sorting(b, name):
    b.click("[data-sort=name]")
    b.until("""const n = [...document.querySelectorAll('#table tbody tr th bdi')].map(e => e.textContent);
        return n.every((v, i) => !i || n[i - 1].localeCompare(v) <= 0)""", f"{name}: sorted by name")
    want(b.js("return document.querySelector('#table th[aria-sort]').getAttribute('aria-sort')") == "ascending", f"{name}: aria-sort says so")
    b.click("[data-sort=heard]")
    b.until("return document.querySelector('#table th[aria-sort] [data-sort=heard]') !== null", f"{name}: sorted by share")
    shares = [0.0 if s.startswith("under") else float(s.replace(">", "").split("\u00a0")[0]) for s in b.texts("#table td.h .n")]
    want(len(shares) == LISTENERS and shares == sorted(shares, reverse=True), f"{name}: sorted by share, falling: {shares}")


def finding(b, name):
    set_text = "const f = document.querySelector('#find-text'); f.value = arguments[0]; f.dispatchEvent(new Event('input'))"
    b.js(set_text, "q2")
    want(b.count("#table tbody tr") == 3 and b.text("#shown").startswith("3 of 13"), f"{name}: three listeners found")
    b.js(set_text, "")


def switching(b, name):
    heard = b.js(PIXELS)
    b.click("#map-tools label", "Signal over noise")
    level = changed(b, heard)
    want(level != heard, f"{name}: another layer is another picture")
    b.until("return document.querySelector('#key h3').innerText.includes('dB')", f"{name}: its key is that of levels")
    b.click("#map-tools label", "What leaves take")
    leaves = changed(b, level)
    want(leaves != level, f"{name}: what leaves take")
    b.click("#map-tools label", "Which way it comes")
    changed(b, leaves)
    b.picture(f"{name}-way", "#map")
    b.click("#map-tools label", "Share of the year")
    b.until("return document.querySelector('#key h3').innerText.startsWith('Share')", f"{name}: the key comes back")
    caption = b.text("#table caption")
    b.click("#map-tools label", "8 m")
    b.until(f"return document.querySelector('#table caption').innerText !== {json.dumps(caption)}", f"{name}: another height is another table")
    b.click("#map-tools label", "sheet")
    b.until("const i = document.querySelector('#map-picture img:not([hidden])'); return !!i && i.getBoundingClientRect().width > 200 && document.querySelector('#map-live').hidden",
            f"{name}: another scenario's sheet is shown")
    b.click("#map-tools label", "map with values")
    b.until("return document.querySelector('#map-picture').hidden", f"{name}: and goes again")


def map_is_whole(b, name):
    want(b.count("#map-live .mer") >= 6 and b.count("#map-live .square") >= 2, f"{name}: graticule and locator squares")
    want("HN" in b.js("return [...document.querySelectorAll('#map-live .sq')].map(e => e.textContent).join()"), f"{name}: squares are named")
    want(any("°" in t and t[-1] in "NSEW" for t in b.js("return [...document.querySelectorAll('#map-live svg .sec')].map(e => e.textContent)")), f"{name}: lines are labelled")
    labels = b.js("return [...document.querySelectorAll('#map-live .names text, #map-live svg > g text.halo')].map(e => { const r = e.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom, e.textContent]; })")
    meet = [(p[4], q[4]) for i, p in enumerate(labels) for q in labels[:i] if p[0] + 1 < q[2] and q[0] + 1 < p[2] and p[1] + 3 < q[3] and q[1] + 3 < p[3]]
    want(labels and not meet, f"{name}: labels meet: {meet}")
    terms = b.texts("#readout dt")
    want("8 in 10 chance" in terms and "Heard" in terms, f"{name}: the readout says share and range: {terms}")


def map_by_keyboard(b, name):
    b.js("document.querySelector('#map-live .touch').focus()")
    before = b.text("#readout")
    b.keys(SHIFT, LEFT)
    b.keys(SHIFT, UP)
    b.until(f"return document.querySelector('#readout').innerText !== {json.dumps(before)}", f"{name}: arrow keys move the readout")


def panel(b, name):
    b.js("document.querySelectorAll('button.who')[2].focus()")
    b.keys(ENTER)
    b.until("return document.activeElement.id === 'panel-head'", f"{name}: the panel's heading has the focus")
    want(b.count(".detail svg text") > 10, f"{name}: the budget is drawn")
    want(b.count(".detail ol.doubt li") >= 2, f"{name}: doubts are listed")
    sizes = [float(t.split("±")[1].split("\u00a0")[0]) for t in b.texts(".detail ol.doubt li")]
    want(sizes == sorted(sizes, reverse=True), f"{name}: largest doubt first: {sizes}")
    want(b.count(".detail .items tr") > 10, f"{name}: the card is there")
    b.picture(f"{name}-panel", ".detail")
    b.keys(ESCAPE)
    b.until("return !document.querySelector('.detail') && document.activeElement.className === 'who'", f"{name}: Escape closes the panel")
    b.keys(ENTER)
    worst = b.js("""const d = JSON.parse(document.getElementById("data").textContent);
        return Math.max(...d.paths.flat().filter(p => p.steps_db).map(p => Math.abs(p.steps_db.reduce((s, r) => s + r[1], 0) - p.arrives_dbm)))""")
    want(worst < 0.1, f"{name}: budgets sum within 0.1 dB ({worst})")


SMALL_TEXT = """
const out = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
for (let t; (t = walk.nextNode());) {
  const e = t.parentElement, s = getComputedStyle(e), r = e.getBoundingClientRect();
  if (!t.data.trim() || !r.width || s.visibility !== "visible" || e.closest(".vh, script, style, noscript, .skip")) continue;
  const scale = e.ownerSVGElement ? e.getScreenCTM().a || Math.abs(e.getScreenCTM().b) : 1, px = parseFloat(s.fontSize) * scale;
  if (px < 12.45) out.push(px.toFixed(1) + " px: " + t.data.slice(0, 24));
}
return out.slice(0, 5);"""

CONTRAST = """
const lum = c => { const f = c.map(v => { v /= 255; return v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; }); return .2126 * f[0] + .7152 * f[1] + .0722 * f[2]; };
const nums = s => (s.match(/[\\d.]+/g) || []).map(Number), seen = new Map(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
for (let t; (t = walk.nextNode());) {
  const e = t.parentElement, s = getComputedStyle(e), r = e.getBoundingClientRect();
  if (!t.data.trim() || !r.width || e.closest(".vh, script, style, noscript, .skip, #map-live")) continue;
  const ink = nums(e.ownerSVGElement ? s.fill : s.color).slice(0, 3);
  let back = [255, 255, 255];
  for (let p = e; p; p = p.parentElement) { const b = nums(getComputedStyle(p).backgroundColor); if (b.length === 3 || b[3] > 0) { back = b.slice(0, 3); break; } }
  const l = [lum(ink), lum(back)].sort((a, b) => b - a), ratio = (l[0] + .05) / (l[1] + .05);
  if (ratio < 4.5) seen.set(ink + "/" + back, ratio.toFixed(2) + ": " + t.data.slice(0, 24));
}
return [...seen.values()].slice(0, 5);"""


def page_holds(b, name):
    wide = b.js("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
    want(wide <= 0, f"{name}: {wide} px wider than the window")
    tight = b.js("""return [...document.querySelectorAll('button, .seg label, select, input[type=search], nav a')]
        .filter(e => e.offsetParent && e.getBoundingClientRect().height < 43.5).map(e => e.textContent.slice(0, 20))""")
    want(not tight, f"{name}: under 44 px: {tight}")
    want(b.count("h1") == 1, f"{name}: one h1")
    small = b.js(SMALL_TEXT)
    want(not small, f"{name}: text under 12.5 px: {small}")
    faint = b.js(CONTRAST)
    want(not faint, f"{name}: text under 4.5:1: {faint}")
    want("Local rules and licensed practice decide" in b.text("#sheet .safety"), f"{name}: the safety block ends as it should")
    want(b.count("#height .plate path.line") >= 6 and b.count("#trees .plate path.dashed") >= 1, f"{name}: charts of height and seasons")


def spoken(b, name):
    """What a screen reader is told: nothing that can be worked is without a name."""
    nodes = b.cdp("Accessibility.getFullAXTree")["nodes"]
    worked = ("button", "link", "radio", "combobox", "searchbox", "application", "img", "image", "table")
    bare = [n["role"]["value"] for n in nodes if not n.get("ignored") and n.get("role", {}).get("value") in worked and not n.get("name", {}).get("value")]
    want(not bare, f"{name}: without a name for a screen reader: {bare[:5]}")
    roles = [n.get("role", {}).get("value") for n in nodes if not n.get("ignored")]
    want("status" in roles and "navigation" in roles and "main" in roles, f"{name}: landmarks and a status")


def by_tab(b, name):
    """Tab alone reaches the skip link first, then every kind of control, and what has the focus is seen to have it."""
    b.js("document.activeElement.blur(); scrollTo(0, 0)")
    stops, plain = [], []
    for _ in range(60):
        b.keys(TAB)
        stop, seen = b.js("""const e = document.activeElement, s = getComputedStyle(e.type === "radio" ? e.parentElement : e);
            return [e.className + " " + e.id + " " + (e.name || "") + " " + (e.dataset.sort || "") + " " + (e.hash || ""), s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2]""")
        stops.append(stop)
        if not seen:
            plain.append(stop)
        if "who" in stop:
            break
    want("skip" in stops[0], f"{name}: the skip link comes first: {stops[0]}")
    for what in ("#map", "layer", "touch", "find-text", "find-limit", "heard", "who"):
        want(any(what in s for s in stops), f"{name}: Tab reaches {what}")
    want(not plain, f"{name}: focus is not seen on {plain[:3]}")


def look(port, width, scheme):
    name = f"{width}-{scheme}"
    b = Browser(port, width, scheme)
    ready(b, name)
    want(b.count("#table tbody tr") == LISTENERS, f"{name}: {LISTENERS} listeners in the table")
    b.picture(f"{name}-top")
    if scheme == "light":  # what does not depend on colours is tried once
        by_tab(b, name)
        names_are_text(b, name)
        map_is_whole(b, name)
        sorting(b, name)
        finding(b, name)
        map_by_keyboard(b, name)
    switching(b, name)
    panel(b, name)
    page_holds(b, name)
    spoken(b, name)
    for part in ("answer", "map", "listeners", "height", "trees", "coverage", "sheet", "method"):
        b.picture(f"{name}-{part}", "#" + part)
    b.picture(name, "page")
    want(not (said := b.console()), f"{name}: the console says {said}")
    want(not (asked := b.requests()), f"{name}: the page asks for {asked}")
    b.close()


def plain(port):
    b = Browser(port, 1280, script=False)
    html = b.cdp("DOM.getOuterHTML", nodeId=b.cdp("DOM.getDocument", depth=-1)["root"]["nodeId"])["outerHTML"]
    body = html[html.index("<main"):html.index("</main>")]
    want(body.count("<tr><th scope=\"row\"><svg") == LISTENERS, "without a script: the whole table")
    sheet = [n for n in b.cdp("Accessibility.getFullAXTree")["nodes"] if n.get("name", {}).get("value", "").startswith("Coverage map of")]
    want(len(sheet) >= 1, "without a script: the map")
    want("Before anyone goes near it" in body, "without a script: the sheet and its cautions")
    b.picture("no-script")
    want(not (asked := b.requests()), f"without a script: the page asks for {asked}")
    b.close()


def printed(port):
    b = Browser(port, 680) # A4 less its margins
    ready(b, "printed")
    b.click("button.who")
    b.until("return document.querySelector('.detail') !== null", "printed: the panel is open")
    b.cdp("Emulation.setEmulatedMedia", media="print")
    wide = b.js("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
    want(wide <= 1, f"printed: {wide} px wider than the paper")
    want(b.js("return ['nav', '#map-tools', '.find', '.pointer'].every(s => getComputedStyle(document.querySelector(s)).display === 'none')"), "printed: no controls")
    pdf = b.cdp("Page.printToPDF", preferCSSPageSize=True, printBackground=True)["data"]
    (PICTURES / "print.pdf").write_bytes(base64.b64decode(pdf))
    want(len(pdf) > 100000, "printed: there is a PDF")
    b.picture("print", "page")
    b.close()


def free_port():
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


def starts(port):
    """Whether there is a browser at all: without one nothing was seen, neither good nor bad."""
    try:
        Browser(port, 390).close()
        return True
    except (OSError, RuntimeError) as fault:
        print("no browser starts here:", fault)
        return False


def main():
    port = free_port()
    driver = subprocess.Popen([shutil.which("chromedriver"), f"--port={port}"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    os.environ["no_proxy"] = "127.0.0.1"
    try:
        for _ in range(200):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/status", timeout=5)
                break
            except OSError:
                time.sleep(0.05)
        if not starts(port):
            sys.exit(77)
        for width in (390, 1280):
            for scheme in ("light", "dark"):
                look(port, width, scheme)
        plain(port)
        printed(port)
    except RuntimeError as fault:
        want(False, str(fault))
    finally:
        driver.terminate()
        driver.wait()
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


main()
