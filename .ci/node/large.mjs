// A property of 3,000 units and a plan of 20 years on the page, with the network off:
// what it takes until the first screen and the first rows stand, how long the longest
// frame takes while the table is scrolled, and whether memory stays flat over edits.
//   node large.mjs EMBERQUILT [--edits N] [--seconds N]
// --seconds is for the plan that is made first. What is held to a limit is processor
// time, not the clock: on a busy machine the clock counts other programs, too.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { cpus, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import * as driver from "./driver.mjs";
import { args, check, option } from "./driver.mjs";
const edits = Number(option("--edits", "24"));
const seconds = option("--seconds", "4");
const [program] = args;
if (!program) throw new Error("name the program");
const [units, years] = [3000, 20];

// Invented units, the same each time.
const folder = mkdtempSync(join(tmpdir(), "emberquilt-large-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
const environment = { ...process.env, EMBERQUILT_TODAY: "2026-11-25", XDG_CACHE_HOME: join(folder, "cache") };
const run = (...words) => execFileSync(program, words, { env: environment, cwd: folder, encoding: "utf8", maxBuffer: 1 << 26, stdio: ["ignore", "pipe", "ignore"] });
let seed = 7;
const below = (n) => (seed = (seed * 48271) % 2147483647) % n;
let list = "unit,acres,min_interval,max_interval,seasons,cost,cover,estimated_age\n";
for (let i = 1; i <= units; i++) {
  const least = 1 + below(3);
  list += `Unit ${String(i).padStart(4, "0")},${5 + below(115)},${least},${least + 1 + below(3)},${["dormant", "dormant;early-growing:1", "early-growing;dormant:0.5"][below(3)]},${200 + below(2300)},${["tall grass", "oak savanna"][below(2)]},${below(6)}\n`;
}
writeFileSync(join(folder, "units.csv"), list);
writeFileSync(join(folder, "settings.toml"), run("settings", "--example").replace(/^years = .*$/m, `years = ${years}`).replace(/^# acres = .*$/m, "acres = 75000"));
run("new", "large", "--settings", "settings.toml");
run("import", "units.csv", "--property", "large.emberquilt");
run("plan", "--seconds", seconds, "--property", "large.emberquilt");

// The Go runtime tells after each collection what of its heap is in use.
const collected = [];
let begun = ""; // a line of which the rest comes yet
const large = await driver.serve(program, ["large.emberquilt"], {
  env: { ...environment, GODEBUG: "gctrace=1" },
  cwd: folder,
  hears: (part) => {
    const lines = (begun + part).split("\n");
    begun = lines.pop();
    for (const line of lines) {
      const found = /^gc \d+ .*->(\d+) MB, /.exec(line);
      if (found) collected.push(Number(found[1]));
      else if (line) console.error(line);
    }
  },
});
const browser = await driver.launch("--enable-precise-memory-info", "--js-flags=--expose-gc");
const control = await browser.newBrowserCDPSession();
let server = large; // the one that is measured
/** Milliseconds of processor time, of the server and of each process that shows pages. */
const spent = async () => {
  const [, , ...stat] = readFileSync(`/proc/${server.child.pid}/stat`, "utf8").replace(/^.*\)/, "x x").split(" ");
  const { processInfo } = await control.send("SystemInfo.getProcessInfo");
  return { server: 10 * (Number(stat[11]) + Number(stat[12])), page: new Map(processInfo.filter((p) => p.type === "renderer").map((p) => [p.id, 1000 * p.cpuTime])) };
};
/** Opens a screen a few times, after before() each time, and holds the best, until a place
 * stands, against a limit in milliseconds: of processor time, which counts no other program
 * but is longer by what one that runs beside takes of caches, up to twice; and of twice
 * that by the clock, where no other runs. */
async function opened(what, go, place, { most = 1000, times = 3, before = () => {}, after = () => {} } = {}) {
  let [best, clocks] = [null, []];
  for (let i = 0; i < times; i++) {
    before();
    const [was, begun] = [await spent(), Date.now()];
    await go();
    await page.waitForSelector(place);
    clocks.push(Date.now() - begun);
    const is = await spent();
    // Of the browser's processes one shows the page; others are started to be at hand.
    const one = { server: is.server - was.server, page: Math.max(...[...is.page].map(([id, time]) => time - (was.page.get(id) ?? 0))) };
    if (!best || one.server + one.page < best.server + best.page) best = one;
    await after();
  }
  const [load, clock] = [loadavg()[0], Math.min(...clocks)];
  const isBusy = load > cpus().length / 2;
  check(
    best.server + best.page < (isBusy ? 2 : 1) * most && (isBusy || clock < 2 * most),
    `${what}: ${(best.server + best.page).toFixed(0)} ms of processor time (server ${best.server}), ${clock} ms by the clock under a load of ${load.toFixed(1)}; the best of ${times}`,
  );
}
let page;
// A page that is refused starts the browser's process for this address; what that takes is
// the browser's own.
const blank = () => driver.open(browser, `${server.origin}/p/nothing`, { timeout: 120000 });
page = await blank();
await opened("the first screen after the server is up", () => page.goto(server.address), ".patch, .empty", { times: 1, most: 1500 });
const id = (await page.evaluate(() => fetch("/api/properties").then((r) => r.json()))).properties[0].id;
const at = `${server.origin}/p/${encodeURIComponent(id)}/plan`;
const plan = () => page.goto(at, { waitUntil: "commit" });
const drawn = () => page.waitForSelector(".chart canvas");
let year = 2028;
const changed = () => run("lock", "Unit 0001", String(year++), "rest", "--property", "large.emberquilt"); // nothing that was computed holds
await opened("the plan's first rows, after the property changed", plan, '[data-at="0 0"]', { before: changed, after: drawn });
await opened("the plan's first rows, opened again", plan, '[data-at="0 0"]', { after: drawn });
const draft = await page.evaluate((id) => fetch(`/api/p/${encodeURIComponent(id)}/draft`).then((r) => r.json()), id);
check(draft.edited.rows.length === units && draft.edited.years.length === years, `${draft.edited.rows.length} units × ${draft.edited.years.length} years`);
const inDocument = await page.locator("[role=gridcell]").count();
check(inDocument < 60 * years, `${inDocument} cells of ${units * years} stand in the document`);

/** The tasks of the page's thread while do runs, the longest first, in ms of its own time. */
async function traced(todo) {
  const session = await page.context().newCDPSession(page);
  const events = [];
  session.on("Tracing.dataCollected", ({ value }) => events.push(...value));
  await session.send("Tracing.start", { categories: "toplevel,devtools.timeline", transferMode: "ReportEvents" });
  await todo();
  const over = new Promise((done) => session.on("Tracing.tracingComplete", done));
  await session.send("Tracing.end");
  await over;
  const thread = new Set(events.filter((e) => e.name === "Layout" || e.name === "UpdateLayoutTree").map((e) => `${e.pid} ${e.tid}`));
  return events.filter((e) => e.ph === "X" && /(^|::)RunTask$/.test(e.name) && thread.has(`${e.pid} ${e.tid}`)).map((e) => (e.tdur ?? e.dur) / 1000).sort((a, b) => b - a);
}
await page.waitForTimeout(1500);
// The measure: the rows in view, all drawn in one frame. On a machine whose processor
// others slow down, a frame may take 0.6 of that in place of 50 ms, and two frames, into
// which others fell, do not count.
const whole = await traced(async () => {
  for (let i = 0; i < 5; i++) {
    await page.evaluate(() => {
      const copy = document.querySelector(".plan-grid").cloneNode(true);
      const place = document.createElement("div");
      place.append(copy);
      document.querySelector("main").prepend(place);
      return new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => (place.remove(), done()))));
    });
    await page.waitForTimeout(50);
  }
});
const limit = Math.max(50, 0.6 * whole[2]);
// Scrolling, as the wheel does it; the browser times each task itself.
await page.mouse.move(...(await page.locator(".plan-grid").boundingBox().then((b) => [b.x + b.width / 2, b.y + b.height / 2])));
const tasks = await traced(async () => {
  for (let i = 0; i < 150; i++) {
    await page.mouse.wheel(0, i < 120 ? 240 : -1500);
    await page.waitForTimeout(12);
  }
});
check(tasks.length > 50 && tasks[2] <= limit, `the longest of ${tasks.length} tasks while scrolling takes ${tasks[0]?.toFixed(1)} ms, then ${tasks.slice(1, 5).map((t) => t.toFixed(1)).join(", ")}; at most ${limit.toFixed(0)} (all rows in one frame take ${whole[2].toFixed(1)})`);
await page.waitForFunction(() => {
  const box = document.querySelector(".plan-grid");
  const first = Math.ceil(box.scrollTop / 40);
  return [first, first + 5, first + 10].every((row) => document.querySelector(`[data-at="${row} 0"]`));
});
check(true, "and every row in view stands at the end");

// Memory over edits: a cell is set to rest and freed, again and again.
const memory = async () => {
  for (let i = 0; i < 2; i++) {
    await page.evaluate(() => globalThis.gc?.());
    await page.waitForTimeout(200);
  }
  return page.evaluate(() => performance.memory.usedJSHeapSize / 1048576);
};
const send = (path, body) => page.evaluate(([id, path, body]) => fetch(`/api/p/${encodeURIComponent(id)}/draft/${path}`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) }).then((r) => r.status), [id, path, body]);
const resident = () => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${server.child.pid}/status`, "utf8"))[1]) / 1024;
const rest = draft.edited.rows.flatMap((r) => draft.edited.years.map((year, c) => ({ unit: r.unit, year, is: r.plan[c], by: r.by[c] }))).filter((c) => c.is === "." && c.by === ".");
const [heap, held, used] = [[], [], []];
const since = Date.now();
let done = 0;
const each = Math.ceil(edits / 8);
for (let i = 0; i < edits; i++) {
  const c = rest[(i * 7919) % rest.length];
  if ((await send("edit", { plan: 0, step: [{ unit: c.unit, year: c.year, do: "rest" }] })) === 200) done++;
  if (i % 2) await send("undo", {});
  if (i % 20 === 19) await send("discard", {});
  if (i % each === each - 1 || (edits > 200 && i === 99)) {
    heap.push(await memory());
    held.push(resident());
    used.push(Math.min(...collected.slice(-20))); // a solve that is under way is in most
    console.log(`     ${i + 1} edits, ${((Date.now() - since) / 1000).toFixed(0)} s: the page's heap ${heap.at(-1).toFixed(1)} MB; the server's ${used.at(-1)} MB in use, ${held.at(-1).toFixed(0)} MB resident`);
  }
}
const half = Math.floor(heap.length / 2);
const grown = (all) => Math.max(...all.slice(half)) / Math.max(...all.slice(0, half));
check(done > edits / 2 && grown(heap) < 1.25, `memory of the page is flat: ×${grown(heap).toFixed(2)} from the first half of the edits to the second`);
// A collector gives back when it likes: few edits say little of the server.
check(edits < 200 ? grown(held) < 2 : grown(used) < 1.35 && grown(held) < 1.35, `memory of the server is flat: ×${grown(used).toFixed(2)} in use, ×${grown(held).toFixed(2)} resident`);
await large.end();

// A property as most are, of which the browser holds nothing yet.
writeFileSync(join(folder, "few.csv"), list.split("\n").slice(0, 13).join("\n"));
run("new", "few", "--settings", "settings.toml");
run("import", "few.csv", "--property", "few.emberquilt");
run("plan", "--seconds", "1", "--property", "few.emberquilt");
server = await driver.serve(program, ["few.emberquilt"], { env: environment, cwd: folder });
page = await blank();
await opened("the first screen of a property of 12 units", () => page.goto(server.address), ".patch, .empty", { times: 1, most: 500 });
await browser.close();
await server.end();
process.exit(driver.status());
