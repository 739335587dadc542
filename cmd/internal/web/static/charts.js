// Charts: the chart library is fetched when the first one is drawn; colors come from
// the style sheet and are read again when light turns dark.
let library = null;

const fetched = () =>
  (library ??= new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.src = "/static/echarts.min.js";
    script.onload = () => resolve(globalThis.echarts);
    script.onerror = () => reject(new Error("the chart library was not sent"));
    document.head.append(script);
  }));

const color = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

export const palette = () => ({
  ink: color("--ink"), quiet: color("--quiet"), hair: color("--hair"), card: color("--card"), band: color("--band"), ember: color("--ember"),
  fills: [0, 1, 2, 3, 4, 5].map((i) => color(`--f${i}`)), madder: color("--madder"), straw: color("--straw"),
});

const live = new Map();

/** Draws a chart into an element; make(palette) gives its options. It is drawn anew
 * where of, the values that it shows, is another than before. */
export async function chart(element, of, make) {
  if (!element) return;
  const echarts = await fetched();
  if (!element.isConnected) return;
  for (const [other, one] of live) {
    if (!other.isConnected) {
      one.dispose();
      live.delete(other);
    }
  }
  let one = live.get(element);
  if (!one) {
    one = echarts.init(element, null, { renderer: "canvas" });
    live.set(element, one);
    sizes.observe(element);
  }
  if (one.of === of) return;
  one.of = of;
  one.make = make;
  paint(one);
}

function paint(one) {
  const colors = palette();
  const font = getComputedStyle(document.body).fontFamily;
  one.setOption({ animation: false, textStyle: { fontFamily: font, color: colors.ink }, ...one.make(colors) }, true);
}

const sizes = new ResizeObserver((all) => {
  for (const { target } of all) live.get(target)?.resize();
});

const again = () => live.forEach(paint);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", again);
matchMedia("(forced-colors: active)").addEventListener("change", again);

/** What axes have in common. */
export const axes = (c, years, unit) => ({
  grid: { left: 4, right: 12, top: 40, bottom: 4, containLabel: true },
  xAxis: { type: "category", data: years.map(String), axisTick: { show: false }, axisLine: { lineStyle: { color: c.quiet } }, axisLabel: { color: c.ink } },
  yAxis: { type: "value", name: unit, nameTextStyle: { color: c.quiet, align: "left", padding: [0, 0, 0, -24] }, splitLine: { lineStyle: { color: c.hair } }, axisLabel: { color: c.ink } },
});
