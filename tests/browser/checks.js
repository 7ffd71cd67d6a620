// What a page must be, looked at in the browser. Each check returns what is wrong, as a list of sentences.
// The functions run inside the page: they may use nothing from outside themselves.

/** Charts, drawings and tables that show nothing. */
export function emptyCharts() {
  const wrong = [];
  const filled = (shape) => {
    const box = shape.getBBox();
    return box.width > 0 && box.height > 0;
  };
  const seen = (element) => element.getClientRects().length > 0;
  const need = (selector, what, isFull) => {
    const found = [...document.querySelectorAll(selector)].filter(seen);
    if (found.length === 0) wrong.push(`no ${what} (${selector})`);
    found.forEach((element, i) => {
      if (!isFull(element)) wrong.push(`${what} ${i + 1} is empty (${selector})`);
    });
  };
  const height = (element) => element.getBoundingClientRect().height > 40;
  if (document.querySelector("#log")) {
    const columns = [...document.querySelectorAll(".bars")];
    if (columns.length !== 4) wrong.push(`the log has ${columns.length} columns of bars, not 4`);
    // A part without a core has no core to show; every part has walls, bonds and times.
    const empty = columns.filter((column) => !filled(column.querySelector("path.there")));
    if (empty.length > 1) wrong.push(`${empty.length} columns of the log are empty`);
    need(".bars", "column of the log", height);
    need(".scale .tick", "mark of the height scale", (tick) => tick.textContent.trim() !== "");
    need("figure.layer svg.plan", "drawing of a layer", (svg) =>
      [...svg.querySelectorAll("path.bead")].some(filled));
    need(".job table tr", "row of the job sheet", (row) => row.textContent.trim() !== "");
  }
  if (document.querySelector(".holding")) {
    need(".mode-bar", "bar of a load case", (svg) => filled(svg.querySelector("rect.there")));
  }
  if (document.querySelector(".effects")) {
    const bars = [...document.querySelectorAll(".effect rect")].filter(filled);
    if (bars.length < 4) wrong.push(`only ${bars.length} bars of the effects show anything`);
    need(".effect .what", "change", (what) => what.textContent.trim() !== "");
    need(".settings tbody tr", "row of settings", (row) => row.cells.length > 1);
  } else {
    need("svg.strata", "section", (svg) => [...svg.querySelectorAll("rect")].some(filled));
  }
  if (document.querySelector(".chart")) {
    need(".plot .point", "point of the chart", (point) => point.textContent.trim() !== "");
    need(".compare tbody tr", "row of the table", (row) => row.cells.length > 2);
  }
  return wrong;
}

/** Pairs of texts that lie on each other, and texts that are cut off by the edge of the page. */
export function overlappingText() {
  const pieces = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const parent = node.parentElement;
    if (!node.textContent.trim() || parent.closest("script, style")) continue;
    // What is folded away has a place as well, but nobody sees it.
    if (!parent.checkVisibility({ visibilityProperty: true })) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) {
      // Lines are taller than letters: the middle of each is what is read.
      const trim = box.height * 0.2;
      if (box.width > 1 && box.height > 1) {
        pieces.push({ node, left: box.left, right: box.right, top: box.top + trim, bottom: box.bottom - trim });
      }
    }
  }
  const wrong = [];
  const name = (piece) => JSON.stringify(piece.node.textContent.trim().slice(0, 30));
  pieces.sort((a, b) => a.top - b.top);
  for (let i = 0; i < pieces.length; i += 1) {
    const a = pieces[i];
    for (let j = i + 1; j < pieces.length && pieces[j].top < a.bottom; j += 1) {
      const b = pieces[j];
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (a.node !== b.node && wide > 1 && high > 1) wrong.push(`${name(a)} lies on ${name(b)}`);
    }
  }
  const width = document.documentElement.clientWidth;
  for (const piece of pieces) {
    const scrolls = piece.node.parentElement.closest(".wide");
    if (!scrolls && (piece.left < -0.5 || piece.right > width + 0.5)) wrong.push(`${name(piece)} is cut off`);
  }
  if (document.documentElement.scrollWidth > width + 1) {
    wrong.push(`the page is ${document.documentElement.scrollWidth} wide in a window of ${width}`);
  }
  return wrong;
}
