// What the property rests on: its settings as their file, closures, whom to call, units
// that change, plans that count; and what is handed over or kept elsewhere.
import { html, nothing, live } from "../lit.js";
import { came, cautions, drop, send, table, withFiles } from "../parts.js";
import { handover } from "../handover.js";
import { day } from "../words.js";

const blank = () => ({ role: "", name: "", phone: "", when: "" });

export async function load(page) {
  const data = await page.ask("settings");
  const s = page.state;
  // What is typed stays where somebody else changes the property.
  if (!s.isTyped) s.text = data.text;
  if (!s.isListed) s.contacts = data.contacts.map((c) => ({ ...blank(), ...c }));
  s.unit ??= { change: "rename", unit: page.head.units[0] ?? "", units: [], name: "", parts: [{ name: "", acres: "" }, { name: "", acres: "" }], files: [], until: "", because: "" };
  if (!s.isClosing) s.closures = data.closures.map((c) => ({ ...c, units: [...c.units] }));
  return data;
}

export { hearsOthers as hears } from "../parts.js";

const changed = (isDry) => ({ changes }) => (changes.length ? changes.map((t) => (isDry ? `Would change: ${t}` : `Changed: ${t}`)) : ["Nothing is different."]);

async function change(page, isDry) {
  const s = page.state;
  const renames = (s.renames ?? []).filter((r) => r.from && r.to);
  const answer = await send(page, "settings", "settings", { text: s.text, renames, because: s.because ?? "", dry_run: isDry }, { words: changed(isDry), isChange: !isDry });
  s.isShown = isDry && answer?.changes.length > 0;
  if (!isDry && answer) {
    s.isTyped = false;
    s.isChanged = answer.changes.length > 0;
    s.renames = [];
    await page.reload();
  }
  const line = s.failed?.errors.find((e) => e.line)?.line;
  if (line) toLine(line);
  page.redraw();
}

/** Shows a line of the settings: that of the first error. */
function toLine(line) {
  const area = document.getElementById("settings-text");
  const lines = area.value.split("\n");
  const from = lines.slice(0, line - 1).reduce((n, t) => n + t.length + 1, 0);
  area.focus();
  area.setSelectionRange(from, from + (lines[line - 1]?.length ?? 0));
  area.scrollTop = Math.max(0, (line - 4) * parseFloat(getComputedStyle(area).lineHeight));
}

const written = (page) => {
  const s = page.state;
  const needsName = s.failed?.errors.some((e) => e.field === "rename-season") || s.renames?.length;
  const at = s.at === "settings" ? (s.failed?.errors ?? []).filter((e) => e.line) : [];
  return html`<label for="settings-text" class="above">The settings, as their file<small>a line behind a # is absent: its default or no limit holds</small></label>
    <textarea id="settings-text" class="file-text" rows="24" spellcheck="false" aria-invalid=${at.length ? "true" : nothing} .value=${live(s.text)}
      @input=${(e) => {
        s.text = e.target.value;
        const wasShown = s.isShown;
        s.isTyped = true;
        s.isShown = false;
        if (wasShown) page.redraw();
      }}></textarea>
    ${at.length
      ? html`<ul class="quoted">${at.map((e) => html`<li><button type="button" class="plain" @click=${() => toLine(e.line)}>Line ${e.line}</button> <code>${s.text.split("\n")[e.line - 1] ?? ""}</code></li>`)}</ul>`
      : nothing}
    ${came(page, "settings")} ${s.isChanged ? html`<p class="buttons"><button type="button" id="make-plan" @click=${() => ((s.isChanged = false), page.makePlan())}>Make a plan with it</button></p>` : nothing}
    ${needsName
      ? html`<div class="fields">
          ${(s.renames?.length ? s.renames : (s.renames = [{ from: "", to: "" }])).map(
            (r, i) => html`<label>Season that stands<input name=${`rename-from-${i}`} .value=${live(r.from)} @input=${(e) => (r.from = e.target.value)} /></label><label>and its new name<input name=${`rename-to-${i}`} .value=${live(r.to)} @input=${(e) => (r.to = e.target.value)} /></label>`,
          )}
        </div>`
      : nothing}
    <div class="fields"><label>Reason, kept with it<input name="because" .value=${live(s.because ?? "")} @input=${(e) => (s.because = e.target.value)} /></label></div>
    <p class="buttons">
      <button type="button" class="quiet-button" id="look" ?disabled=${s.isSending} @click=${() => change(page, true)}>What would change</button>
      <button type="button" id="change" ?disabled=${s.isSending || !s.isShown} @click=${() => change(page, false)}>Change the settings</button>
      ${s.isTyped ? html`<button type="button" class="quiet-button" @click=${() => ((s.isTyped = s.isShown = false), (s.failed = s.done = null), page.reload())}>Back to what stands</button>` : nothing}
    </p>`;
};

async function readTemplate(page, list) {
  const [file] = list;
  if (!file) return;
  page.state.template = { file: file.name, text: await file.text() };
  await loadTemplate(page, true);
}

async function loadTemplate(page, isDry) {
  const s = page.state;
  const answer = await send(page, "template", "template", { ...s.template, dry_run: isDry }, {
    words: ({ changes }) => (changes.length ? changes.map((t) => (isDry ? `Would change: ${t}` : `Changed: ${t}`)) : ["Nothing is different."]),
    isChange: !isDry,
  });
  s.isTemplateShown = isDry && answer?.changes.length > 0;
  if (!isDry && answer) s.template = null;
  page.redraw();
}

const template = (page) => {
  const s = page.state;
  s.handOut ??= { county: "", source: "" };
  const typed = (key) => (e) => ((s.handOut[key] = e.target.value), page.redraw());
  return html`<p class="quiet">Seasons, days off, closures, tasks and prescriptions that the properties of a county share, with their source and date. What a template does not name stays as it is.</p>
    ${drop(page, { key: "template", name: "template", label: "Load a template", about: "a file that emberquilt settings --template printed, or that was downloaded here" }, (list) => readTemplate(page, list))}
    ${came(page, "template")}
    ${s.template && s.isTemplateShown ? html`<p class="buttons"><button type="button" id="load-template" ?disabled=${s.isSending} @click=${() => loadTemplate(page, false)}>Load ${s.template.file}</button></p>` : nothing}
    <div class="fields even">
      <label>County<input name="template-county" .value=${live(s.handOut.county)} @input=${typed("county")} /></label>
      <label>Who says so<input name="template-source" placeholder="extension office, burn guide" .value=${live(s.handOut.source)} @input=${typed("source")} /></label>
    </div>
    ${s.handOut.county.trim() && s.handOut.source.trim()
      ? html`<p class="buttons"><a class="button quiet-button" id="template-download" href=${page.path(`template?${new URLSearchParams(s.handOut)}`)} download>Download a template of this property</a></p>`
      : html`<p class="quiet">With both, what this property shares can be downloaded as a template for others.</p>`}`;
};

const contacts = (page) => {
  const s = page.state;
  const moved = (i, by) => {
    const [one] = s.contacts.splice(i, 1);
    s.contacts.splice(i + by, 0, one);
    s.isListed = true;
    page.redraw();
  };
  const field = (c, i, key, label) => html`<label class=${key === "when" || key === "role" ? "long" : ""}>${label}<input name=${`contact-${i}-${key}`} autocomplete="off" .value=${live(c[key])} @input=${(e) => ((c[key] = e.target.value), (s.isListed = true))} /></label>`;
  return html`<p class="quiet">In the order of calling, as the season's sheet and the burn plan drafts print it.</p>
    <div class="typed-rows broad">
      ${s.contacts.map(
        (c, i) => html`<div class="typed-row" role="group" aria-label=${`contact ${i + 1}`}>
          ${field(c, i, "role", "who it is")} ${field(c, i, "name", "name")} ${field(c, i, "phone", "phone")} ${field(c, i, "when", "when to call")}
          <span class="row-acts">${i ? html`<button type="button" class="plain" @click=${() => moved(i, -1)}>Earlier<span class="unseen">: contact ${i + 1}</span></button>` : nothing}
          <button type="button" class="plain" @click=${() => (s.contacts.splice(i, 1), (s.isListed = true), page.redraw())}>Remove<span class="unseen"> contact ${i + 1}</span></button></span>
        </div>`,
      )}
      <button type="button" class="quiet-button" @click=${() => {
        s.contacts.push(blank());
        s.isListed = true;
        page.redraw();
        document.querySelector(`[name="contact-${s.contacts.length - 1}-role"]`)?.focus();
      }}>One more to call</button>
    </div>
    ${came(page, "contacts")}
    <p class="buttons"><button type="button" id="keep-contacts" ?disabled=${s.isSending} @click=${async () => {
      const kept = s.contacts.filter((c) => Object.values(c).some((t) => t.trim()));
      if (await send(page, "contacts", "contacts", { contacts: kept }, { words: ({ contacts }) => [`The list has ${contacts} to call.`] })) s.isListed = false;
    }}>Keep this list</button></p>`;
};

// What a unit can become: [what, words, what is asked].
const ways = [
  ["rename", "gets another name", ["unit", "name"]],
  ["split", "is divided, by names and acres", ["unit", "parts"]],
  ["outlines", "is divided, by outlines", ["unit", "outlines"]],
  ["merge", "is joined with others", ["units", "name"]],
  ["retire", "is no longer burned", ["unit", "until"]],
  ["own", "is owned for a time", ["unit", "from", "until"]],
  ["delete", "never was: a mistake", ["unit"]],
];

const units = (page) => {
  const s = page.state;
  const u = s.unit;
  const asks = ways.find(([what]) => what === u.change)[2];
  const set = (key) => (e) => (u[key] = e.target.value);
  const names = page.head.units;
  return html`<form
    @submit=${async (e) => {
      e.preventDefault();
      const body = { because: u.because };
      for (const key of asks) body[key] = key === "from" || key === "until" ? u[key] || null : u[key];
      const done = await send(page, "units", u.change === "outlines" ? "units/outlines" : `units/${u.change}`, u.change === "outlines" ? withFiles({ unit: u.unit, because: u.because }, u.files) : body, { words: (a) => [a.done, ...(a.notes ?? [])] });
      if (done) Object.assign(u, { name: "", parts: [{ name: "", acres: "" }, { name: "", acres: "" }], units: [], files: [], because: "" });
      if (!page.head.units.includes(u.unit)) u.unit = page.head.units[0] ?? "";
      page.redraw();
    }}
  >
    <div class="fields even">
      <label>A unit<select name="unit-change" @change=${(e) => ((u.change = e.target.value), page.redraw())}>${ways.map(([what, words]) => html`<option value=${what} ?selected=${what === u.change}>${words}</option>`)}</select></label>
      ${asks.includes("unit") ? html`<label>Its name<select name="unit" @change=${set("unit")}>${names.map((n) => html`<option ?selected=${n === u.unit}>${n}</option>`)}</select></label>` : nothing}
      ${asks.includes("units") ? html`<fieldset class="wide"><legend>Units</legend>${names.map((n) => html`<label class="choice"><input type="checkbox" .checked=${live(u.units.includes(n))} @change=${(e) => (u.units = e.target.checked ? [...u.units, n] : u.units.filter((o) => o !== n))} /> ${n}</label>`)}</fieldset>` : nothing}
      ${asks.includes("name") ? html`<label>New name<input name="unit-name" .value=${live(u.name)} @input=${set("name")} /></label>` : nothing}
      ${asks.includes("from") ? html`<label>From<input type="date" name="unit-from" .value=${live(u.from ?? "")} @input=${set("from")} /></label>` : nothing}
      ${asks.includes("until") ? html`<label>Until<small>${u.change === "retire" ? "today, where this is empty" : ""}</small><input type="date" name="unit-until" .value=${live(u.until ?? "")} @input=${set("until")} /></label>` : nothing}
      <label>Reason, kept with it<input name="unit-because" .value=${live(u.because)} @input=${set("because")} /></label>
    </div>
    ${asks.includes("parts")
      ? html`<div class="typed-rows">
          ${u.parts.map((part, i) => html`<div class="typed-row" role="group" aria-label=${`part ${i + 1}`}><label>name<input name=${`part-${i}-name`} .value=${live(part.name)} @input=${(e) => (part.name = e.target.value)} /></label><label class="short">acres<input name=${`part-${i}-acres`} inputmode="decimal" .value=${live(part.acres)} @input=${(e) => (part.acres = e.target.value)} /></label></div>`)}
          <button type="button" class="quiet-button" @click=${() => (u.parts.push({ name: "", acres: "" }), page.redraw())}>One more part</button>
        </div>`
      : nothing}
    ${asks.includes("outlines")
      ? drop(
          page,
          { key: "outlines", name: "outlines", label: "The outlines of the parts, each with its name", about: "a map file (GeoJSON, KML, GeoPackage, …); all parts of a shapefile together" },
          (files) => {
            u.files = files;
            page.redraw();
          },
          u.files.length ? html`<ul class="bare">${u.files.map((f) => html`<li>${f.name}</li>`)}</ul>` : nothing,
        )
      : nothing}
    ${came(page, "units")}
    <p class="buttons"><button ?disabled=${s.isSending || !names.length}>Change it</button></p>
    <p class="quiet">History, pairs, locks, tasks, closures and contract lines follow; burns on record keep the names that they were written with. Shapes and new units come in by an import.</p>
  </form>`;
};

const standings = { adopted: "in force", draft: "a draft", superseded: "superseded", discarded: "discarded" };
const plans = (page, data) =>
  data.plans.length
    ? html`${table(
          "Plans and their standing",
          [
            ["plan", "plan", (v, p) => html`${v}${p.trial ? html` <small>${p.trial}</small>` : nothing}`],
            ["made_for", "made for", day],
            ["first_year", "years", (_, p) => `${p.first_year} to ${p.last_year}`],
            ["standing", "standing", (v) => standings[v] ?? v],
            ["note", "note", (v, p) => [...new Set([v, p.because])].filter(Boolean).join("; ")],
            ["standing", "decide", (v, p) => html`${v === "adopted" ? nothing : html`<button type="button" class="plain" @click=${() => send(page, "plans", `plans/${p.plan}/adopt`, { because: page.state.planBecause ?? "" }, { words: () => [`Plan ${p.plan} is in force.`] })}>Adopt<span class="unseen"> plan ${p.plan}</span></button> `}${v === "draft" ? html`<button type="button" class="plain" @click=${() => send(page, "plans", `plans/${p.plan}/discard`, { because: page.state.planBecause ?? "" }, { words: () => [`Plan ${p.plan} is discarded.`] })}>Discard<span class="unseen"> plan ${p.plan}</span></button>` : nothing}`],
          ],
          data.plans.slice().reverse(),
          { class: "stack" },
        )}
        ${data.plans.some((p) => p.standing !== "adopted") ? html`<div class="fields"><label>Reason of a decision<input name="plan-because" .value=${live(page.state.planBecause ?? "")} @input=${(e) => (page.state.planBecause = e.target.value)} /></label></div>` : nothing}
        ${came(page, "plans")}`
    : html`<p>No plan is made yet.</p>`;

// Spans in which nothing may burn, as rows.
const closures = (page) => {
  const s = page.state;
  const touch = () => (s.isClosing = true);
  const keep = async (isDry) => {
    const kept = s.closures.filter((c) => c.name.trim() || c.first.trim() || c.last.trim() || c.units.length);
    const done = await send(page, "closures", "closures", { closures: kept, because: s.closeBecause ?? "", dry_run: isDry }, { words: changed(isDry), isChange: !isDry });
    if (done && !isDry) {
      s.isClosing = false;
      s.closeBecause = "";
      s.isChanged ||= done.changes.length > 0;
      await page.reload();
    }
  };
  const field = (c, i, key, label, about = "") => html`<label>${label}${about ? html`<small>${about}</small>` : nothing}<input name=${`closure-${i}-${key}`} autocomplete="off" .value=${live(c[key])} @input=${(e) => ((c[key] = e.target.value), touch())} /></label>`;
  return html`<p class="quiet">Nesting, a hunt, stock in the field: nothing burns from the first to the last day. Days are MM-DD for every year, or YYYY-MM-DD for once.</p>
    <div class="typed-rows broad">
      ${s.closures.map(
        (c, i) => html`<div class="typed-row" role="group" aria-label=${`closure ${i + 1}`}>
          ${field(c, i, "name", "why it is closed")} ${field(c, i, "first", "first day")} ${field(c, i, "last", "last day")}
          <details class="few-units">
            <summary>${c.units.length ? `closes ${c.units.length > 3 ? `${c.units.length} units` : c.units.join(", ")}` : "closes every unit"}</summary>
            ${[...new Set([...page.head.units, ...c.units])].map((n) => html`<label class="choice"><input type="checkbox" .checked=${live(c.units.includes(n))} @change=${(e) => ((c.units = e.target.checked ? [...c.units, n] : c.units.filter((o) => o !== n)), touch(), page.redraw())} /> ${n}</label>`)}
          </details>
          <button type="button" class="plain" @click=${() => (s.closures.splice(i, 1), touch(), page.redraw())}>Remove<span class="unseen"> closure ${i + 1}</span></button>
        </div>`,
      )}
      <button type="button" class="quiet-button" @click=${() => {
        s.closures.push({ name: "", first: "", last: "", units: [] });
        touch();
        page.redraw();
        document.querySelector(`[name="closure-${s.closures.length - 1}-name"]`)?.focus();
      }}>One more closure</button>
    </div>
    <div class="fields"><label>Reason, kept with it<input name="closure-because" .value=${live(s.closeBecause ?? "")} @input=${(e) => (s.closeBecause = e.target.value)} /></label></div>
    ${came(page, "closures")}
    <p class="buttons">
      <button type="button" class="quiet-button" id="look-closures" ?disabled=${s.isSending} @click=${() => keep(true)}>What would change</button>
      <button type="button" id="keep-closures" ?disabled=${s.isSending} @click=${() => keep(false)}>Keep these closures</button>
    </p>`;
};

export const view = (page, data) => html`
  <h1 tabindex="-1">Settings</h1>
  <p class="lede">Seasons, crew, caps, closures, wanted mixes: what every plan rests on.</p>
  ${written(page)}
  <h2>Closures</h2>
  ${closures(page)}
  <h2>What a county shares</h2>
  ${template(page)}
  <h2>Whom to call</h2>
  ${contacts(page)}
  <h2>Units that change</h2>
  ${units(page)}
  <h2>Plans that count</h2>
  ${plans(page, data)} ${handover(page)} ${cautions(data.cautions)}
`;
