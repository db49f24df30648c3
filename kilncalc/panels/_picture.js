// Draw a figure with plotly, whose code comes to the page once, with the first picture, however many there are.
const CONFIG = { displayModeBar: false, responsive: false };
const WAIT = 20000; // ms; then another picture asks again, should the one that asked have gone from the page

function fetched(model) {
  return new Promise((resolve) => {
    model.on("msg:custom", async (message, buffers) => {
      if (message.kind !== "plotly") return;
      const address = URL.createObjectURL(new Blob([buffers[0]], { type: "text/javascript" }));
      await import(address);
      URL.revokeObjectURL(address);
      resolve(globalThis.Plotly);
    });
    model.send({ kind: "plotly" });
  });
}

async function plotly(model) {
  if (globalThis.kilncalcPlotly) {
    const late = new Promise((resolve) => setTimeout(resolve, WAIT));
    const found = await Promise.race([globalThis.kilncalcPlotly, late]);
    if (found) return found;
  }
  return (globalThis.kilncalcPlotly = fetched(model));
}

function ranges(layout) {
  const axes = Object.entries(layout).filter(([name]) => /^[xy]axis/.test(name));
  return JSON.stringify(axes.map(([, axis]) => axis.range));
}

// On the page, where words have a size and the sliders stand beside the picture.
async function placed(el) {
  while (!el.isConnected) await new Promise(requestAnimationFrame);
}

// A slider of ipywidgets says a bare number, and not of what: let it say its label and the value beside it.
function speak(panel) {
  for (const slider of panel?.querySelectorAll(".widget-slider") ?? []) {
    const handle = slider.querySelector(".noUi-handle");
    handle?.setAttribute("aria-label", slider.querySelector(".widget-label").textContent);
    handle?.setAttribute("aria-valuetext", slider.parentElement.querySelector("input")?.value ?? "");
  }
}

function part(parent, tag, name) {
  const made = parent.appendChild(document.createElement(tag));
  made.className = name;
  return made;
}

// One plot, as wide as the page leaves it.
class Pane {
  constructor(parent) {
    this.plot = part(parent, "div", "kilncalc-pane");
    this.counts = null;
  }
  async draw({ newPlot, react }, { data, layout, share, least }) {
    this.plot.style.cssText = `flex: ${share} 1 min(${least}px, 100%); height: ${layout.height}px`;
    // Where axes count anew, as in other units, `react` would stretch a picture that is drawn to scale.
    const before = this.counts;
    this.counts = ranges(layout);
    await (this.counts === before ? react : newPlot)(this.plot, data, layout, CONFIG);
    this.width = this.plot.clientWidth;
  }
  async fit({ Plots }) {
    if (!this.plot.clientWidth || this.plot.clientWidth === this.width) return;
    this.width = this.plot.clientWidth;
    await Plots.resize(this.plot);
  }
}

function write(readings, list) {
  readings.replaceChildren();
  for (const { value, says, colour } of list) {
    const reading = part(readings, "div", "kilncalc-reading");
    const number = part(reading, "b", "");
    number.textContent = value;
    number.style.color = reading.style.color = colour;
    part(reading, "span", "").textContent = says;
  }
  readings.hidden = !list.length;
}

function write_table(place, table) {
  place.replaceChildren();
  place.hidden = !table;
  if (!table) return;
  const rows = [["th", table.head], ...table.rows.map((row) => ["td", row])];
  for (const [tag, cells] of rows) {
    const row = part(place, "tr", "");
    for (const words of cells) part(row, tag, "").textContent = words;
  }
}

export default {
  async render({ model, el }) {
    const code = await plotly(model);
    await placed(el);
    const drawn = part(el, "div", "kilncalc-drawn");
    const plots = part(drawn, "div", "kilncalc-panes");
    const readings = part(drawn, "div", "kilncalc-readings");
    const table = part(el, "table", "kilncalc-table");
    const caption = part(el, "p", "kilncalc-caption");
    caption.setAttribute("aria-live", "polite");
    const panes = [];
    let drawing = false;
    let stale = false;

    async function draw() {
      stale = true;
      if (drawing) return; // the one who draws sees that what he drew is out of date
      drawing = true;
      try {
        while (stale) {
          stale = false;
          const figure = JSON.parse(model.get("figure"));
          write(readings, figure.readings);
          write_table(table, figure.table);
          caption.textContent = figure.caption;
          while (panes.length > figure.panes.length) {
            const { plot } = panes.pop();
            code.purge(plot);
            plot.remove();
          }
          while (panes.length < figure.panes.length) panes.push(new Pane(plots));
          for (const [number, pane] of panes.entries()) await pane.draw(code, figure.panes[number]);
        }
      } finally {
        drawing = false;
      }
      speak(el.closest(".kilncalc-panel"));
    }

    const watch = new ResizeObserver(() => panes.forEach((pane) => pane.fit(code)));
    model.on("change:figure", draw);
    await draw();
    watch.observe(plots);
    return () => {
      watch.disconnect();
      model.off("change:figure", draw);
      panes.forEach(({ plot }) => code.purge(plot));
    };
  },
};
