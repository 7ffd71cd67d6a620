"use strict";
// Reads the core log off at a pointer or with the arrow keys. Nothing on the page needs it.
(() => {
  const log = document.getElementById("log");
  const data = document.getElementById("readings");
  if (!log || !data) return;
  const { length, area, layers, box, traces } = JSON.parse(data.textContent);
  const body = log.querySelector(".log-body");
  if (!body || layers.length === 0) return;

  const bar = document.createElement("div");
  bar.className = "reading-bar";
  const reading = document.createElement("p");
  reading.className = "reading";
  reading.setAttribute("role", "status");
  const svg = (name) => document.createElementNS(document.querySelector("svg").namespaceURI, name);
  const drawing = svg("svg");
  const margin = Math.max(...box) * 0.03;
  drawing.setAttribute("viewBox", `${-margin} ${-margin} ${box[0] + 2 * margin} ${box[1] + 2 * margin}`);
  drawing.setAttribute("class", "trace");
  drawing.setAttribute("aria-hidden", "true");
  const path = svg("path");
  drawing.append(path);
  bar.append(reading, drawing);
  reading.textContent = "Point at the log, or use the arrow keys in it, to read a layer off.";
  log.before(bar);

  const line = document.createElement("div");
  line.className = "reading-line";
  line.hidden = true;
  log.append(line);

  let place = layers.length - 1;
  const known = (value, unit) => (value === null ? "–" : `${value} ${unit}`);
  const show = () => {
    const [index, share, z, walls, thickness, core, bond, time] = layers[place];
    reading.textContent =
      `Layer ${index}: z ${z} ${length}, walls ${walls ?? "–"}, ${known(thickness, length)} thick, ` +
      `core ${known(core, "%")}, bond ${known(bond, area)}, ${time} s`;
    line.hidden = false;
    line.style.top = `${body.offsetTop + share * body.offsetHeight}px`;
    // A layer without a trace of its own looks like the one below.
    const trace = traces.findLast(([traced]) => traced <= index);
    path.setAttribute("d", trace ? trace[1] : "");
    for (const figure of document.querySelectorAll("figure.layer")) {
      figure.classList.toggle("picked", figure.dataset.layer === String(index));
    }
  };

  log.tabIndex = 0;
  log.setAttribute("role", "group");
  log.setAttribute("aria-label", "core log; arrow keys read layers off");
  log.addEventListener("pointermove", (event) => {
    const box = body.getBoundingClientRect();
    const share = (event.clientY - box.top) / box.height;
    if (share < 0 || share > 1) return;
    const found = layers.findIndex(([, upper]) => upper <= share);
    place = found < 0 ? layers.length - 1 : found;
    show();
  });
  log.addEventListener("keydown", (event) => {
    const steps = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10, Home: Infinity, End: -Infinity };
    if (!(event.key in steps)) return;
    event.preventDefault();
    place = Math.min(layers.length - 1, Math.max(0, place + steps[event.key]));
    show();
  });
})();
