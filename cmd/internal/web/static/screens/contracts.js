// Cost-share contracts: what each line plans and what was done, and the forms that
// modify a line, note work, name a practice, answer about early work, attach a file.
import { html, nothing, live } from "../lit.js";
import { came, cautions, drop, empty, named, send, table } from "../parts.js";
import { acres, capital, count, day, figure } from "../words.js";

const noWish = (page, c) => ({ change: "amend", line: String(c.schedule.find((r) => r.line)?.line ?? ""), planned: "", year: "", unit: "", on: "", number: "", because: "" });
const noWork = (page, c) => {
  const practice = c.practices.find((p) => !p.from_burns)?.code ?? "";
  return { unit: c.schedule.find((r) => r.practice === practice)?.unit ?? page.head.units[0] ?? "", practice, on: "", amount: "", notes: "" };
};

export async function load(page) {
  const data = await page.ask("contracts");
  const s = page.state;
  s.of ??= {};
  for (const c of data.contracts) s.of[c.contract] ??= { line: noWish(page, c), work: noWork(page, c), practice: { practice: c.practices[0]?.code ?? "", name: "", standard: "" }, file: { path: "", dropped: null, because: "" } };
  return data;
}

export { hearsOthers as hears } from "../parts.js";

const amount = (v, measure) => (v == null ? "" : `${measure === "acres" ? acres(v) : figure(v)} ${measure}`);

// What a line can become: [what, words, what is asked].
const ways = [
  ["amend", "plans another amount", ["planned"]],
  ["move", "moves to another year or unit", ["year", "unit"]],
  ["extend", "has until a later fiscal year", ["year"]],
  ["cancel", "is canceled: it counts no more", []],
  ["close", "is closed as it stands", []],
];
const holds = [["free", "free of it, and say what they do"], ["wish", "burn it where that can be"], ["lock", "burn it in its years"]];

const lines = (page, data, c) => {
  const of = new Map(data.lines.filter((l) => l.contract === c.contract).map((l) => [Number(l.line), l]));
  return table(
    `Lines of ${c.contract}`,
    [
      ["line", "line", (v, r) => html`${v || "–"}${r.item ? html` <small>item ${r.item}</small>` : nothing}`],
      ["practice", "practice"],
      ["unit", "unit"],
      ["fiscal_year", "fiscal year", (v, r) => `${v}${r.until ? `, until ${r.until}` : ""}`, true],
      ["planned", "planned", (v, r) => amount(v, r.measure), true],
      ["applied", "done in time", (v, r) => amount(v, r.measure), true],
      ["remaining", "remains", (v, r) => amount(v, r.measure), true],
      ["state", "state", (v, r) => html`<span class=${v === "behind schedule" ? "late" : ""}>${v}</span>${r.behind && v !== "behind schedule" ? html`, <span class="late">behind schedule</span>` : nothing}`],
      ["line", "plans", (v, r) => {
        const hold = of.get(v);
        if (!hold || hold.applied_from !== "burns") return "";
        if (r.property_wide) return `not held to the ${data.whole_property}`;
        return html`<select aria-label=${`Plans, for line ${v} of ${c.contract}`} @change=${(e) => send(page, `hold ${c.contract}`, "contracts/hold", { contract: c.contract, line: v, hold: e.target.value })}>
          ${holds.map(([value, words]) => html`<option value=${value} ?selected=${(hold.in_plan || "free") === value}>${words}</option>`)}
        </select>`;
      }],
    ],
    c.schedule,
    { class: "stack" },
  );
};

const field = (of, key, label, about = "", type = "text") =>
  html`<label>${label}${about ? html`<small>${about}</small>` : nothing}<input type=${type} name=${`contract-${key}`} autocomplete="off" .value=${live(of[key])} @input=${(e) => (of[key] = e.target.value)} /></label>`;
const choose = (page, of, key, label, all, none) => {
  // What the list shows is what is sent, also where what was chosen is gone.
  if (!(none && !of[key]) && !all.some(([value]) => value === of[key])) of[key] = none ? "" : (all[0]?.[0] ?? "");
  return html`<label>${label}<select name=${`contract-${key}`} @change=${(e) => ((of[key] = e.target.value), page.redraw())}>${none ? html`<option value="">${none}</option>` : nothing}${all.map(([value, words]) => html`<option value=${value} ?selected=${value === of[key]}>${words ?? value}</option>`)}</select></label>`;
};

const submit = (page, c, part, path, body, again) => async (e) => {
  e.preventDefault();
  if (await send(page, `${part} ${c.contract}`, path, { contract: c.contract, ...body() })) again?.();
  page.redraw();
};

const modify = (page, data, c) => {
  const s = page.state.of[c.contract];
  const w = s.line;
  const asks = ways.find(([what]) => what === w.change)[2];
  const isWhole = w.change === "cancel" || w.change === "close";
  const body = () => ({ line: Number(w.line) || 0, planned: asks.includes("planned") ? w.planned : "", year: asks.includes("year") ? w.year : "", unit: asks.includes("unit") ? w.unit : "", on: w.on || null, number: w.number, because: w.because });
  return html`<form @submit=${submit(page, c, "line", `contracts/${w.change}`, body, () => (s.line = { ...noWish(page, c), change: w.change, line: w.line }))}>
    <h3>Modify a line</h3>
    <div class="fields even">
      ${choose(page, w, "line", "Line", c.schedule.filter((r) => r.line).map((r) => [String(r.line), `${r.line}: ${r.practice}, ${r.unit}, ${r.fiscal_year}`]), isWhole ? "every line that is open" : "")}
      ${choose(page, w, "change", "It", ways.map(([what, words]) => [what, words]))}
      ${asks.includes("planned") ? field(w, "planned", "It plans now", "in the practice's acres or feet") : nothing}
      ${asks.includes("year") ? field(w, "year", w.change === "extend" ? "Last fiscal year" : "Fiscal year", w.change === "move" ? "nothing where it stays" : "") : nothing}
      ${asks.includes("unit") ? choose(page, w, "unit", "Unit", [...page.head.units, data.whole_property].map((u) => [u]), "as it is") : nothing}
      ${field(w, "on", "Agreed on", "today, where this is empty", "date")} ${field(w, "number", "Number of the modification", "as the agency writes it")} ${field(w, "because", "Reason, kept with the contract")}
    </div>
    ${came(page, `line ${c.contract}`)}
    <p class="buttons"><button ?disabled=${page.state.isSending}>Modify it</button></p>
  </form>`;
};

const work = (page, data, c) => {
  const s = page.state.of[c.contract];
  const w = s.work;
  const codes = c.practices.filter((p) => !p.from_burns);
  if (!codes.length) return html`<h3>Work that was done</h3>
      <p class="quiet">What is done follows from the burns on record.</p>`;
  return html`<form @submit=${submit(page, c, "work", "contracts/done", () => ({ ...w, on: w.on || null }), () => (s.work = { ...w, amount: "", notes: "" }))}>
      <h3>Note work that was done</h3>
      <div class="fields even">
        ${choose(page, w, "practice", "Practice", codes.map((p) => [p.code, `${p.code} ${p.name}`]))} ${choose(page, w, "unit", "Unit", [...page.head.units, ...(c.schedule.some((r) => r.line && r.property_wide && r.practice === w.practice) ? [data.whole_property] : [])].map((u) => [u]))}
        ${field(w, "on", "Done on", "", "date")} ${field(w, "amount", "How much", "in the practice's acres or feet")} ${field(w, "notes", "Notes")}
      </div>
      ${came(page, `work ${c.contract}`)}
      <p class="buttons"><button ?disabled=${page.state.isSending}>Note it</button></p>
    </form>
    ${c.noted.length
      ? table(
          `Work noted for ${c.contract}`,
          [["done_on", "on", day], ["unit", "unit"], ["practice", "practice"], ["applied", "amount", figure, true], ["notes", "notes"],
            ["unit", "change", (_, n) => html`<button type="button" class="plain" @click=${() => send(page, `work ${c.contract}`, "contracts/done", { contract: c.contract, unit: n.unit, practice: n.practice, on: n.done_on, amount: String(n.applied), undo: true })}>Take back<span class="unseen"> the work of ${n.done_on}</span></button>`]],
          c.noted,
          { class: "stack" },
        )
      : nothing}`;
};

const practices = (page, c) => {
  const s = page.state.of[c.contract];
  const w = s.practice;
  return html`<form @submit=${submit(page, c, "practice", "contracts/practice", () => w, () => Object.assign(w, { name: "", standard: "" }))}>
    <h3>Name and standard of a practice</h3>
    <p class="quiet">As you read them in your state's own standard; what is empty stays.</p>
    <div class="fields even">
      ${choose(page, w, "practice", "Practice", c.practices.map((p) => [p.code, [p.code, p.name].filter(Boolean).join(" ")]))} ${field(w, "name", "Name")} ${field(w, "standard", "Date of the standard", "such as 2020-09")}
    </div>
    ${came(page, `practice ${c.contract}`)}
    <p class="buttons"><button class="quiet-button" ?disabled=${page.state.isSending}>Keep it</button></p>
  </form>`;
};

const early = (page, c) => html`<h3>Work before its year</h3>
  <p>${capital(c.early_work)}${/[.?!]$/.test(c.early_work) ? "" : "."}</p>
  ${came(page, `early ${c.contract}`)}
  <p class="buttons">
    ${[["credited", "The contract credits it"], ["not credited", "The contract does not credit it"]].map(([value, words]) => html`<button type="button" class="quiet-button" ?disabled=${page.state.isSending} @click=${() => send(page, `early ${c.contract}`, "contracts/early", { contract: c.contract, early: value })}>${words}</button>`)}
  </p>`;

const files = (page, c) => {
  const w = page.state.of[c.contract].file;
  return html`<form @submit=${submit(page, c, "file", "contracts/file", () => w, () => Object.assign(w, { path: "", dropped: null, because: "" }))}>
    <h3>Files</h3>
    ${c.files.length ? html`<ul class="bare">${c.files.map((f) => html`<li>${f.path}${f.state ? html` <small>${f.state}</small>` : nothing}</li>`)}</ul>` : nothing}
    ${drop(
      page,
      { key: `file ${c.contract}`, name: "contract-dropped", label: "A file of the contract", about: "dropped here or chosen, from below the folder of the property: it is named by path and checksum, and copied nowhere" },
      async ([file]) => {
        if (!file) return;
        Object.assign(w, { dropped: await named(file), path: "" });
        page.redraw();
      },
      w.dropped ? html`<p>${w.dropped.name} <button type="button" class="plain" @click=${() => ((w.dropped = null), page.redraw())}>Leave it out<span class="unseen">: ${w.dropped.name}</span></button></p>` : nothing,
    )}
    <div class="fields even">${w.dropped ? nothing : field(w, "path", "or its path", "below the folder of the property")} ${field(w, "because", "Reason", "where it takes the place of one that was altered")}</div>
    ${came(page, `file ${c.contract}`)}
    <p class="buttons"><button class="quiet-button" ?disabled=${page.state.isSending}>Attach it</button></p>
  </form>`;
};

const history = (c) =>
  c.modifications.length
    ? html`<h3>Modifications</h3>
        ${table(`Modifications of ${c.contract}`, [["on", "on", day], ["line", "line", count, true], ["number", "number"], ["what", "what"], ["was", "was"], ["is", "is"], ["because", "reason"]], c.modifications, { class: "stack" })}`
    : nothing;

const contract = (page, data, c) => html`<section class="contract" aria-label=${c.contract}>
  <h2>${c.contract}</h2>
  <p class="quiet">${[c.number ? `number ${c.number}` : "", c.client, c.fiscal_year_is].filter(Boolean).join("; ")}</p>
  ${c.warnings.map((t) => html`<p><strong>${t}</strong></p>`)} ${lines(page, data, c)}
  ${c.practices.some((p) => p.from_burns)
    ? html`<div class="fields"><label>Plans, for every line of ${c.contract}<select @change=${(e) => e.target.value && send(page, `hold ${c.contract}`, "contracts/hold", { contract: c.contract, line: 0, hold: e.target.value })}><option value="">as each line says</option>${holds.map(([value, words]) => html`<option value=${value}>${words}</option>`)}</select></label></div>`
    : nothing}
  ${came(page, `hold ${c.contract}`)}
  <details ?open=${page.state.of[c.contract].isOpen} @toggle=${(e) => (page.state.of[c.contract].isOpen = e.target.open)}>
    <summary>Modify a line, note work, name practices, attach files</summary>
    <div class="two">
      <div>${modify(page, data, c)}</div>
      <div>${work(page, data, c)}</div>
      <div>${practices(page, c)} ${early(page, c)}</div>
      <div>${files(page, c)}</div>
    </div>
  </details>
  ${history(c)}
</section>`;

export const view = (page, data) => html`
  <h1 tabindex="-1">Contracts</h1>
  ${data.contracts.length
    ? data.contracts.map((c) => contract(page, data, c))
    : empty(`No contract is on file. An import brings them: a list with contract, practice_code, unit (empty for the ${data.whole_property}), fiscal_year, and acres or feet.`, html`<p><a class="button" href=${`/p/${encodeURIComponent(page.id)}/import`} @click=${page.follow}>Import a list</a></p>`)}
  ${cautions(data.cautions)}
`;
