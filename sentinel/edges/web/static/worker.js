// Opens the page without signal as it was last seen, and says so. Pages come from the farm whenever it answers.
"use strict";
const PAGES = "pages-VERSION";
const FILES = "files-VERSION";
const SHELL = ["page.css", "page.js", "ticks.js", "icon.svg", "icon-192.png"].map((name) => `/static/${name}?v=VERSION`);
const NOT_HERE = "/not-on-this-phone?v=VERSION";
const WAIT_MS = 5000;
const LONGER_MS = 20000; // where there is nothing else to show

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((files) => files.addAll([...SHELL, NOT_HERE])).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const tidy = async () => {
    for (const name of await caches.keys()) if (name !== PAGES && name !== FILES) await caches.delete(name);
    await self.clients.claim();
  };
  event.waitUntil(tidy());
});

const isPage = (url) => !/^\/(static|enter|a|who|kept|leave|health|not-on-this-phone)\b|\.(csv|json|webmanifest)$/.test(url.pathname);

async function ask(request, wait = WAIT_MS) {
  const clock = new AbortController();
  const timer = setTimeout(() => clock.abort(), wait);
  try {
    return await fetch(request, { signal: clock.signal, credentials: "same-origin" });
  } finally {
    clearTimeout(timer);
  }
}

let forgotten = 0; // how often; a page asked for before that is not put back by an answer that comes after it

function forget() {
  forgotten += 1;
  return caches.delete(PAGES);
}

async function store(path, answer, askedAfter) {
  if (answer.status === 401) return forget(); // a withdrawn link leaves nothing behind
  if (answer.ok && !answer.redirected && askedAfter === forgotten) await (await caches.open(PAGES)).put(path, answer);
}

async function page(request) {
  const path = new URL(request.url).pathname;
  const pages = await caches.open(PAGES);
  const last = await pages.match(path);
  const askedAfter = forgotten;
  try {
    const answer = await ask(request, last ? WAIT_MS : LONGER_MS);
    await store(path, answer.clone(), askedAfter);
    return answer;
  } catch (gone) {
    if (!last) return (await caches.match(NOT_HERE)) || Promise.reject(gone);
    const text = (await last.text()).replace("<html ", "<html data-offline ");
    return new Response(text, { headers: last.headers });
  }
}

// A notice's link says in plain which alert it opens; without signal that alert is shown as it was last seen.
async function notice(request) {
  try {
    return await ask(request);
  } catch (gone) {
    const told = new URL(request.url).pathname.slice(3).split(".")[0].replace(/-/g, "+").replace(/_/g, "/");
    const [number] = JSON.parse(atob(told));
    return page(new Request(new URL(number ? `/alert/${number}` : "/round", self.location.origin)));
  }
}

async function file(request) {
  return (await caches.match(request)) || fetch(request);
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method === "POST" && url.pathname === "/leave") event.waitUntil(forget());
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (event.request.mode === "navigate") {
    if (isPage(url)) event.respondWith(page(event.request));
    else if (url.pathname.startsWith("/a/")) event.respondWith(notice(event.request));
    else if (url.pathname.startsWith("/enter/")) event.waitUntil(forget());
  } else if (url.pathname.startsWith("/static/")) event.respondWith(file(event.request));
});

self.addEventListener("message", (event) => {
  const keep = async () => {
    for (const path of event.data.keep || []) {
      const askedAfter = forgotten;
      try {
        await store(path, await ask(new Request(path)), askedAfter);
      } catch (gone) {
        return;
      }
    }
  };
  event.waitUntil(keep());
});
