// ---- Visits on this device: a database of the browser's, a plain store where there is none,
// and memory where nothing may be kept. Nothing leaves the device.

const DATABASE = "slabseason";
const PLAIN = "slabseason.visits";
const FIRST_PAGE_KEPT = "slabseason.visit";
const MOST_PHOTOS = 12;
const LONGEST_PHOTO_PX = 1600;
const LARGEST_PHOTO_BYTES = 700000;

let store = null;
/** The visit that is open, as it is kept. */
let visit = null;
/** Said once: nothing can be kept here. */
let isWarned = false;
/** Writes follow one another, so that the newest is the one that stays. */
let writing = Promise.resolve();

function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

async function openStore() {
  try {
    const request = indexedDB.open(DATABASE, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("visits", { keyPath: "id" });
      request.result.createObjectStore("photos", { keyPath: "id" }).createIndex("visit", "visit");
      request.result.createObjectStore("settings", { keyPath: "name" });
    };
    const database = await Promise.race([asked(request), new Promise((_, reject) => setTimeout(() => reject(new Error("slow")), 1500))]);
    return {
      kind: "database",
      all: (name) => asked(database.transaction(name).objectStore(name).getAll()),
      get: (name, id) => asked(database.transaction(name).objectStore(name).get(id)),
      remove: (name, id) => asked(database.transaction(name, "readwrite").objectStore(name).delete(id)),
      /** Puts a record if it still is at the revision it was read at; gives false where it is not. */
      put: (name, record) => new Promise((resolve, reject) => {
        const change = database.transaction(name, "readwrite");
        const objects = change.objectStore(name);
        let isKept = false;
        const before = objects.get(record.id ?? record.name);
        before.onsuccess = () => {
          const found = before.result;
          isKept = record.rev === undefined || !found || found.rev === record.rev - 1;
          if (isKept) objects.put(record);
        };
        change.oncomplete = () => resolve(isKept);
        change.onerror = () => reject(change.error);
        change.onabort = () => reject(change.error ?? new Error("full"));
      }),
      photosOf: (id) => asked(database.transaction("photos").objectStore("photos").index("visit").getAll(id)),
    };
  } catch {
    return plainStore();
  }
}

/** For a browser without a database: visits as one text, without photos. */
function plainStore() {
  let memory = { visits: {}, settings: {} };
  let kind = "memory";
  const read = () => {
    try {
      const text = localStorage.getItem(PLAIN);
      kind = "plain";
      if (text) memory = JSON.parse(text);
    } catch { /* Memory must do. */ }
    return memory;
  };
  const write = () => { if (kind === "plain") localStorage.setItem(PLAIN, JSON.stringify(memory)); };
  read();
  return {
    get kind() { return kind; },
    all: async (name) => Object.values(read()[name] ?? {}),
    get: async (name, id) => read()[name]?.[id],
    remove: async (name, id) => { delete read()[name]?.[id]; write(); },
    put: async (name, record) => {
      const id = record.id ?? record.name;
      const found = read()[name]?.[id];
      if (record.rev !== undefined && found && found.rev !== record.rev - 1) return false;
      (memory[name] ??= {})[id] = record;
      write();
      return true;
    },
    photosOf: async () => [],
  };
}

function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return [...bytes].map((it) => it.toString(16).padStart(2, "0")).join("");
}

function newVisit() {
  return { id: newId(), rev: 0, created: today(), changed: "", name: "", quoted: "", screen: "", kept: {}, pending: null, summary: null };
}

function hasAnswers(it) { return Object.keys(it?.kept?.typed ?? {}).length > 0 || Boolean(it?.kept?.file); }

/** Keeps the open visit as it stands. */
function keep() {
  if (!visit || !hasAnswers({ kept })) return writing;
  const now = visit;
  writing = writing.then(async () => {
    if (visit !== now) return;
    Object.assign(visit, { kept, pending, changed: new Date().toISOString() });
    const record = { ...structuredClone(visit), rev: visit.rev + 1 };
    try {
      if (await store.put("visits", record)) {
        visit.rev = record.rev;
        remember("open", visit.id);
      } else {
        await keepAsCopy(record);
      }
      if (store.kind === "memory") warnOnce("page.not_kept");
    } catch {
      warnOnce("page.store.full");
    }
  });
  return writing;
}

/** Another tab changed the visit: what was typed here stays, as a visit of its own. */
async function keepAsCopy(record) {
  const copy = { ...record, id: newId(), rev: 1, name: word("page.visits.copy_of", { name: nameOf(record) }) };
  await store.put("visits", copy);
  Object.assign(visit, { id: copy.id, rev: 1, name: copy.name });
  remember("open", copy.id);
  say(word("page.store.two_tabs"));
}

function warnOnce(key) {
  if (isWarned) return;
  isWarned = true;
  say(word(key));
}

function remember(name, value) { return store.put("settings", { name, value }).catch(() => false); }

async function recalled(name) { return (await store.get("settings", name).catch(() => null))?.value; }

/** Opens the visit that was open last, or one that an earlier page kept. */
async function recall() {
  store = await openStore();
  const old = earlierPage();
  if (old) {
    visit = { ...newVisit(), rev: 1, ...old };
    if (await store.put("visits", visit).catch(() => false)) {
      try { localStorage.removeItem(FIRST_PAGE_KEPT); } catch { /* Kept twice, then. */ }
      remember("open", visit.id);
    }
  } else {
    const id = await recalled("open");
    visit = (id && await store.get("visits", id).catch(() => null)) || null;
  }
  units = (await recalled("units")) === "si" ? "si" : "us";
  return hasAnswers(visit);
}

function earlierPage() {
  try {
    const text = localStorage.getItem(FIRST_PAGE_KEPT);
    if (!text) return null;
    const found = JSON.parse(text);
    return hasAnswers(found) ? { kept: found.kept, pending: found.pending ?? null } : null;
  } catch {
    return null;
  }
}

/** Makes a visit the one that is open. */
function openVisit(it) {
  visit = it;
  kept = it.kept ?? {};
  pending = it.pending ?? null;
  [change, queue] = [null, []];
  remember("open", it.id);
}

function nameOf(it) {
  return it.name || it.summary?.place || it.kept?.typed?.label || it.kept?.typed?.postal || word("page.visits.no_name");
}

/** "Rochester, NY" under the title, once a place is known. */
function visitLine() { return visit?.summary?.place ?? null; }

// ---- Photos of a spot: made small, kept here, never sent.

async function addPhoto(file, spot) {
  const photos = await store.photosOf(visit.id);
  if (store.kind !== "database") return tell(word("page.photo.no_store"));
  if (photos.length >= MOST_PHOTOS) return tell(word("page.photo.most", { count: MOST_PHOTOS }));
  const small = await smaller(file);
  if (!small) return tell(word("page.photo.bad", { name: file.name }));
  try {
    await store.put("photos", { id: newId(), visit: visit.id, spot, day: today(), type: small.type, picture: small });
    await keep();
  } catch {
    return tell(word("page.store.full"));
  }
}

async function smaller(file) {
  try {
    const picture = await createImageBitmap(file);
    for (const share of [1, 0.6, 0.4]) {
      const scale = share * Math.min(1, LONGEST_PHOTO_PX / Math.max(picture.width, picture.height));
      const canvas = document.createElement("canvas");
      [canvas.width, canvas.height] = [Math.round(picture.width * scale), Math.round(picture.height * scale)];
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      const made = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.8));
      if (made && made.size <= LARGEST_PHOTO_BYTES) return made;
    }
    return null;
  } catch {
    return null;
  }
}

async function asLetters(blob) {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return btoa(text);
}

function asPicture(letters, type) {
  const text = atob(letters);
  return new Blob([Uint8Array.from(text, (it) => it.charCodeAt(0))], { type });
}
