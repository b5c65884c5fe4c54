// What is looked at inside a page. inPage runs in the browser and needs nothing from
// outside itself; it gives what is wrong, in words.
"use strict";

function inPage() {
  const out = [];
  const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (wide > 0) out.push(`wider than the page by ${wide}`);
  if (document.querySelector("script")) out.push("there is a script");

  const seen = (e) => e.getBoundingClientRect().width > 0;
  const texts = [...document.querySelectorAll("svg text")].filter(seen);
  if (document.querySelector("svg") && texts.length === 0) out.push("no drawing has text");

  // Text stays inside its box, or at least inside its drawing.
  for (const t of texts) {
    const box = t.parentNode.querySelector(":scope > rect") && t.parentNode.tagName === "g" ? t.parentNode.querySelector("rect") : t.ownerSVGElement;
    const a = t.getBoundingClientRect(), b = box.getBoundingClientRect();
    if (a.left < b.left - 1 || a.right > b.right + 1 || a.top < b.top - 2 || a.bottom > b.bottom + 2) out.push(`text leaves its box: ${t.textContent}`);
  }

  // Contrast of text in drawings (WCAG 2.2, 1.4.3: relative luminance and ratio).
  const luminance = (css) => {
    const [r, g, b] = css.match(/[\d.]+/g).map((x) => { x /= 255; return x <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (a, b) => { const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
  const paper = getComputedStyle(document.documentElement).backgroundColor;
  for (const t of texts) {
    const rect = t.parentNode.tagName === "g" && t.parentNode.querySelector("rect");
    const r = ratio(getComputedStyle(t).fill, rect ? getComputedStyle(rect).fill : paper);
    if (!(r >= 4.5)) out.push(`contrast ${r.toFixed(2)}: ${t.textContent}`);
  }
  // Parts of drawings that carry the meaning (1.4.11): 3 to 1 against the paper.
  for (const [what, side] of [[".gauge .now", "stroke"], [".gauge .away", "stroke"], [".gauge .limit", "stroke"], [".gauge .scale", "stroke"],
    [".share .full", "fill"], [".weight .for", "fill"], [".weight .against", "stroke"], [".weight .zero", "stroke"], [".drawing .way", "stroke"]]) {
    for (const e of document.querySelectorAll(what)) {
      const r = ratio(getComputedStyle(e)[e.tagName === "polygon" ? "fill" : side], paper);
      if (!(r >= 3)) { out.push(`contrast ${r.toFixed(2)} of ${what}`); break; }
    }
  }

  // Each drawing is either told in words or hidden from those who cannot see it.
  for (const svg of document.querySelectorAll("svg")) {
    const told = svg.getAttribute("role") === "img" && svg.querySelector("title")?.textContent && svg.querySelector("desc")?.textContent;
    if (svg.getAttribute("aria-hidden") !== "true" && !told) out.push("a drawing without words");
  }
  // Of the two forms of a chain one is shown.
  for (const f of document.querySelectorAll("figure.chain")) {
    const n = [...f.querySelectorAll("svg")].filter(seen).length;
    if (n !== 1) out.push(`${n} drawings of a chain are shown`);
  }
  return out;
}

module.exports = { inPage };
