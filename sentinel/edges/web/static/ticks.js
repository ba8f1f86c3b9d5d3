// Ticks of the round stay in place: what is tapped is shown at once, and as done when the farm has it. After page.js.
(() => {
  "use strict";
  const round = document.getElementById("round");
  const { shelf, waiting, confirmed, send, words: said } = window.sentinel;
  const say = round.dataset;
  const GUARD_MS = 900; // so long a second tap in the same place is the same tap
  const clock = new Intl.DateTimeFormat(document.documentElement.lang, {
    hour: "2-digit", minute: "2-digit", hourCycle: "h23", timeZone: say.zone,
  });
  const rows = new Map();
  const key = (chore, place) => `${chore}/${place}`;

  // --- a row, as it stands ----------------------------------------------------------------------------------

  const last = (row) => row.words.at(-1);
  const word = (row) => last(row) || row.sure;
  const isDone = (row) => (word(row) ? word(row).kind === "done" : row.server === "done");

  const paint = (row) => {
    const now = word(row);
    const done = isDone(row);
    row.li.dataset.state = done ? "done" : "open";
    row.li.classList.toggle("done", done);
    row.li.classList.toggle("open", !done);
    row.li.classList.toggle("waiting", Boolean(last(row)));
    row.due.hidden = done;
    if (!now) row.told.replaceChildren(...row.was);
    else {
      const mark = document.createElement("span");
      mark.ariaHidden = "true";
      mark.textContent = done ? (last(row) ? "… " : "✓ ") : last(row) ? "… " : "";
      const when = done ? `${say.wasDone} ${clock.format(now.at * 1000)}` : "";
      const more = last(row) ? say.sending : done ? said.person : "";
      row.told.replaceChildren(mark, [when, more].filter(Boolean).join(" · "));
    }
    const own = !now && row.form;
    if (row.form) row.form.hidden = !own;
    row.button.hidden = Boolean(own);
    row.button.className = done ? "quiet" : "";
    row.button.replaceChildren();
    if (!done) {
      const box = document.createElement("span");
      box.ariaHidden = "true";
      box.textContent = "☐ ";
      row.button.append(box);
    }
    const about = document.createElement("span");
    about.className = "unseen";
    about.textContent = `: ${row.li.dataset.words}`;
    row.button.append(done ? say.undo : say.done, about);
  };

  const count = () => {
    const open = [...document.querySelectorAll("li.item")].filter((li) => li.dataset.state === "open");
    const carried = open.filter((li) => "carried" in li.dataset).length;
    const some = (n, one, many) => (n === 1 ? one : many.replace("#", n));
    const parts = open.length ? [some(open.length, say.one, say.some)] : [];
    if (carried) parts.push(some(carried, say.carriedOne, say.carriedSome));
    document.getElementById("so-many").textContent = parts.length ? `${parts.join(", ")}.` : say.none;
    const chores = open.filter((li) => "chore" in li.dataset);
    const known = chores.length && chores.every((li) => "takes" in li.dataset);
    const s = chores.reduce((sum, li) => sum + Number(li.dataset.takes), 0);
    document.getElementById("takes").textContent = known
      ? say.takes.replace("#", Math.max(5, 5 * Math.round(s / 300))) : "";
    for (const form of document.querySelectorAll("form.all")) {
      const here = [...form.closest(".card").querySelectorAll("li[data-chore]")];
      form.hidden = here.filter((li) => li.dataset.state === "open").length < 2;
    }
  };

  const show = (...some) => {
    some.forEach(paint);
    count();
  };

  // --- what is tapped ---------------------------------------------------------------------------------------

  const number = () => [...crypto.getRandomValues(new Uint8Array(12))].map((b) => b.toString(16).padStart(2, "0")).join("");

  // A row stays as tall as it was, whatever is said in it: nothing may move under a thumb that is on its way.
  const hold = (row) => (row.li.style.minHeight = `${row.li.getBoundingClientRect().height}px`);

  const keep = async (row, item) => {
    hold(row);
    Object.assign(item, { chore: row.li.dataset.chore, place: row.li.dataset.place, person: said.person });
    Object.assign(item, { number: item.number || number(), words: row.li.dataset.words, tick: row.key });
    Object.assign(item, { at: Math.floor(Date.now() / 1000), made: waiting.now() });
    row.words.push(item);
    row.tapped = performance.now();
    show(row);
    await shelf.keep(item);
  };

  const tick = (row) => {
    const used = row.used || !row.form || row.server === "done";
    row.used = true; // a number is for one tick; one made after it was taken back has its own
    return keep(row, { kind: "done", number: used ? "" : row.form.elements.number.value });
  };

  const undo = async (row) => {
    const now = word(row);
    if (last(row) && !waiting.tried(now.number)) {
      row.words.pop();
      row.tapped = performance.now();
      show(row);
      await shelf.drop(now.number);
      if (!waiting.tried(now.number)) return; // it had not left the phone
    }
    await keep(row, { kind: "undone", undoes: now.number });
  };

  const notDone = (row) => {
    const { record_place: place, done_at: at, number: own } = row.form.elements;
    row.used = true;
    return keep(row, { kind: "undone", record_place: place.value, done_at: at.value, number: own.value });
  };

  const tapped = async (row) => {
    if (performance.now() - (row.tapped || -GUARD_MS) < GUARD_MS) return; // a thumb that taps twice means it once
    if (!isDone(row)) await tick(row);
    else if (word(row)) await undo(row);
    else await notDone(row);
    send();
  };

  for (const li of document.querySelectorAll("li[data-chore]")) {
    const form = li.querySelector("form.tick");
    const button = document.createElement("button");
    const place = document.createElement("div");
    const told = li.querySelector(".told");
    const row = {
      li, form, button, told, due: li.querySelector(".due"), was: [...told.childNodes], words: [],
      server: li.dataset.state, key: key(li.dataset.chore, li.dataset.place),
    };
    button.type = "button";
    button.hidden = true;
    place.className = "tick";
    form.replaceWith(place);
    place.append(form, button);
    told.setAttribute("role", "status");
    rows.set(row.key, row);
    const sent = (event) => {
      event.preventDefault();
      const held = document.activeElement === form.querySelector("button");
      tapped(row);
      if (held) button.focus({ preventScroll: true });
    };
    form.addEventListener("submit", sent);
    button.addEventListener("click", () => tapped(row));
  }

  for (const form of document.querySelectorAll("form.all")) {
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const here = [...form.closest(".card").querySelectorAll("li[data-chore]")];
      const open = here.map((li) => rows.get(key(li.dataset.chore, li.dataset.place))).filter((row) => !isDone(row));
      await Promise.all(open.map(tick));
      send();
    });
  }

  // --- what became of it ------------------------------------------------------------------------------------

  document.addEventListener("sentinel-sent", (event) => {
    const { item, sure } = event.detail;
    const row = rows.get(item.tick);
    if (!row) return;
    row.words = row.words.filter((one) => one.number !== item.number);
    row.sure = sure || row.sure;
    show(row);
  });

  const begin = async () => {
    const made = Number(say.at);
    for (const [name, one] of Object.entries(confirmed())) {
      const row = rows.get(name);
      if (row && one.seen >= made && one.person === said.person) row.sure = one;
    }
    for (const item of await shelf.all()) {
      const row = rows.get(item.tick);
      if (row && item.person === said.person && !row.words.some((one) => one.number === item.number)) row.words.push(item);
    }
    for (const row of rows.values()) {
      row.words.sort((one, other) => one.made - other.made);
      row.used = row.used || Boolean(word(row));
    }
    show(...rows.values());
  };
  begin();
})();
