// A browser for tests: Chromium as the system has it, with nothing to ask of any network.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const project = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
const program = process.env.BEADWISE ?? join(project, "target", "debug", "beadwise");

export const sizes = {
  phone: { width: 360, height: 740 },
  desk: { width: 1280, height: 900 },
  paper: { width: 718, height: 1043 }, // A4 less its margins, in CSS pixels
};

/** Starts the browser. */
export function launch() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
}

/** Writes the pages of the samples; returns their folder. */
export function writePages() {
  const folder = mkdtempSync(join(tmpdir(), "beadwise-pages-"));
  const samples = readdirSync(join(project, "sample-gcode")).filter((name) => name.endsWith(".gcode"));
  const run = (...args) => {
    try {
      execFileSync(program, args, { cwd: project, stdio: ["ignore", "ignore", "pipe"], env: { ...process.env, XDG_CONFIG_HOME: folder } });
    } catch (error) {
      // 1 is the answer that a part fails its check.
      if (error.status !== 1) throw new Error(`${args.join(" ")}: ${error.stderr}`);
    }
  };
  for (const name of samples) {
    run("audit", join("sample-gcode", name), "--for", "press-tool", "--material", "petg", "--report", folder);
  }
  const drifts = ["sample-gcode/bearing-drift.gcode", "sample-gcode/bearing-drift-stout.gcode"];
  run("compare", ...drifts, "--material", "petg", "--report", join(folder, "compare.html"));
  const press = ["--load", "press; force = 3 kN; face = top; ring = 20 x 30", "--for", "press-tool", "--material", "petg"];
  run("compare", ...drifts, ...press, "--report", join(folder, "compare-loaded.html"));
  run("audit", drifts[1], ...press, "--report", join(folder, "loaded.html"));
  const advise = (load, name, ...more) =>
    run("advise", "sample-gcode/rotor-gauge.gcode", "--material", "petg", "--load", load, ...more, "--report", join(folder, name));
  advise("pull; force = 300 N; axis = x", "advise.html", "--for", "gauge", "--reserve", "2");
  advise("pull; force = 9 kN; axis = z", "advise-beyond.html", "--units", "inch");
  const stops = join(folder, "stops.gcode");
  run("embed", "sample-gcode/magnet-tray.gcode", "--insert", "disc-6x2", "--note", "north pole up", "-o", stops);
  run("audit", stops, "--for", "tray", "--material", "petg", "--report", folder);
  const plain = join(folder, "plain.html");
  run("audit", "sample-gcode/axle-vice-jaw.gcode", "--units", "inch", "--report", plain);
  return folder;
}

/** Pages in a folder. */
export const pagesIn = (folder) => readdirSync(folder).filter((name) => name.endsWith(".html")).sort();

export const removePages = (folder) => rmSync(folder, { recursive: true, force: true });

/** Opens a page at a size; `faults` gathers script errors and requests as they come. */
export async function open(browser, folder, name, size, options = {}) {
  const context = await browser.newContext({ viewport: sizes[size], ...options });
  const page = await context.newPage();
  const faults = [];
  page.on("pageerror", (error) => faults.push(`script error: ${error.message}`));
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) faults.push(`console: ${message.text()}`);
  });
  const address = `file://${join(folder, name)}`;
  page.on("request", (request) => {
    if (request.url() !== address && !request.url().startsWith("data:")) faults.push(`asks for ${request.url()}`);
  });
  if (size === "paper") await page.emulateMedia({ media: "print" });
  await page.goto(address);
  return { page, faults, close: () => context.close() };
}
