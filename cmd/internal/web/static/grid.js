// A table of units and years of any length: only the rows in view stand in the
// document, each at a place of its own, so that one that comes moves no other. Arrow
// keys move from cell to cell; the cell in focus has tabindex 0.
import { html, noChange, repeat } from "./lit.js";

const rowHeight = 40; // as in style.css
const spare = 4; // rows beyond the view on either side
const most = 3; // rows that come in one frame while the table is scrolled

const range = (from, to) => Array.from({ length: Math.max(0, to - from) }, (_, i) => from + i);

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
  const window = state.window ?? 24;
  // The first frame draws what can be in view, as style.css bounds it; the rest follows.
  const isFirst = !state.shown;
  const last = Math.min(rows, first + (isFirst ? Math.ceil((0.72 * innerHeight) / rowHeight) : window + 2 * spare));
  if (isFirst && last < rows) inNextFrame();
  const wanted = range(first, last);
  // The row with the focus stays in the document wherever the view is.
  if (rows && (state.row < first || state.row >= last)) wanted.push(state.row);

  // While the table is only scrolled, rows that stand in the document stay as they are,
  // and of those that are new a few come in each frame, the ones in the middle first.
  const before = state.isScroll ? new Set(state.shown) : null;
  let shown = wanted;
  if (before) {
    const middle = first + spare + window / 2;
    const missing = wanted.filter((row) => !before.has(row)).sort((a, b) => Math.abs(a - middle) - Math.abs(b - middle));
    shown = [...wanted.filter((row) => before.has(row)), ...missing.slice(0, most)];
    if (missing.length > most) inNextFrame();
  }
  shown.sort((a, b) => a - b);
  state.shown = shown;

  function inNextFrame() {
    state.frame ||= requestAnimationFrame(() => {
      state.frame = 0;
      state.isScroll = true;
      drawAlone();
      state.isScroll = false;
    });
  }

  const scrolled = (event) => {
    const box = event.currentTarget;
    const from = Math.max(0, Math.floor(box.scrollTop / rowHeight) - spare);
    const fit = Math.ceil(box.clientHeight / rowHeight);
    if (from === state.first || (Math.abs(from - (state.first ?? 0)) < spare / 2 && fit === state.window)) return;
    state.first = from;
    state.window = fit;
    inNextFrame();
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
    const cell = at(event);
    if (!cell) return;
    const [row, column] = cell;
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

  const at = (event) => event.target.closest("[data-at]")?.dataset.at.split(" ").map(Number);
  const clicked = (event) => {
    const cell = at(event);
    if (cell) focus(...cell, event.currentTarget);
  };
  const focused = (event) => {
    const cell = at(event);
    if (cell) [state.row, state.column] = cell;
  };

  return html`<div class="plan-grid" @scroll=${scrolled} @keydown=${pressed} @click=${clicked} @focusin=${focused}>
    <table role="grid" .style=${`--years:${options.years.length}`} aria-label=${options.caption} aria-rowcount=${rows + 1} aria-colcount=${options.years.length + 1}>
      <thead role="rowgroup">
        <tr role="row" aria-rowindex="1">
          <th scope="col" role="columnheader">unit</th>
          ${options.years.map(
            (year) =>
              html`<th scope="col" role="columnheader">${options.choose
                ? html`<button type="button" aria-pressed=${year === options.chosen} title=${`Show ${year} on the map`} @click=${() => options.choose(year)}>${year}</button>`
                : year}</th>`,
          )}
        </tr>
      </thead>
      <tbody role="rowgroup" .style=${`height:${rows * rowHeight}px`}>
        ${repeat(
          shown,
          (row) => row,
          (row) =>
            before?.has(row) ? noChange : html`<tr role="row" aria-rowindex=${row + 2} .style=${`top:${row * rowHeight}px`}>
              <th scope="row" role="rowheader">${options.heading(row)}</th>
              ${options.years.map(
                (_, column) =>
                  html`<td role="gridcell" data-at=${`${row} ${column}`} tabindex=${row === state.row && column === state.column ? "0" : "-1"} aria-label=${options.name(row, column)}>${options.cell(row, column)}</td>`,
              )}
            </tr>`,
        )}
      </tbody>
    </table>
  </div>`;
}
