// On the projector one panel at a time, sliders and picture, fills the screen in larger type.
import { make } from "./dom.js";

const FULL = [1120, 660]; // px a panel needs at its natural size; larger screens enlarge it

export class Projector {
  constructor(page) {
    this.page = page;
    this.button = make("button", { type: "button", "aria-pressed": "false", onclick: () => this.toggle() }, "Projector");
    this.steps = [-1, 1].map((step) =>
      make("button", { type: "button", class: "kilncalc-step", onclick: () => this.show(this.at + step) }, step < 0 ? "Picture before" : "Next picture"));
    this.resized = () => this.show(this.at);
    document.addEventListener("fullscreenchange", () => document.fullscreenElement || (this.on && this.toggle()));
  }

  async toggle() {
    const { panel, panels } = this.page;
    if (!this.on && !panels.length) return;
    this.on = !this.on;
    this.button.setAttribute("aria-pressed", String(this.on));
    this.button.textContent = this.on ? "Back to the page" : "Projector";
    this.button.before(...this.steps);
    panel.toggleClass("kilncalc-projector", this.on);
    if (this.on) {
      const nearest = this.nearest();
      await panel.node.requestFullscreen?.().catch(() => {}); // where it is refused the page alone is enlarged
      window.addEventListener("resize", this.resized);
      this.show(nearest);
    } else {
      window.removeEventListener("resize", this.resized);
      const was = panels[this.at];
      this.show(-1);
      if (document.fullscreenElement) await document.exitFullscreen();
      setTimeout(() => was.node.scrollIntoView({ block: "start" }), 300); // when the page has its size again
    }
  }

  // The panel that the reader is at.
  nearest() {
    const far = this.page.panels.map(({ node }) =>
      node.offsetHeight ? Math.abs(node.getBoundingClientRect().top - innerHeight / 4) : Infinity,
    );
    return far.indexOf(Math.min(...far));
  }

  show(at) {
    const { panels } = this.page;
    this.at = this.on ? Math.max(0, Math.min(panels.length - 1, at)) : at;
    panels.forEach((cell, place) => {
      const staged = this.on && place === this.at;
      cell.node.classList.toggle("kilncalc-stage", staged);
      const zoom = Math.max(1, Math.min(innerWidth / FULL[0], innerHeight / FULL[1]));
      cell.node.style.zoom = staged ? zoom : "";
    });
    if (this.on) this.page.bar.parentElement.scrollTop = 0;
    this.steps[0].disabled = this.at <= 0;
    this.steps[1].disabled = this.at >= panels.length - 1;
  }
}
