// A table of units and years of any length: only the rows in view stand in the
// document. Arrow keys move from cell to cell; the cell in focus has tabindex 0.
import { html, noChange, nothing, repeat } from "./lit.js";

const rowHeight = 40; // as in style.css
const spare = 4; // rows beyond the view on either side

/** Makes a grid. options: caption, rows(): how many, years: the columns,
 * heading(row), cell(row, column): templates; name(row, column): a cell in words;
 * chosen: a year whose heading is pressed; choose(year); moved(row, column) after the
 * focus moved; key(event, row, column): true says that a key was taken. redraw draws
 * the screen again, scrolled the table alone. */
export function grid(state, options, redraw, drawAlone) {
  const rows = options.rows();
  state.row = Math.min(state.row ?? 0, Math.max(0, rows - 1));
  state.column = Math.min(state.column ?? 0, options.years.length - 1);
  const first = Math.max(0, Math.min(state.first ?? 0, rows - 1));
  const last = Math.min(rows, first + (state.window ?? 24) + 2 * spare);
  const shown = Array.from({ length: Math.max(0, last - first) }, (_, i) => first + i);

  // While the table is only scrolled, rows that stand in the document stay as they are.
  const before = state.isScroll ? new Set(state.shown) : null;
  state.shown = shown;

  const scrolled = (event) => {
    const box = event.currentTarget;
    const from = Math.max(0, Math.floor(box.scrollTop / rowHeight) - spare);
    const fit = Math.ceil(box.clientHeight / rowHeight);
    if (from === state.first || (Math.abs(from - (state.first ?? 0)) < spare / 2 && fit === state.window)) return;
    state.first = from;
    state.window = fit;
    state.isScroll = true;
    drawAlone();
    state.isScroll = false;
  };

  const focus = async (row, column, box) => {
    state.row = row;
    state.column = column;
    const top = row * rowHeight;
    const head = 44;
    if (top < box.scrollTop) box.scrollTop = top;
    else if (top + rowHeight + head > box.scrollTop + box.clientHeight) box.scrollTop = top + rowHeight + head - box.clientHeight;
    state.first = Math.max(0, Math.floor(box.scrollTop / rowHeight) - spare);
    options.moved?.(row, column);
    redraw();
    box.querySelector(`[data-at="${row} ${column}"]`)?.focus({ preventScroll: true });
  };

  const pressed = (event) => {
    const at = event.target.closest("[data-at]");
    if (!at) return;
    const [row, column] = at.dataset.at.split(" ").map(Number);
    if (options.key?.(event, row, column)) {
      event.preventDefault();
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey) {
      if (!(event.ctrlKey && ["Home", "End"].includes(event.key))) return;
    }
    const box = event.currentTarget;
    const page = Math.max(1, Math.floor(box.clientHeight / rowHeight) - 2);
    const to = {
      ArrowUp: [row - 1, column], ArrowDown: [row + 1, column], ArrowLeft: [row, column - 1], ArrowRight: [row, column + 1],
      Home: event.ctrlKey ? [0, 0] : [row, 0], End: event.ctrlKey ? [rows - 1, options.years.length - 1] : [row, options.years.length - 1],
      PageUp: [row - page, column], PageDown: [row + page, column],
    }[event.key];
    if (!to) return;
    event.preventDefault();
    focus(Math.max(0, Math.min(rows - 1, to[0])), Math.max(0, Math.min(options.years.length - 1, to[1])), box);
  };

  return html`<div class="plan-grid" @scroll=${scrolled} @keydown=${pressed}>
    <table role="grid" .style=${`--years:${options.years.length}`} aria-label=${options.caption} aria-rowcount=${rows + 1} aria-colcount=${options.years.length + 1}>
      <thead>
        <tr aria-rowindex="1">
          <th scope="col">unit</th>
          ${options.years.map(
            (year) =>
              html`<th scope="col">${options.choose
                ? html`<button type="button" aria-pressed=${year === options.chosen} title=${`Show ${year} on the map`} @click=${() => options.choose(year)}>${year}</button>`
                : year}</th>`,
          )}
        </tr>
      </thead>
      <tbody>
        ${first > 0 ? html`<tr role="presentation"><td role="presentation" colspan=${options.years.length + 1} .style=${`height:${first * rowHeight}px;padding:0;border:0`}></td></tr>` : nothing}
        ${repeat(
          shown,
          (row) => row,
          (row) =>
            before?.has(row) ? noChange : html`<tr aria-rowindex=${row + 2}>
              <th scope="row" role="rowheader">${options.heading(row)}</th>
              ${options.years.map(
                (_, column) =>
                  html`<td role="gridcell" data-at=${`${row} ${column}`} tabindex=${row === state.row && column === state.column ? "0" : "-1"} aria-label=${options.name(row, column)}
                    @click=${(e) => focus(row, column, e.currentTarget.closest(".plan-grid"))} @focus=${() => ((state.row = row), (state.column = column))}>
                    ${options.cell(row, column)}
                  </td>`,
              )}
            </tr>`,
        )}
        ${last < rows ? html`<tr role="presentation"><td role="presentation" colspan=${options.years.length + 1} .style=${`height:${(rows - last) * rowHeight}px;padding:0;border:0`}></td></tr>` : nothing}
      </tbody>
    </table>
  </div>`;
}
