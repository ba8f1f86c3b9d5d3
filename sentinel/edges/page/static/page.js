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
      const answer = await fetch("/kept", {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Form-Token": token },
        body: JSON.stringify({ items: items.slice(0, 50) }),
      });
      if (!answer.ok) return;
      const { said: told } = await answer.json();
      for (const one of told) {
        const item = items.find((i) => i.number === one.number);
        if (!item) continue;
        await put("told", { number: one.number, words: item.words, state: one.state, text: one.text });
        await drop("waiting", one.number);
      }
    } catch (gone) {
      // no signal yet; it stays on the shelf
    } finally {
      sending = false;
      show().catch(() => {});
    }
  };

  // --- a tap -------------------------------------------------------------------------------------------------

  const keep = async (form, button, fields) => {
    const heading = document.querySelector("h1");
    const item = Object.fromEntries(fields);
    delete item.token;
    item.number = crypto.randomUUID();
    item.at = Math.floor(Date.now() / 1000);
    item.person = said.person;
    item.words = `${form.action.includes("/round") ? "" : `${heading.textContent}: `}${button ? button.textContent.replace("☐", "").trim() : ""}`;
    await put("waiting", item);
    const line = document.createElement("p");
    line.className = "said";
    line.setAttribute("role", "status");
    line.textContent = said.kept;
    form.replaceChildren(line);
    await show();
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
      await keep(form, button, fields);
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
