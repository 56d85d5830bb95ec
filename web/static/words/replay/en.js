/** The texts of firings played once more. */

export const words = {
  firings: "Play a firing once more",
  about: "It runs through the watch again, as fast as you like: see what it says, and when.",
  none: "No firing is in the record yet.",
  goesOn: "still going on",
  simulated: "simulated",
  scenarios: "Simulated firings",
  aboutScenarios: "No real kiln: practice for what may happen to one.",
  all: "All that can be played",
  strip: "Replay: not happening now",
  notNow: "Replay, not now",
  /** @param {number} percent */
  winding: (percent) => `The firing is run through the watch: ${percent}\u202f%. The kiln of now goes first.`,
  /** @param {number} count */
  waiting: (count) => (count === 1 ? "One other is made ready first." : `${count} others are made ready first.`),
  verdict: "The watch at this time",
  said: "What the watch has said so far",
  nothingYet: "Nothing yet.",
  keys: "Playing",
  scrub: "Time of the firing",
  play: "Play",
  pause: "Pause",
  previous: "Back",
  previousLong: "Back to the event before",
  next: "Next",
  nextLong: "Next event",
  speed: "Speed",
  /** @param {number} speed */
  times: (speed) => `${speed.toLocaleString("en-GB")}×`,
  /** @param {string} time @param {string} elapsed */
  atClock: (time, elapsed) => `${time}, after ${elapsed}`,
  note: "A note",
  /** @param {string} what */
  over: (what) => `Over: ${what}`,
};
