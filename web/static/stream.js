/**
 * The link to spyhole: opens the live stream, notices when it is dead, opens it again.
 *
 * A phone that walks out of reach gets no error from its network for minutes, so silence counts:
 * the server says something every 5 s, and after 12 s without a word the link is lost.
 */

const SILENCE_MS = 12000;
const GRACE_MS = 2000;
/** How it ended is known, so it is not merely lost. */
const SAID = ["stopped", "signed_out"];
const RETRY_MS = [300, 1500, 3000, 5000];

/**
 * @typedef {object} Listener
 * @property {(snapshot: import("./types.js").Snapshot) => void} onSnapshot
 * @property {(changes: Partial<import("./types.js").Snapshot>) => void} onChanges the new parts of it
 * @property {(points: import("./types.js").Points) => void} onPoints
 * @property {(beat: import("./types.js").Beat) => void} onBeat
 * @property {() => void} onOpen each time the stream begins anew
 * @property {(state: import("./types.js").LinkState) => void} onState
 */

export class Link {
  /**
   * @param {string} address
   * @param {Listener} listener
   */
  constructor(address, listener) {
    this.address = address;
    this.listener = listener;
    /** @type {import("./types.js").LinkState} */
    this.state = "connecting";
    /** @type {EventSource | null} */
    this.source = null;
    /** @type {number | null} */
    this.brokenAt = null;
    this.heardAt = performance.now();
    this.failures = 0;
    this.retryTimer = 0;
    setInterval(() => this.lookUp(), 1000);
    document.addEventListener("visibilitychange", () => this.wake());
    window.addEventListener("online", () => this.wake());
    this.open();
  }

  open() {
    clearTimeout(this.retryTimer);
    this.source?.close();
    const source = new EventSource(this.address);
    this.source = source;
    this.heardAt = performance.now();
    let isNew = true;
    /**
     * @param {string} name
     * @param {(data: any) => void} use
     */
    const on = (name, use) =>
      source.addEventListener(name, (event) => {
        if (source !== this.source) return;
        this.heard();
        if (isNew) this.listener.onOpen();
        isNew = false;
        use(JSON.parse(event.data));
      });
    on("snapshot", (data) => this.listener.onSnapshot(data));
    on("changes", (data) => this.listener.onChanges(data));
    on("points", (data) => this.listener.onPoints(data));
    on("beat", (data) => this.listener.onBeat(data));
    on("closing", () => this.broken("stopped"));
    on("signed_out", () => this.broken("signed_out"));
    source.addEventListener("error", () => {
      if (source === this.source) this.broken("lost");
    });
  }

  heard() {
    this.heardAt = performance.now();
    this.brokenAt = null;
    this.failures = 0;
    this.become("open");
  }

  /** @param {"lost" | "stopped" | "signed_out"} how */
  broken(how) {
    this.source?.close();
    this.source = null;
    this.brokenAt ??= performance.now();
    if (how !== "lost") this.become(how);
    const wait = RETRY_MS[Math.min(this.failures, RETRY_MS.length - 1)];
    this.failures += 1;
    clearTimeout(this.retryTimer);
    this.retryTimer = setTimeout(() => this.open(), wait);
    this.lookUp();
  }

  lookUp() {
    const now = performance.now();
    if (this.source && now - this.heardAt > SILENCE_MS) this.broken("lost");
    if (this.brokenAt !== null && now - this.brokenAt > GRACE_MS && !SAID.includes(this.state)) {
      this.become("lost");
    }
  }

  /** The phone is back in a hand: don't wait for a timer that slept with it. */
  wake() {
    if (document.visibilityState !== "visible") return;
    if (!this.source || performance.now() - this.heardAt > SILENCE_MS / 2) this.open();
  }

  /** @param {import("./types.js").LinkState} state */
  become(state) {
    if (state === this.state) return;
    this.state = state;
    this.listener.onState(state);
  }
}
