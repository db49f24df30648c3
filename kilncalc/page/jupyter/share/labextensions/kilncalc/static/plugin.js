// The plugin: every notebook that opens becomes a page (page.js); the lessons are listed on the left (list.js).
import { browserEdition } from "./browser.js";
import { LessonList } from "./list.js";
import { Page } from "./page.js";

const KERNEL_WAIT = 30000; // ms until a kernel that does not come is called missing; should it come later, it is used
const NARROW = 1200; // px; up to there the list of lessons stays shut until it is asked for

// anywidget gives a picture's code two seconds to load; on a slow machine it would then stay empty for good.
const ANYWIDGET_WAIT = 2000;
const OUR_WAIT = 60000;
const timeout = AbortSignal.timeout.bind(AbortSignal);
AbortSignal.timeout = (ms) => timeout(ms === ANYWIDGET_WAIT ? OUR_WAIT : ms);

export async function plugin(shared, stylesheet) {
  const [{ ILabShell }, { Dialog, showDialog }, { CodeCell }, { INotebookTracker }] =
    await Promise.all(["application", "apputils", "cells", "notebook"].map((name) => shared(`@jupyterlab/${name}`)));
  const { PageConfig } = await shared("@jupyterlab/coreutils");
  const { ServerConnection } = await shared("@jupyterlab/services");
  const { Widget } = await shared("@lumino/widgets");

  async function activate(app, tracker, shell) {
    const link = document.createElement("link");
    link.rel = "stylesheet";
    link.href = stylesheet;
    document.head.append(link);

    async function askServer(what, given) {
      const settings = app.serviceManager.serverSettings;
      const init = given ? { method: "POST", body: JSON.stringify(given) } : {};
      const answer = await ServerConnection.makeRequest(`${settings.baseUrl}kilncalc/${what}`, init, settings);
      if (!answer.ok) throw new Error(`${what}: ${answer.status}`);
      return answer.json();
    }

    let failed = 0; // pictures whose code did not come in time
    window.addEventListener("unhandledrejection", (event) => {
      if (/\[anywidget\]/.test(event.reason?.message)) failed += 1;
    });
    const failures = () => failed;
    const pages = new Map();
    const tell = (title, body) =>
      app.restored.then(() => showDialog({ title, body, buttons: [Dialog.okButton({ label: "Good" })] }));
    const edition = PageConfig.getOption("kilncalcInBrowser")
      ? await browserEdition(app, () => pages.get(tracker.currentWidget), tell)
      : { ask: askServer, shown: () => {}, kernels: ["python3"], kernelWait: KERNEL_WAIT, carry: async () => "" };
    const { ask } = edition;
    const jupyter = { app, ...edition, failures, CodeCell, Dialog, showDialog };
    const list = new LessonList(app, ask, new Widget());

    const narrow = matchMedia(`(max-width: ${NARROW}px)`);
    const fit = () => {
      shell?.collapseRight(); // nothing of ours is there
      if (narrow.matches) shell?.collapseLeft();
      else shell?.activateById(list.widget.id);
    };
    let fitted = false;

    async function show() {
      const page = pages.get(tracker.currentWidget);
      if (page && !page.running) await page.carry();
      if (page) edition.shown(page.panel.context);
      if (page) await list.show(page);
      if (page && !fitted) fit(); // what opens the first notebook may have shown the list of files
      fitted ||= Boolean(page);
    }

    tracker.widgetAdded.connect((_, panel) => {
      const page = new Page(panel, jupyter, () => list.toggle(shell), show);
      pages.set(panel, page);
      panel.disposed.connect(() => pages.delete(panel));
      page.open();
    });
    tracker.currentChanged.connect(show);
    document.addEventListener("visibilitychange", show);
    // Keys that JupyterLab takes for commands, such as D D to delete a cell, do nothing in a locked lesson.
    window.addEventListener("keydown", (event) => tracker.currentWidget && pages.get(tracker.currentWidget)?.key(event), true);
    if (!shell) return;
    shell.add(list.widget, "left", { rank: 0 });
    narrow.addEventListener("change", fit);
    app.restored.then(fit);
  }

  return {
    id: "kilncalc:page",
    description: "Opens lessons as pages.",
    autoStart: true,
    requires: [INotebookTracker],
    optional: [ILabShell],
    activate,
  };
}
