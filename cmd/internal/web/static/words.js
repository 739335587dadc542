// How figures and dates are written. Values come from the server; nothing is
// computed from them here.
const months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const days = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

const parts = (iso) => iso.split("-").map(Number);

/** 2026-12-07 → Mon, Dec 7, 2026 */
export function day(iso) {
  if (!iso) return "";
  const [y, m, d] = parts(iso);
  return `${days[new Date(Date.UTC(y, m - 1, d)).getUTCDay()]}, ${months[m - 1]} ${d}, ${y}`;
}

/** 2026-12-07 → Dec 7; with the year where it is another than that of near. */
export function shortDay(iso, near = "") {
  if (!iso) return "";
  const [y, m, d] = parts(iso);
  return `${months[m - 1]} ${d}${near && near.slice(0, 4) !== iso.slice(0, 4) ? `, ${y}` : ""}`;
}

/** Two days as a span. */
export const span = (first, last, near = first) => (first === last ? shortDay(first, near) : `${shortDay(first, near)} to ${shortDay(last, near)}`);

const whole = new Intl.NumberFormat("en-US", { maximumFractionDigits: 0 });
const tenths = new Intl.NumberFormat("en-US", { minimumFractionDigits: 1, maximumFractionDigits: 1 });

/** Acres with one digit, as the papers write them. */
export const acres = (v) => (v == null ? "" : tenths.format(v));
export const count = (v) => (v == null ? "" : whole.format(v));
export const figure = (v) => (v == null ? "" : Number.isInteger(v) ? whole.format(v) : tenths.format(v));
export const percent = (v) => (v == null ? "" : `${whole.format(100 * v)}%`);
export const many = (n, one, more = `${one}s`) => `${whole.format(n)} ${n === 1 ? one : more}`;
export const capital = (text) => (text ? text[0].toUpperCase() + text.slice(1) : "");
