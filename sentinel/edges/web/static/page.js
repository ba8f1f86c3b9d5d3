// Keeps what is said while there is no signal, and sends it once there is. The page works without it.
(() => {
  "use strict";
  const body = document.body;
  const said = body.dataset;
  const shelf = document.getElementById("kept");
  const secure = window.isSecureContext && "serviceWorker" in navigator && "indexedDB" in window;
  const here = document.getElementById("round"); // what is ticked here says so in its own row (ticks.js)

  if (secure) navigator.serviceWorker.register("/worker.js").catch(() => {});

  // --- a shelf on this phone: things waiting to be sent, and what was said to them -------------------------

  const opened = "indexedDB" in window
    ? new Promise((done, failed) => {
        const asked = indexedDB.open("sentinel", 1);
        asked.onupgradeneeded = () => {
          asked.result.createObjectStore("waiting", { keyPath: "number" });
          asked.result.createObjectStore("told", { keyPath: "number" });
        };
        asked.onsuccess = () => done(asked.result);
        asked.onerror = () => failed(asked.error);
      })
    : Promise.reject(new Error("no shelf"));
  opened.catch(() => {});

  const on = async (store, mode, act) => {
    const shelved = (await opened).transaction(store, mode);
    const asked = act(shelved.objectStore(store));
    return new Promise((done, failed) => {
      shelved.oncomplete = () => done(asked.result);
      shelved.onerror = shelved.onabort = () => failed(shelved.error);
    });
  };
  const all = (store) => on(store, "readonly", (s) => s.getAll());
  const put = (store, item) => on(store, "readwrite", (s) => s.put(item));
  const drop = (store, number) => on(store, "readwrite", (s) => s.delete(number));

  // --- what the shelf holds, in words -----------------------------------------------------------------------

  const show = async () => {
    if (!shelf) return;
    const [waiting, told] = await Promise.all([all("waiting"), all("told")]);
    shelf.replaceChildren();
    for (const item of waiting.filter((one) => !(here && one.tick))) {
      const line = document.createElement("p");
      line.textContent = `${item.words}: ${said.waiting}`;
      shelf.append(line);
    }
    for (const item of told) {
      const line = document.createElement("p");
      line.className = item.state;
      line.textContent = `${item.words}: ${item.text}`;
      const seen = document.createElement("button");
      seen.type = "button";
      seen.className = "quiet";
      seen.textContent = said.seen;
      seen.addEventListener("click", async () => {
        await drop("told", item.number);
        show();
      });
      shelf.append(line, seen);
    }
  };

  // Ticks are kept in memory as well, for a phone that keeps nothing; all in the order in which they were made.
  const memory = new Map();
  const tried = new Set();
  let latest = 0;
  const ticks = {
    all: async () => {
      const kept = await all("waiting").catch(() => []);
      const numbers = new Set(kept.map((one) => one.number));
      const items = [...kept, ...[...memory.values()].filter((one) => !numbers.has(one.number))];
      return items.sort((one, other) => (one.made || 0) - (other.made || 0));
    },
    keep: (item) => {
      memory.set(item.number, item);
      return put("waiting", item).catch(() => {});
    },
    drop: (number) => {
      memory.delete(number);
      return drop("waiting", number).catch(() => {});
    },
  };

  // What the farm has said yes to since a page was made, for a page of the round that is older than that.
  const CONFIRMED = "sentinel-ticks";
  const confirmed = () => {
    try {
      return JSON.parse(localStorage.getItem(CONFIRMED) || "{}");
    } catch (gone) {
      return {};
    }
  };
  const confirm = (item, at) => {
    const sure = { kind: item.kind, at: Math.min(item.at, at), number: item.number }; // as the farm takes it
    try {
      const later = Object.entries(confirmed()).filter(([, one]) => one.seen > at - 86400 * 2);
      later.push([item.tick, { ...sure, seen: at, person: item.person }]);
      localStorage.setItem(CONFIRMED, JSON.stringify(Object.fromEntries(later)));
    } catch (full) {
      // then an older page is shown as it was
    }
    return sure;
  };
  const order = { now: () => (latest = Math.max(Date.now(), latest + 0.01)), tried: (number) => tried.has(number) };

  // --- sending -----------------------------------------------------------------------------------------------

  const AT_ONCE = 50; // so many the farm takes with one message
  const ANSWER_MS = 20000; // so long an answer is waited for; what is asked again has the same number
  const PAUSES_MS = [2000, 4000, 8000, 15000];
  let token = (document.querySelector("input[name=token]") || {}).value;

  const asked = async (path, given) => {
    const clock = new AbortController();
    const timer = setTimeout(() => clock.abort(), ANSWER_MS);
    try {
      return await fetch(path, { ...given, signal: clock.signal });
    } finally {
      clearTimeout(timer);
    }
  };

  const hand = async (path, body, items) => {
    const posted = () => {
      const json = typeof body === "string" && { "Content-Type": "application/json" };
      return asked(path, { method: "POST", headers: { "X-Form-Token": token || "", ...json }, body });
    };
    let answer = token && (await posted());
    if (!answer || answer.status === 401 || answer.status === 403) { // the page is older than the session
      const who = await asked("/who", { cache: "no-store" });
      if (!who.ok) return false;
      ({ token } = await who.json());
      answer = await posted();
    }
    if (!answer.ok) return false;
    const { said: receipts, at } = await answer.json();
    for (const one of receipts) {
      const item = items.find((i) => i.number === one.number);
      if (!item) continue;
      // Before it leaves the shelf: whoever goes to the round meanwhile finds it in one place or the other.
      const sure = item.tick && one.state !== "refused" ? confirm(item, at) : null;
      const news = !item.tick || one.state === "conflict" || one.state === "refused";
      if (news) await put("told", { number: one.number, words: item.words, state: one.state, text: one.text }).catch(() => {});
      await ticks.drop(one.number);
      document.dispatchEvent(new CustomEvent("sentinel-sent", { detail: { item, sure } }));
    }
    return receipts.length === items.length;
  };

  const sendAll = async () => {
    const items = await ticks.all();
    const words = items.filter((i) => !i.photo).slice(0, AT_ONCE);
    for (const item of words) tried.add(item.number);
    if (!items.length) return true;
    let allTaken = !words.length || (await hand("/kept", JSON.stringify({ items: words }), words));
    for (const item of items.filter((i) => i.photo)) {
      const form = new FormData();
      for (const name of ["number", "at", "alert", "person"]) form.append(name, item[name]);
      form.append("photo", new Blob([item.photo], { type: "image/jpeg" }), "photo.jpg");
      allTaken = (await hand("/kept/photo", form, [item])) && allTaken;
    }
    more = more || (allTaken && items.filter((i) => !i.photo).length > AT_ONCE);
    if (allTaken && words.some((item) => item.tick)) keepPages(["/round", "/"]);
    return allTaken;
  };

  let sending = false;
  let more = false;
  let failures = 0;
  let pause = 0;
  const send = async () => {
    more = true;
    if (sending) return; // what was said meanwhile goes with the next
    sending = true;
    clearTimeout(pause);
    try {
      while (more) {
        more = false;
        failures = (await sendAll()) ? 0 : failures + 1;
      }
    } catch (gone) {
      failures += 1; // no signal yet; it stays on the shelf
    } finally {
      sending = false;
      if (failures) pause = setTimeout(send, PAUSES_MS[Math.min(failures, PAUSES_MS.length) - 1]);
      show().catch(() => {});
    }
  };

  // --- a tap -------------------------------------------------------------------------------------------------

  const PHOTOS = 10; // so many wait on a phone at most, none longer than LONGEST_PX: some 5 MB in all
  const LONGEST_PX = 1600;

  const smaller = async (photo) => {
    const picture = await createImageBitmap(photo);
    const part = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
    const drawn = document.createElement("canvas");
    [drawn.width, drawn.height] = [Math.round(picture.width * part), Math.round(picture.height * part)];
    drawn.getContext("2d").drawImage(picture, 0, 0, drawn.width, drawn.height);
    const made = await new Promise((done) => drawn.toBlob(done, "image/jpeg", 0.8));
    return made.arrayBuffer();
  };

  const note = (text) => {
    const line = document.createElement("p");
    line.className = "said";
    line.setAttribute("role", "status");
    line.textContent = text;
    return line;
  };

  const keep = async (form, button, fields) => {
    const heading = document.querySelector("h1");
    const item = Object.fromEntries(fields);
    delete item.token;
    item.number = crypto.randomUUID();
    item.at = Math.floor(Date.now() / 1000);
    item.made = order.now();
    item.person = said.person;
    const what = form.dataset.keep || (button ? button.textContent.replace("☐", "").trim() : "");
    item.words = `${form.action.includes("/round") ? "" : `${heading.textContent}: `}${what}`;
    if (item.photo) {
      if ((await all("waiting")).filter((i) => i.photo).length >= PHOTOS) return form.before(note(said.full));
      item.photo = await smaller(item.photo);
    }
    await put("waiting", item);
    if (item.photo) {
      form.reset(); // there may be another one
      form.before(note(said.kept));
    } else form.replaceChildren(note(said.kept));
    return show();
  };

  const tapped = async (event) => {
    const form = event.target;
    const button = event.submitter;
    if (!("keep" in form.dataset) || !secure) return;
    event.preventDefault();
    if (form.dataset.busy) return; // tapped again before the first tap is through
    form.dataset.busy = "yes";
    const fields = new FormData(form, button);
    const clock = new AbortController();
    const timer = setTimeout(() => clock.abort(), 6000);
    try {
      await fetch("/who", { cache: "no-store", signal: clock.signal });
      clearTimeout(timer);
    } catch (gone) {
      clearTimeout(timer);
      await keep(form, button, fields).catch(() => form.before(note(said.unkept)));
      delete form.dataset.busy; // there may be another photo
      return;
    }
    form.removeEventListener("submit", tapped);
    form.requestSubmit(button);
  };
  for (const form of document.querySelectorAll("form[data-keep]")) form.addEventListener("submit", tapped);

  window.sentinel = { shelf: ticks, waiting: order, confirmed, send, words: said };
  const again = () => [0, 3000, 10000].forEach((ms) => setTimeout(send, ms)); // signal comes back haltingly
  window.addEventListener("online", again);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  setInterval(send, 30000);
  show().catch(() => {}).then(send);

  // --- the last known state, kept for when there is no signal ------------------------------------------------

  function keepPages(pages) {
    if (secure) navigator.serviceWorker.ready.then((ready) => ready.active.postMessage({ keep: pages }));
  }
  if (!("offline" in document.documentElement.dataset)) {
    const hrefs = (what) => [...document.querySelectorAll(what)].map((a) => a.getAttribute("href"));
    const cows = [...document.querySelectorAll("[data-cow]")].map((a) => a.dataset.cow); // of what cannot wait
    const links = [...hrefs('a.row[href^="/alert/"]'), ...cows, ...hrefs('.links a[href^="/cow/"], .links a[href^="/box/"]')];
    keepPages(["/", "/round", "/herd", "/find", "/more", ...new Set(links)].slice(0, 40));
  }
})();
