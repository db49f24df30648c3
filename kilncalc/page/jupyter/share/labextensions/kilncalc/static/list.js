// The lessons of the folder with what is answered of each, and the headings of the one that is open.
import { make } from "./dom.js";

export class LessonList {
  constructor(app, ask, widget) {
    Object.assign(this, { app, ask, widget });
    widget.id = "kilncalc-lessons";
    widget.title.label = "Lessons";
    widget.title.caption = "The lessons and the headings of this one";
    widget.addClass("kilncalc-list");
  }

  toggle(shell) {
    if (shell.leftCollapsed || !this.widget.isVisible) shell.activateById(this.widget.id);
    else shell.collapseLeft();
  }

  async show(page) {
    const folder = await page.folder().catch(() => null);
    if (!folder) return; // the server does not answer: the list stays as it was
    const items = folder.lessons.map((lesson) => {
      const here = page.name === lesson.file;
      const item = make("li", {}, page.link(lesson));
      if (lesson.exercises) {
        const right = lesson.answered ? `, ${lesson.right} right` : "";
        const done = `${lesson.answered} of ${lesson.exercises} answered${right}`;
        const minutes = lesson.minutes ? `${lesson.minutes} min · ` : "";
        item.append(make("span", { class: "kilncalc-done" }, minutes + done));
      }
      if (here) item.append(this.headings(page));
      return item;
    });
    const parts = [make("h2", {}, "Lessons"), make("ol", {}, ...items)];
    if (!folder.lessons.some((lesson) => lesson.file === page.name)) parts.push(make("h2", {}, "This page"), this.headings(page));
    this.widget.node.replaceChildren(make("nav", { "aria-label": "Lessons" }, ...parts));
  }

  headings(page) {
    const items = page.headings().map(({ words, cell }) => {
      const go = make("button", { type: "button", onclick: () => page.go(cell) }, words);
      return make("li", {}, go);
    });
    return make("ul", {}, ...items);
  }
}
