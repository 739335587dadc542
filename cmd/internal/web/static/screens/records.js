// Burns on record: a form for one, corrections with reasons, history.
import { html, nothing, live } from "../lit.js";
import { cautions, drop, empty, fault, named, table } from "../parts.js";
import { acres, day } from "../words.js";

export const load = (page) => page.ask("burns").then((burns) => ({ burns }));

export { hearsOthers as hears } from "../parts.js";

async function history(page, number) {
  const state = page.state;
  state.open = state.open === number ? 0 : number;
  state.versions = state.fault = null;
  page.redraw();
  if (!state.open) return;
  try {
    state.versions = await page.ask(`burns/${number}/history`);
  } catch (error) {
    state.fault = error;
  }
  page.redraw();
  document.getElementById("history")?.focus();
}

const versions = (page) => html`
  <section aria-live="polite">
    <h2 id="history" tabindex="-1">History of burn ${page.state.open}</h2>
    ${fault(page.state.fault)}
    <ol class="history">
      ${(page.state.versions ?? []).map(
        (v) => html`<li>
          <b>Version ${v.version}</b>${v.withdrawn ? html` <span class="tag alarm">withdrawn</span>` : nothing}
          <div>${v.reason} <small>${v.made_at}</small></div>
          ${v.since_before.length ? html`<ul>${v.since_before.map((t) => html`<li>${t}</li>`)}</ul>` : nothing}
        </li>`,
      )}
    </ol>
  </section>
`;

const texts = [
  ["purpose", "Purpose"],
  ["crew", "Crew"],
  ["permit", "Permit or authorization number"],
  ["fuel_moisture", "Fuel moisture"],
  ["soil_moisture", "Soil moisture"],
  ["consumed", "Share of the fuel consumed", "0 to 1"],
  ["top_killed", "Share of the woody cover top-killed", "0 to 1"],
  ["escapes", "Escapes or spot-overs"],
  ["mop_up_end", "End of mop-up", "YYYY-MM-DD HH:MM"],
];

const noReading = () => ({ at: "", temp: "", rh: "", wind: "", from: "" });

// Files that are dropped are named by their checksums; nothing is sent.
async function dropped(page, files) {
  const { form } = page.state;
  for (const file of files) {
    const one = await named(file);
    form.dropped = [...form.dropped.filter((d) => d.name !== one.name), one];
  }
  page.redraw();
}

const mostOutline = 600000;

async function outline(page, input) {
  const [file] = input.files;
  input.value = "";
  if (!file) return;
  if (file.size > mostOutline) page.state.failed = { errors: [{ field: "outline", found: `${file.name} is larger than ${mostOutline / 1000} kB`, accepts: "the outline of one burn; the command takes larger files" }] };
  else {
    page.state.failed = null;
    const bytes = new Uint8Array(await file.arrayBuffer());
    page.state.form.outline = { ...(await named(file)), data: btoa(Array.from(bytes, (b) => String.fromCharCode(b)).join("")) };
  }
  page.redraw();
}

function begin(page, burn) {
  const b = burn ?? {};
  page.state.form = {
    number: b.number ?? 0,
    unit: b.unit ?? page.head.units[0] ?? "",
    on: b.date ?? page.head.today,
    through: b.through ?? "",
    kind: b.kind ?? "prescribed",
    acres: b.acres == null ? "" : String(b.acres),
    ignition: b.ignition ?? "",
    start: b.start ?? "",
    end: b.end ?? "",
    notes: b.notes ?? "",
    ...Object.fromEntries(texts.map(([key]) => [key, b[key] == null ? "" : String(b[key])])),
    readings: [noReading()],
    files: "",
    dropped: [],
    outline: null,
    because: "",
  };
  page.state.was = burn ? structuredClone(page.state.form) : null;
  page.state.failed = page.state.done = null;
  page.redraw();
  document.getElementById("form-title")?.focus();
}

async function keep(page, another = false) {
  const { form, was } = page.state;
  const body = { unit: form.unit, readings: form.readings, files: form.files.split("\n").map((t) => t.trim()).filter(Boolean), dropped: form.dropped, outline: form.outline, another, because: form.because };
  for (const key of ["on", "through", "kind", "acres", "ignition", "start", "end", "notes", ...texts.map(([k]) => k)]) {
    if (was ? form[key] !== was[key] : form[key] !== "") body[key] = form[key];
  }
  page.state.failed = null;
  page.state.isSending = true;
  page.state.own = true;
  page.redraw();
  try {
    const answer = await page.send(form.number ? `burns/${form.number}` : "burns", body);
    page.state.form = null;
    page.state.done = answer.words;
    page.say(answer.words);
    await page.reload();
    document.getElementById("done")?.focus();
  } catch (error) {
    page.state.own = false;
    page.state.failed = error;
  }
  page.state.isSending = false;
  page.redraw();
}

async function withdraw(page) {
  const { form } = page.state;
  page.state.failed = null;
  page.state.own = true;
  try {
    await page.send(`burns/${form.number}/withdraw`, { because: form.because });
    page.state.form = null;
    page.state.done = `Burn ${form.number} is withdrawn; its versions stay.`;
    await page.reload();
  } catch (error) {
    page.state.own = false;
    page.state.failed = error;
  }
  page.redraw();
}

function form(page) {
  const f = page.state.form;
  const set = (key) => (e) => (f[key] = e.target.value);
  const field = (key, label, about = "", type = "text") =>
    html`<label>${label}${about ? html`<small>${about}</small>` : nothing}<input type=${type} name=${key} .value=${live(f[key])} @input=${set(key)} /></label>`;
  return html`<form class="sheet" @submit=${(e) => (e.preventDefault(), keep(page))} novalidate>
    <h2 id="form-title" tabindex="-1">${f.number ? `Correct burn ${f.number}` : "Put a burn on record"}</h2>
    <div class="fields">
      ${f.number
        ? html`<p><b>Unit</b><br />${f.unit}</p>`
        : html`<label>Unit<select name="unit" @change=${set("unit")}>${page.head.units.map((u) => html`<option ?selected=${u === f.unit}>${u}</option>`)}</select></label>`}
      <label>Kind<select name="kind" @change=${set("kind")}>${page.head.kinds.map((k) => html`<option ?selected=${k === f.kind}>${k}</option>`)}</select></label>
      ${field("on", "First day", "", "date")} ${field("through", "Last day", "nothing where it took one day", "date")} ${field("acres", "Acres burned", "nothing for the whole unit")}
      <label>or the outline that burned<small>a map file (KML, GPX, GeoJSON, …) that lies below the folder of the property</small><input type="file" name="outline" @change=${(e) => outline(page, e.target)} />${f.outline ? html`<small>${f.outline.name} <button type="button" class="plain" @click=${() => ((f.outline = null), page.redraw())}>Leave it out</button></small>` : nothing}</label>
      <label>Ignition<select name="ignition" @change=${set("ignition")}>${["", ...page.head.ignitions].map((k) => html`<option ?selected=${k === f.ignition}>${k}</option>`)}</select></label>
      ${field("start", "Start", "HH:MM", "time")} ${field("end", "End", "HH:MM", "time")}
    </div>
    <fieldset>
      <legend>Weather readings</legend>
      <div class="scroll" role="region" aria-label="Weather readings" tabindex="0">
        <table>
          <thead>
            <tr>
              <th scope="col">time</th>
              <th scope="col">temperature, °F</th>
              <th scope="col">humidity, %</th>
              <th scope="col">wind, mph</th>
              <th scope="col">wind from</th>
            </tr>
          </thead>
          <tbody>
            ${f.readings.map(
              (r, i) => html`<tr>
                ${[["at", "time", "time"], ["temp", "temperature"], ["rh", "humidity"], ["wind", "wind"], ["from", "wind from"]].map(
                  ([key, label, type]) => html`<td><input class="short" type=${type ?? "text"} aria-label=${`Reading ${i + 1}: ${label}`} .value=${live(r[key])} @input=${(e) => (r[key] = e.target.value)} /></td>`,
                )}
              </tr>`,
            )}
          </tbody>
        </table>
      </div>
      <button type="button" class="quiet-button" @click=${() => (f.readings.push(noReading()), page.redraw())}>One more reading</button>
      ${f.number ? html`<p class="quiet">These are added to the readings that stand on record.</p>` : nothing}
    </fieldset>
    <fieldset>
      <legend>The rest</legend>
      <div class="fields">
        ${texts.map(([key, label, about]) => field(key, label, about))}
        ${drop(
          page,
          { key: "dropped", name: "dropped", isWide: true, label: "Photos, maps and other files", about: "dropped here or chosen, from below the folder of the property: they are named by path and checksum, and copied nowhere" },
          (files) => dropped(page, files),
          f.dropped.length ? html`<ul class="bare">${f.dropped.map((d) => html`<li>${d.name} <button type="button" class="plain" @click=${() => ((f.dropped = f.dropped.filter((o) => o !== d)), page.redraw())}>Leave it out<span class="unseen">: ${d.name}</span></button></li>`)}</ul>` : nothing,
        )}
        <label class="wide">or their paths<small>below the folder of the property, one a line</small><textarea name="files" .value=${live(f.files)} @input=${set("files")}></textarea></label>
        <label class="wide">Notes<textarea name="notes" .value=${live(f.notes)} @input=${set("notes")}></textarea></label>
        ${f.number ? html`<label class="wide">Reason of the correction<input name="because" .value=${live(f.because)} @input=${set("because")} /></label>` : nothing}
      </div>
    </fieldset>
    ${fault(page.state.failed, page.state.failed?.overlap ? html`<p><button type="button" @click=${() => keep(page, true)}>It is a fire of its own: record it</button></p>` : nothing)}
    <p class="buttons">
      <button ?disabled=${page.state.isSending}>${f.number ? "Put the correction on record" : "Put it on record"}</button>
      <button type="button" class="quiet-button" @click=${() => ((page.state.form = null), page.redraw())}>Leave it</button>
      ${f.number ? html`<button type="button" class="quiet-button" @click=${() => withdraw(page)}>It never burned: withdraw it</button>` : nothing}
    </p>
  </form>`;
}

export const view = (page, { burns }) => html`
  <h1 tabindex="-1">Records</h1>
  ${page.state.done ? html`<p class="proof" id="done" tabindex="-1">${page.state.done}</p>` : nothing}
  ${page.state.form
    ? form(page)
    : page.head.units.length
      ? html`<p class="buttons"><button type="button" @click=${() => begin(page)}>Put a burn on record</button></p>`
      : nothing}
  ${page.state.open ? versions(page) : nothing}
  ${burns.length
    ? table(
        "Burns on record, the newest first",
        [
          ["date", "date", (v, b) => html`<span>${day(v)}${b.through ? html` to ${day(b.through)}` : nothing}</span>`],
          ["unit", "unit"],
          ["kind", "kind"],
          ["acres", "acres", acres, true],
          ["program_year", "burn year", null, true],
          ["season", "season"],
          ["number", "versions", (n) => html`<button type="button" class="plain" aria-expanded=${page.state.open === n} @click=${() => history(page, n)}>History<span class="unseen"> of burn ${n}</span></button>`],
          ["number", "change", (n, b) => html`<button type="button" class="plain" @click=${() => begin(page, b)}>Correct<span class="unseen"> burn ${n}</span></button>`],
        ],
        burns.slice().sort((a, b) => (a.date < b.date ? 1 : a.date > b.date ? -1 : b.number - a.number)),
        { showCaption: true, class: "stack" },
      )
    : empty("No burn is on record yet.")}
  ${cautions(page.head.cautions)}
`;
