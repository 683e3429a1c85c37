// look.js REPORT.html PICTURES - opens the report in a browser and uses it as a reader would: 390 and 1280 px wide, light and
// dark. Every check that fails is told; the exit status is the number of them. Pictures of each go into the folder PICTURES.
"use strict";
const {chromium} = require("playwright-core");
const path = require("path");
const [report, pictures] = process.argv.slice(2);
const url = "file://" + path.resolve(report);
let failed = 0, passed = 0;
const want = (holds, what) => {
  if (holds) { passed++; return; }
  failed++;
  console.log("FAILED: " + what);
};

async function look(browser, width, scheme) {
  const name = `${width}-${scheme}`;
  const context = await browser.newContext({viewport: {width, height: 900}, colorScheme: scheme});
  const page = await context.newPage(), heard = [], asked = [];
  page.on("console", m => { if (["error", "warning"].includes(m.type())) heard.push(m.text()); });
  page.on("pageerror", e => heard.push(String(e)));
  page.on("request", r => { if (r.url() !== url && !/^(data|blob):/.test(r.url())) asked.push(r.url()); });
  await page.goto(url);
  await page.waitForSelector("#map-live canvas");
  await page.waitForSelector("#readout dd");
  const text = s => page.locator(s).first().innerText();
  const count = s => page.locator(s).count();
  const n = await count("#table tbody tr");
  want(n === 13, `${name}: 13 listeners, ${n} in the table`);
  await page.screenshot({path: path.join(pictures, `${name}-top.png`)});

  // Names are text: no element came of them, no script ran.
  want(await page.evaluate(() => window.hurt) === undefined, `${name}: a name ran as a script`);
  want(await count("#table h1, #table th img, #table th script, #answer h1 b") === 0, `${name}: a name became an element`);
  const table = await page.locator("#table").innerText();
  for (const who of ["<script>window.hurt=1</script>", "Q2TRN &lt;b&gt; & {{json}}", "Q7XAN </script><h1>Sorrel", "שלום עליכם", "مرحبا", "\"Arm\" 'Wood'"])
    want(table.includes(who), `${name}: ${who} stands in the table as written`);

  // Sort.
  const firsts = () => page.locator("#table tbody tr th").allInnerTexts();
  await page.click("[data-sort=name]");
  const names = await firsts();
  want(names.slice(1).every((v, i) => names[i].localeCompare(v) <= 0), `${name}: sorted by name`);
  want(await page.getAttribute("#table th[aria-sort]", "aria-sort") === "ascending", `${name}: aria-sort says so`);
  await page.click("[data-sort=heard]");
  const shares = (await page.locator("#table td.h .n").allInnerTexts()).map(s => s.startsWith("under") ? 0 : parseFloat(s.replace(">", "")));
  want(shares.slice(1).every((v, i) => shares[i] >= v), `${name}: sorted by share, falling: ${shares}`);

  // Find.
  await page.fill("#find-text", "q2");
  want(await count("#table tbody tr") === 3 && (await text("#shown")).startsWith("3 of 13"), `${name}: three listeners found`);
  await page.fill("#find-text", "");

  // Layers and scenarios: the picture changes, and changes back.
  const pixels = () => page.evaluate(() => { const c = document.querySelector("#map-live canvas"); return c.toDataURL(); });
  const settled = async before => { for (let i = 0; i < 40; i++) { const now = await pixels(); if (now !== before) return now; await page.waitForTimeout(50); } return before; };
  const heardMap = await pixels();
  await page.locator("#map-tools label", {hasText: "Signal over noise"}).click();
  const level = await settled(heardMap);
  want(level !== heardMap, `${name}: another layer is another picture`);
  want((await text("#key h3")).includes("dB"), `${name}: its key is that of levels`);
  await page.locator("#map-tools label", {hasText: "What leaves take"}).click();
  want(await settled(level) !== level, `${name}: what leaves take`);
  await page.locator("#map-tools label", {hasText: "Which way it comes"}).click();
  await page.locator("#map-tools label", {hasText: "Share of the year"}).click();
  const caption = await text("#table caption");
  await page.locator("#map-tools label", {hasText: /^8 m$/}).click();
  want(await text("#table caption") !== caption, `${name}: another height is another table`);

  // The map by keyboard.
  await page.focus("#map-live .touch");
  const before = await text("#readout");
  await page.keyboard.press("Shift+ArrowLeft");
  await page.keyboard.press("Shift+ArrowUp");
  await page.waitForTimeout(500);
  want(await text("#readout") !== before, `${name}: arrow keys move the readout`);

  // A panel: opened, its heading has the focus, Escape closes it and gives the focus back.
  const who = page.locator("button.who").nth(2);
  await who.click();
  want(await page.evaluate(() => document.activeElement.id) === "panel-head", `${name}: the panel's heading has the focus`);
  want(await count(".detail svg text") > 10, `${name}: the budget is drawn`);
  await page.locator(".detail").scrollIntoViewIfNeeded();
  await page.screenshot({path: path.join(pictures, `${name}-panel.png`)});
  await page.keyboard.press("Escape");
  want(await count(".detail") === 0 && await page.evaluate(() => document.activeElement.className) === "who", `${name}: Escape closes the panel`);
  await who.click();

  // The budget's steps sum to what arrives.
  const worst = await page.evaluate(() => {
    const d = JSON.parse(document.getElementById("data").textContent);
    return Math.max(...d.paths.flat().filter(p => p.steps_db).map(p => Math.abs(p.steps_db.reduce((s, r) => s + r[1], 0) - p.arrives_dbm)));
  });
  want(worst < 0.1, `${name}: budgets sum within 0.1 dB (${worst})`);

  // The page never scrolls sideways; what is touched is large enough; one h1.
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  want(wide <= 0, `${name}: ${wide} px wider than the window`);
  const tight = await page.evaluate(() => [...document.querySelectorAll("button, .seg label, select, input[type=search], nav a")].filter(e => e.offsetParent && e.getBoundingClientRect().height < 43.5).map(e => e.textContent.slice(0, 20)));
  want(tight.length === 0, `${name}: under 44 px: ${tight}`);
  want(await count("h1") === 1, `${name}: one h1`);
  await page.screenshot({path: path.join(pictures, `${name}.png`), fullPage: true});
  for (const part of ["map", "listeners", "height", "coverage"])
    await page.locator("#" + part).screenshot({path: path.join(pictures, `${name}-${part}.png`)});
  want(heard.length === 0, `${name}: the console says ${heard}`);
  want(asked.length === 0, `${name}: the page asks for ${asked}`);
  await context.close();
}

async function plain(browser) {
  const context = await browser.newContext({viewport: {width: 1280, height: 900}, javaScriptEnabled: false});
  const page = await context.newPage();
  await page.goto(url);
  want(await page.locator("#table tbody tr").count() === 13, "without a script: the whole table");
  want(await page.locator("#map-picture img").isVisible(), "without a script: the map");
  await page.screenshot({path: path.join(pictures, "no-script.png"), fullPage: true});
  await context.close();
}

async function print(browser) {
  const page = await browser.newPage({viewport: {width: 680, height: 900}}); // A4 less its margins
  await page.goto(url);
  await page.waitForSelector("#map-live canvas");
  await page.locator("button.who").nth(2).click();
  await page.emulateMedia({media: "print"});
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  want(wide <= 1, `printed: ${wide} px wider than the paper`);
  want(!(await page.locator("nav").isVisible()) && !(await page.locator("#map-tools").isVisible()), "printed: no controls");
  await page.screenshot({path: path.join(pictures, "print.png"), fullPage: true});
  await page.pdf({path: path.join(pictures, "print.pdf"), format: "A4", preferCSSPageSize: true});
  await page.close();
}

(async () => {
  const browser = await chromium.launch({executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu"]});
  for (const width of [390, 1280]) for (const scheme of ["light", "dark"]) await look(browser, width, scheme);
  await plain(browser);
  await print(browser);
  await browser.close();
  console.log(`${passed} passed, ${failed} failed`);
  process.exit(failed ? 1 : 0);
})().catch(e => { console.log(String(e)); process.exit(1); });
