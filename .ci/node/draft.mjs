// Edits a plan in Chromium as a manager does, against a server that it starts: by
// key, by the panel and by dragging; keeps; reloads; undoes; lets a command change the
// file meanwhile; follows in a second tab; kills the server between edits.
//   node draft.mjs PROGRAM PROPERTY [--shots FOLDER] [--kills N]
// PROPERTY is a property file with a plan; it is changed.
import { execFileSync } from "node:child_process";
import { join } from "node:path";
import * as driver from "./driver.mjs";
import { args, check, option } from "./driver.mjs";
const shots = option("--shots");
const kills = Number(option("--kills", "12"));
const [program, file] = args;
if (!file) throw new Error("name the program and a property file");

const command = (...more) => execFileSync(program, ["--property", file, ...more], { encoding: "utf8" });

const serve = () => driver.serve(program, [file]);
let server = await serve();
const browser = await driver.launch();
// The server is killed on the way and comes back with another port.
const page = await driver.open(browser, server.address, { here: "http://127.0.0.1:", isLossy: true });
const context = page.context();
const origin = new URL(page.url()).origin;
const id = (await page.evaluate(() => fetch("/api/properties").then((r) => r.json()))).properties[0].id;
const at = `${origin}/p/${id}/plan`;
// The browser may hold a connection to a server that was killed: then it asks anew.
const draft = async (tab = page, tries = 3) => {
  try {
    return await tab.evaluate((id) => fetch(`/api/p/${id}/draft`).then((r) => r.json()), id);
  } catch (error) {
    if (tries < 2) throw error;
    await tab.waitForTimeout(300);
    return draft(tab, tries - 1);
  }
};
const ready = async (tab = page) => {
  await tab.waitForSelector('[data-at="0 0"]', { timeout: 30000 });
};
/** The draft once a plan holds its edits, of which there are so many. */
const holding = async (edits = 1) => {
  for (let n = 0; n < 600; n++) {
    const d = await draft();
    if (d.holds_the_edits && d.edits.length >= edits) return d;
    await page.waitForTimeout(50);
  }
  throw new Error("no plan holds the edits");
};
const open = async () => {
  await page.goto(at);
  await ready();
};
/** A cell whose burn can move, with a year for it. */
const movable = async () => {
  const d = await draft();
  for (let row = 0; row < d.edited.rows.length; row++)
    for (let column = 0; column < d.edited.years.length; column++) {
      const r = d.edited.rows[row];
      if (r.plan[column] === "." || r.by[column] !== ".") continue;
      const moves = await page.evaluate(([id, unit, year]) => fetch(`/api/p/${id}/draft/moves?unit=${encodeURIComponent(unit)}&year=${year}`).then((x) => x.json()), [id, r.unit, d.edited.years[column]]);
      const to = moves.find((m) => m.step?.length);
      const shut = moves.find((m) => m.reasons.length);
      if (to && shut) return { row, column, unit: r.unit, to: d.edited.years.indexOf(to.year), shut: d.edited.years.indexOf(shut.year), why: shut.reasons[0] };
    }
  throw new Error("no burn can move");
};
const cell = (row, column, tab = page) => tab.locator(`[data-at="${row} ${column}"]`);

// By key.
await open();
const first = await draft();
let m = await movable();
await cell(m.row, m.column).click();
await page.keyboard.press("r");
let d = await holding();
await page.waitForFunction(() => /as the draft has it/.test(document.getElementById("map-title")?.textContent ?? "the draft has no map"));
check(/as the draft has it/.test(await page.locator("main").innerText()), "map and charts follow the draft");
check(d.undo_steps === 1 && d.edited.rows[m.row].plan[m.column] === "." && d.edited.rows[m.row].by[m.column] === "e", "the key r makes the cell rest");
await page.waitForFunction(([row, column]) => document.querySelector(`[data-at="${row} ${column}"] .own`), [m.row, m.column]);
check(/your edit/.test(await cell(m.row, m.column).getAttribute("aria-label")), "the cell says that it is an edit");
await page.waitForFunction(() => document.getElementById("said").textContent.length > 10);
check(/differ/.test(await page.locator("#said").textContent()), "what changed is said politely");
await cell(m.row, m.column).focus();
await page.keyboard.press("u");
await page.waitForFunction(() => document.querySelectorAll(".cell.own").length === 0);
check((await draft()).redo_steps === 1, "the key u undoes");
await page.keyboard.press("Shift+U");
await page.waitForFunction(() => document.querySelectorAll(".cell.own").length === 1);
check((await draft()).undo_steps === 1, "Shift+U does it again");

// Reload, second tab.
await open();
check((await page.locator(".cell.own").count()) === 1, "the draft is there after a reload");
const second = await context.newPage();
await second.goto(at);
await ready(second);
await page.getByRole("button", { name: "Undo" }).click();
await second.waitForFunction(() => document.querySelectorAll(".cell.own").length === 0, null, { timeout: 20000 });
check(true, "the other tab follows");
await second.close();

// By the panel.
m = await movable();
await cell(m.row, m.column).click();
await page.locator(".choices button:not([disabled])", { hasText: /^Rest$/ }).click();
d = await holding();
check(d.edits.length === 1 && d.edits[0].do === "rest", "the panel makes the same edit");
await page.getByRole("button", { name: "Discard the draft" }).click();
await page.waitForFunction(() => document.querySelectorAll(".cell.own").length === 0);
check(!(await draft()).is_draft, "discard forgets it");

// By dragging: first over a year that is shut, then to one that is open.
await open();
m = await movable();
const box = async (column) => cell(m.row, column).boundingBox();
await cell(m.row, m.column).scrollIntoViewIfNeeded();
const [from, to, shut] = [await box(m.column), await box(m.to), await box(m.shut)];
await page.mouse.move(from.x + from.width / 2, from.y + from.height / 2);
await page.mouse.down();
await page.mouse.move(shut.x + shut.width / 2, shut.y + shut.height / 2, { steps: 8 });
await page.waitForFunction((why) => document.querySelector(".why-line")?.textContent.includes(why), m.why);
check(true, `a year that is shut says why before the drop: ${m.why}`);
if (shots) await page.screenshot({ path: join(shots, "drag.png") });
await page.mouse.move(to.x + to.width / 2, to.y + to.height / 2, { steps: 8 });
await page.mouse.up();
d = await holding(2);
check(d.edits.length === 2 && d.edited.rows[m.row].plan[m.to] !== ".", "a burn that is dragged burns in its new year");
await page.waitForSelector(".change-list li");
check(true, "changes are listed in words");

// A command changes the file meanwhile.
const other = first.edited.rows.findIndex((r, i) => i !== m.row && r.plan[1] === "." && r.by[1] === ".");
command("lock", first.edited.rows[other].unit, `${first.edited.years[1]}`, "rest");
await page.waitForFunction(([row]) => /locked/.test(document.querySelector(`[data-at="${row} 1"]`)?.getAttribute("aria-label") ?? ""), [other], { timeout: 8000 });
check((await draft()).edits.length === 2, "a command's lock is seen, and the draft goes on");
if (shots)
  for (const width of [1280, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await page.waitForTimeout(250);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    check(wide <= 1, `fits a window of ${width} pixels`);
    await cell(m.row, m.to).click();
    await page.waitForTimeout(500);
    await page.screenshot({ path: join(shots, `edit-${width}.png`), fullPage: true });
  }
await page.setViewportSize({ width: 1280, height: 900 });

// Keep.
await page.locator('input[name="note"]').fill("for the meeting");
await page.getByRole("button", { name: "Keep as a new plan" }).click();
await page.waitForFunction((n) => document.querySelector("h1")?.textContent.startsWith(`Plan ${n},`), first.edited.plan + 1);
check(/for the meeting/.test(command("plans")), "the kept plan is in plans");
check(!(await draft()).is_draft, "and the draft is gone");
await page.locator(".lay-over select").selectOption(`${first.edited.plan}`);
await page.waitForSelector(".over-mark");
check((await page.locator(".cell .over-mark").count()) > 0, "two plans are laid over each other by shape and sign");
if (shots) await page.screenshot({ path: join(shots, "over.png"), fullPage: true });

// Killed between and within edits: what was acknowledged is there, or one more.
let steps = (await draft()).undo_steps;
let killed = 0;
for (let n = 0; n < kills; n++) {
  const d = await draft();
  steps = d.undo_steps;
  let acknowledged = 0;
  const rows = d.edited.rows;
  const timer = setTimeout(() => server.child.kill("SIGKILL"), 20 + Math.random() * 260);
  for (let k = 0; ; k++) {
    const step = [{ unit: rows[k % rows.length].unit, year: d.edited.years[(k + n) % d.edited.years.length], do: (k + n) % 2 ? "rest" : "free" }];
    const answer = await page.evaluate(([id, step]) => fetch(`/api/p/${id}/draft/edit`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ plan: 0, step }) }).then((r) => r.json().then((v) => (r.ok ? v.undo_steps : -1))).catch(() => null), [id, step]);
    if (answer === null) break;
    if (answer > 0) acknowledged = answer - steps;
  }
  clearTimeout(timer);
  await server.gone;
  killed++;
  server = await serve();
  await page.goto(server.address);
  const after = await page.evaluate(() => fetch("/api/properties").then((r) => r.json())).then(() => draft());
  if (after.undo_steps !== steps + acknowledged && after.undo_steps !== steps + acknowledged + 1) check(false, `kill ${n}: ${acknowledged} steps after ${steps} were acknowledged, ${after.undo_steps} are there`);
}
check(killed === kills, `killed ${killed} times; every acknowledged edit is there, and at most one more`);
check(/intact/i.test(command("verify")), "verify holds");
await browser.close();
await server.end();
process.exit(driver.status());
