// Draw a figure with plotly, whose code comes to the page once, with the first picture, however many there are.
const CONFIG = { displayModeBar: false, responsive: false };
const WAIT = 20000; // ms; then another picture asks again, should the one that asked have gone from the page
const PHONE = 700; // px; on a narrower page a panel may be taller than the screen
const LEAST_LIST = 105; // px; a list of rows that would be lower than the screen leaves scrolls in its box
const LEAST_PART = 0.45; // of the height between its margins that a plot keeps
const SPARE = 24; // px; for words that take one more line when a slider has moved

// The kernel sends it; the browser edition has it as a file, and says where.
function sent(model) {
  return new Promise((resolve) => {
    model.on("msg:custom", (message, buffers) => {
      if (message.kind !== "plotly") return;
      resolve(URL.createObjectURL(new Blob([buffers[0]], { type: "text/javascript" })));
    });
    model.send({ kind: "plotly" });
  });
}

async function fetched(model) {
  const address = globalThis.kilncalcPlotlyAt ?? (await sent(model));
  await import(address);
  URL.revokeObjectURL(address); // of a file it does nothing
  return globalThis.Plotly;
}

async function plotly(model) {
  if (globalThis.kilncalcPlotly) {
    const late = new Promise((resolve) => setTimeout(resolve, WAIT));
    const found = await Promise.race([globalThis.kilncalcPlotly, late]);
    if (found) return found;
  }
  return (globalThis.kilncalcPlotly = fetched(model));
}

// plotly keeps the ranges that axes drawn to scale first had, and would stretch to them what counts anew.
function forget(plot) {
  for (const [name, axis] of Object.entries(plot._fullLayout ?? {})) {
    if (/^[xy]axis/.test(name)) delete axis._inputRange;
  }
}

// On the page, where words have a size and the sliders stand beside the picture.
async function placed(el) {
  while (!el.isConnected) await new Promise(requestAnimationFrame);
}

// A slider of ipywidgets says a bare number, and not of what: let it say its label and the value beside it,
// also after it has written its number anew. The buttons that play a slider bear a sign only.
const heard = new WeakSet();

function speak(panel) {
  for (const slider of panel?.querySelectorAll(".widget-slider") ?? []) {
    const handle = slider.querySelector(".noUi-handle");
    if (!handle) continue;
    const say = () => {
      const words = slider.parentElement?.querySelector("input")?.value ?? "";
      if (handle.getAttribute("aria-valuetext") !== words) handle.setAttribute("aria-valuetext", words);
    };
    handle.setAttribute("aria-label", slider.querySelector(".widget-label").textContent);
    say();
    if (!heard.has(handle)) new MutationObserver(say).observe(handle, { attributeFilter: ["aria-valuetext"] });
    heard.add(handle);
  }
  for (const button of panel?.querySelectorAll(".widget-play button") ?? []) {
    button.setAttribute("aria-label", button.querySelector(".fa-stop") ? "Stop, back to the start" : "Play or pause");
  }
}

function part(parent, tag, name) {
  const made = parent.appendChild(document.createElement(tag));
  made.className = name;
  return made;
}

// The lowest a plot may get, as a part of its height: its margins, which hold words, stay as they are.
function lowest({ height, margin }) {
  const words = (margin?.t ?? 0) + (margin?.b ?? 0);
  return (words + LEAST_PART * (height - words)) / height;
}

// One plot, as wide as the page leaves it.
class Pane {
  constructor(parent) {
    this.plot = part(parent, "div", "kilncalc-pane");
  }
  async draw(code, pane, part) {
    const said = JSON.stringify([pane, part]);
    if (said === this.said) return; // most sliders change one pane of several
    this.said = said;
    await this.put(code);
  }
  async put({ react }) {
    const [{ data, layout, share, least }, part] = JSON.parse(this.said); // anew: plotly writes into what it gets
    const height = Math.round(Math.max(part, lowest(layout)) * layout.height);
    this.plot.style.cssText = `flex: ${share} 1 min(${least}px, 100%); height: ${height}px`;
    this.width = this.plot.clientWidth;
    forget(this.plot);
    await react(this.plot, data, { ...layout, height }, CONFIG);
  }
  // Not plotly's `resize`: with each new width a picture drawn to scale would get smaller.
  async fit(code) {
    if (this.plot.clientWidth && this.plot.clientWidth !== this.width) await this.put(code);
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

function write_table(list, place, table) {
  place.replaceChildren();
  list.hidden = !table;
  if (!table) return;
  const rows = [["th", table.head], ...table.rows.map((row) => ["td", row])];
  for (const [tag, cells] of rows) {
    const row = part(place, "tr", "");
    for (const words of cells) {
      let cell = part(row, tag, "");
      if (table.links[words]) {
        cell = part(cell, "a", "");
        cell.href = table.links[words];
        cell.target = "_blank";
      }
      cell.textContent = words;
    }
  }
}

// How much higher a panel is than the screen leaves room for, in the panel's own pixels.
function excess(el) {
  const panel = el.closest(".kilncalc-panel");
  const page = el.closest(".jp-WindowedPanel-outer");
  if (!panel?.offsetHeight || !page || panel.clientWidth < PHONE) return 0;
  const zoom = panel.getBoundingClientRect().height / panel.offsetHeight;
  const room = page.clientHeight - (page.querySelector(".kilncalc-bar")?.offsetHeight ?? 0);
  return panel.offsetHeight + SPARE - room / zoom;
}

// How much of a form stands above its picture, which is more or less from step to step.
function above(el) {
  const form = el.closest(".kilncalc-form");
  return form && Math.round(el.getBoundingClientRect().top - form.getBoundingClientRect().top);
}

// Whether the name of an upright axis is longer than its plot is high.
function cut(drawn) {
  return [...drawn.querySelectorAll(".js-plotly-plot")].some((plot) => {
    const { top, bottom } = plot.getBoundingClientRect();
    const names = [...plot.querySelectorAll(".g-ytitle text, .g-y2title text")];
    return names.some((name) => {
      const box = name.getBoundingClientRect();
      return Math.max(top - box.top, box.bottom - bottom) > 4;
    });
  });
}

export default {
  async render({ model, el }) {
    const code = await plotly(model);
    await placed(el);
    const drawn = part(el, "div", "kilncalc-drawn");
    const plots = part(drawn, "div", "kilncalc-panes");
    const readings = part(drawn, "div", "kilncalc-readings");
    const list = part(el, "div", "kilncalc-rows");
    const table = part(list, "table", "kilncalc-table");
    const caption = part(el, "p", "kilncalc-caption");
    caption.setAttribute("aria-live", "polite");
    const panes = [];
    let drawing = false;
    let stale = false;
    let height = 1; // of each plot, as a part of its own
    let fitted = "";

    // Its first picture takes a while: the kernel begins when the reader is a screen away, and not before.
    const near = new IntersectionObserver(
      (changes) => {
        if (!changes.some(({ isIntersecting }) => isIntersecting)) return;
        near.disconnect();
        model.send({ kind: "seen" });
      },
      { root: el.closest(".jp-WindowedPanel-outer"), rootMargin: "100%" },
    );

    async function plot(figure) {
      for (const [number, pane] of panes.entries()) await pane.draw(code, figure.panes[number], height);
    }

    // So that a panel can be seen whole: a long list scrolls, then plots get lower; where that would not be
    // enough, they stay as they are. Not while a slider moves.
    async function fit(figure) {
      const page = el.closest(".jp-WindowedPanel-outer");
      const size = [page?.clientWidth, page?.clientHeight, el.clientWidth, panes.length, table.rows.length];
      const now = [...size, above(el)].join();
      if (now === fitted) return;
      fitted = now;
      list.style.maxHeight = "";
      list.removeAttribute("tabindex");
      if (height !== 1) {
        height = 1;
        await plot(figure);
      }
      let over = excess(el);
      if (over > 0 && !list.hidden) {
        const kept = Math.max(LEAST_LIST, list.offsetHeight - over);
        list.style.maxHeight = `${kept}px`;
        list.tabIndex = 0;
        over = excess(el);
      }
      drawn.classList.toggle("kilncalc-low", over > 0);
      if (over > 0) {
        height = 1 - over / plots.offsetHeight;
        await plot(figure);
        if (excess(el) > 2 * SPARE || cut(drawn)) {
          height = 1;
          drawn.classList.remove("kilncalc-low");
          await plot(figure);
        }
      }
    }

    async function draw() {
      stale = true;
      if (drawing) return; // the one who draws sees that what he drew is out of date
      drawing = true;
      el.setAttribute("aria-busy", "true");
      try {
        while (stale) {
          stale = false;
          const words = model.get("figure");
          el.classList.toggle("kilncalc-waits", !words);
          if (!words) {
            caption.textContent = model.get("waits") ? "Working it out …" : "";
            continue;
          }
          const figure = JSON.parse(words);
          write(readings, figure.readings);
          write_table(list, table, figure.table);
          caption.textContent = figure.caption;
          while (panes.length > figure.panes.length) {
            const { plot } = panes.pop();
            code.purge(plot);
            plot.remove();
          }
          while (panes.length < figure.panes.length) panes.push(new Pane(plots));
          await plot(figure);
          await fit(figure);
        }
        speak(el.closest(".kilncalc-panel"));
      } finally {
        drawing = false;
        el.removeAttribute("aria-busy");
      }
    }

    const watch = new ResizeObserver(async () => {
      await Promise.all(panes.map((pane) => pane.fit(code)));
      if (!drawing && model.get("figure")) await fit(JSON.parse(model.get("figure")));
    });
    model.on("change:figure", draw);
    model.on("change:waits", draw);
    await draw();
    watch.observe(plots);
    if (model.get("waits")) near.observe(el);
    const form = el.closest(".kilncalc-form");
    if (form) watch.observe(form);
    return () => {
      watch.disconnect();
      near.disconnect();
      model.off("change:figure", draw);
      model.off("change:waits", draw);
      panes.forEach(({ plot }) => code.purge(plot));
    };
  },
};
