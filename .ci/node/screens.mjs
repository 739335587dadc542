// Walks the page in Chromium as its users do, and fails on an error of the console, a
// request to anywhere else, a violation that axe-core finds, or a story that does not
// come out.
//   node screens.mjs [--shots FOLDER] [--only STORY] EMBERQUILT FOLDER-OF-THE-DEMO
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import assert from "node:assert/strict";
import * as driver from "./driver.mjs";
import { args, fault, look, option, picture } from "./driver.mjs";
const shots = option("--shots");
const only = option("--only");
const [program, demo] = args;
if (!demo) throw new Error("name the program and the demo's folder");

const folder = mkdtempSync(join(tmpdir(), "emberquilt-page-"));
const names = ["tamsel-bend", "pennywhistle-place", "nine-gate"];
for (const name of names) copyFileSync(join(demo, name, `${name}.emberquilt`), join(folder, `${name}.emberquilt`));
const environment = { ...process.env, EMBERQUILT_TODAY: "2026-11-25", XDG_CACHE_HOME: join(folder, "cache"), XDG_CONFIG_HOME: join(folder, "config") };
const run = (...words) => execFileSync(program, words, { env: environment, cwd: folder, encoding: "utf8" });
const server = await driver.serve(program, [folder], { env: environment });
const { origin } = server;
const browser = await driver.launch();
const open = (options = {}) => driver.open(browser, server.address, options);
const at = (id, screen) => `${origin}/p/${encodeURIComponent(id)}/${screen}`;
const ready = (page) => page.waitForFunction(() => document.querySelector("h1") && document.querySelector("main")?.getAttribute("aria-busy") === "false");
async function go(page, where) {
  await page.goto(where);
  await ready(page);
}
const screens = ["season", "week", "plan", "what-if", "rehearsal", "weather", "ground", "records", "contracts", "papers", "import", "settings", "changes"];

// Every screen, in every color scheme, in light narrow as well: axe, width, cautions.
async function everyScreen() {
  for (const [scheme, options] of [
    ["light", { colorScheme: "light" }],
    ["dark", { colorScheme: "dark" }],
    ["forced colors", { forcedColors: "active" }],
  ]) {
    // 640 is 1280 at 200%.
    for (const width of { light: [1280, 640, 390], dark: [390], "forced colors": [1280] }[scheme]) {
      const page = await open({ ...options, reducedMotion: "reduce" });
      await page.setViewportSize({ width, height: 900 });
      for (const where of [`${origin}/clients`, `${origin}/first`, ...screens.map((s) => at("tamsel-bend", s))]) {
        await go(page, where);
        await page.waitForTimeout(250);
        await look(page, `${scheme}, ${width}`, picture(shots, `${where.split("/").at(-1)}-${width}-${scheme.split(" ")[0]}`));
      }
      await page.context().close();
    }
  }
}

// A landowner checks a task, by keys alone; another tab sees it; so does the command.
async function landowner() {
  const page = await open();
  await go(page, at("pennywhistle-place", "season"));
  const other = await page.context().newPage();
  await go(other, at("pennywhistle-place", "season"));
  await page.bringToFront();
  await page.locator("h1").focus();
  for (let i = 0; i < 20; i++) {
    await page.keyboard.press("Tab");
    if (await page.evaluate(() => document.activeElement.type === "checkbox")) break;
  }
  const outline = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
  assert.notEqual(outline, "none", "the focus is not to be seen");
  await page.keyboard.press("Space");
  await page.waitForSelector(".checks .done");
  await other.waitForSelector(".checks .done");
  const tasks = run("tasks", "list", "--property", "pennywhistle-place.emberquilt");
  assert.match(tasks + run("due", "--json", "--property", "pennywhistle-place.emberquilt"), /"done"/, "the command does not know the task as done");
  await page.context().close();
}

// A manager reads the plan by keys alone.
async function manager() {
  const page = await open();
  await go(page, at("tamsel-bend", "plan"));
  await page.locator('[role=gridcell][tabindex="0"]').focus();
  const said = () => page.evaluate(() => document.activeElement.getAttribute("aria-label"));
  const first = await said();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowRight");
  const second = await said();
  assert.ok(first && second && first !== second, `the arrows do not move: ${first}, ${second}`);
  // Enter asks why, by a second solve.
  await page.keyboard.press("Enter");
  await page.waitForSelector(".why h4");
  assert.match(await page.locator(".why").innerText(), /acre-years|requirement|minimum/);
  await look(page, "why");
  await page.keyboard.press("Escape");
  assert.equal(await said(), second, "Escape does not lead back to the cell");
  await page.keyboard.press("Control+End");
  assert.match(await said(), /School Woods.*2031/s);
  for (const text of await page.locator(".facts dd").allInnerTexts()) assert.match(text, /^[\d,.]+/, "a figure is missing");
  assert.ok((await page.locator(".chart canvas").count()) > 0, "no chart is drawn");
  await page.context().close();
}

// A manager rehearses the plan: a slip is said beside the form, the futures are counted
// while they are played, and what they came to stands on the screen and in the file.
async function rehearser() {
  const page = await open();
  await go(page, at("nine-gate", "rehearsal"));
  await page.locator("[name=own]").fill("often");
  await page.getByRole("button", { name: /^Rehearse plan/ }).click();
  await page.waitForSelector(".fault");
  assert.match(await page.locator(".fault").innerText(), /"often" is not a rule/);
  await page.locator("[name=own]").fill("median+second-crew");
  await page.getByText("How it is played").click();
  await page.locator("[name=futures]").fill("12");
  await page.getByRole("button", { name: /^Rehearse plan/ }).click();
  await page.waitForSelector(".proof", { timeout: 90000 });
  assert.match(await page.locator(".proof").innerText(), /of 12 futures/);
  assert.match(await page.locator("table").first().innerText(), /second crew/);
  await page.waitForSelector(".chart canvas");
  await look(page, "rehearsed", picture(shots, "rehearsed"));
  await page.setViewportSize({ width: 390, height: 900 });
  await page.waitForTimeout(300);
  await look(page, "rehearsed, narrow", picture(shots, "rehearsed-390"));
  assert.match(run("verify", "--property", "nine-gate.emberquilt"), /./);
  await page.locator("[name=futures]").fill("5000");
  await page.getByRole("button", { name: /^Rehearse plan/ }).click();
  await page.waitForFunction(() => /^[1-9][\d,]* of 5,000 futures/.test(document.querySelector('label[for="progress"]')?.innerText ?? ""), null, { timeout: 60000 });
  await page.getByRole("button", { name: "Stop, and keep what is played" }).click();
  await page.waitForFunction(() => /of 5,000? asked|of 5000 asked/.test(document.body.textContent), null, { timeout: 60000 });
  await page.context().close();
}

// A burn goes on record, is corrected with a reason, and has a history.
async function recorder() {
  const page = await open();
  await go(page, at("nine-gate", "records"));
  const before = await page.locator("tbody tr").count();
  await page.getByRole("button", { name: "Put a burn on record" }).click();
  await look(page, "the form");
  await page.locator("[name=on]").fill("2030-01-01");
  await page.getByRole("button", { name: "Put it on record" }).click();
  await page.waitForSelector(".fault"); // a day to come is refused, beside the form
  await page.locator("[name=on]").fill("2026-11-20");
  await page.locator("[name=acres]").fill("3.5");
  await page.getByLabel("Reading 1: time").fill("13:00");
  await page.getByLabel("Reading 1: temperature").fill("58");
  await page.getByLabel("Reading 1: humidity").fill("42");
  // A file is named by what it holds: one that is not below the folder is refused.
  const photo = { name: "photo.jpg", mimeType: "image/jpeg", buffer: Buffer.from("a photo") };
  await page.locator("[name=dropped]").setInputFiles(photo);
  await page.waitForSelector(".drop li");
  await page.getByRole("button", { name: "Put it on record" }).click();
  await page.waitForFunction(() => /photo\.jpg.*lies nowhere below the folder/s.test(document.querySelector(".fault")?.innerText));
  mkdirSync(join(folder, "photos"));
  writeFileSync(join(folder, "photos", "photo.jpg"), "a photo");
  await page.getByRole("button", { name: "Put it on record" }).click();
  await page.waitForSelector("#done");
  assert.equal(await page.locator("tbody tr").count(), before + 1);
  await page.getByRole("button", { name: /^Correct burn/ }).first().click();
  await page.locator("[name=acres]").fill("4");
  await page.getByRole("button", { name: "Put the correction on record" }).click();
  await page.waitForSelector(".fault"); // without a reason
  await page.locator("[name=because]").fill("measured again");
  await page.getByRole("button", { name: "Put the correction on record" }).click();
  await page.waitForSelector("form", { state: "detached" });
  await page.getByRole("button", { name: /^History of burn/ }).first().click();
  await page.waitForSelector(".history li:nth-child(2)");
  assert.match(await page.locator(".history").innerText(), /measured again/);
  assert.match(run("burns", "--property", "nine-gate.emberquilt", "--csv"), /2026-11-20/);
  assert.match(run("record", "files", "--property", "nine-gate.emberquilt"), /photos\/photo\.jpg/);
  // What burned stands on every screen at once, and that the plan is older than it.
  const unit = JSON.parse(run("due", "--json", "--property", "nine-gate.emberquilt")).units.find((u) => !u.done).unit;
  run("record", unit, "2026-11-24", "--property", "nine-gate.emberquilt");
  await go(page, at("nine-gate", "plan"));
  assert.match(await page.locator(".behind").innerText(), /^Plan 1 is older than \d+ burns? on record\./);
  await page.waitForSelector(`[role=gridcell][aria-label^="${unit}, 2027: burns"][aria-label*="has burned"]`);
  await look(page, "a plan that is behind");
  await go(page, at("nine-gate", "season"));
  assert.match(await page.locator("main").innerText(), new RegExp(`${unit}, [\\d.]+ acres: burned on Tue, Nov 24, 2026`));
  await look(page, "a season of which some has burned");
  await page.context().close();
}

// Names that would be markup, in a list of a foreign form; then every screen.
const hostile = ["</script><script>globalThis.hit=1</script>", '"><img src=x onerror=globalThis.hit=1>', "${globalThis.hit=1}", "{{constructor.constructor('globalThis.hit=1')()}}"];
async function importer() {
  const page = await open();
  await go(page, at("nine-gate", "import"));
  const list = join(folder, "patches.csv");
  const row = (name) => `"${name.replaceAll('"', '""')}",12,2,4,x\n`;
  writeFileSync(list, "Patch Name,Size,min_interval,max_interval,extra\n" + hostile.map(row).join(""));
  await page.setInputFiles("#files", list);
  await page.waitForSelector(".fault");
  await page.getByLabel("It holds").selectOption("units");
  await page.waitForFunction(() => document.querySelectorAll(".patch select").length > 6);
  await page.getByLabel("Patch Name is read as").selectOption("unit");
  await page.waitForTimeout(500);
  await page.getByLabel("Size is read as").selectOption("acres");
  await page.waitForSelector("#take");
  await look(page, "a preview");
  await page.locator("#take").click();
  await page.waitForSelector(".proof");
  assert.match(run("units", "--property", "nine-gate.emberquilt", "--csv"), /onerror/);
  await page.getByRole("button", { name: "Make a plan with it" }).click();
  await page.waitForFunction(() => /Plan \d+ is made/.test(document.body.innerText), null, { timeout: 90000 });
  for (const screen of screens) {
    await go(page, at("nine-gate", screen));
    await page.waitForTimeout(200);
    assert.equal(await page.evaluate(() => globalThis.hit), undefined, `a name ran on ${screen}`);
    assert.equal(await page.locator("img[src=x]").count(), 0, `a name is markup on ${screen}`);
    await look(page, "hostile names");
  }
  const bad = join(folder, "bad.csv");
  writeFileSync(bad, "unit,acres,min_interval,max_interval\nA,twelve,2,4\n");
  await go(page, at("nine-gate", "import"));
  await page.setInputFiles("#files", bad);
  await page.waitForSelector(".fault");
  assert.match(await page.locator(".fault").innerText(), /bad\.csv, line 2, acres/);
  assert.match(await page.getByRole("region", { name: "Rows with errors" }).innerText(), /A,twelve,2,4.*acres/s, "the row is not shown");
  assert.equal(await page.locator("#take").count(), 0, "a faulty list can be imported");
  await page.context().close();
}

// A command changes the file while the page is open.
async function agent() {
  const page = await open();
  assert.ok((await page.locator("tbody tr").count()) >= 0);
  await ready(page);
  assert.equal(await page.locator("tbody tr").count(), names.length);
  await page.locator("#write-packets").click();
  await page.waitForSelector(".written");
  await look(page, "packets");
  const packet = page.locator(".written a", { hasText: ".pdf" }).first();
  const [first] = await Promise.all([page.waitForEvent("download"), packet.click()]);
  assert.equal(await first.failure(), null);
  assert.match(await page.locator(".written").innerText(), /no contract|packet-summary\.xlsx/);
  await page.getByRole("link", { name: "Pennywhistle Place" }).click();
  await page.waitForSelector(".patch");
  const begun = Date.now();
  run("lock", "Creek Patch", "2029", "rest", "--property", "pennywhistle-place.emberquilt");
  await page.waitForSelector(".notice");
  assert.ok(Date.now() - begun < 3500, "the page is late to notice");
  await go(page, at("pennywhistle-place", "papers"));
  for (const file of ["season-sheet.pdf", "program-book.html", "calendar.ics"]) {
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: `Download ${file}` }).click()]);
    assert.equal(await download.failure(), null);
  }
  await page.context().close();
}

// The settings are changed as their file: an error stands beside its line, a change is
// shown before it is made; whom to call, units and plans change, and commands see it.
async function keeper() {
  const id = "pennywhistle-place";
  const page = await open();
  await go(page, at(id, "settings"));
  const text = await page.inputValue("#settings-text");
  await page.fill("#settings-text", text.replace(/^years = \d+/m, "years = 4000"));
  await page.locator("#look").click();
  await page.waitForSelector(".fault");
  assert.match(await page.locator(".fault").innerText(), /settings, line \d+, years/);
  assert.match(await page.locator(".quoted").innerText(), /years = 4000/, "the line is not shown");
  await look(page, "an error in the settings", picture(shots, "settings-error"));
  await page.fill("#settings-text", text.replace(/^years = \d+/m, "years = 7"));
  assert.ok(await page.locator("#change").isDisabled(), "a change is made before it is shown");
  await page.locator("#look").click();
  await page.waitForSelector(".proof");
  assert.match(await page.locator(".proof").innerText(), /Would change: years: \d+ → 7/);
  assert.doesNotMatch(run("settings", "--property", `${id}.emberquilt`), /^years = 7/m, "the preview changes something");
  await page.locator("#change").click();
  await page.waitForFunction(() => /Changed: years/.test(document.querySelector(".proof")?.innerText));
  assert.match(run("settings", "--property", `${id}.emberquilt`), /^years = 7/m);
  await page.getByRole("button", { name: "One more to call" }).click();
  await page.keyboard.type("neighbor downwind");
  await page.locator("#keep-contacts").click();
  await page.waitForFunction(() => /to call\./.test([...document.querySelectorAll(".proof")].map((e) => e.innerText).join()));
  assert.match(run("contacts", "--property", `${id}.emberquilt`, "--csv"), /neighbor downwind/);
  const unit = await page.locator("[name=unit] option").first().innerText();
  await page.locator("[name=unit-name]").fill("Plum Thicket");
  await page.getByRole("button", { name: "Change it" }).click();
  await page.waitForFunction(() => [...document.querySelectorAll("[name=unit] option")].some((o) => o.value === "Plum Thicket"));
  await page.locator("[name=unit]").selectOption("Plum Thicket");
  await page.locator("[name=unit-change]").selectOption("split");
  await page.locator("[name=part-0-name]").fill("Plum east");
  await page.locator("[name=part-0-acres]").fill("0.5");
  await page.locator("[name=part-1-name]").fill("Plum west");
  await page.locator("[name=part-1-acres]").fill("0.5");
  await page.getByRole("button", { name: "Change it" }).click();
  await page.waitForSelector(".fault");
  const [, acres] = (await page.locator(".fault").innerText()).match(/the parts have 1 acres and "Plum Thicket" has ([\d.]+)/) ?? [];
  assert.ok(acres, await page.locator(".fault").innerText());
  await page.locator("[name=part-1-acres]").fill(String(Math.round((Number(acres) - 0.5) * 1e4) / 1e4));
  await page.getByRole("button", { name: "Change it" }).click();
  await page.waitForFunction(() => [...document.querySelectorAll("[name=unit] option")].some((o) => o.value === "Plum west"));
  const units = run("units", "--property", `${id}.emberquilt`, "--csv");
  assert.ok(/Plum east/.test(units) && !units.includes(`\n${unit},`), "the command does not see the units");
  // A closure, as a form; a list of seals, and an archive that goes and comes back.
  await page.getByRole("button", { name: "One more closure" }).click();
  await page.keyboard.type("turkey hunt");
  const last = (await page.locator('[name^=closure-][name$=-first]').count()) - 1;
  await page.locator(`[name=closure-${last}-first]`).fill("04-31");
  await page.locator("#keep-closures").click();
  await page.waitForSelector(".fault");
  assert.match(await page.locator(".fault").innerText(), new RegExp(`closure ${last + 1}, first: "04-31" is not a day`));
  await page.locator(`[name=closure-${last}-first]`).fill("04-15");
  await page.locator(`[name=closure-${last}-last]`).fill("05-10");
  await page.locator("#keep-closures").click();
  await page.waitForFunction(() => /Changed: closure/.test([...document.querySelectorAll(".proof")].map((e) => e.innerText).join()));
  assert.match(run("settings", "--property", `${id}.emberquilt`), /turkey hunt/);
  const [archive] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Download the archive" }).click()]);
  await page.setInputFiles("[name=archive]", { name: "back.zip", mimeType: "application/zip", buffer: Buffer.from("no archive") });
  await page.waitForFunction(() => /back\.zip.*cannot be read as an archive/s.test(document.querySelector(".fault")?.innerText));
  await page.setInputFiles("[name=archive]", await archive.path());
  await page.waitForFunction(() => /Nothing new/.test([...document.querySelectorAll(".proof")].map((e) => e.innerText).join()));
  const [seals] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Download the list of seals" }).click()]);
  await page.setInputFiles("[name=seals]", await seals.path());
  await page.waitForFunction(() => /is intact[\s\S]*seals of/.test([...document.querySelectorAll(".proof")].map((e) => e.innerText).join()));
  // It is signed with a key of the user's own, and the signature comes along.
  execFileSync("ssh-keygen", ["-q", "-t", "ed25519", "-N", "", "-f", join(folder, "key")]);
  await page.setInputFiles("[name=signing-key]", join(folder, "key.pub"));
  await page.waitForFunction(() => /a private key as ssh-keygen makes it/.test([...document.querySelectorAll(".fault")].map((e) => e.innerText).join()));
  await page.setInputFiles("[name=signing-key]", join(folder, "key"));
  const [list] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Download the list", exact: true }).click()]);
  const [signature] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Download its signature" }).click()]);
  await list.saveAs(join(folder, "copies", "kept.seals"));
  await signature.saveAs(join(folder, "copies", "kept.seals.sig"));
  await page.setInputFiles("[name=seals]", ["kept.seals", "kept.seals.sig", "../key.pub"].map((file) => join(folder, "copies", file)));
  await page.waitForFunction(() => /signed by/.test([...document.querySelectorAll(".proof")].map((e) => e.innerText).join()));
  assert.match(run("verify", "--property", `${id}.emberquilt`, "--seals", join(folder, "copies", "kept.seals"), "--signer", join(folder, "key.pub")), /signed by/);
  const [copy] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: "Download a copy" }).click()]);
  await copy.saveAs(join(folder, "copies", "copy.emberquilt"));
  assert.match(run("verify", "--property", join(folder, "copies", "copy.emberquilt")), /intact/);
  await page.context().close();
}

// What if: a slip is said beside its form; a plan is tried and discarded; what was
// missed, what would fix a unit, what other plans there are.
async function asker() {
  const id = "tamsel-bend";
  const page = await open();
  await go(page, at(id, "what-if"));
  await page.locator("[name=try-name]").fill("one crew less");
  await page.locator("[name=try-caps-0]").fill("acres");
  await page.getByRole("button", { name: "Try it" }).click();
  await page.waitForSelector("#ask-try .fault");
  assert.match(await page.locator("#ask-try .fault").innerText(), /cap: "acres" has no =/);
  await page.locator("[name=try-caps-0]").fill("acres=300");
  await page.locator("[name=try-close-0]").fill("2028");
  await page.locator("[name=try-seconds]").fill("2");
  await page.getByRole("button", { name: "Try it" }).click();
  await page.waitForSelector("#ask-try .answer", { timeout: 60000 });
  assert.match(await page.locator("#ask-try .answer").innerText(), /one crew less[\s\S]*program year 2028/);
  await page.getByRole("button", { name: /^Discard plan/ }).waitFor();
  assert.match(run("plans", "--property", `${id}.emberquilt`), /one crew less/);
  await page.locator("[name=missed-seconds]").fill("soon");
  await page.getByRole("button", { name: "Look for missed burns" }).press("Enter");
  await page.waitForSelector("#ask-missed .fault");
  await page.locator("[name=missed-seconds]").fill("2");
  await page.getByRole("button", { name: "Look for missed burns" }).press("Enter");
  await page.waitForSelector("#ask-missed .answer", { timeout: 60000 });
  await page.locator("[name=fix-unit]").selectOption({ index: 1 });
  await page.locator("[name=fix-seconds]").fill("2");
  await page.getByRole("button", { name: "Look for single changes" }).click();
  await page.waitForSelector("#ask-fix .answer", { timeout: 60000 });
  await page.locator("[name=alternatives-count]").fill("1");
  await page.locator("[name=alternatives-seconds]").fill("1");
  await page.getByRole("button", { name: "Look for other plans" }).click();
  await page.waitForSelector("#ask-alternatives .answer", { timeout: 60000 });
  await look(page, "answers", picture(shots, "what-if-answers"));
  await page.getByRole("button", { name: /^Discard plan/ }).click();
  await page.waitForFunction(() => /is discarded/.test([...document.querySelectorAll(".proof")].map((e) => e.innerText).join()));
  await page.context().close();
}

// A contract: a line is amended with a reason, moved, held to by plans; a command sees it.
async function contractor() {
  const id = "nine-gate";
  const page = await open();
  await go(page, at(id, "contracts"));
  await page.getByText("Modify a line, note work").click();
  await page.locator("[name=contract-line]").selectOption("5");
  await page.locator("[name=contract-planned]").fill("9.5");
  await page.getByRole("button", { name: "Modify it" }).click();
  await page.waitForSelector(".fault");
  assert.match(await page.locator(".fault").innerText(), /because: it is missing/);
  await page.locator("[name=contract-because]").first().fill("measured again");
  await page.getByRole("button", { name: "Modify it" }).click();
  await page.waitForFunction(() => /amend line 5/i.test(document.querySelector(".proof")?.innerText));
  await page.getByLabel("Plans, for line 5").selectOption("wish");
  await page.waitForFunction(() => /is a wish/.test(document.querySelector(".proof")?.innerText));
  await look(page, "a contract's forms", picture(shots, "contract-forms"));
  const csv = run("contract", "--csv", "--property", `${id}.emberquilt`);
  assert.match(csv, /2028,9\.5,.*wish/);
  // A file of it is dropped: it is found below the folder of the property, or refused.
  await page.setInputFiles("[name=contract-dropped]", { name: "signed.pdf", mimeType: "application/pdf", buffer: Buffer.from("signed") });
  const attach = page.getByRole("button", { name: "Attach it" });
  await attach.click();
  await page.waitForFunction(() => /signed\.pdf.*lies nowhere below the folder/s.test(document.querySelector(".fault")?.innerText));
  mkdirSync(join(folder, "contracts"), { recursive: true });
  writeFileSync(join(folder, "contracts", "signed.pdf"), "signed");
  await attach.click();
  await page.waitForFunction(() => /contracts\/signed\.pdf/.test(document.querySelector(".contract")?.innerText));
  assert.match(run("changes", "--property", `${id}.emberquilt`), /contracts\/signed\.pdf/);
  await page.context().close();
}

// This week; then the list of changes, and a name that stands beside the next one: the
// command knows it too.
async function teller() {
  const id = "pennywhistle-place";
  const page = await open();
  await go(page, at(id, "week"));
  const shown = await page.locator("main").innerText();
  const { tasks } = JSON.parse(run("week", "--json", "--property", `${id}.emberquilt`));
  assert.ok(tasks.length > 0, "the week has no task");
  for (const t of tasks) assert.ok(shown.toLowerCase().includes(t.task.toLowerCase()) && shown.includes(t.unit), `the week does not show ${t.task}, ${t.unit}`);
  await page.getByRole("navigation").getByRole("link", { name: "Changes" }).click();
  await page.locator("[name=me]").fill("A. Baker");
  await page.getByRole("button", { name: "Keep this name" }).click();
  await page.waitForFunction(() => /made by A\. Baker from now on/.test(document.querySelector(".proof")?.innerText));
  assert.equal(run("me").trim(), "A. Baker");
  run("lock", "Creek Patch", "2030", "rest", "--property", `${id}.emberquilt`);
  await page.waitForFunction(() => /by A\. Baker/.test(document.querySelector(".journal li")?.innerText));
  await page.locator("[name=of-unit]").selectOption("Creek Patch");
  await page.waitForFunction(() => /speaks? of Creek Patch/.test(document.querySelector(".lede")?.innerText));
  await look(page, "who changed what", picture(shots, "changes-of-a-unit"));
  await page.getByRole("button", { name: "Forget it" }).click();
  await page.waitForFunction(() => /nobody named/.test(document.querySelector(".proof")?.innerText));
  await page.context().close();
}

// Papers for a wind, a day, a unit: a slip is said beside its form, a file comes. Lines
// inside a unit are kept with it, and the command's card has them.
async function printer() {
  const id = "tamsel-bend";
  const page = await open();
  await go(page, at(id, "papers"));
  const make = page.getByRole("button", { name: "Make it" });
  await page.locator("[name=sheet-wind]").fill("upward");
  await make.first().click();
  await page.waitForFunction(() => /"upward" is not a direction/.test(document.querySelector(".fault")?.innerText));
  await page.locator("[name=sheet-wind]").fill("NNW");
  const [sheet] = await Promise.all([page.waitForEvent("download"), make.first().click()]);
  assert.match(sheet.suggestedFilename(), /season-sheet\.pdf$/);
  await page.locator("[name=draft-unit]").selectOption("Sandbar");
  await page.locator("[name=draft-as]").selectOption("html");
  const [draft] = await Promise.all([page.waitForEvent("download"), make.nth(1).click()]);
  assert.match(readFileSync(await draft.path(), "utf8"), /Sandbar/);
  const [field] = await Promise.all([page.waitForEvent("download"), make.nth(2).click()]);
  assert.match(field.suggestedFilename(), /field-map\.pdf$/);
  assert.match(readFileSync(await field.path(), "latin1"), /\/Measure/);
  const [units] = await Promise.all([page.waitForEvent("download"), make.nth(3).click()]);
  assert.match(units.suggestedFilename(), /units\.gpkg$/);
  assert.match(readFileSync(await units.path(), "latin1"), /^SQLite format 3/);
  await look(page, "papers that are asked for", picture(shots, "papers-wanted"));
  await go(page, at("nine-gate", "papers"));
  await page.locator("[name=packet-as-of]").fill("2031-01-01");
  await make.last().click();
  await page.waitForFunction(() => /is in the future/.test(document.querySelector(".fault")?.innerText));
  await page.locator("[name=packet-as-of]").fill("2026-11-25");
  const [packet] = await Promise.all([page.waitForEvent("download"), make.last().click()]);
  assert.match(packet.suggestedFilename(), /packet-as-of\.pdf$/);
  await look(page, "a packet as it was", picture(shots, "packet-as-of"));
  await go(page, at(id, "ground"));
  await page.locator(".buttons select").first().selectOption("Sandbar");
  await page.getByText("How Sandbar is burned").click();
  await page.locator("[name=firing-lines]").fill("4");
  await page.getByRole("button", { name: "Keep it with the unit" }).click();
  await page.waitForFunction(() => /Kept how Sandbar is burned/.test(document.querySelector(".proof")?.innerText));
  assert.match(run("changes", "Sandbar", "--property", `${id}.emberquilt`), /lines 4/);
  await page.context().close();
}

// What units are to each other: by hand, and from the shapes; a command sees it.
async function neighbor() {
  const id = "nine-gate";
  const page = await open();
  await go(page, at(id, "ground"));
  const [one, two] = await page.locator("[name=pair-0] option").allInnerTexts();
  await page.locator("[name=pair-1]").selectOption(one);
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.waitForFunction(() => /is paired with itself/.test(document.querySelector(".fault")?.innerText));
  await page.locator("[name=pair-1]").selectOption(two);
  await page.locator("[name=pair-as]").selectOption("apart");
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.waitForFunction(() => /apart/.test(document.querySelector(".proof")?.innerText));
  assert.ok(run("neighbors", "--csv", "--property", `${id}.emberquilt`).split("\n").some((line) => line.includes(one) && line.includes(two) && line.includes("apart")));
  assert.ok(await page.locator("#keep-pairs").isDisabled(), "pairs are kept before they are shown");
  await page.locator("[name=rule-longer]").fill("100");
  await page.locator("#look-pairs").click();
  await page.waitForFunction(() => document.querySelectorAll(".proof").length > 0 && !document.querySelector(".wait"));
  await look(page, "what units are to each other", picture(shots, "neighbors"));
  await page.context().close();
}

// Weather and prescriptions: what is loaded, a record that is none, a reading.
async function watcher() {
  const id = "tamsel-bend";
  const page = await open();
  await go(page, at(id, "weather"));
  assert.match(await page.locator("main").innerText(), /one year in five/);
  await page.setInputFiles("[name=weather]", { name: "notes.csv", mimeType: "text/csv", buffer: Buffer.from("this,is\nno,weather\n") });
  await page.waitForSelector(".fault");
  assert.match(await page.locator(".fault").innerText(), /notes\.csv/);
  await page.locator("#starters").click();
  await page.waitForSelector(".proof");
  assert.match(run("prescription", "--property", `${id}.emberquilt`), /prescription/);
  await page.locator("[name=now-temp]").fill("warm");
  await page.locator("[name=now-rh]").fill("41");
  await page.locator("[name=now-wind]").fill("8");
  await page.locator("[name=now-from]").fill("NW");
  await page.locator("[name=now-at]").fill("13:00");
  await page.getByRole("button", { name: "Hold it against the limits" }).click();
  await page.waitForFunction(() => /"warm" is not a number/.test(document.querySelector(".fault")?.innerText));
  await page.locator("[name=now-temp]").fill("52");
  await page.getByRole("button", { name: "Hold it against the limits" }).click();
  await page.waitForSelector("#now-result li");
  await look(page, "a reading", picture(shots, "weather-now"));
  await page.setInputFiles("[name=forecast]", { name: "hourly.json", mimeType: "application/json", buffer: Buffer.from("{}") });
  await page.waitForFunction(() => /hourly\.json/.test(document.querySelector(".fault")?.innerText));
  await page.context().close();
}

// Another server on a file of this one says so.
function second() {
  try {
    run("page", "pennywhistle-place.emberquilt", "--no-browser");
    fault("a second server", "serves a file that is served");
  } catch (error) {
    assert.match(String(error.stderr), /already open; use it at http/);
  }
}

const stories = [everyScreen, landowner, manager, rehearser, recorder, importer, agent, keeper, asker, contractor, teller, printer, neighbor, watcher, second];
await driver.tell(
  stories.filter((story) => !only || story.name === only),
  async () => {
    await browser.close();
    await server.end();
    rmSync(folder, { recursive: true, force: true });
  },
);
