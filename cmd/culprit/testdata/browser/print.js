// Looks at what a sheet is on paper: black on white, no drawing cut at the edge of
// a page, no heading left behind at its foot, table headings on every page that goes
// on with the table, and the room for signing whole and not alone.
"use strict";
const fs = require("fs");
const os = require("os");
const path = require("path");
const { execFileSync } = require("child_process");
const { inPage } = require("./drawings.js");

const sizes = { A4: [210, 297], Letter: [215.9, 279.4] }; // mm: ISO 216, ANSI/ASME Y14.1
const margin = { side: 14, top: 14, bottom: 16 }; // mm, as in the stylesheet

async function lookAtPrint(browser, file, paper, keep) {
  const out = [];
  const page = await browser.newPage();
  await page.emulateMediaType("print");
  const [w] = sizes[paper];
  await page.setViewport({ width: Math.round(((w - 2 * margin.side) / 25.4) * 96), height: 1000 });
  await page.goto("file://" + path.resolve(file));
  out.push(...(await page.evaluate(inPage)));
  const colours = await page.evaluate(() => {
    const s = getComputedStyle(document.body), r = getComputedStyle(document.documentElement);
    return [s.color, r.backgroundColor];
  });
  if (colours.join() !== "rgb(0, 0, 0),rgb(255, 255, 255)") out.push(`not black on white: ${colours.join(" on ")}`);
  const headings = await page.evaluate(() => [...document.querySelectorAll("h2, h3")].map((h) => h.textContent.trim().replace(/\s+/g, " ")));
  const drawings = await page.evaluate(() => [...document.querySelectorAll("svg.drawing")].filter((e) => e.getBoundingClientRect().width > 0)
    .map((e) => [...e.querySelectorAll("text")].map((t) => t.textContent)));
  const pdf = path.join(keep || fs.mkdtempSync(path.join(os.tmpdir(), "look-")), `${path.basename(file, ".html")}-${paper}.pdf`);
  await page.pdf({ path: pdf, format: paper, preferCSSPageSize: false });
  await page.close();
  out.push(...pages(pdf, headings, drawings));
  if (!keep) fs.rmSync(path.dirname(pdf), { recursive: true });
  return out;
}

// pages reads a PDF page by page. Without pdftotext only the rest was looked at.
function pages(pdf, headings, drawings) {
  let text;
  try {
    text = execFileSync("pdftotext", ["-layout", pdf, "-"], { encoding: "utf8", maxBuffer: 1 << 26 });
  } catch (e) {
    if (e.code === "ENOENT") return [];
    throw e;
  }
  const out = [];
  const all = text.split("\f").slice(0, -1).map((p) => p.split("\n").map((l) => l.trim().replace(/\s+/g, " ")).filter((l) => l));
  all.forEach((lines, i) => {
    const number = lines.pop();
    if (number.replace(/ /g, "") !== `${i + 1}/${all.length}`) out.push(`page ${i + 1} ends with ${number}`);
    // How common a fault is stands under its heading and belongs to it.
    const last = lines[lines.length - (/ before any reading/.test(lines[lines.length - 1]) ? 2 : 1)];
    if (headings.includes(last)) out.push(`page ${i + 1} ends with the heading ${last}`);
    const signed = lines.findIndex((l) => /signed$/i.test(l));
    if (signed === 0) out.push(`page ${i + 1} has nothing but the room for signing`);
    if (signed > 0 && !lines.slice(signed).includes("Customer")) out.push(`the room for signing goes over page ${i + 1}`);
  });
  if (!all.some((lines) => lines.includes("Customer"))) out.push("no room for signing was found");
  // A drawing is whole on a page that has all of its words.
  for (const words of drawings) {
    const whole = all.some((lines) => words.every((t) => lines.some((l) => l.includes(t.trim().replace(/\s+/g, " ")))));
    if (!whole) out.push(`a drawing is cut: ${words.slice(0, 3).join(" ")}`);
  }
  // A table that goes over a page has its headings again.
  all.forEach((lines, i) => {
    const limits = lines.filter((l) => /limits: /.test(l)).length;
    if (limits > 1 && !lines.some((l) => /Against its limits$/.test(l))) out.push(`page ${i + 1} has readings without the headings of their table`);
  });
  return out;
}

module.exports = { lookAtPrint };
