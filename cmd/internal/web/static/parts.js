// Pieces that several screens show.
import { html, nothing } from "./lit.js";
import { capital } from "./words.js";

/** The cautions, as the server words them. */
export const cautions = (all) =>
  html`<aside class="cautions" aria-label="Cautions"><ul>${(all ?? []).map((text) => html`<li>${text}</li>`)}</ul></aside>`;

/** Words with their full stop, where they do not end a sentence already. */
export const sentence = (text) => (/[.?!]$/.test(text) ? text : `${text}.`);

/** An error, beside the place where the user is. */
export function fault(error, help = nothing) {
  if (!error) return nothing;
  const lines = error.errors ?? [{ found: error.message }];
  return html`<div class="fault" role="alert">
    <ul>
      ${lines.map((e) => {
        const where = [e.file, e.line ? `line ${e.line}` : "", e.field].filter(Boolean).join(", ");
        return html`<li>
          ${where ? html`<b>${where}:</b> ` : nothing}${e.found}${e.accepts ? html`<span class="accepts">Accepts ${sentence(e.accepts)}</span>` : nothing}
          ${e.hint ? html`<span class="accepts">${e.hint}</span>` : nothing}
        </li>`;
      })}
      ${error.more ? html`<li>and ${error.more} more</li>` : nothing}
    </ul>
    ${help}
  </div>`;
}

/** A table of the server: rows of plain values under keys. Columns are
 * [key, heading, cell, isNumber]; the first is the row's own heading. */
export const table = (caption, columns, rows, options = {}) => html`
  <div class="scroll" role="region" aria-label=${caption} tabindex="0">
    <table class=${options.class ?? ""}>
      <caption class=${options.showCaption ? "" : "unseen"}>
        <span>${caption}</span>
      </caption>
      <thead>
        <tr>
          ${columns.map(([, heading, , isNumber]) => html`<th scope="col" class=${isNumber ? "number" : ""}>${heading}</th>`)}
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          (row) =>
            html`<tr>
              ${columns.map(([key, , cell, isNumber], i) => {
                const value = cell ? cell(row[key], row) : (row[key] ?? "");
                return i === 0 ? html`<th scope="row">${value}</th>` : html`<td class=${isNumber ? "number" : ""} data-head=${columns[i][1]}>${value}</td>`;
              })}
            </tr>`,
        )}
      </tbody>
    </table>
  </div>
`;

/** What stands where there is nothing yet, with what to do about it. */
export const empty = (words, action = nothing) => html`<div class="empty"><p>${words}</p>${action}</div>`;

/** A place on which files are dropped, or chosen: take is given them. What is inside
 * stands below. key tells the places of a screen apart. */
export const drop = (page, { key, label, about, name, id, isWide = false }, take, inside = nothing) => {
  const state = page.state;
  const over = (isOver) => {
    if ((state.over === key) === isOver) return;
    state.over = isOver ? key : "";
    page.redraw();
  };
  return html`<div
    class=${`drop ${isWide ? "wide" : ""} ${state.over === key ? "over" : ""}`}
    @dragover=${(e) => {
      e.preventDefault();
      over(true);
    }}
    @dragleave=${() => over(false)}
    @drop=${(e) => {
      e.preventDefault();
      over(false);
      take([...e.dataTransfer.files]);
    }}
  >
    <label>${label}<small>${about}</small><input type="file" id=${id ?? nothing} name=${name ?? nothing} multiple @change=${(e) => (take([...e.target.files]), (e.target.value = ""))} /></label>
    ${inside}
  </div>`;
};

const hex = (bytes) => [...new Uint8Array(bytes)].map((b) => b.toString(16).padStart(2, "0")).join("");

/** A file that is dropped is named by its checksum; the program finds it below the
 * folder of the property. Nothing is sent. */
export const named = async (file) => ({ name: file.name, sha256: hex(await crypto.subtle.digest("SHA-256", await file.arrayBuffer())) });

/** Sends what a part of a screen asks for; what came of it stands in that part, as came
 * shows it. words gives what it says of the answer, which is null where it failed.
 * isChange is false where nothing of the property becomes different. */
export async function send(page, part, path, body, { words = (a) => a.words ?? [], isChange = true } = {}) {
  const state = page.state;
  state.at = part;
  state.failed = state.done = null;
  state.isSending = true;
  state.own = isChange; // its event may come before the answer
  page.redraw();
  let answer = null;
  try {
    answer = await page.send(path, body);
    state.done = words(answer);
    if (isChange || state.done.length) page.say(state.done.join("; ") || "done");
    if (isChange) await page.reload();
  } catch (error) {
    state.failed = error;
    page.say(error.message);
  }
  state.isSending = state.own = false; // the shell knows later news by their data version
  page.redraw();
  return answer;
}

/** What a form says, with files beside it. */
export function withFiles(wish, files) {
  const form = new FormData();
  form.append("wish", JSON.stringify(wish));
  for (const file of files) form.append("file", file, file.name);
  return form;
}

/** What came of the last thing that a part sent. help(error) stands below an error. */
export const came = ({ state }, part, help = () => nothing) =>
  state.at !== part
    ? nothing
    : html`${state.isSending ? html`<p class="wait" role="status">Working…</p>` : nothing}${state.failed ? fault(state.failed, help(state.failed)) : nothing}
      ${state.done?.length ? html`<div class="proof" role="status"><ul class="bare">${state.done.map((t) => html`<li>${capital(t)}</li>`)}</ul></div>` : nothing}`;

/** Whether a screen has dealt with an event by itself: what one did oneself is no news. */
export function hearsOthers(page, event) {
  if (event.kind !== "changed" || !page.state.own) return false;
  page.state.own = false;
  return true;
}
