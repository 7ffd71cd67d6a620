// The report pages at phone, desk and paper size: nothing empty, nothing on top of anything else, no script errors, no
// requests, no barriers.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { launch, open, pagesIn, removePages, sizes, writePages } from "./browser.js";
import { emptyCharts, overlappingText } from "./checks.js";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
let browser;
let folder;

before(async () => {
  folder = writePages();
  browser = await launch();
});
after(async () => {
  await browser?.close();
  if (folder) removePages(folder);
});

/** Runs `look` on every page at every size. */
async function everywhere(look) {
  const names = pagesIn(folder);
  assert.ok(names.length >= 6, `few pages: ${names}`);
  for (const name of names) {
    for (const size of Object.keys(sizes)) {
      const opened = await open(browser, folder, name, size);
      await look(opened, `${name} at ${size} size`);
      await opened.close();
    }
  }
}

test("no chart is empty, no text lies on another, no script fails, nothing is asked of a network", async () => {
  await everywhere(async ({ page, faults }, where) => {
    assert.deepEqual(await page.evaluate(emptyCharts), [], where);
    assert.deepEqual(await page.evaluate(overlappingText), [], where);
    assert.deepEqual(faults, [], where);
  });
});

test("nothing is a barrier to anybody", async () => {
  await everywhere(async ({ page }, where) => {
    // The page forbids itself foreign scripts; the checker comes in from outside.
    const { violations } = await page.evaluate(`${axe}; axe.run(document, { resultTypes: ["violations"] })`);
    const told = violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 90)).join(" | ")}`);
    assert.deepEqual(told, [], where);
  });
});

test("the checks can fail", async () => {
  const { page, close } = await open(browser, folder, "bearing-drift.html", "desk");
  await page.evaluate(() => {
    for (const path of document.querySelectorAll("path.there, path.bead")) path.setAttribute("d", "");
  });
  assert.match((await page.evaluate(emptyCharts)).join("\n"), /columns of the log are empty[^]*drawing of a layer/);
  await page.evaluate(() => {
    const { left, top } = document.querySelector(".key dd").getBoundingClientRect();
    document.querySelector("h2").style.cssText = `position: absolute; left: ${left}px; top: ${top}px; margin: 0`;
    document.querySelector("h1").style.marginLeft = "-60rem";
  });
  assert.match((await page.evaluate(overlappingText)).join("\n"), /lies on[^]*cut off/);
  await close();
});

test("the job sheet says where it stops and what goes in", async () => {
  const { page, close } = await open(browser, folder, "stops.html", "paper");
  const stops = page.locator("table.stops tr");
  assert.equal(await stops.count(), 2, "a head and one stop");
  assert.match(await stops.last().innerText(), /north pole up/);
  assert.match(await page.locator(".job").innerText(), /pacemakers/);
  await close();
});

test("advice says what to set, and what settings cannot do", async () => {
  const mended = await open(browser, folder, "advise.html", "desk");
  assert.equal(await mended.page.locator(".stairs .wanted").count(), 1);
  assert.ok((await mended.page.locator(".point.chosen").count()) === 1, "the best is ringed");
  assert.match(await mended.page.locator(".cautions").innerText(), /eye protection/);
  await mended.close();
  const beyond = await open(browser, folder, "advise-beyond.html", "paper");
  assert.match(await beyond.page.locator("main").innerText(), /What settings cannot do[^]*turn the part/);
  await beyond.close();
});

test("the page says the same without script", async () => {
  for (const name of pagesIn(folder)) {
    const { page, close } = await open(browser, folder, name, "desk", { javaScriptEnabled: false });
    const text = await page.locator("main").innerText();
    assert.match(text, /press tool|tray|Slices side by side|not checked|what to set|settings reach/i, name);
    assert.ok(await page.locator("svg").first().isVisible(), name);
    assert.equal(await page.locator(".reading").count(), 0, "only script reads off");
    await close();
  }
});

test("a pointer and the keys read layers off", async () => {
  const { page, faults, close } = await open(browser, folder, "bearing-drift.html", "desk");
  const column = page.locator(".bars").first();
  await column.scrollIntoViewIfNeeded();
  const box = await column.boundingBox();
  await page.mouse.move(box.x + 10, box.y + box.height - 2);
  assert.match(await page.locator(".reading").innerText(), /^Layer 0: z 0\.25 mm, walls 2/);
  await page.mouse.move(box.x + 10, box.y + 2);
  assert.match(await page.locator(".reading").innerText(), /^Layer 71: z 18 mm/);
  await page.locator("#log").focus();
  await page.keyboard.press("End");
  await page.keyboard.press("ArrowUp");
  assert.match(await page.locator(".reading").innerText(), /^Layer 1: z 0\.5 mm/);
  assert.deepEqual(faults, []);
  await close();
});

test("an audit prints on two sheets of paper", async () => {
  for (const format of ["A4", "Letter"]) {
    for (const name of pagesIn(folder).filter((n) => !/^(compare|advise)/.test(n))) {
      const { page, close } = await open(browser, folder, name, "desk");
      const pdf = await page.pdf({ format, preferCSSPageSize: false, printBackground: true });
      const sheets = pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g).length;
      assert.equal(sheets, 2, `${name} on ${format}`);
      await close();
    }
  }
});
