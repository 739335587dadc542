// The first run: a few questions, each with what it does and what is taken where
// nothing is said; what will be made; one button that makes it. The server keeps what
// is typed in memory, so that a reload loses nothing, and stores nothing before.
import { html, svg, nothing, live } from "../lit.js";
import { ask, send } from "../api.js";
import { cautions, drop, fault, sentence } from "../parts.js";
import { map } from "../map.js";
import { capital, figure } from "../words.js";

export async function load(page) {
  const shown = await ask("/api/first");
  take(page, shown);
  return shown;
}

const blankPatch = () => ({ name: "", acres: "", every: "", last_burned: "" });
const blankPlace = () => ({ name: "", at: "", own: false });
const blankContact = () => ({ role: "", name: "", phone: "" });

// The form is that of the server where the screen opens, and this screen's after that:
// what is typed meanwhile stays.
function take(page, shown) {
  const s = page.state;
  s.shown = shown;
  if (s.form) {
    for (const q of shown.questions) if (q.takes_file) s.form.answers[q.key] = shown.form.answers?.[q.key] ?? [];
    return;
  }
  const f = shown.form;
  s.form = { answers: f.answers ?? {}, patches: f.patches ?? [], places: f.places ?? [], contacts: f.contacts ?? [] };
  const usual = Object.fromEntries(shown.questions.map((q) => [q.key, q.usual ?? ""]));
  s.seasons = parseSeasons(s.form.answers.seasons?.[0] || usual.seasons);
  s.every = parseYears(s.form.answers.every?.[0] || usual.every);
  if (!s.form.patches.length) s.form.patches = [blankPatch(), blankPatch()];
}

const parseSeasons = (text) =>
  text
    .split(";")
    .map((one) => one.trim().match(/^(.*?)\s+(\d+)-(\d+) to (\d+)-(\d+)$/))
    .filter(Boolean)
    .map(([, name, ...at]) => ({ name, at: at.map((n) => String(Number(n))) }));
const two = (n) => String(n).padStart(2, "0");
const seasonsText = (all) => all.map((s) => `${s.name.trim()} ${two(s.at[0])}-${two(s.at[1])} to ${two(s.at[2])}-${two(s.at[3])}`).join("; ");
const parseYears = (text) => {
  const found = (text ?? "").match(/^(\d+)(?:\D+(\d+))?/) ?? ["", "", ""];
  return [found[1] ?? "", found[2] ?? found[1] ?? ""];
};
const yearsText = ([least, most]) => (least && most && least !== most ? `${least}-${most}` : least || most);

let turn = 0;
let timer = 0;

/** Sends what is typed, a moment after the last key. */
function changed(page, wait = 350) {
  page.state.isDirty = true;
  clearTimeout(timer);
  timer = setTimeout(() => settle(page), wait);
}

async function settle(page) {
  clearTimeout(timer);
  const mine = ++turn;
  page.state.isDirty = false;
  page.state.failed = null;
  try {
    const shown = await send("/api/first", page.state.form);
    if (mine !== turn || page.state.isDirty) return;
    const before = page.state.shown.faults.length;
    take(page, shown);
    if (shown.faults.length > before) page.say(shown.faults.at(-1).errors.map((e) => e.found).join("; "));
  } catch (error) {
    page.state.failed = error;
  }
  page.redraw();
}

async function files(page, key, list) {
  if (!list.length) return;
  await settle(page);
  const form = new FormData();
  form.append("question", key);
  for (const file of list) form.append("file", file, file.name);
  page.state.reading = key;
  page.redraw();
  try {
    const shown = await send("/api/first/files", form);
    take(page, shown);
    if (key !== "template") page.state.form.answers[key] = shown.form.answers[key];
    page.state.failed = null;
    page.state.failedAt = "";
    page.say(`Read: ${[...list].map((f) => f.name).join(", ")}`);
  } catch (error) {
    page.state.failed = error;
    page.state.failedAt = key;
  }
  page.state.reading = "";
  page.redraw();
}

async function leaveTemplate(page) {
  take(page, await send("/api/first/no-template", {}));
  page.say("The template is left out.");
  page.redraw();
}

const template = (page) => {
  const s = page.state;
  return drop(
    page,
    { key: "template", name: "file-template", label: "A county template, where you have one", about: "seasons, closures, tasks and prescriptions that go before the answers below; a file that emberquilt settings --template printed" },
    (list) => files(page, "template", list),
    html`${s.reading === "template" ? html`<p class="wait">Reading…</p>` : nothing}
    ${s.shown.template ? html`<ul class="bare"><li><b>${capital(s.shown.template)}</b> <button type="button" class="plain" @click=${() => leaveTemplate(page)}>Leave it out<span class="unseen">: the template</span></button></li></ul>` : nothing}
    ${s.failedAt === "template" ? fault(s.failed) : nothing}`,
  );
};

async function forget(page) {
  turn++;
  clearTimeout(timer);
  const shown = await send("/api/first/forget", {});
  page.state.form = null;
  take(page, shown);
  page.say("Every answer is the usual one again.");
  page.redraw();
  document.querySelector("[name=name]")?.focus();
}

async function make(page) {
  await settle(page);
  const { shown } = page.state;
  if (shown.faults.length || shown.missing.length || shown.fault) {
    page.state.isAsked = true;
    page.redraw();
    const at = shown.faults[0] ?? { key: shown.missing[0] ?? "name" };
    const place = document.getElementById(`q-${word(at.key)}`);
    place?.scrollIntoView({ block: "start" });
    place?.querySelector("input,select,textarea")?.focus({ preventScroll: true });
    page.say(shown.missing.length ? "An answer is missing." : "An answer cannot be used.");
    return;
  }
  page.state.isMaking = true;
  page.state.progress = null;
  page.redraw();
  try {
    const { id } = await send("/api/first/begin", {});
    page.say("The property is made, with its first plan.");
    await page.refresh();
    await page.go(`/p/${encodeURIComponent(id)}/season`);
    return;
  } catch (error) {
    page.state.failed = error;
  }
  page.state.isMaking = false;
  page.redraw();
  document.querySelector("#made .fault")?.scrollIntoView({ block: "center" });
}

export function hears(page, event) {
  if (event.kind !== "first") return false;
  page.state.progress = event.data;
  page.redraw();
  return true;
}

export const leaves = (page) => {
  if (page.state.isDirty && page.state.form) settle(page);
};

const word = (key) => key.replaceAll(" ", "-");
const question = (page, key) => page.state.shown.questions.find((q) => q.key === key);
const faultsOf = (page, key, row = -1) => page.state.shown.faults.filter((f) => f.key === key && f.row === row).flatMap((f) => f.errors);

const wrong = (page, key, row = -1) => {
  const errors = faultsOf(page, key, row);
  const isMissing = row < 0 && page.state.isAsked && page.state.shown.missing.includes(key);
  if (!errors.length && !isMissing) return nothing;
  const q = question(page, key);
  return html`<div class="fault" id=${`wrong-${word(key)}${row < 0 ? "" : `-${row}`}`}>
    <ul>
      ${isMissing && !errors.length ? html`<li>This needs an answer.${q.form ? html`<span class="accepts">Accepts ${sentence(q.form)}</span>` : nothing}</li>` : nothing}
      ${errors.map((e) => html`<li>${[e.file, e.line ? `line ${e.line}` : "", e.field].filter(Boolean).length ? html`<b>${[e.file, e.line ? `line ${e.line}` : "", e.field].filter(Boolean).join(", ")}:</b> ` : nothing}${e.found}${e.accepts ? html`<span class="accepts">Accepts ${sentence(e.accepts)}</span>` : nothing}${e.hint ? html`<span class="accepts">${e.hint}</span>` : nothing}</li>`)}
    </ul>
  </div>`;
};

const isWrong = (page, key, row = -1) => (faultsOf(page, key, row).length || (row < 0 && page.state.isAsked && page.state.shown.missing.includes(key)) ? "true" : nothing);

// Of a row, the field that is named; all where none is.
function isWrongIn(page, key, row, name) {
  const told = faultsOf(page, key, row).map((e) => `${e.file ?? ""} ${e.field ?? ""} ${e.found}`);
  const named = (text) => ["acres", "every", "last burned", "name"].find((n) => text.trimStart().startsWith(n));
  return told.some((text) => !named(text) || named(text) === name.replace("_", " ")) ? "true" : nothing;
}

/** A question: its words, what it does, what is asked, and what is wrong with it. */
const asked = (page, key, body, { label = "", wide = false, own = false } = {}) => {
  const q = question(page, key);
  return html`<div class=${`question ${wide ? "wide" : ""}`} id=${`q-${word(key)}`}>
    ${label ? html`<p class="asks" id=${`l-${word(key)}`}>${label}${tags(q)}</p>` : html`<label class="asks" for=${`a-${word(key)}`}>${q.asks}${tags(q)}</label>`}
    ${body(q)} ${own ? nothing : wrong(page, key)}
    <p class="about" id=${`about-${word(key)}`}>${q.about}</p>
  </div>`;
};
const tags = (q) => html`${q.is_needed && !q.usual ? html` <span class="tag">needed</span>` : nothing}${q.is_suggestion ? html` <span class="tag soft">a suggestion</span>` : nothing}`;

const text = (page, key, more = {}) =>
  asked(page, key, (q) => {
    const answers = page.state.form.answers;
    return html`<input id=${`a-${word(key)}`} name=${key} type="text" inputmode=${more.mode ?? nothing} autocomplete="off" list=${more.list ?? nothing} placeholder=${q.usual || more.placeholder || ""}
      aria-describedby=${`about-${word(key)} wrong-${word(key)}`} aria-invalid=${isWrong(page, key)} .value=${live(answers[key]?.[0] ?? "")}
      @input=${(e) => ((answers[key] = [e.target.value]), changed(page))} @change=${() => changed(page, 0)} />${wrong(page, key)}${more.after ?? nothing}`;
  }, { own: true, wide: !!more.wide });

const dropFor = (page, key, label, about) => {
  const s = page.state;
  const own = (s.form.answers[key] ?? []).filter((name) => s.shown.files.includes(name));
  return drop(
    page,
    { key, name: `file-${word(key)}`, label, about },
    (list) => files(page, key, list),
    html`${s.reading === key ? html`<p class="wait">Reading…</p>` : nothing}
    ${own.length
      ? html`<ul class="bare">
          ${own.map(
            (name) =>
              html`<li>
                <b>${name}</b>
                <button type="button" class="plain" @click=${() => ((s.form.answers[key] = s.form.answers[key].filter((n) => n !== name)), changed(page, 0))}>Leave it out<span class="unseen">: ${name}</span></button>
              </li>`,
          )}
        </ul>`
      : nothing}
    ${s.failedAt === key ? fault(s.failed) : nothing}`,
  );
};

/** Rows with columns: [key, heading, placeholder, class]. */
const rows = (page, key, all, columns, blank, more, extra = null) => html`
  <div class="typed-rows">
    ${all.map(
      (row, i) => html`<div class="typed-row" role="group" aria-label=${`${more} ${i + 1}`}>
        ${columns.map(
          ([name, heading, placeholder, kind]) =>
            html`<label class=${kind ?? ""}>${heading}<input type="text" name=${`${word(key)}-${i}-${name}`} autocomplete="off" placeholder=${i ? "" : placeholder} aria-describedby=${`wrong-${word(key)}-${i}`} aria-invalid=${isWrongIn(page, key, i, name)} .value=${live(row[name])}
              @input=${(e) => ((row[name] = e.target.value), changed(page))} /></label>`,
        )}
        ${extra ? extra(row, i) : nothing}
        <button type="button" class="plain" @click=${() => (all.splice(i, 1), changed(page, 0), page.redraw())}>Remove<span class="unseen"> ${more} ${i + 1}</span></button>
        ${wrong(page, key, i)}
      </div>`,
    )}
    <button type="button" class="quiet-button" @click=${() => {
      all.push(blank());
      page.redraw();
      document.querySelector(`[name="${word(key)}-${all.length - 1}-${columns[0][0]}"]`)?.focus();
    }}>${all.length ? `One more ${more}` : `Type a ${more}`}</button>
  </div>
`;

const months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

const seasons = (page) => {
  const all = page.state.seasons;
  const keep = () => {
    page.state.form.answers.seasons = [seasonsText(all.filter((s) => s.name.trim() || s.at.some(Boolean)))];
    changed(page);
  };
  const day = (s, at, label) => html`<span class="month-day" role="group" aria-label=${label}>
    <select aria-label=${`${label}: month`} @change=${(e) => ((s.at[at] = e.target.value), keep())}>
      ${months.map((m, i) => html`<option value=${i + 1} ?selected=${Number(s.at[at]) === i + 1}>${m}</option>`)}
    </select>
    <input class="tiny" inputmode="numeric" aria-label=${`${label}: day`} .value=${live(s.at[at + 1])} @input=${(e) => ((s.at[at + 1] = e.target.value), keep())} />
  </span>`;
  return asked(
    page,
    "seasons",
    (q) => html`<div class="typed-rows" role="group" aria-labelledby="l-seasons">
      ${all.map(
        (s, i) => html`<div class="typed-row" role="group" aria-label=${`season ${i + 1}`}>
          <label class="long">name<input type="text" name=${`season-${i}`} .value=${live(s.name)} @input=${(e) => ((s.name = e.target.value), keep())} /></label>
          <span class="from-to">from ${day(s, 0, `Season ${i + 1}, first day`)} to ${day(s, 2, `Season ${i + 1}, last day`)}</span>
          ${all.length > 1 ? html`<button type="button" class="plain" @click=${() => (all.splice(i, 1), keep(), page.redraw())}>Remove<span class="unseen"> season ${i + 1}</span></button>` : nothing}
        </div>`,
      )}
      ${all.length < 3
        ? html`<button type="button" class="quiet-button" @click=${() => {
            all.push({ name: "", at: ["9", "1", "10", "31"] });
            page.redraw();
            document.querySelector(`[name="season-${all.length - 1}"]`)?.focus();
          }}>One more season</button>`
        : nothing}
    </div>`,
    { label: question(page, "seasons").asks, wide: true },
  );
};

const years = (page) => {
  const e = page.state.every;
  const keep = () => ((page.state.form.answers.every = [yearsText(e)]), changed(page));
  const field = (at, label) => html`<input class="tiny" inputmode="numeric" name=${`every-${at}`} aria-label=${label} .value=${live(e[at])} @input=${(ev) => ((e[at] = ev.target.value), keep())} />`;
  return asked(page, "every", () => html`<p class="from-to" role="group" aria-labelledby="l-every">every ${field(0, "fewest years between two burns")} to ${field(1, "most years between two burns")} years</p>`, { label: question(page, "every").asks });
};

const shares = [["half", "half"], ["a third", "a third"], ["a quarter", "a quarter"], ["none", "none of it"]];
const unburned = (page) =>
  asked(page, "unburned", (q) => {
    const answers = page.state.form.answers;
    const now = answers.unburned?.[0] || q.usual;
    const isOther = page.state.isOtherShare || !shares.some(([v]) => v === now);
    return html`<div class="beside">
      <select id="a-unburned" name="unburned" aria-describedby="about-unburned wrong-unburned" @change=${(e) => {
        page.state.isOtherShare = e.target.value === "other";
        if (!page.state.isOtherShare) answers.unburned = [e.target.value];
        changed(page, 0);
        page.redraw();
      }}>
        ${shares.map(([v, t]) => html`<option value=${v} ?selected=${!isOther && v === now}>${t}</option>`)}
        <option value="other" ?selected=${isOther}>another share</option>
      </select>
      ${isOther ? html`<input class="short" name="unburned-other" aria-label="Share left unburned, such as 40%" placeholder="40%" .value=${live(shares.some(([v]) => v === now) ? "" : now)} @input=${(e) => ((answers.unburned = [e.target.value]), changed(page))} />` : nothing}
    </div>`;
  });

const choice = (page, key) =>
  asked(page, key, (q) => {
    const answers = page.state.form.answers;
    const now = answers[key]?.[0] || q.usual;
    return html`<select id=${`a-${word(key)}`} name=${key} aria-describedby=${`about-${word(key)}`} @change=${(e) => ((answers[key] = [e.target.value]), changed(page, 0))}>
      ${q.choices.map((c) => html`<option value=${c} ?selected=${c === now}>${c}</option>`)}
    </select>`;
  });

// A blank grid to point at: meridians, parallels and the centers of counties. Without
// a pin it shows the lower 48 states; with one, what lies around it.
const whole = { west: -125.5, east: -66, south: 24, north: 50 };

function grid(page) {
  const s = page.state;
  const at = s.shown.place;
  const near = at && !s.isFar;
  const box = near ? { west: at.longitude - 2.6, east: at.longitude + 2.6, south: at.latitude - 1.6, north: at.latitude + 1.6 } : whole;
  const stretch = Math.cos((((box.south + box.north) / 2) * Math.PI) / 180); // a degree of longitude is so much narrower
  const width = 640;
  const scale = width / ((box.east - box.west) * stretch);
  const height = (box.north - box.south) * scale;
  const x = (lon) => (lon - box.west) * stretch * scale;
  const y = (lat) => (box.north - lat) * scale;
  const every = near ? 1 : 5;
  const lines = (from, to) => Array.from({ length: Math.floor(to / every) - Math.ceil(from / every) + 1 }, (_, i) => every * (Math.ceil(from / every) + i));
  const point = (e) => {
    const b = e.currentTarget.getBoundingClientRect();
    const lon = box.west + ((e.clientX - b.left) / b.width) * (box.east - box.west);
    const lat = box.north - ((e.clientY - b.top) / b.height) * (box.north - box.south);
    const digits = near ? 2 : 1;
    s.isFar = false;
    s.form.answers.where = [`${lat.toFixed(digits)}, ${lon.toFixed(digits)}`];
    changed(page, 0);
    page.redraw();
  };
  return html`<svg class="map grid-map" viewBox=${`0 0 ${width} ${height.toFixed(0)}`} role="img" aria-label="A blank grid of latitude and longitude with a dot for the center of each county; coordinates typed above do the same" @click=${point}>
      ${lines(box.west, box.east).map((lon) => svg`<path class="line" d=${`M${x(lon).toFixed(1)} 0V${height}`}></path><text x=${x(lon) + 3} y=${height - 5}>${-lon}° W</text>`)}
      ${lines(box.south, box.north).map((lat) => svg`<path class="line" d=${`M0 ${y(lat).toFixed(1)}H${width}`}></path><text x="4" y=${y(lat) - 4}>${lat}° N</text>`)}
      ${(s.dots ?? []).filter(([lat, lon]) => lat > box.south && lat < box.north && lon > box.west && lon < box.east).map(([lat, lon]) => svg`<circle class="dot" cx=${x(lon).toFixed(1)} cy=${y(lat).toFixed(1)} r=${near ? 4 : 1.6}></circle>`)}
      ${at && at.longitude > box.west && at.longitude < box.east ? svg`<g transform=${`translate(${x(at.longitude).toFixed(1)} ${y(at.latitude).toFixed(1)})`}><path class="pin" d="M0 0C-4 -9 -9 -12 -9 -18a9 9 0 1 1 18 0C9 -12 4 -9 0 0Z"></path><circle class="pin-eye" cy="-18" r="3.4"></circle></g>` : nothing}
    </svg>
    ${near ? html`<button type="button" class="plain" @click=${() => ((s.isFar = true), page.redraw())}>Show the whole grid</button>` : nothing}`;
}

async function openGrid(page, isOpen) {
  page.state.isGrid = isOpen;
  if (isOpen && !page.state.dots) page.state.dots = await ask("/api/first/counties");
  page.redraw();
}

const where = (page) =>
  text(page, "where", {
    wide: true,
    placeholder: "Riley County, Kansas",
    after: html`${dropFor(page, "where", "or a file with its shape", "KML, KMZ, GPX, GeoJSON, GeoPackage, all parts of a shapefile")}
      <details ?open=${page.state.isGrid} @toggle=${(e) => e.target.open !== !!page.state.isGrid && openGrid(page, e.target.open)}>
        <summary>or point at it on a grid</summary>
        ${page.state.isGrid ? grid(page) : nothing}
      </details>`,
  });

const made = (page) => {
  const { shown, isMaking, progress, failed, failedAt } = page.state;
  const names = (keys) => keys.map((k) => html`<li>${question(page, k).asks}</li>`);
  return html`<section id="made">
    <h2 id="made-title">What will be made</h2>
    <div class="made-body" role="region" aria-labelledby="made-title" tabindex="0">
    ${shown.faults.length ? html`<p class="late">An answer cannot be used; it says so where it stands.</p>` : nothing}
    ${shown.missing.length
      ? html`<p>Still needed:</p>
          <ul>${names(shown.missing)}</ul>`
      : nothing}
    ${shown.parts ? map(shown.parts, "Map of the patches and places", (i) => ({ class: `a${i % 2}` })) : nothing}
    ${shown.says.length ? html`<ul class="says">${shown.says.map((t) => html`<li>${capital(t)}.</li>`)}</ul>` : nothing}
    ${shown.file && !shown.fault ? html`<p class="quiet">One file holds it all: <b>${shown.file}</b>, in ${page.served()?.served}.</p>` : nothing}
    ${fault(shown.fault)} ${failedAt ? nothing : fault(failed)}
    </div>
    <p class="buttons">
      <button type="button" id="make" ?disabled=${isMaking} @click=${() => make(page)}>Make it, and plan</button>
      <button type="button" class="quiet-button" ?disabled=${isMaking} @click=${() => forget(page)}>Start over</button>
    </p>
    ${isMaking ? html`<p class="wait" role="status">Making it${progress?.doing ? `: ${progress.doing}` : ""}…${progress?.cost_acre_years == null ? nothing : html` Shortfall ${figure(progress.cost_acre_years)} acre-years so far.`}</p>` : nothing}
  </section>`;
};

export const view = (page) => html`
  <h1 tabindex="-1">A new property</h1>
  <p class="lede">A few questions, then the first plan and what is due this season. Nothing is stored before the last button.</p>
  <div class="first-run">
    <form novalidate @submit=${(e) => e.preventDefault()}>
      ${template(page)}
      <fieldset>
        <legend>The ground</legend>
        ${text(page, "name", { placeholder: "Larkin Farm" })} ${text(page, "time zone", { placeholder: "follows from the place" })} ${where(page)}
      </fieldset>
      <fieldset>
        <legend>The patches</legend>
        ${asked(
          page,
          "patch",
          () => html`${dropFor(page, "patch", "A file from the phone, a map or a spreadsheet", "shapes give winds, smoke and hours as well; all parts of a shapefile together")}
            <p class="asks">or typed</p>
            ${rows(page, "patch", page.state.form.patches, [["name", "name", "North Field", "long"], ["acres", "acres", "18", "few"], ["every", "burns every … years", "2-3", "some"], ["last_burned", "last burned", "3/28/2023", "some"]], blankPatch, "patch")}`,
          { label: "Patches that burn as one", wide: true },
        )}
        ${years(page)}
      </fieldset>
      <fieldset>
        <legend>When, and how much</legend>
        ${seasons(page)} ${text(page, "burn days", { mode: "numeric" })} ${text(page, "acres", { mode: "decimal" })} ${unburned(page)} ${text(page, "crew")} ${choice(page, "weekends")}
      </fieldset>
      <fieldset>
        <legend>What lies around</legend>
        ${asked(
          page,
          "place",
          () => html`${dropFor(page, "place", "A file with houses, roads, barns", "points and lines")}
            ${rows(page, "place", page.state.form.places, [["name", "name", "our house", "long"], ["at", "latitude, longitude", "39.2105, -96.5893", "long"]], blankPlace, "place", (row, i) => html`<label class="choice"><input type="checkbox" name=${`place-${i}-own`} .checked=${live(row.own)} @change=${(e) => ((row.own = e.target.checked), changed(page, 0))} /> ours: it keeps no wind out</label>`)}`,
          { label: "Houses, roads, barns and other places that smoke may reach", wide: true },
        )}
        ${asked(
          page,
          "neighbor",
          () => rows(page, "neighbor", page.state.form.contacts, [["role", "who", "neighbor to the east", "long"], ["name", "name", "J. Example", "long"], ["phone", "phone", "555-0100", "some"]], blankContact, "person"),
          { label: "Whom to call before a burn, in order", wide: true },
        )}
      </fieldset>
      <fieldset>
        <legend>Weather</legend>
        ${choice(page, "prescription")}
        ${asked(page, "weather", () => dropFor(page, "weather", "Files of a station", "EPW, TMY3, TMY2, ISD, LCD, CSV"), { label: question(page, "weather").asks, wide: true })}
      </fieldset>
    </form>
    ${made(page)}
  </div>
  ${cautions(page.state.shown.cautions)}
`;
