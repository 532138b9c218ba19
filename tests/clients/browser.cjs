// The pages in a real browser: no error, no request to anywhere, sorting and
// finding, 320 pixels, the keyboard, an accessibility checker (axe-core), and
// print on A4 and Letter. Usage: browser.cjs CHROMIUM FOLDER, where NODE_PATH
// leads to playwright-core and axe-core.
const fs = require("fs");
const path = require("path");
const { execFileSync } = require("child_process");
const { chromium } = require("playwright-core");
const axe = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const [named, folder] = process.argv.slice(2);
// The driver wants a path and no name.
const program = named.includes("/") ? named : (process.env.PATH || "").split(":")
  .map((place) => path.join(place, named)).find((file) => fs.existsSync(file)) || named;
const faults = [];
const fault = (where, what) => faults.push(`${where}: ${what}`);

function pagesOf(folder, inner = "") {
  const found = [];
  for (const entry of fs.readdirSync(path.join(folder, inner), { withFileTypes: true })) {
    const name = path.join(inner, entry.name);
    if (entry.isDirectory()) found.push(...pagesOf(folder, name));
    else if (name.endsWith(".html")) found.push(name);
  }
  return found.sort();
}

// A browser gives its own figures; these are worked out from the text alone.
const figure = (text) => {
  const match = /-?[0-9][0-9,]*(\.[0-9]+)?/.exec(text);
  return match ? Number(match[0].replace(/,/g, "")) : -Infinity;
};

async function watched(context, name) {
  const page = await context.newPage();
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) fault(name, `console: ${message.text()}`);
  });
  page.on("pageerror", (error) => fault(name, `script: ${error}`));
  page.on("request", (request) => {
    if (!/^(file|data):/.test(request.url())) fault(name, `asks for ${request.url()}`);
  });
  await page.goto("file://" + path.resolve(folder, name));
  return page;
}

async function sorting(page, name) {
  const tables = await page.$$(".table.long");
  for (const region of tables) {
    const heads = await region.$$eval("thead th", (cells) =>
      cells.map((cell) => [cell.textContent, cell.classList.contains("n")]));
    const column = (at) => region.$$eval("tbody tr", (rows, at) =>
      rows.map((row) => row.cells[at].textContent), at);
    const buttons = await region.$$("thead button");
    if (buttons.length !== heads.length) {
      if ((await column(0)).length > 1) fault(name, "a long table without sort buttons");
      continue;
    }
    for (let at = 0; at < heads.length; at++) {
      const before = await column(at);
      for (const way of [1, -1]) {
        await buttons[at].click();
        const key = heads[at][1] ? figure : (text) => text.toLowerCase();
        const compare = (a, b) => (key(a) < key(b) ? -way : key(a) > key(b) ? way : 0);
        const expected = [...before].sort(compare).map(key);
        const found = (await column(at)).map(key);
        if (JSON.stringify(found) !== JSON.stringify(expected)) {
          fault(name, `column ${heads[at][0]} does not sort`);
        }
      }
    }
    const wanted = (await column(0))[0].toLowerCase();
    const all = await region.$$eval("tbody tr", (rows) => rows.map((row) => row.textContent.toLowerCase()));
    const input = await region.evaluateHandle((region) => region.previousElementSibling.querySelector("input"));
    await input.fill(wanted);
    const shown = await region.$$eval("tbody tr", (rows) => rows.filter((row) => row.checkVisibility()).length);
    if (shown !== all.filter((text) => text.includes(wanted)).length) fault(name, "finding a row");
    await input.fill("");
  }
  return tables.length;
}

async function keyboard(page, name) {
  const count = await page.$$eval("a[href], button, input, summary, [tabindex='0']", (all) => {
    const seen = all.filter((one) => one.checkVisibility());
    seen.forEach((one, at) => { one.dataset.stop = at; });
    return seen.length;
  });
  const reached = new Set();
  for (let press = 0; press < count + 5; press++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => document.activeElement && document.activeElement.dataset.stop);
    if (at !== undefined && at !== null) reached.add(at);
  }
  if (reached.size !== count) fault(name, `the keyboard reaches ${reached.size} of ${count}`);
}

async function print(page, name, format) {
  const file = path.join(folder, `print-${format}.pdf`);
  await page.pdf({ path: file, format, printBackground: true, preferCSSPageSize: false });
  const layout = execFileSync("pdftotext", ["-bbox-layout", file, "-"], { maxBuffer: 1 << 28 }).toString();
  const heads = await page.$$eval("h1, h2, h3, caption, figcaption, thead th", (all) =>
    all.map((one) => one.textContent.trim()));
  const isHead = new Set(heads);
  let lines = 0;
  for (const sheet of layout.split("<page ").slice(1)) {
    const tall = Number(/height="([0-9.]+)"/.exec(sheet)[1]);
    const wide = Number(/width="([0-9.]+)"/.exec(sheet)[1]);
    // The lowest row of text; a head is alone there when all of it is heads.
    let last = { y: -1, texts: [] };
    for (const line of sheet.split("<line ").slice(1)) {
      const [, x0, y0, x1, y1] = /xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)"/.exec(line).map(Number);
      const text = [...line.matchAll(/<word [^>]*>([^<]*)</g)].map((word) => word[1]).join(" ");
      lines++;
      if (y0 < 10 || y1 > tall - 10 || x0 < 10 || x1 > wide - 8) fault(name, `${format}: cut at an edge: ${text}`);
      if (y1 > last.y + 2) last = { y: y1, texts: [text] };
      else if (y1 > last.y - 2) last.texts.push(text);
    }
    if (last.texts.every((text) => isHead.has(text))) {
      fault(name, `${format}: a head alone at the foot of a page: ${last.texts.join(" | ")}`);
    }
  }
  fs.unlinkSync(file);
  if (lines === 0) fault(name, `${format}: nothing printed`);
}

(async () => {
  const browser = await chromium.launch({
    executablePath: program,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
      "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
  const names = pagesOf(folder);
  let sorted = 0;
  for (const name of names) {
    for (const colorScheme of ["light", "dark"]) {
      const context = await browser.newContext({ viewport: { width: 1100, height: 800 }, colorScheme });
      const page = await watched(context, name);
      await page.$$eval("details", (all) => all.forEach((one) => { one.open = true; }));
      // The page's own policy lets no script in but its own; the checker is asked in from outside.
      await page.evaluate(axe);
      const found = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
      for (const violation of found.violations) {
        if (["serious", "critical"].includes(violation.impact)) {
          fault(name, `${colorScheme}: ${violation.id}: ${violation.nodes[0].html.slice(0, 200)}`);
        }
      }
      if (colorScheme === "light") {
        await keyboard(page, name);
        sorted += await sorting(page, name);
        for (const format of ["A4", "Letter"]) await print(page, name, format);
        await page.setViewportSize({ width: 320, height: 700 });
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        if (wide > 320) fault(name, `${wide} pixels wide in a window of 320`);
      }
      await context.close();
    }
    const context = await browser.newContext({ javaScriptEnabled: false });
    const page = await watched(context, name);
    const rows = await page.locator("tr").count();
    const text = fs.readFileSync(path.join(folder, name), "utf8");
    if (rows !== text.split("<tr>").length - 1) fault(name, "without script rows are missing");
    await context.close();
  }
  await browser.close();
  if (names.length === 0) fault(folder, "no page");
  if (sorted === 0) fault(folder, "no table to sort");
  for (const said of faults) console.log(said);
  console.log(`${names.length} pages, ${sorted} sortable tables, ${faults.length} faults`);
  process.exit(faults.length === 0 ? 0 : 1);
})();
