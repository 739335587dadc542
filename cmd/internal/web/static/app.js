// The shell: which screen is shown, its navigation, and what the server tells.
import { html, render, nothing } from "./lit.js";
import { ask, send, listen } from "./api.js";
import { fault } from "./parts.js";
import { day, figure } from "./words.js";

// Screens of a property, in the order of the navigation, with their names there: each is
// a module of static/screens that is fetched when it is opened.
const screens = {
  season: "Season",
  week: "This week",
  plan: "Plan",
  "what-if": "What if",
  rehearsal: "Rehearsal",
  weather: "Weather",
  ground: "Ground",
  records: "Records",
  contracts: "Contracts",
  papers: "Papers",
  import: "Import",
  settings: "Settings",
  changes: "Changes",
};
// Screens that are of no one property.
const others = { clients: "Clients", first: "A new property" };

const titleOf = (screen) => screens[screen] ?? others[screen];

const root = document.getElementById("page");
const said = document.getElementById("said");

const app = {
  served: null, // what the server serves
  screen: "", // the name of the screen
  shown: null, // its module
  data: null,
  error: null,
  isBusy: true,
  isConnected: true,
  heard: [], // what the server told before there was a page to hear it
  notice: null, // what changed meanwhile, in words
  isNavOpen: false, // that a narrow window shows all screens
  isOwnPlan: false, // that a plan was made is told, and the change that it is comes yet
  solving: null, // how far a plan that is being made has come
};

/** page is what a screen is given; a new one for each screen that is opened. */
let page = null;

const say = (text) => {
  said.textContent = "";
  requestAnimationFrame(() => (said.textContent = text));
};

const apiOf = (id, path) => `/api/p/${encodeURIComponent(id)}${path ? `/${path}` : ""}`;

// What the first screen asks for at once is asked with the first question of all; where
// the answer is there, or comes, it is taken once.
const firstAsked = { season: ["", "season"], plan: ["", "plans", "draft?plan=0"] };
const ahead = new Map();

function askAhead() {
  const [, p, id, screen] = location.pathname.split("/");
  if (p !== "p" || !screens[screen]) return;
  for (const path of firstAsked[screen] ?? [""]) {
    const at = apiOf(decodeURIComponent(id), path);
    const answer = ask(at);
    answer.catch(() => {}); // said where it is taken
    ahead.set(at, answer);
  }
}

function taken(at, options) {
  const answer = options ? null : ahead.get(at);
  ahead.delete(at);
  return answer ?? ask(at, options);
}

function newPage(id) {
  const at = (path) => apiOf(id, path);
  return {
    id,
    head: page?.id === id ? page.head : null,
    state: {},
    served: () => app.served,
    ask: (path, options) => taken(at(path), options),
    send: (path, body, options) => send(at(path), body, options),
    path: at,
    redraw: draw,
    reload,
    refresh: async () => (app.served = await ask("/api/properties")),
    makePlan,
    follow,
    go,
    say,
  };
}

const pathOf = (id, screen) => `/p/${encodeURIComponent(id)}/${screen}`;

/** Where an address of the page leads. */
function whereTo(path) {
  const [, p, id, screen] = path.split("/");
  if (p === "p" && id && screens[screen]) return { id: decodeURIComponent(id), screen };
  const all = app.served?.properties ?? [];
  if (path === "/first" && app.served?.is_folder) return { screen: "first" };
  if (path === "/clients" && all.length) return { screen: "clients" };
  return all.length === 1 ? { id: all[0].id, screen: "season" } : { screen: all.length ? "clients" : "first" };
}

let turn = 0;

async function open(path, { replace = false, focus = true } = {}) {
  const mine = ++turn;
  const to = whereTo(path);
  if (app.shown?.leaves) app.shown.leaves(page);
  app.screen = to.screen;
  app.shown = null;
  app.data = app.error = app.notice = null;
  app.isNavOpen = false;
  app.isBusy = true;
  if (to.id !== undefined) {
    const want = pathOf(to.id, to.screen);
    if (want !== location.pathname) history[replace ? "replaceState" : "pushState"](null, "", want);
    page = newPage(to.id);
  } else {
    page = newPage("");
    if (path !== location.pathname) history.pushState(null, "", path);
  }
  draw();
  await load(mine);
  if (focus && mine === turn) document.querySelector("h1")?.focus({ preventScroll: true });
}

async function load(mine = turn) {
  const asked = page;
  try {
    if (asked) {
      const [head, screen] = await Promise.all([asked.id ? asked.ask("") : null, import(`./screens/${app.screen}.js`)]);
      if (mine !== turn) return;
      app.shown = screen;
      const data = await screen.load(Object.assign(asked, { head }));
      if (mine !== turn) return;
      [app.data, app.error] = [data, null];
    }
  } catch (error) {
    if (mine !== turn) return;
    [app.data, app.error] = [null, error];
    if (!error.errors) console.error(error);
  }
  app.isBusy = false;
  draw();
}

/** Reads the screen's data again; what is chosen and typed stays. */
async function reload() {
  await load(turn);
}

const go = (path) => {
  window.scrollTo(0, 0);
  return open(path);
};

/** Makes a plan of the property as it stands; the server tells how far it has come. */
async function makePlan() {
  app.error = null;
  app.isOwnPlan = false;
  app.solving = { doing: "making a plan" };
  draw();
  try {
    await page.send("plan", {});
  } catch (error) {
    [app.error, app.solving] = [error, null];
    draw();
  }
}

async function hearPlan(state) {
  if (!state.over) {
    app.solving = { ...state, isTold: app.solving?.isTold };
    draw();
    return;
  }
  const isTold = app.solving?.isTold;
  app.solving = null;
  if (state.error) {
    app.error = { errors: state.error.errors, more: state.error.more, next: state.error.next };
    draw();
    return;
  }
  app.notice = state.plan ? `Plan ${state.plan} is made.` : "The solve ended without a plan.";
  app.isOwnPlan = state.plan > 0 && !isTold;
  draw();
  say(app.notice);
  await reload();
}

const solving = () =>
  app.solving
    ? html`<div class="notice" role="status">
        <p>
          Making a plan…${app.solving.cost_acre_years == null
            ? nothing
            : html` Shortfall ${figure(app.solving.cost_acre_years)} acre-years; no plan is below ${figure(app.solving.bound_acre_years)}.`}
        </p>
      </div>`
    : nothing;

const banner = () => {
  const head = page?.head;
  const many = (app.served?.properties.length ?? 0) > 1;
  return html`<header class="band">
    <div class="band-in">
      <p class="brand">
        <a href="/" @click=${follow}><img src="/static/mark.svg" alt="" width="28" height="28" />emberquilt</a>
        ${many && app.screen !== "clients" ? html`<a class="up" href="/clients" @click=${follow}>All clients</a>` : nothing}
      </p>
      <p class="property">
        ${head ? head.property : page?.id || (app.served?.served ?? "")}
        ${head ? html`<small>${[head.place, `today is ${day(head.today)}`].filter(Boolean).join(" · ")}</small>` : nothing}
      </p>
      ${page?.id
        ? html`<nav aria-label="Screens" class=${app.isNavOpen ? "is-open" : ""}>
            <button type="button" class="plain" aria-expanded=${app.isNavOpen} @click=${() => ((app.isNavOpen = !app.isNavOpen), draw())}>${app.isNavOpen ? "Fewer screens" : "All screens"}</button>
            <ul>
              ${Object.entries(screens).map(
                ([name, title]) =>
                  html`<li>
                    <a href=${pathOf(page.id, name)} aria-current=${name === app.screen ? "page" : nothing} @click=${follow}>${title}</a>
                  </li>`,
              )}
            </ul>
          </nav>`
        : nothing}
    </div>
  </header>`;
};

const notices = () => html`
  ${app.isConnected ? nothing : html`<p class="notice lost">The program does not answer. What is shown may be old; this page comes back by itself when it does.</p>`}
  ${app.notice
    ? html`<div class="notice" role="status">
        <p>${app.notice}</p>
        <button type="button" class="plain" @click=${() => ((app.notice = null), draw())}>Close</button>
      </div>`
    : nothing}
`;

// What the plan in force is older than stands on top of everything, in print too.
const behind = () =>
  page?.head?.behind
    ? html`<section class="behind" aria-label="The plan in force is behind">
        <p>${page.head.behind}</p>
        ${app.solving || app.screen === "plan" ? nothing : html`<button type="button" class="quiet-button" @click=${makePlan}>Make a new plan</button>`}
      </section>`
    : nothing;

const failed = () => html`
  <h1 tabindex="-1">${titleOf(app.screen) ?? "Page"}</h1>
  ${fault(
    app.error,
    app.error.next === "make-plan" && screens[app.screen] ? html`<p><button type="button" @click=${makePlan}>Make a plan</button></p>` : nothing,
  )}
`;

function draw() {
  const title = titleOf(app.screen) ?? "emberquilt";
  document.title = page?.id ? `${title} · ${page.head?.property ?? page.id}` : `${title} · emberquilt`;
  let body;
  try {
    body = content();
  } catch (error) {
    console.error(error);
    app.error = { errors: [{ found: `this screen cannot be shown: ${error.message}` }] };
    body = failed();
  }
  render(
    html`${banner()}${behind()}${notices()}${solving()}
      <main id="main" class=${`screen-${app.screen}`} aria-busy=${app.isBusy}>${body}</main>
      <footer>${page?.head
        ? html`Data: <a href=${pathOf(page.id, "changes")} @click=${follow}>${page.head.stamp.data_version}</a> · ${page.head.stamp.program_version}${app.served?.by ? ` · changes are made by ${app.served.by}` : ""}`
        : nothing}</footer>`,
    root,
  );
  if (!app.error && app.data && app.shown?.drawn) app.shown.drawn(page, app.data);
}

function content() {
  if ((app.isBusy || app.solving) && !app.data && !app.error) return html`<p class="wait">${app.solving ? "Making a plan…" : "Reading…"}</p>`;
  if (app.error) return failed();
  return app.shown.view(page, app.data);
}

function follow(event) {
  if (event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  go(event.currentTarget.getAttribute("href"));
}

async function hear(event) {
  if (!page) {
    app.heard.push(event); // what was asked ahead may be older
    return;
  }
  if (event.kind === "behind") return reload();
  if (event.property && page?.id !== "" && event.property !== page?.id) return;
  if (event.kind === "properties") {
    app.served = await ask("/api/properties");
    return app.screen === "clients" ? reload() : draw();
  }
  if (event.kind === "plan") return page?.id ? hearPlan(event.data) : undefined;
  if (app.shown?.hears && (await app.shown.hears(page, event))) return;
  if (event.kind === "changed") {
    const reasons = event.data.reasons ?? [];
    const isShown = page?.head?.stamp.data_version === event.data.data_version;
    // That the plan is made was said, or is about to be.
    if (app.solving) app.solving.isTold = true;
    if (app.isOwnPlan && reasons.length === 1) {
      app.isOwnPlan = false;
      return isShown ? undefined : reload();
    }
    if (isShown) return; // what was read last is newer than the news
    app.notice = `The property changed${reasons.length ? `: ${reasons.join("; ")}` : ""}. What is shown is new.`;
    say(app.notice);
    await reload();
  }
}

async function begin() {
  const served = ask("/api/properties");
  listen(hear, (isConnected) => {
    if (isConnected === app.isConnected) return;
    app.isConnected = isConnected;
    if (app.served) draw();
  });
  askAhead();
  try {
    app.served = await served;
  } catch (error) {
    [app.error, app.isBusy] = [error, false];
    draw();
    return;
  }
  addEventListener("popstate", () => open(location.pathname));
  await open(location.pathname, { replace: true, focus: false });
  ahead.clear();
  for (const event of app.heard.splice(0)) await hear(event);
}

begin();
