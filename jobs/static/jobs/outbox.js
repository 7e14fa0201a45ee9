"use strict";
// What was done on this phone, kept in IndexedDB until the server has acknowledged each operation by its id.
// Nothing here touches the page. The endpoint's contract is written in jobs/web/views/sync.py.
const outbox = (() => {
  const BATCH = 50, PATIENCE = 60000;
  const KEPT_LINES = 3 * 24 * 60 * 60 * 1000;
  const STORES = [
    ["out", { keyPath: "seq", autoIncrement: true }], // not acknowledged yet
    ["lines", { keyPath: "item" }], // the server's last word on a line
    ["sent", { keyPath: "op_id" }], // acknowledged, for pages made before
    ["refused", { keyPath: "op_id" }], // not accepted, until the person has seen it
    ["pictures", undefined], // the bytes of operations that wait, by op_id; plain bytes, since WebKit loses Blobs
  ];
  let opening;

  function open() {
    opening ??= new Promise((resolve, reject) => {
      const asked = indexedDB.open("rewire", 3);
      asked.onupgradeneeded = () => {
        const had = asked.result.objectStoreNames;
        for (const [name, key] of STORES) if (!had.contains(name)) asked.result.createObjectStore(name, key);
      };
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => { opening = undefined; reject(asked.error); };
    });
    return opening;
  }

  // Resolves with what `work` asked for once the transaction is on disk.
  async function run(stores, mode, work) {
    const database = await open();
    return new Promise((resolve, reject) => {
      const transaction = database.transaction(stores, mode, { durability: "strict" });
      const asked = work(...stores.map((name) => transaction.objectStore(name)));
      transaction.oncomplete = () => resolve(asked?.result);
      transaction.onabort = transaction.onerror = () => reject(transaction.error);
    });
  }

  const add = (operation, bytes) => run(["out", "pictures"], "readwrite", (out, pictures) => {
    if (bytes) pictures.put(bytes, operation.op_id);
    return out.add({ ...operation, has_picture: Boolean(bytes) });
  });
  const waiting = () => run(["out"], "readonly", (out) => out.getAll());
  const refused = () => run(["refused"], "readonly", (store) => store.getAll());
  const forgetRefused = () => run(["refused"], "readwrite", (store) => store.clear());
  const lines = () => run(["lines"], "readonly", (store) => store.getAll());
  const sent = async () => (await run(["sent"], "readonly", (store) => store.getAll())).sort((one, other) => one.seq - other.seq); // as they were done
  const forgetLines = () => run(["lines", "sent"], "readwrite", (known, gone) => { known.clear(); gone.clear(); });

  async function giveTo(user, name) { // what another person left here goes out in this person's name
    const rows = await waiting();
    await run(["out"], "readwrite", (out) => { for (const row of rows) out.put({ ...row, user, user_name: name }); });
  }

  // One answer settles one operation: gone when acknowledged, set aside with its reason when not accepted.
  async function settle(row, answer, at) {
    await run(["out", "lines", "sent", "refused", "pictures"], "readwrite", (out, known, gone, aside, pictures) => {
      if (answer.state?.item) known.put({ ...answer.state, at });
      else if (answer.status === 200) gone.put({ ...row, at, told: answer.state?.told }); // told: what the server says of it, in sentences
      if (answer.status !== 200) aside.put({ op_id: row.op_id, words: row.words, reason: answer.reason, at });
      pictures.delete(row.op_id);
      return out.delete(row.seq);
    });
  }

  async function forgetOldLines(at) {
    const old = Date.parse(at) - KEPT_LINES;
    const isOld = (row) => Date.parse(row.at) < old;
    const oldLines = (await lines()).filter(isOld), oldSent = (await sent()).filter(isOld);
    await run(["lines", "sent"], "readwrite", (known, store) => {
      for (const row of oldLines) known.delete(row.item);
      for (const row of oldSent) store.delete(row.op_id);
    });
  }

  async function ask(address, options = {}) {
    const response = await fetch(address, {
      redirect: "manual", cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(PATIENCE), ...options,
    });
    if (response.status === 401) throw new Trouble("signed-out");
    if (response.type === "opaqueredirect") throw new Trouble("elsewhere");
    const body = await response.json().catch(() => null);
    if (body?.app !== "rewire") throw new Trouble(response.ok ? "elsewhere" : "later");
    if (!response.ok) throw new Trouble("later");
    return body;
  }

  class Trouble extends Error {}

  const asSent = ({ op_id, kind, item, value, device_at }) => ({ op_id, kind, item, value, device_at });

  function nextToSend(mine) { // in order: a picture on its own, or what lies before the next picture
    if (mine[0]?.has_picture) return mine.slice(0, 1);
    const end = mine.findIndex((row) => row.has_picture);
    return mine.slice(0, end < 0 ? BATCH : Math.min(end, BATCH));
  }

  function sendBatch(places, csrf, rows) {
    const body = JSON.stringify({ sent_at: new Date().toISOString(), operations: rows.map(asSent) });
    return ask(places.sync, { method: "POST", headers: { "Content-Type": "application/json", "X-CSRFToken": csrf }, body });
  }

  async function sendPicture(places, csrf, row) {
    const bytes = await run(["pictures"], "readonly", (pictures) => pictures.get(row.op_id)), body = new FormData();
    body.set("operation", JSON.stringify(asSent(row)));
    body.set("sent_at", new Date().toISOString());
    body.set("picture", new Blob([bytes], { type: "image/jpeg" }), "photo.jpg");
    return ask(places.photo, { method: "POST", headers: { "X-CSRFToken": csrf }, body });
  }

  async function sendOnce(places) {
    const hello = await ask(places.hello); // a fresh token each time: signing in again made the old one useless
    const all = await waiting();
    const mine = nextToSend(all.filter((row) => row.user === hello.user.id));
    if (!mine.length) return all.length ? "others" : "empty";
    const answer = mine[0].has_picture ? await sendPicture(places, hello.csrf, mine[0]) : await sendBatch(places, hello.csrf, mine);
    if (!Array.isArray(answer.answers)) throw new Trouble("elsewhere");
    const settled = answer.answers.filter((one) => [200, 409, 422].includes(one.status));
    const pairs = settled.map((one) => [mine.find((row) => row.op_id === one.ack), one]).filter(([row]) => row);
    for (const [row, one] of pairs) await settle(row, one, answer.at);
    await forgetOldLines(answer.at);
    return pairs.length ? "more" : "later";
  }

  async function sendAll(places) {
    try {
      let state = "more";
      while (state === "more") state = await sendOnce(places);
      return state;
    } catch (trouble) {
      return trouble instanceof Trouble ? trouble.message : "offline";
    }
  }

  // Sends in order what waits. Answers "empty", or why something still waits: "offline", "later", "signed-out",
  // "elsewhere" (another network's page answered), "others" (somebody else's), "busy" (another tab is sending).
  async function drain(places) {
    if (!navigator.locks) return sendAll(places);
    return navigator.locks.request("rewire-outbox", { ifAvailable: true }, (lock) => (lock ? sendAll(places) : "busy"));
  }

  return { add, waiting, refused, forgetRefused, lines, forgetLines, sent, giveTo, drain };
})();
