// One notebook as a page: a bar, folded parts, still pictures that give way to live ones, locks, and the run.
import { make } from "./dom.js";
import { fold, tags } from "./fold.js";
import { Projector } from "./projector.js";

const DRAW_WAIT = 25000; // ms until a panel that shows nothing is run once more
const ECHO = 400; // ms until the box beside a slider that was moved has its new value from the kernel
const TRIES = 3;
const GONE = ["dead", "terminating"];
const KEYS_THAT_STAY = ["s", "f", "b"]; // with Ctrl or Cmd: save, find, show or hide the list

const STARTING = "Starting … the pictures come alive in a few seconds.";
const NO_KERNEL = "The part that computes has not started. The words and still pictures are all here.";
const ASLEEP = "The part that computes has stopped, so the sliders do nothing. Your answers are kept.";
const BROKEN = "Something went wrong while the page was starting.";

const later = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

export class Page {
  constructor(panel, jupyter, toggleList, changed) {
    Object.assign(this, { panel, jupyter, changed });
    this.name = panel.context.path.split("/").pop();
    this.place = panel.context.path.slice(0, -this.name.length);
    this.locked = false;
    this.status = make("span", { class: "kilncalc-status", role: "status" });
    this.buttons = make("span", { class: "kilncalc-buttons" });
    this.lessonsButton = make("button", { type: "button", onclick: toggleList }, "Lessons");
    this.warning = make("p", { class: "kilncalc-warning", role: "alert", hidden: true });
    this.bar = make("div", { class: "kilncalc-bar", role: "region", "aria-label": "This page" }, this.lessonsButton, this.status, this.buttons);
  }

  cells() {
    return this.panel.content.widgets;
  }

  // Opening ---------------------------------------------------------------------------------------------------

  async open() {
    const { panel } = this;
    await panel.context.ready;
    await panel.revealed;
    const told = panel.model.getMetadata("kilncalc");
    const code = this.cells().filter((cell) => cell.model.type === "code").map((cell) => cell.model.sharedModel.source);
    if (!told && !code.some((source) => source.trim())) return; // a new notebook of a person's own
    const outer = panel.content.node.querySelector(".jp-WindowedPanel-outer") ?? panel.content.node;
    outer.prepend(this.bar);
    this.bar.append(this.warning);
    const checked = await this.jupyter.ask("check", { code, lesson: told?.lesson ?? "" }).catch(() => ({
      lesson: "",
      why: "The server cannot say whether this page is a lesson.",
    }));
    if (checked.lesson && this.jupyter.kernels.includes(panel.model.getMetadata("kernelspec")?.name)) await this.becomeLesson(checked.lesson);
    else this.offer(checked.why);
  }

  // A page whose code is not a lesson's: nothing runs until somebody says so, and the code is in sight.
  offer(why) {
    this.say("offered", `${why} So it does not run by itself.`, "Run this page", () => this.run());
  }

  async becomeLesson(label) {
    const { panel } = this;
    this.label = label;
    this.locked = this.cells().every((cell) => cell.model.getMetadata("editable") === false);
    panel.addClass("kilncalc-page");
    panel.toggleClass("kilncalc-locked", this.locked);
    if (this.locked) panel.toolbar.hide();
    panel.node.addEventListener("dblclick", (event) => this.locked && event.stopPropagation(), true); // would show its source
    this.projector = new Projector(this);
    this.code = make("button", { type: "button", "aria-pressed": "false", onclick: () => this.showCode() }, "Show how it is computed");
    this.changing = make("button", { type: "button", onclick: () => this.change() }, "Change this page");
    this.buttons.append(this.code, this.projector.button);
    if (this.locked) this.buttons.append(this.changing);
    else this.showCode(true);
    this.state("starting", STARTING);
    fold(this.cells());
    this.pair();
    this.units = "metric"; // as the notebook stands; the folder may have others
    const { lessons } = await this.folder().catch(() => ({ lessons: [] }));
    this.changed();
    this.lead(lessons);
    this.watchKernel();
    await this.run();
  }

  say(state, words, button, action) {
    this.state(state, words);
    if (!button) return;
    const press = make("button", { type: "button", class: "kilncalc-do" }, button);
    press.addEventListener("click", () => action());
    this.status.append(" ", press);
  }

  state(state, words) {
    this.bar.dataset.state = state;
    this.status.replaceChildren(words);
  }

  // The run ---------------------------------------------------------------------------------------------------

  // One cell after the other, and each panel drawn before the next cell: requests that a picture sends would
  // else wait in the kernel's queue behind every cell of the page. Neither the place nor the file changes.
  async run() {
    if (this.running) return;
    this.running = true;
    this.waited = Date.now();
    this.say("starting", STARTING);
    try {
      await this.kernel();
      this.say("starting", STARTING);
      await this.carry();
      const code = this.cells().filter((cell) => cell.model.type === "code" && cell.model.sharedModel.source.trim());
      const late = code.filter((cell) => tags(cell).includes("further") && tags(cell).includes("panel"));
      for (const cell of code.filter((one) => !late.includes(one)).concat(late)) {
        if (!(await this.runCell(cell))) return this.say("failed", BROKEN, "Start again", () => this.restart());
      }
      if (this.locked) this.panel.model.dirty = false; // nothing of a person's own is in it
      this.say("alive", "");
    } finally {
      this.running = false;
    }
  }

  async runCell(cell) {
    const { CodeCell } = this.jupyter;
    const isPanel = tags(cell).includes("panel");
    for (let tries = 1; tries <= TRIES; tries++) {
      const failures = this.jupyter.failures();
      const reply = await CodeCell.execute(cell, this.panel.sessionContext).catch(() => null);
      if (reply?.content?.status !== "ok") return false;
      if (!isPanel || cell.node.classList.contains("kilncalc-away")) return true;
      for (let waited = 0; waited < DRAW_WAIT && failures === this.jupyter.failures(); waited += 50) {
        if (drawn(cell) || cell.node.querySelector(".kilncalc-waits")) return true;
        await later(50);
      }
      if (!globalThis.Plotly) delete globalThis.kilncalcPlotly; // who asked for it is gone: let the next one ask
    }
    return true; // the still picture stays; the other panels shall have their turn
  }

  // Wait until the kernel answers, and after a while say that it does not.
  async kernel() {
    const status = () => this.panel.sessionContext.session?.kernel?.status;
    while (!["idle", "busy"].includes(status()) && !this.panel.isDisposed) {
      const missing = status() === "dead" || Date.now() - this.waited > this.jupyter.kernelWait;
      if (missing && this.bar.dataset.state === "starting") this.say("failed", NO_KERNEL, "Start it", () => this.restart());
      await later(50);
    }
    this.hadKernel = true;
  }

  // Between the kernel and what the browser keeps, where only the page can; one at a time.
  async carry() {
    const kernel = this.panel.sessionContext.session?.kernel;
    if (!kernel || this.carrying) return;
    this.carrying = true;
    try {
      const problem = await this.jupyter.carry(kernel, this.place);
      this.warning.textContent = problem;
      this.warning.hidden = !problem;
    } finally {
      this.carrying = false;
    }
  }

  // After a widget has said something: it may have been an answer.
  carrySoon() {
    clearTimeout(this.soon);
    this.soon = setTimeout(() => (this.carrying || this.running ? this.carrySoon() : this.carry()), 100);
  }

  async restart() {
    // Widgets do not find a kernel that comes after JupyterLab has given up the first one: begin from the beginning.
    if (!this.hadKernel) {
      if (this.locked) this.panel.model.dirty = false; // only the missing kernel has been noted in it
      return location.reload();
    }
    const waiting = this.running; // the run is still waiting for its kernel, and goes on when that comes
    this.running = true;
    this.waited = Date.now();
    this.say("starting", STARTING);
    const { sessionContext } = this.panel;
    const status = sessionContext.session?.kernel?.status;
    try {
      if (status && !GONE.includes(status)) await sessionContext.restartKernel();
      else {
        await sessionContext.shutdown().catch(() => {}); // what the server has lost already cannot be ended
        await sessionContext.startKernel();
      }
    } catch {
      return this.say("failed", NO_KERNEL, "Start it", () => this.restart());
    } finally {
      this.running = waiting;
    }
    await this.run();
  }

  watchKernel() {
    const { sessionContext } = this.panel;
    let soon;
    const gone = () => this.running || this.say("asleep", ASLEEP, "Wake it", () => this.restart());
    sessionContext.statusChanged.connect((_, status) => {
      if ([...GONE, "autorestarting"].includes(status)) gone();
      if (status === "restarting") this.run(); // somebody has chosen so
      clearTimeout(soon);
      if (status === "idle") soon = setTimeout(() => this.changed(), 1500); // an answer may have been given
    });
    sessionContext.iopubMessage.connect((_, { header }) => header.msg_type === "comm_msg" && this.carrySoon());
    sessionContext.kernelChanged.connect((_, change) => change.newValue || gone());
  }

  // Pictures --------------------------------------------------------------------------------------------------

  // A still picture stands above its panel until that is drawn, and comes back should it go; so does, in a student's
  // copy, a question above the box that asks it, which may have other numbers by then.
  pair() {
    const pairs = [];
    const asked = [];
    this.cells().forEach((cell, place) => {
      const before = this.cells()[place - 1];
      if (before?.model.getMetadata("kilncalc")?.question) asked.push({ cell, words: before });
      if (!tags(cell).includes("panel")) return;
      cell.node.append(make("p", { class: "kilncalc-wait" }, "The sliders come in a moment."));
      cell.node.classList.add("kilncalc-panel-cell");
      const ours = before?.model.getMetadata("kilncalc") ?? {};
      pairs.push({ cell, still: ours.picture ? before : null, asks: Boolean(ours.guess) });
    });
    this.panels = pairs.map(({ cell }) => cell);
    let planned = false;
    const look = () => {
      planned = false;
      for (const { cell, still, asks } of pairs) {
        const alive = drawn(cell);
        cell.node.classList.toggle("kilncalc-alive", alive);
        const spoils = asks && this.bar.dataset.state === "starting"; // the answer, before it is asked
        still?.node.classList.toggle("kilncalc-replaced", alive || spoils);
      }
      for (const { cell, words } of asked) {
        words.node.classList.toggle("kilncalc-replaced", Boolean(cell.node.querySelector(".kilncalc-exercise")));
      }
      for (const strong of this.panel.content.node.querySelectorAll(".jp-RenderedMarkdown p:not(.kilncalc-start) > strong")) {
        if (strong.textContent === "Run > Run All Cells") strong.parentElement.classList.add("kilncalc-start");
      }
      // A box of ipywidgets without a label of its own has a title only, which not every screen reader says.
      for (const box of this.panel.content.node.querySelectorAll("input.widget-input[title]:not([aria-label])")) {
        box.setAttribute("aria-label", box.title);
      }
      for (const link of this.panel.content.node.querySelectorAll("a.kilncalc-save:not([data-saved])")) {
        link.dataset.saved = ""; // made by a press of Hand in: once
        link.click();
      }
      for (const handle of this.panel.content.node.querySelectorAll(".kilncalc-panel .noUi-handle")) speak(handle);
    };
    const watch = new MutationObserver((changes) => {
      if (!planned) requestAnimationFrame(look);
      planned = true;
      if (changes.some(({ type }) => type === "attributes")) setTimeout(look, ECHO);
    });
    watch.observe(this.panel.content.node, { childList: true, subtree: true, attributeFilter: ["aria-valuetext"] });
    this.panel.disposed.connect(() => watch.disconnect());
    look();
  }

  // What lies in the folder, and whether people work in inches there: that may be changed while the page is open.
  async folder() {
    const listed = await this.jupyter.ask(`folder?folder=${encodeURIComponent(this.place)}`);
    if (this.label && listed.units !== this.units) {
      this.units = listed.units;
      await this.takeUnits();
    }
    return listed;
  }

  // Words and pictures for those who work in inches; the notebook itself stays as it is.
  async takeUnits() {
    const { rendermime, node } = this.panel.content;
    node.querySelectorAll(".kilncalc-inches").forEach((words) => words.remove());
    node.querySelectorAll(".kilncalc-metric").forEach((words) => words.classList.remove("kilncalc-metric"));
    if (this.units === "metric") return;
    for (const cell of this.cells()) {
      const words = cell.model.getMetadata("kilncalc")?.inches;
      const shown = words && cell.node.querySelector(".jp-MarkdownOutput");
      if (!shown) continue;
      const inches = rendermime.createRenderer("text/markdown");
      await inches.renderModel(rendermime.createModel({ data: { "text/markdown": words } }));
      const names = [...words.matchAll(/\(attachment:([^)\s]+)\)/g)].map(([, name]) => name);
      inches.node.querySelectorAll("img").forEach((image, place) => {
        const still = cell.model.attachments.get(names[place])?.data["image/png"];
        if (still) image.src = `data:image/png;base64,${still}`;
      });
      inches.addClass("kilncalc-inches");
      shown.after(inches.node);
      shown.classList.add("kilncalc-metric");
    }
  }

  // Words at the ends -----------------------------------------------------------------------------------------

  lead(lessons) {
    const minutes = lessons.find((lesson) => lesson.file === this.name)?.minutes;
    const extra = this.cells().some((cell) => tags(cell).includes("further"));
    if (minutes) {
      const more = extra ? " The parts marked “Further” are extra." : "";
      this.first().node.append(make("p", { class: "kilncalc-note" }, `The core path takes about ${minutes} minutes.${more}`));
    }
    const links = lessons.filter((lesson) => lesson.file !== this.name).map((lesson) => this.link(lesson));
    if (links.length) this.cells().at(-1).node.append(make("nav", { class: "kilncalc-next", "aria-label": "Other lessons" }, ...links));
  }

  link(lesson) {
    const open = (event) => {
      event.preventDefault();
      this.openBeside(lesson.file);
    };
    const here = lesson.file === this.name && "page";
    return make("a", { href: lesson.file, "aria-current": here, onclick: open }, lesson.title);
  }

  first() {
    return this.cells()[0];
  }

  headings() {
    const found = [];
    for (const cell of this.cells()) {
      if (cell.model.type !== "markdown") continue;
      for (const line of cell.model.sharedModel.source.split("\n")) {
        const heading = /^## +(.+)$/.exec(line);
        if (heading) found.push({ words: heading[1].replace(/[*_`]/g, ""), cell });
      }
    }
    return found;
  }

  go(cell) {
    cell.node.dispatchEvent(new CustomEvent("kilncalc-unfold", { bubbles: true }));
    cell.node.scrollIntoView({ block: "start" });
    this.panel.content.activeCellIndex = this.cells().indexOf(cell);
  }

  openBeside(file) {
    return this.jupyter.app.commands.execute("docmanager:open", { path: this.place + file });
  }

  // Locks -----------------------------------------------------------------------------------------------------

  showCode(shown = !this.panel.hasClass("kilncalc-code")) {
    this.panel.toggleClass("kilncalc-code", shown);
    this.code.setAttribute("aria-pressed", String(shown));
    for (const cell of this.cells()) if (cell.model.type === "code") cell.inputHidden = false;
  }

  key(event) {
    if (!this.locked || !(event.target instanceof Element) || !this.panel.node.contains(event.target)) return;
    const command = event.ctrlKey || event.metaKey;
    if (command && !event.altKey && KEYS_THAT_STAY.includes(event.key.toLowerCase())) return;
    const { target } = event;
    target.setAttribute("data-lm-suppress-shortcuts", "true"); // the page still gets the key, JupyterLab does not
    setTimeout(() => target.removeAttribute("data-lm-suppress-shortcuts"));
  }

  async change() {
    const { app, Dialog, showDialog } = this.jupyter;
    const { contents } = app.serviceManager;
    const kept = `${this.name.replace(/\.ipynb$/, "")}-original.ipynb`;
    const { button } = await showDialog({
      title: "Change this page?",
      body: `Then you can edit its words and its code. The page as it is now is kept as ${kept}. To get it back: `
        + `delete or rename the changed page in the list of files, and give ${kept} the name ${this.name}.`,
      buttons: [Dialog.cancelButton(), Dialog.okButton({ label: "Change this page" })],
    });
    if (!button.accept) return;
    const there = await contents.get(this.place + kept, { content: false }).catch(() => null);
    if (!there) {
      const copy = await contents.copy(this.panel.context.path, this.place);
      await contents.rename(copy.path, this.place + kept);
    }
    for (const cell of this.cells()) {
      cell.model.deleteMetadata("editable");
      cell.model.deleteMetadata("deletable");
      cell.loadEditableState();
    }
    await this.panel.context.save();
    this.locked = false;
    this.panel.removeClass("kilncalc-locked");
    this.panel.toolbar.show();
    this.changing.remove();
    this.showCode(true);
    this.say("alive", `You can change this page now. The original is kept as ${kept}.`, "Show the original", () => this.openBeside(kept));
  }
}

// A slider says what it moves, its value and in which unit, also while its panel holds its picture back.
function speak(handle) {
  const row = handle.closest(".widget-hbox");
  const said = { "aria-label": row?.querySelector(".widget-label")?.textContent, "aria-valuetext": row?.querySelector("input")?.value };
  for (const [name, words] of Object.entries(said)) {
    if (words && handle.getAttribute(name) !== words) handle.setAttribute(name, words);
  }
}

export function drawn(cell) {
  return Boolean(cell.node.querySelector(".kilncalc-panel :is(.main-svg, .kilncalc-reading, .kilncalc-guess)"));
}
