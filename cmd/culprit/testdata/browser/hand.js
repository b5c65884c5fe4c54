// Whoever stands at the bench page: with a keyboard alone, or with a finger.
"use strict";

class Hand {
  constructor(page, run, tell) {
    Object.assign(this, { page, run, tell });
    this.keys = run.by === "keyboard";
  }

  // text is what is read on the page.
  async text() {
    await this.page.waitForSelector("body h1"); // a page that is just coming has none
    return (await this.page.evaluate(() => document.body.innerText)).replace(/\s+/g, " ");
  }

  // settled waits until nothing is asked for any more.
  async settled() {
    await this.page.waitForNetworkIdle({ idleTime: this.run.script ? 120 : 30, timeout: 15000 });
  }

  // goes waits for what pressing leads to: another page, or with script an answer.
  async goes(folds) {
    if (folds) return;
    const page = this.page.waitForNavigation({ timeout: 5000 });
    const ways = this.run.script ? [page, this.page.waitForResponse(() => true, { timeout: 5000 })] : [page];
    await Promise.any(ways).catch(() => {});
  }

  // top goes back to where a page begins, so that a way by Tab is not round the browser.
  async top() {
    await this.page.evaluate(() => { scrollTo(0, 0); document.activeElement?.blur(); getSelection()?.removeAllRanges(); });
  }

  // to brings the keyboard to a part of the page by Tab alone, and looks at each stop.
  async to(selector) {
    const { page } = this;
    if (!await page.$(selector)) throw new Error(`there is no ${selector}`);
    for (let n = 0; n < 400; n++) {
      if (await page.evaluate((s) => document.activeElement?.matches(s), selector)) return;
      await page.keyboard.press("Tab");
      const bad = await page.evaluate(() => {
        const e = document.activeElement;
        if (!e || e === document.body) return "";
        const shown = [e, e.nextElementSibling].some((x) => x && getComputedStyle(x).outlineStyle !== "none" && parseFloat(getComputedStyle(x).outlineWidth) >= 2);
        if (!shown) return `the keyboard is not seen at ${e.outerHTML.slice(0, 80)}`;
        const r = (e.closest("label") || e).getBoundingClientRect();
        const x = r.left + r.width / 2, y = r.top + Math.min(r.height / 2, 20);
        if (y < 0 || y > innerHeight) return `the keyboard is out of sight at ${e.outerHTML.slice(0, 80)}`;
        const top = document.elementFromPoint(x, y);
        const same = top && (e.contains(top) || top.contains(e) || (e.closest("label") || e).contains(top));
        return same ? "" : `the keyboard is covered at ${e.outerHTML.slice(0, 80)} by ${top?.outerHTML.slice(0, 60)}`;
      });
      if (bad) this.tell(bad);
    }
    throw new Error(`the keyboard never gets to ${selector}`);
  }

  // press presses a button, a link or a summary.
  async press(selector) {
    const { page } = this;
    if (this.keys) await this.to(selector);
    const goes = this.goes(selector.includes("summary"));
    if (this.keys) {
      await page.keyboard.press("Enter");
    } else {
      await this.show(selector);
      await page.tap(selector);
    }
    await goes;
    await this.settled();
  }

  async show(selector) {
    await this.page.$eval(selector, (e) => (e.closest("label") || e).scrollIntoView({ block: "center" }));
  }

  // type replaces what stands in a field.
  async type(selector, text) {
    const { page } = this;
    if (this.keys) await this.to(selector);
    else {
      await this.show(selector);
      await page.tap(selector);
    }
    await page.keyboard.down("Control");
    await page.keyboard.press("a");
    await page.keyboard.up("Control");
    await page.keyboard.type(text);
  }

  async choose(selector, value) {
    if (this.keys) {
      await this.to(selector);
      for (let n = 0; n < 30 && await this.page.$eval(selector, (e) => e.value) !== value; n++) await this.page.keyboard.press("ArrowDown");
    }
    await this.page.select(selector, value); // the list itself is the system's
  }

  // unfold opens a check, if it is folded.
  async unfold(check) {
    const selector = `#c-${check} > summary`;
    if (await this.page.$eval(`#c-${check}`, (e) => e.open)) return;
    if (this.keys) {
      await this.to(selector);
      await this.page.keyboard.press("Enter");
    } else {
      await this.show(selector);
      await this.page.tap(selector);
    }
    await this.page.waitForSelector(`#c-${check}[open]`);
  }

  // yes answers a yes/no reading.
  async yes(reading, yes = true) {
    const value = yes ? "yes" : "no";
    const one = `input[name="r.${reading}"]`;
    if (this.keys) {
      await this.to(one);
      for (let n = 0; n < 3 && await this.page.$eval(`${one}:checked`, (e) => e.value) !== value; n++) await this.page.keyboard.press("ArrowRight");
    } else {
      await this.show(`${one}[value="${value}"]`);
      await this.page.tap(`${one}[value="${value}"]`);
    }
    if (this.run.script) await this.settled();
  }

  async tick(fault) {
    const selector = `input[type=checkbox][value="${fault}"]`;
    if (this.keys) {
      await this.to(selector);
      await this.page.keyboard.press("Space");
    } else {
      await this.show(selector);
      await this.page.tap(selector);
    }
  }

  // enter sends the form of a check: by Enter in its field, or by its button.
  async enter(check) {
    const goes = this.goes(false);
    if (this.keys) await this.page.keyboard.press("Enter");
    else {
      await this.show(`#c-${check} .send button`);
      await this.page.tap(`#c-${check} .send button`);
    }
    await goes;
    await this.settled();
  }
}

module.exports = { Hand };
