// Keeps what is said while there is no signal, and sends it once there is. The page works without it.
(() => {
  "use strict";
  const body = document.body;
  const said = body.dataset;
  const shelf = document.getElementById("kept");
  const secure = window.isSecureContext && "serviceWorker" in navigator && "indexedDB" in window;

  if (secure) navigator.serviceWorker.register("/worker.js").catch(() => {});

  // --- a shelf on this phone: things waiting to be sent, and what was said to them -------------------------

  const opened = secure
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
    for (const item of waiting) {
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

  // --- sending -----------------------------------------------------------------------------------------------

  const hand = async (path, token, body, items) => {
    const headers = { "X-Form-Token": token, ...(typeof body === "string" && { "Content-Type": "application/json" }) };
    const answer = await fetch(path, { method: "POST", headers, body });
    if (!answer.ok) return;
    for (const one of (await answer.json()).said) {
      const item = items.find((i) => i.number === one.number);
      if (!item) continue;
      await put("told", { number: one.number, words: item.words, state: one.state, text: one.text });
      await drop("waiting", one.number);
    }
  };

  let sending = false;
  const send = async () => {
    if (sending) return;
    sending = true;
    try {
      const items = await all("waiting");
      if (!items.length) return;
      const who = await fetch("/who", { cache: "no-store" });
      if (!who.ok) return;
      const { token } = await who.json();
      const words = items.filter((i) => !i.photo).slice(0, 50);
      if (words.length) await hand("/kept", token, JSON.stringify({ items: words }), items);
      for (const item of items.filter((i) => i.photo)) {
        const form = new FormData();
        for (const name of ["number", "at", "alert", "person"]) form.append(name, item[name]);
        form.append("photo", new Blob([item.photo], { type: "image/jpeg" }), "photo.jpg");
        await hand("/kept/photo", token, form, items);
      }
    } catch (gone) {
      // no signal yet; it stays on the shelf
    } finally {
      sending = false;
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
    const fields = new FormData(form, button);
    const clock = new AbortController();
    const timer = setTimeout(() => clock.abort(), 6000);
    try {
      await fetch("/who", { cache: "no-store", signal: clock.signal });
      clearTimeout(timer);
    } catch (gone) {
      clearTimeout(timer);
      await keep(form, button, fields).catch(() => form.before(note(said.unkept)));
      return;
    }
    form.removeEventListener("submit", tapped);
    form.requestSubmit(button);
  };
  for (const form of document.querySelectorAll("form[data-keep]")) form.addEventListener("submit", tapped);

  if (!secure) return;
  const again = () => [0, 3000, 10000].forEach((ms) => setTimeout(send, ms)); // signal comes back haltingly
  window.addEventListener("online", again);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  setInterval(send, 30000);
  show().then(send).catch(() => {});

  // --- the last known state, kept for when there is no signal ------------------------------------------------

  if (!("offline" in document.documentElement.dataset)) {
    navigator.serviceWorker.ready.then((ready) => {
      const links = [...document.querySelectorAll('a.row[href^="/alert/"]')].map((a) => a.getAttribute("href"));
      ready.active.postMessage({ keep: ["/", "/round", "/find", "/more", ...new Set(links)].slice(0, 40) });
    });
  }
})();
