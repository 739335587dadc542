// An import: files are shown as what they are taken for, what would change, what is
// wrong; one button does it.
import { html, nothing } from "../lit.js";
import { cautions, drop, fault, table } from "../parts.js";
import { map } from "../map.js";
import { capital, count, many } from "../words.js";

export async function load(page) {
  page.state.files ??= [];
  page.state.wish ??= { files: {}, merge: false, leave_out: false, cap_acres: false, doubles: "", contracts: "" };
  return {};
}

// What others change is shown anew in a preview.
export async function hears(page, event) {
  if (event.kind !== "changed") return false;
  if (!page.state.isTaking && page.state.files.length) await look(page);
  return true;
}

async function exchange(page, isDry) {
  const { files, wish, shown } = page.state;
  const form = new FormData();
  form.append("wish", JSON.stringify({ ...wish, dry_run: isDry, if_version: isDry ? "" : (shown?.data_version ?? "") }));
  for (const file of files) form.append("file", file, file.name);
  return page.send("import", form);
}

let turn = 0;

async function look(page) {
  const mine = ++turn;
  page.state.isReading = true;
  page.state.failed = page.state.done = null;
  page.redraw();
  try {
    const shown = await exchange(page, true);
    if (mine !== turn) return;
    page.state.shown = shown;
    page.say(shown.fault ? many(shown.fault.errors.length, "error") : shown.idle ? "nothing would change" : shown.summary.join("; "));
  } catch (error) {
    if (mine !== turn) return;
    page.state.shown = null;
    page.state.failed = error;
  }
  page.state.isReading = false;
  page.redraw();
}

async function take(page) {
  page.state.isTaking = true;
  page.state.failed = null;
  page.redraw();
  try {
    const answer = await exchange(page, false);
    if (answer.fault) {
      page.state.failed = answer.fault;
      page.state.isTaking = false;
      page.state.shown = null;
      const kept = answer.fault;
      await look(page);
      page.state.failed = kept;
    } else {
      page.state.done = answer;
      page.state.files = [];
      page.state.shown = null;
      page.state.wish = { files: {}, merge: false, leave_out: false, cap_acres: false, doubles: "", contracts: "" };
      page.say(`imported: ${answer.summary.join("; ")}`);
    }
  } catch (error) {
    page.state.failed = error;
  }
  page.state.isTaking = false;
  page.redraw();
}

function add(page, files) {
  if (!files.length) return;
  const names = new Set(files.map((f) => f.name));
  page.state.files = [...page.state.files.filter((f) => !names.has(f.name)), ...files];
  look(page);
}

const said = (page, file) => (page.state.wish.files[file] ??= { columns: {}, as: {} });

function column(page, f, h, to) {
  const columns = said(page, f.file).columns;
  for (const [ours, theirs] of Object.entries(columns)) if (theirs === h.header) delete columns[ours];
  if (h.read_as && h.read_as !== to) columns[h.read_as] ??= ""; // it is not read any more
  if (to) columns[to] = h.header;
  look(page);
}

// How many shapes of a file are listed one by one.
const mostShapes = 200;

const oneFile = (page, f, kinds, shapeKinds) => html`<article class="patch">
  <h2>${f.file}</h2>
  <p>${f.unread ? html`<span class="tag alarm">not read</span>` : html`${capital(f.told)}; ${many(f.rows, "row")}.`}</p>
  <div class="fields">
    <label>It holds<select @change=${(e) => ((said(page, f.file).kind = e.target.value), look(page))}>
      <option value="">what its header tells</option>
      ${kinds.map((k) => html`<option ?selected=${said(page, f.file).kind === k}>${k}</option>`)}
    </select></label>
    <label>Its dates are written<select @change=${(e) => ((said(page, f.file).dates = e.target.value), look(page))}>
      ${[["ymd", "year-month-day"], ["mdy", "month/day/year"], ["dmy", "day/month/year"]].map(([v, t]) => html`<option value=${v} ?selected=${(said(page, f.file).dates ?? "ymd") === v}>${t}</option>`)}
    </select></label>
  </div>
  ${f.headers.length
    ? table(
        `Columns of ${f.file}`,
        [
          ["header", "column of the file"],
          ["read_as", "is read as", (v, h) => html`<select aria-label=${`${h.header} is read as`} @change=${(e) => column(page, f, h, e.target.value)}>
            <option value="">not used</option>
            ${f.columns.map((c) => html`<option ?selected=${c === v}>${c}</option>`)}
          </select>`],
        ],
        f.headers,
      )
    : nothing}
  ${f.shapes.length
    ? html`<details ?open=${new Set(f.shapes.map((s) => s.taken_as)).size > 1 || f.unread}>
        <summary>${many(f.shapes.length, "shape")}: what each is taken as</summary>
        ${table(
          `Shapes of ${f.file}`,
          [
            ["name", "shape"],
            ["drawn_as", "drawn as"],
            ["taken_as", "is taken as", (v, s) => html`<select aria-label=${`${s.name} is taken as`} @change=${(e) => ((said(page, f.file).as[s.name] = e.target.value), look(page))}>
              ${shapeKinds.map((k) => html`<option ?selected=${k === v}>${k}</option>`)}
            </select>`],
          ],
          f.shapes.slice(0, mostShapes),
        )}
        ${f.shapes.length > mostShapes ? html`<p>and ${count(f.shapes.length - mostShapes)} more</p>` : nothing}
      </details>`
    : nothing}
  <p><button type="button" class="plain" @click=${() => leaveOut(page, f.file)}>Leave ${f.file} out</button></p>
</article>`;

function leaveOut(page, name) {
  const base = name.replace(/\.[^.]*$/, "");
  page.state.files = page.state.files.filter((f) => f.name !== name && !(name.toLowerCase().endsWith(".shp") && f.name.startsWith(`${base}.`)));
  if (page.state.files.length) look(page);
  else {
    page.state.shown = null;
    page.redraw();
  }
}

const choices = (page) => {
  const w = page.state.wish;
  const box = (key, label) => html`<label class="choice"><input type="checkbox" .checked=${w[key]} @change=${(e) => ((w[key] = e.target.checked), look(page))} /> ${label}</label>`;
  return html`<details>
    <summary>Choices for odd files</summary>
    ${box("merge", "Take several rows of one unit, or of one burn, as its parts")} ${box("cap_acres", "Take burned acres above those of the unit as the whole unit")}
    ${box("leave_out", "Leave faulty rows out, and name them")}
    <label>Burns that may be on record already<select @change=${(e) => ((w.doubles = e.target.value), look(page))}>
      ${[["", "refuse them"], ["skip", "leave them out"], ["add", "record them all"]].map(([v, t]) => html`<option value=${v} ?selected=${w.doubles === v}>${t}</option>`)}
    </select></label>
    <label>Where a list says another number, client or first month of a contract<select @change=${(e) => ((w.contracts = e.target.value), look(page))}>
      ${[["", "refuse the list"], ["keep", "keep what is on file"], ["change", "take what the list says"]].map(([v, t]) => html`<option value=${v} ?selected=${w.contracts === v}>${t}</option>`)}
    </select></label>
  </details>`;
};

// The rows as they stand in the file, each with what is wrong in it.
const quoted = (shown) =>
  shown.quoted.length
    ? table(
        "Rows with errors",
        [
          ["line", "line", null, true],
          ["text", "row", (v) => html`<code>${v}</code>`],
          ["file", "what is wrong", (v, q) => shown.fault.errors.filter((e) => e.file === q.file && e.line === q.line).map((e) => html`<div>${e.field ? html`<b>${e.field}:</b> ` : nothing}${e.found}</div>`)],
        ],
        shown.quoted,
        { class: "stack" },
      )
    : nothing;

const preview = (page, shown) => html`
  <h2>What the files are</h2>
  <div class="patches">${shown.files.map((f) => oneFile(page, f, shown.kinds, shown.shape_kinds))}</div>
  ${choices(page)}
  ${shown.fault
    ? html`<h2>What is wrong</h2>${fault(shown.fault)} ${quoted(shown)}
        <p>Nothing comes in until it is put right in the file, or said above.</p>`
    : html`<h2>What would change</h2>
        <ul>
          ${shown.summary.map((t) => html`<li>${t}</li>`)}
        </ul>
        ${shown.changes.length
          ? table(
              "Changes",
              [["name", "what"], ["kind", "kind"], ["action", "becomes"], ["fields", "old → new", (v, c) => (v.length ? html`<ul class="bare">${v.map((t) => html`<li>${t}</li>`)}</ul>` : c.why)]],
              shown.changes,
            )
          : nothing}
        ${shown.changes_not_shown ? html`<p>and ${count(shown.changes_not_shown)} more</p>` : nothing}
        ${shown.parts ? html`<h2>The shapes</h2>${map(shown.parts, "Map of the shapes that would come in", () => ({ class: "a1" }))}` : nothing}
        ${[...shown.notes.map((t) => html`<li>${t}</li>`), ...shown.left_out.map((t) => html`<li>left out: ${t}</li>`)].length
          ? html`<h2>Noted</h2>
              <ul>
                ${shown.notes.map((t) => html`<li>${t}</li>`)} ${shown.left_out.map((t) => html`<li>left out: ${t}</li>`)}
              </ul>`
          : nothing}
        <p class="buttons">
          ${shown.idle
            ? html`<b>Nothing would change.</b>`
            : html`<button type="button" id="take" ?disabled=${page.state.isTaking || page.state.isReading} @click=${() => take(page)}>Import all of it</button>`}
        </p>`}
`;

const done = (answer, page) => html`<div class="proof" role="status">
    <p>Imported.</p>
    <ul>
      ${answer.summary.map((t) => html`<li>${t}</li>`)}
    </ul>
  </div>
  <p class="buttons"><button type="button" @click=${page.makePlan}>Make a plan with it</button></p>`;

export const view = (page) => html`
  <h1 tabindex="-1">Import</h1>
  <p class="lede">Lists as CSV or workbook, and shapes as GeoJSON, KML, KMZ, GPX, GeoPackage, shapefile. Nothing changes before the last button.</p>
  ${drop(page, { key: "import", id: "files", label: "Files", about: "dropped here, or chosen; all parts of a shapefile together" }, (files) => add(page, files))}
  ${page.state.done ? done(page.state.done, page) : nothing} ${page.state.isReading ? html`<p class="wait">Reading…</p>` : nothing} ${fault(page.state.failed)}
  ${page.state.shown ? preview(page, page.state.shown) : nothing} ${cautions(page.head.cautions)}
`;
