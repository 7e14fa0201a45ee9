// Keeps the phone's pages for places without signal: three days, one person's at a time, never a token.
"use strict";
const SHELL = "shell-{{ version }}", PAGES = "pages", OWNER = "/site/kept-for";
const FILES = [{% for address in files %}"{{ address }}"{% if not forloop.last %}, {% endif %}{% endfor %}];
const OFFLINE = "{% url 'offline' %}";
const DAY = 24 * 60 * 60 * 1000, KEPT = 3 * DAY, FRESH = 5 * 60 * 1000, PATIENCE = 3000;
const SMALL_PICTURE = /^\/site\/photos\/\d+\/small\/$/, SMALL_BYTES = 100 * 1024, MOST_PICTURES = 60;
const TOKEN = /<input type="hidden" name="csrfmiddlewaretoken"[^>]*>/g;

self.addEventListener("install", (event) => event.waitUntil(fillShell()));
self.addEventListener("activate", (event) => event.waitUntil(takeOver()));
self.addEventListener("fetch", (event) => {
  const { request } = event, { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (FILES.includes(pathname)) event.respondWith(fromShell(request));
  else if (request.mode === "navigate") event.respondWith(page(event));
  else if (SMALL_PICTURE.test(pathname)) event.respondWith(picture(request));
});
self.addEventListener("message", (event) => {
  if (event.data.keep) event.waitUntil(keepAll(event.data.keep).then((kept) => event.source.postMessage({ kept })));
  if (event.data.forget) event.waitUntil(caches.delete(PAGES));
});

async function fillShell() {
  const shell = await caches.open(SHELL);
  await shell.addAll([...FILES, OFFLINE].map((address) => new Request(address, { cache: "reload" })));
  await self.skipWaiting();
}

async function takeOver() { // pages made for older files leave with them
  const old = (await caches.keys()).filter((name) => name.startsWith("shell-") && name !== SHELL);
  if (old.length) await Promise.all([...old, PAGES].map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function fromShell(request) {
  return (await caches.match(request, { cacheName: SHELL })) ?? fetch(request);
}

// The network first, with little patience; then what is kept; then a page that says so.
async function page(event) {
  const fetching = fetch(event.request);
  const storing = fetching.then((response) => store(event.request.url, response.clone())).catch(() => {});
  event.waitUntil(storing);
  try {
    const response = await Promise.race([fetching, rejectLater()]);
    if (isOurs(response) || !isStranger(response)) return response;
    return (await kept(event.request.url)) ?? response;
  } catch {
    return (await kept(event.request.url)) ?? (await patient(fetching));
  }
}

// Nothing is kept: a slow network is still better than none.
async function patient(fetching) {
  try {
    return await fetching;
  } catch {
    return caches.match(OFFLINE, { cacheName: SHELL });
  }
}

const rejectLater = () => new Promise((_, reject) => setTimeout(reject, PATIENCE));
const isOurs = (response) => response.status === 200 && response.headers.has("X-Rewire-User");
// A page that another network puts in our place, or trouble on the server: a kept page serves better.
const isStranger = (response) => response.status >= 500 || (response.status === 200 && !response.redirected);

async function kept(address) {
  const pages = await caches.open(PAGES), found = await pages.match(address);
  if (!found) return undefined;
  if (Date.now() - Number(found.headers.get("X-Kept-At")) < KEPT) return found;
  await pages.delete(address);
  return undefined;
}

async function store(address, response) {
  if (!isOurs(response) || response.redirected) return;
  await makeOwner(response.headers.get("X-Rewire-User"));
  const text = (await response.text()).replace(TOKEN, "");
  const headers = new Headers(response.headers);
  headers.set("X-Kept-At", String(Date.now()));
  headers.delete("Content-Length");
  headers.delete("Content-Encoding");
  await (await caches.open(PAGES)).put(address, new Response(text, { headers }));
  await storePictures(text);
}

// The small pictures on a kept page; a photo whose thumbnail is not drawn yet is too large to keep.
async function storePictures(text) {
  const addresses = [...text.matchAll(/src="([^"]+)"/g)].map(([, address]) => address).filter((one) => SMALL_PICTURE.test(one));
  for (const address of addresses.slice(-MOST_PICTURES)) {
    if (!(await kept(address))) await fetch(address, { redirect: "manual" }).then((response) => storePicture(address, response)).catch(() => {});
  }
}

async function storePicture(address, response) {
  if (response.status !== 200 || response.headers.get("Content-Type") !== "image/jpeg") return;
  const bytes = await response.arrayBuffer(), headers = new Headers(response.headers);
  if (bytes.byteLength > SMALL_BYTES) return;
  headers.set("X-Kept-At", String(Date.now()));
  await (await caches.open(PAGES)).put(address, new Response(bytes, { headers }));
}

async function picture(request) {
  return (await kept(request.url)) ?? fetch(request);
}

async function makeOwner(user) { // another person's pages leave before this person's are kept
  const pages = await caches.open(PAGES), owner = await pages.match(OWNER);
  if (owner && (await owner.text()) === user) return;
  await caches.delete(PAGES);
  await (await caches.open(PAGES)).put(OWNER, new Response(user));
}

async function keepAll(addresses) {
  let count = 0;
  for (const address of addresses) {
    const found = await kept(address);
    const isFresh = found && Date.now() - Number(found.headers.get("X-Kept-At")) < FRESH;
    if (!isFresh) await fetch(address, { redirect: "manual" }).then((response) => store(address, response)).catch(() => {});
    if (await kept(address)) count += 1;
  }
  return count;
}
