// The recording of a solo, remembered by the browser of this device for the next time. It goes nowhere else.

const NAME = "tabtools";
const FILES = "recordings";
const STATE = "tabtools-recording ";

const done = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

const opened = () => {
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => request.result.createObjectStore(FILES);
  return done(request);
};

/** What is remembered for a page, by its path. Where a browser keeps nothing, nothing is remembered. */
export class Memory {
  constructor(path) {
    this.key = path.replace(/(^|\/)index\.html$/, "$1");
  }

  /** Does something with the files; null where the browser does not let us. */
  async use(mode, does) {
    let base = null;
    try {
      base = await opened();
      return await done(does(base.transaction(FILES, mode).objectStore(FILES)));
    } catch {
      return null;
    } finally {
      base?.close();
    }
  }

  /** The file and what was noted of it, null where there is none. */
  async recall() {
    const file = await this.use("readonly", (files) => files.get(this.key));
    return file ? { file, ...this.state } : null;
  }

  /** Remembers a file. Returns whether the browser did. */
  async keep(file) {
    return (await this.use("readwrite", (files) => files.put(file, this.key))) !== null;
  }

  /** Notes what goes with the file, a few numbers by their names, at once: the page may be about to go. */
  note(state) {
    try {
      localStorage.setItem(STATE + this.key, JSON.stringify(state));
    } catch {
      // Without storage the recording begins at its beginning.
    }
  }

  get state() {
    try {
      return JSON.parse(localStorage.getItem(STATE + this.key));
    } catch {
      return null;
    }
  }

  async forget() {
    await this.use("readwrite", (files) => files.delete(this.key));
    this.note(null);
  }
}
