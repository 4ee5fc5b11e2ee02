(function () {
"use strict";
const SVG = "http://www.w3.org/2000/svg";
const REACH = 26;      // px from the pointer within which a jack counts as pointed at
const READABLE = 9.5;  // px of words beside jacks, where they fit
const LEAST = 7;       // px below which words are left out
const NONE = -1;

const number = (value, digits) => {
  if (value === null || value === undefined) return "–";
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? "−" + text : text;
};
const element = (name, text, names) => {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = text;
  if (names) made.className = names;
  return made;
};

class Plan {
  constructor(root) {
    this.root = root;
    this.data = JSON.parse(root.querySelector(".jack-data").textContent);
    this.count = this.data.ids.length;
    this.find = (selector) => root.querySelector(selector);
    this.svg = this.find("svg.plan");
    this.group = this.find("g.jacks");
    this.box = this.find(".plan-box");
    this.jacks = Array.from(root.querySelectorAll("g.jack"));
    this.symbols = this.jacks.map((jack) => jack.querySelector(".symbol"));
    this.texts = this.jacks.map((jack) => jack.querySelector(".value"));
    this.body = this.find(".jack-table tbody");
    this.rows = Array.from(this.body.rows);
    this.cells = this.rows.map((row) => Array.from(row.cells));
    this.fixed = this.cells[0].length - this.data.quantities.length;
    this.shown = new Array(this.count).fill(true);
    this.order = this.jacks.map((_, i) => i);
    this.keys = this.data.ids.map((id, i) => (id + "\n" + this.data.springs[i]).toLocaleLowerCase());
    this.collator = new Intl.Collator("en-GB", { numeric: true });
    this.quantity = this.data.quantities[0];
    this.state = this.quantity.first;
    this.hovered = this.focused = this.pinned = this.marked = NONE;
    this.stop = this.data.governing;
    this.panel = this.data.governing;
    this.zoom = 1;
    this.prepare();
    this.listen();
    this.redraw(true);
    this.fitWords();
  }

  prepare() {
    this.root.classList.add("script");
    for (const part of this.root.querySelectorAll(".needs-script")) part.hidden = false;
    this.svg.setAttribute("role", "group");
    this.svg.setAttribute("aria-label", "Plan of the jacks");
    this.group.setAttribute("role", "listbox");
    this.group.setAttribute("aria-label", "Jacks on the plan: arrow keys walk, Enter pins, Escape lets go");
    this.jacks.forEach((jack, i) => {
      jack.setAttribute("role", "option");
      jack.setAttribute("aria-selected", "false");
      jack.setAttribute("tabindex", i === this.stop ? "0" : "-1");
      this.rows[i].setAttribute("tabindex", i === this.stop ? "0" : "-1");
    });
    this.rings = ["light", "dark"].map((name, i) => {
      const ring = document.createElementNS(SVG, "circle");
      ring.setAttribute("class", "ring " + name);
      ring.setAttribute("r", this.data.radius * 2);
      ring.setAttribute("stroke-width", this.data.radius * (i ? 0.4 : 0.8));
      ring.setAttribute("display", "none");
      this.svg.insertBefore(ring, this.group);
      return ring;
    });
    this.headings = Array.from(this.root.querySelectorAll(".jack-table thead th"));
    this.headings.forEach((heading, column) => {
      const words = heading.querySelector(".plain-heading");
      const button = element("button");
      button.type = "button";
      const way = element("span", "", "way");
      way.setAttribute("aria-hidden", "true");
      button.append(element("span", words.textContent), way);
      words.replaceWith(button);
      heading.setAttribute("aria-sort", "none");
      button.addEventListener("click", () => this.sort(column));
    });
  }

  listen() {
    const on = (target, names, act) => names.split(" ").forEach((name) => target.addEventListener(name, act));
    on(this.svg, "pointermove pointerdown", (event) => this.hover(this.nearest(event)));
    on(this.svg, "pointerleave pointercancel", () => this.hover(NONE));
    on(this.svg, "click", (event) => this.press(this.nearest(event)));
    on(this.group, "focusin", (event) => this.focus(this.indexOf(event.target)));
    on(this.group, "focusout", () => this.focus(NONE));
    on(this.group, "keydown", (event) => this.key(event, false));
    on(this.body, "pointerover", (event) => this.hover(this.indexOf(event.target), true));
    on(this.body, "pointerleave", () => this.hover(NONE, true));
    on(this.body, "click", (event) => this.press(this.indexOf(event.target), true));
    on(this.body, "focusin", (event) => this.focus(this.indexOf(event.target), true));
    on(this.body, "focusout", () => this.focus(NONE, true));
    on(this.body, "keydown", (event) => this.key(event, true));
    for (const radio of this.root.querySelectorAll(".states input")) {
      on(radio, "change", () => { this.state = radio.value; this.redraw(true); });
    }
    on(this.find("select.quantity"), "change", (event) => this.choose(event.target.value));
    on(this.find(".filter"), "input", () => this.filter());
    on(this.find("select.status"), "change", () => this.filter());
    on(this.find(".smaller"), "click", () => this.magnify(this.zoom / 1.5));
    on(this.find(".larger"), "click", () => this.magnify(this.zoom * 1.5));
    on(this.find(".whole"), "click", () => this.magnify(1));
    if (window.ResizeObserver) new ResizeObserver(() => this.fitWords()).observe(this.box);
  }

  indexOf(node) {
    const found = node.closest("[data-jack]");
    return found ? Number(found.dataset.jack) : NONE;
  }

  value(quantity, state, i) {
    const values = quantity.values[state] || quantity.values.all;
    return values ? values[i] : null;
  }

  said(quantity, state, i) {
    const text = number(this.value(quantity, state, i), quantity.digits);
    return quantity.unit && text !== "–" ? text + " " + quantity.unit : text;
  }

  beyond(quantity, state, i) {
    const value = this.value(quantity, state, i);
    const [low, high] = quantity.limits;
    return value !== null && ((low !== null && value < low) || (high !== null && value > high));
  }

  fill(value) {
    if (value === null) return "#ffffff";
    const { low, high, colours } = this.quantity;
    const table = this.data.colours[colours];
    const place = Math.min(1, Math.max(0, (value - low) / (high - low)));
    return table[Math.floor(place * (table.length - 1) + 0.5)];
  }

  choose(key) {
    this.quantity = this.data.quantities.find((quantity) => quantity.key === key);
    const known = this.quantity.states;
    let moved = false;
    for (const radio of this.root.querySelectorAll(".states input")) {
      radio.disabled = !known.includes(radio.value);
      if (!known.includes(this.state) && radio.value === this.quantity.first) {
        radio.checked = true;
        moved = true;
      }
    }
    if (moved) this.state = this.quantity.first;
    this.redraw(moved);
  }

  redraw(tableToo) {
    const { quantity, state, data } = this;
    for (let i = 0; i < this.count; i += 1) {
      const value = this.value(quantity, state, i);
      const beyond = this.beyond(quantity, state, i);
      this.symbols[i].setAttribute("fill", this.fill(value));
      this.symbols[i].setAttribute("stroke-width", (data.radius * (beyond ? 0.34 : 0.13)).toFixed(2));
      if (this.texts[i]) this.texts[i].textContent = number(value, quantity.digits);
      this.jacks[i].setAttribute("aria-label", this.sentence(i));
    }
    if (tableToo) this.retable();
    for (const legend of this.root.querySelectorAll(".legend")) legend.hidden = legend.dataset.quantity !== quantity.key;
    const words = (data.states.find(([key]) => key === state) || [state, state, state])[2];
    this.find(".now-quantity").textContent = quantity.heading;
    this.find(".now-state").textContent = "all" in quantity.values ? "the same in all states" : words;
    this.find(".table-state").textContent = words;
    this.showPanel();
    this.mark();
  }

  retable() {
    for (let i = 0; i < this.count; i += 1) {
      this.data.quantities.forEach((quantity, q) => {
        const cell = this.cells[i][this.fixed + q];
        cell.textContent = number(this.value(quantity, this.state, i), quantity.digits);
        cell.classList.toggle("beyond", this.beyond(quantity, this.state, i));
      });
    }
    if (this.sorted) this.arrange();
  }

  sentence(i) {
    const { data, quantity, state } = this;
    const beyond = this.beyond(quantity, state, i) ? ", beyond the limit" : "";
    const where = "all" in quantity.values ? "" : ", " + (data.states.find(([key]) => key === state) || [state, state])[1];
    return data.ids[i] + ": " + quantity.heading.replace(", " + quantity.unit, "") + where + " " +
      this.said(quantity, state, i) + beyond + "; spring " + data.springs[i] + "; " + data.status[i] + " in service";
  }

  // Pointing, walking and pinning

  nearest(event) {
    const matrix = this.svg.getScreenCTM();
    if (!matrix) return NONE;
    const x = (event.clientX - matrix.e) / matrix.a;
    const y = (event.clientY - matrix.f) / matrix.d;
    const reach = Math.max(REACH / matrix.a, this.data.radius * 1.5);
    let best = NONE, least = reach * reach;
    for (let i = 0; i < this.count; i += 1) {
      const [jx, jy] = this.data.sheet[i];
      const away = (jx - x) * (jx - x) + (jy - y) * (jy - y);
      if (away < least && this.shown[i]) { least = away; best = i; }
    }
    return best;
  }

  hover(i, fromTable) {
    if (i === this.hovered) return;
    this.hovered = i;
    this.mark(fromTable);
  }

  focus(i, fromTable) {
    this.focused = i;
    if (i !== NONE) this.moveStop(i);
    this.mark(fromTable);
  }

  moveStop(i) {
    for (const list of [this.jacks, this.rows]) {
      list[this.stop].setAttribute("tabindex", "-1");
      list[i].setAttribute("tabindex", "0");
    }
    this.stop = i;
  }

  press(i, fromTable) {
    if (i === NONE || !this.shown[i]) return this.pin(NONE);
    (fromTable ? this.rows : this.jacks)[i].focus({ preventScroll: true });
    return this.pin(this.pinned === i ? NONE : i);
  }

  pin(i) {
    if (this.pinned !== NONE) {
      this.rows[this.pinned].classList.remove("pinned");
      this.jacks[this.pinned].setAttribute("aria-selected", "false");
    }
    this.pinned = i;
    if (i !== NONE) {
      this.rows[i].classList.add("pinned");
      this.jacks[i].setAttribute("aria-selected", "true");
    }
    this.mark();
  }

  key(event, inTable) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const here = this.indexOf(event.target);
    if (here === NONE) return;
    const walk = this.order.filter((i) => this.shown[i]);
    let next = NONE;
    if (event.key === "Home") next = walk[0];
    else if (event.key === "End") next = walk[walk.length - 1];
    else if (event.key === "Enter" || event.key === " ") this.pin(this.pinned === here ? NONE : here);
    else if (event.key === "Escape") this.pin(NONE);
    else if (inTable && event.key === "ArrowDown") next = walk[walk.indexOf(here) + 1];
    else if (inTable && event.key === "ArrowUp") next = walk[walk.indexOf(here) - 1];
    else if (!inTable && event.key.startsWith("Arrow")) next = this.towards(here, event.key);
    else return;
    event.preventDefault();
    if (next !== NONE && next !== undefined) (inTable ? this.rows : this.jacks)[next].focus();
  }

  towards(here, key) {
    const [ux, uy] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key];
    const [x, y] = this.data.sheet[here];
    let best = NONE, least = Infinity;
    for (let i = 0; i < this.count; i += 1) {
      const dx = this.data.sheet[i][0] - x, dy = this.data.sheet[i][1] - y;
      const along = dx * ux + dy * uy, across = Math.abs(dx * uy) + Math.abs(dy * ux);
      if (!this.shown[i] || along <= 0.2 * this.data.radius) continue;
      const cost = across <= along ? along + 2 * across : 1e4 + along + 3 * across;
      if (cost < least) { least = cost; best = i; }
    }
    return best;
  }

  mark(fromTable) {
    const here = this.hovered !== NONE ? this.hovered : this.focused;
    const ringed = here !== NONE ? here : this.pinned;
    for (const ring of this.rings) {
      ring.setAttribute("display", ringed === NONE ? "none" : "inline");
      if (ringed === NONE) continue;
      ring.setAttribute("cx", this.data.sheet[ringed][0]);
      ring.setAttribute("cy", this.data.sheet[ringed][1]);
    }
    if (this.marked !== NONE) this.rows[this.marked].classList.remove("here");
    if (ringed !== NONE) {
      this.rows[ringed].classList.add("here");
      if (!fromTable && ringed !== this.marked) this.scrollTo(this.rows[ringed]);
    }
    this.marked = ringed;
    if (ringed !== NONE) {
      const text = this.sentence(ringed) + (ringed === this.pinned ? "; pinned" : "");
      if (this.find(".readout").textContent !== text) this.find(".readout").textContent = text;
    } else if (this.listened) {
      this.find(".readout").textContent = "";
    }
    this.listened = true;
    const panel = this.pinned !== NONE ? this.pinned : ringed;
    if (panel !== NONE && panel !== this.panel) { this.panel = panel; this.showPanel(); }
    this.find(".panel-note").textContent =
      [this.panel === this.data.governing ? "governs" : "", this.panel === this.pinned ? "pinned" : ""].filter(Boolean).join(", ");
  }

  scrollTo(row) {
    const box = this.find(".jack-rows"), head = this.headings[0].offsetHeight;
    if (row.hidden) return;
    const place = row.getBoundingClientRect(), frame = box.getBoundingClientRect();
    if (place.top < frame.top + head) box.scrollTop -= frame.top + head - place.top;
    else if (place.bottom > frame.bottom) box.scrollTop += place.bottom - frame.bottom;
  }

  showPanel() {
    const i = this.panel, { data } = this;
    const [x, y] = data.metres[i];
    this.find(".panel-id").textContent = "Jack " + data.ids[i];
    this.find(".panel-place").textContent = "Spring " + data.springs[i] + ", " + data.status[i] + " in service, x " +
      number(x, 3) + " m, y " + number(y, 3) + " m";
    const rows = this.find(".panel-table tbody").rows;
    data.quantities.forEach((quantity, q) => {
      rows[q].classList.toggle("current", quantity === this.quantity);
      data.states.forEach(([state], s) => {
        const cell = rows[q].cells[s + 1];
        cell.textContent = number(this.value(quantity, state, i), quantity.digits);
        cell.classList.toggle("beyond", this.beyond(quantity, state, i));
      });
    });
  }

  // Table

  sort(column) {
    const again = this.sorted && this.sorted.column === column;
    this.sorted = { column, up: again ? !this.sorted.up : true };
    this.headings.forEach((heading, i) => {
      const way = i === column ? (this.sorted.up ? "ascending" : "descending") : "none";
      heading.setAttribute("aria-sort", way);
      heading.querySelector(".way").textContent = { ascending: " ▲", descending: " ▼", none: "" }[way];
    });
    this.arrange();
  }

  arrange() {
    const { column, up } = this.sorted, { data } = this;
    const texts = [data.ids, data.springs, data.status];
    const key = column < 3 ? (i) => texts[column][i]
      : column < this.fixed ? (i) => data.metres[i][column - 3]
        : (i) => this.value(data.quantities[column - this.fixed], this.state, i);
    const compare = column < 3 ? this.collator.compare : (a, b) => a - b;
    const keys = this.jacks.map((_, i) => key(i));
    this.order = this.jacks.map((_, i) => i).sort((i, j) => {
      const a = keys[i], b = keys[j];
      if (a === null || b === null) return (a === null) - (b === null) || i - j;
      return (up ? 1 : -1) * compare(a, b) || i - j;
    });
    const table = this.body.parentNode;
    this.body.remove();
    this.body.append(...this.order.map((i) => this.rows[i]));
    table.append(this.body);
  }

  filter() {
    const words = this.find(".filter").value.trim().toLocaleLowerCase();
    const status = this.find("select.status").value;
    let kept = 0, first = NONE;
    for (let i = 0; i < this.count; i += 1) {
      const shown = (!words || this.keys[i].includes(words)) && (!status || this.data.status[i] === status);
      this.shown[i] = shown;
      this.rows[i].hidden = !shown;
      this.jacks[i].classList.toggle("faded", !shown);
      this.jacks[i].setAttribute("aria-disabled", String(!shown));
      if (shown) { kept += 1; if (first === NONE) first = i; }
    }
    if (first !== NONE && !this.shown[this.stop]) this.moveStop(first);
    if (this.pinned !== NONE && !this.shown[this.pinned]) this.pin(NONE);
    this.find(".count").textContent = kept === this.count ? "" : "; " + kept + " of " + this.count + " jacks";
  }

  // Size

  magnify(zoom) {
    const { box } = this;
    const x = (box.scrollLeft + box.clientWidth / 2) / box.scrollWidth;
    const y = (box.scrollTop + box.clientHeight / 2) / box.scrollHeight;
    this.zoom = Math.min(12, Math.max(1, zoom));
    this.svg.style.width = 100 * this.zoom + "%";
    box.scrollLeft = x * box.scrollWidth - box.clientWidth / 2;
    box.scrollTop = y * box.scrollHeight - box.clientHeight / 2;
    this.fitWords();
  }

  fitWords() {
    const matrix = this.svg.getScreenCTM();
    if (!matrix || !this.data.room) return;
    const size = Math.min(this.data.room, Math.max(this.data.words, READABLE / matrix.a));
    const readable = size * matrix.a >= LEAST;
    this.group.classList.toggle("no-words", !readable);
    this.group.setAttribute("font-size", size.toFixed(2));
  }
}

for (const root of document.querySelectorAll(".jack-plan")) new Plan(root);
})();
