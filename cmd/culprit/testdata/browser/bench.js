// Works through whole jobs on the bench page in Chromium:
// node bench.js FOLDER-or-"" ADDRESS FOLDER-FOR-HTML
// By keyboard and by touch, at three widths, light and dark, with and without script.
// Held are: it gets to its end; the keyboard is always seen and never covered; axe
// finds no violation; what is pressed is large enough; nothing is wider than the
// page; no message on the console. HTML for the validator is left in the last folder.
"use strict";
const fs = require("fs");
const path = require("path");
const puppeteer = require("puppeteer-core");
const axe = require("axe-core").source;
const { inPage } = require("./drawings.js");
const { Hand } = require("./hand.js");

const runs = [
  { width: 390, script: true, by: "touch", scheme: "light" },
  { width: 390, script: false, by: "keyboard", scheme: "dark" },
  { width: 820, script: true, by: "touch", scheme: "dark" },
  { width: 820, script: false, by: "touch", scheme: "light" },
  { width: 1280, script: true, by: "keyboard", scheme: "light" },
  { width: 1280, script: false, by: "keyboard", scheme: "dark" },
];
const wrong = [];

async function wholeJob(browser, address, run, keep, html) {
  const name = `${run.width} ${run.by} ${run.scheme}${run.script ? "" : ", no script"}`;
  const tell = (text) => wrong.push(`${name}: ${text}`);
  const page = await browser.newPage();
  // That a page came with the status of a refusal is told on the console of the browser.
  page.on("console", (m) => { if (run.script || !m.text().includes("status of 422")) tell(`console: ${m.text()}`); });
  page.on("pageerror", (e) => tell(`error: ${e.message}`));
  page.on("request", (r) => { if (!r.url().startsWith(address)) tell(`asked for ${r.url()}`); });
  await page.setJavaScriptEnabled(run.script);
  await page.setViewport({ width: run.width, height: run.width === 820 ? 1180 : 844, hasTouch: run.by === "touch", isMobile: run.by === "touch" });
  await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: run.scheme }, { name: "prefers-reduced-motion", value: "reduce" }]);
  const hand = new Hand(page, run, tell);
  const says = async (text) => { if (!(await hand.text()).includes(text)) throw new Error(`does not say "${text}": ${(await hand.text()).slice(0, 700)}`); };
  const shot = async (what) => {
    if (keep) await page.screenshot({ path: path.join(keep, `bench-${what}-${run.width}-${run.scheme}${run.script ? "" : "-plain"}.png`) });
  };
  try {
    await page.goto(address);
    await says("Jobs in this folder");
    await hand.type("#name", `Job of ${name}`);
    await hand.choose("#vehicle", "brackenby-1800");
    await hand.press("#new button");
    await says("Readings count only once the car is set up");
    const id = new URL(page.url()).pathname.slice("/job/".length);
    await hand.unfold("set-up-list");
    await hand.yes("engine_warm", false);
    for (const point of ["electrical_load_off", "purge_disconnected", "breather_vented"]) await hand.yes(point);
    await hand.enter("set-up-list");
    await says("Set-up not met");
    await shot("unmet");
    await hand.unfold("set-up-list");
    await hand.yes("engine_warm");
    await hand.enter("set-up-list");
    if ((await hand.text()).includes("Set-up not met")) tell("the set-up is met by now");

    await hand.unfold("idle-and-duty");
    await hand.type("#f-idle_speed", "850");
    await hand.type("#f-valve_duty", "14.4 bar");
    await hand.enter("idle-and-duty");
    await says("is a pressure; here a fraction is wanted");
    if (await page.$eval("#f-valve_duty", (e) => `${e.value} ${e.getAttribute("aria-invalid")}`) !== "14.4 bar true") tell("a refused value does not stay, or does not say so");
    await hand.type("#f-valve_duty", "14.4 deg dwell4");
    await hand.enter("idle-and-duty");
    await says("16.0 %: below by 11 %");
    await shot("entered");
    await hand.unfold("current-at-idle");
    await hand.type("#f-regulator_current", "1650");
    await hand.enter("current-at-idle");
    await says("Is that right?");
    await hand.type("#f-regulator_current", "16.5");
    await hand.enter("current-at-idle");
    if ((await hand.text()).includes("Is that right?")) tell("a value that was put right is still asked about");
    await hand.press('a[data-fault="unmeasured-air"]');
    await says("The current is above its reference");
    if (!await page.$(".opened svg.drawing")) tell("the fault has no chain");
    await shot("fault");
    await look(page, tell, "the job");
    if (run.script) {
      const said = await page.$eval("#said", (e) => e.textContent);
      if (!said.includes("Leading:")) tell(`the live region says ${said}`);
      await crossing(page, hand, address, id, tell);
    }

    await hand.top();
    await hand.press("#repair summary");
    await hand.tick("unmeasured-air");
    await hand.type("#found", "boot split behind the plate");
    await hand.press('#repair button:not(.second)');
    await says("Repair done, before and after");
    await says("boot split behind the plate");
    await hand.unfold("set-up-list");
    for (const point of ["engine_warm", "electrical_load_off", "purge_disconnected", "breather_vented"]) await hand.yes(point);
    await hand.enter("set-up-list");
    await hand.unfold("current-at-idle");
    await hand.type("#f-regulator_current", "10.4");
    await hand.enter("current-at-idle");
    await says("changed, now in");
    await shot("after");
    await look(page, tell, "after the repair");
    await hand.top();
    await hand.press(".bar a.print");
    await says("Job sheet");
    await says("Repair done, before and after");
    if (run.script) await axeOn(browser, run, tell, [`${address}/`, `${address}/job/${id}?open=throttle-gummed`, `${address}/compare?a=${id}&b=${id}`, `${address}/nowhere`]);
    if (run.width === 1280 && run.script) await leave(address, id, html);
  } catch (e) {
    tell(e.message);
    await shot("stuck");
  }
  await page.close();
}

// crossing: somebody else enters the same reading; the second is told and decides.
async function crossing(page, hand, address, id, tell) {
  const text = await (await fetch(`${address}/job/${id}`)).text();
  const hidden = (name) => text.match(new RegExp(`name="${name}" value="([^"]*)"`))[1];
  const body = new URLSearchParams({ token: hidden("token"), rev: hidden("rev"), set: "1", check: "timing", "r.timing_idle": "12", "was.timing_idle": "" });
  await fetch(`${address}/job/${id}/readings`, { method: "POST", body });
  await hand.unfold("timing");
  await hand.type("#f-timing_idle", "8");
  await hand.enter("timing");
  if (!(await hand.text()).includes("Changed in two windows")) { tell("the second of two windows is not told"); return; }
  if (await page.evaluate(() => document.activeElement.tagName) !== "H1") tell("the conflict does not have the keyboard");
  await hand.press("main a.go");
}

// look holds a page as it stands.
async function look(page, tell, what) {
  const facts = await page.evaluate(inPage);
  for (const f of facts) if (f !== "there is a script") tell(`${what}: ${f}`);
  const small = await page.evaluate(() => {
    const seen = (e) => e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 1;
    return [...document.querySelectorAll("a, button, summary, select, textarea, input:not([type=hidden])")].filter(seen)
      .map((e) => ({ e, r: (e.closest("label") || e).getBoundingClientRect() })).filter(({ e, r }) => r.height < 44 && !e.matches(".skip"))
      .map(({ e, r }) => `${Math.round(r.height)} px: ${e.outerHTML.slice(0, 70)}`);
  });
  small.slice(0, 4).forEach((s) => tell(`${what}: too small to press, ${s}`));
}

// axeOn looks at pages once more for axe, which their own policy would not let in.
async function axeOn(browser, run, tell, urls) {
  for (const url of urls) {
    const page = await browser.newPage();
    await page.setBypassCSP(true);
    await page.setViewport({ width: run.width, height: 900 });
    await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: run.scheme }]);
    await page.goto(url);
    await page.evaluate(() => document.querySelectorAll("details").forEach((d) => { d.open = true; }));
    await page.evaluate(axe);
    const found = await page.evaluate(() => axe.run(document, {
      runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"], resultTypes: ["violations"],
    }));
    for (const v of found.violations) tell(`axe on ${new URL(url).pathname}: ${v.id}: ${v.help}: ${v.nodes[0].html.slice(0, 160)}`);
    await page.close();
  }
}

// leave writes pages as they are sent, for the validator.
async function leave(address, id, html) {
  const pages = { start: "/", job: `/job/${id}?open=unmeasured-air&at=co`, compare: `/compare?a=${id}&b=${id}`, nowhere: "/nowhere", sheet: `/job/${id}/sheet` };
  for (const [name, url] of Object.entries(pages)) fs.writeFileSync(path.join(html, `bench-${name}.html`), await (await fetch(address + url)).text());
  const text = fs.readFileSync(path.join(html, "bench-job.html"), "utf8");
  const token = text.match(/name="token" value="([^"]*)"/)[1];
  const send = async (name, fields) => {
    const r = await fetch(`${address}/job/${id}/readings`, { method: "POST", body: new URLSearchParams({ token, rev: "-", check: "gases-at-idle", ...fields }) });
    fs.writeFileSync(path.join(html, `bench-${name}.html`), await r.text());
  };
  await send("refused", { set: "2", "r.co": "lots", "was.co": "", "r.co2": "144", "was.co2": "" });
  await send("conflict", { set: "2", "r.co2": "14", "was.co2": "" });
  await send("other-set", { set: "1", "r.hc": "300", "was.hc": "" });
}

(async () => {
  const [keep, address, html] = process.argv.slice(2);
  const browser = await puppeteer.launch({ executablePath: process.env.CHROMIUM, args: ["--no-sandbox"], headless: true });
  try {
    // Three at a time: each waits for its page most of the time.
    const line = [...runs];
    await Promise.all([1, 2, 3].map(async () => {
      for (let run = line.shift(); run; run = line.shift()) await wholeJob(await browser.createBrowserContext(), address, run, keep, html);
    }));
  } finally {
    await browser.close();
  }
  wrong.forEach((w) => console.log(w));
  console.log(`${runs.length} whole jobs on the bench page, by keyboard and touch: ${wrong.length} found wrong`);
  process.exitCode = wrong.length ? 1 : 0;
})();
