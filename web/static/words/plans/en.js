/** The texts of firing plans. */

export const words = {
  nextHeading: "Fired next",
  /** @param {string} plan */
  nextUsual: (plan) => `The next log begins with “${plan}”, the plan of the configuration.`,
  /** @param {string} plan */
  nextChosen: (plan) => `The next log begins with “${plan}”, as chosen here.`,
  useUsual: "Back to the configuration's plan",
  isNext: "fired next",
  own: "Your own plans",
  noneOwn: "None yet. Open a starter below and change a copy of it.",
  starters: "Starters",
  /** @param {string} folder */
  folder: (folder) => `They are files in ${folder}; those that you put there are found too.`,
  all: "All plans",
  kind: { glaze: "Glaze", bisque: "Bisque", other: "Other" },
  atmosphere: { oxidation: "Oxidation", reduction: "Reduction" },
  takes: "Takes",
  peak: "Peak",
  expected: "Cone expected",
  noCone: "no cone",
  surely: "four firings of five give the same",
  /** @param {string} coolest @param {string} hottest */
  between: (coolest, hottest) => `${coolest} to ${hottest} in four firings of five`,
  /** @param {string} hottest */
  upTo: (hottest) => `none to ${hottest} in four firings of five`,
  cautions: "Cautions",
  picture: "The plan drawn",
  explained: "The plan explained",
  choose: "Fire this one next",
  chosen: "This one is fired next. Set the kiln's own controller to it too: spyhole only watches.",
  chosenLater:
    "This one is fired next; the log that is being kept goes on with its own plan. Set the " +
    "kiln's own controller to it too: spyhole only watches.",
  edit: "Change a copy",
  /** @param {string} file */
  saved: (file) => `Saved as ${file}.`,
  /** @param {string} why */
  failed: (why) => `Not done: ${why}`,
  asking: "Working it out…",

  holdHeading: "Hold for a cone",
  holdAsk: "How long at the peak?",
  holdUse: "Use this hold",
  holdUsed: "It stands in the form now.",
  holdMistakes: "Something in the form does not fit yet; mend that first.",

  leaveEditor: "Back to the plan as it is",
  restored: "What you changed here before is still here.",
  startAgain: "Begin again from the original",
  /** @param {string} name */
  copyOf: (name) => `${name}, changed`,
  about: "What it is for",
  name: "Name",
  nameWhy: "It is saved as a new file that is named after it. The original stays as it is.",
  kindLabel: "What is fired",
  atmosphereLabel: "Atmosphere",
  target: "Target cone",
  noTarget: "none",
  steps: "Steps",
  /** @param {number} number */
  step: (number) => `Step ${number}`,
  /** @param {string} unit */
  rate: (unit) => `Rate, °${unit}/h`,
  /** @param {string} unit */
  to: (unit) => `To, °${unit}`,
  hold: "Hold, min",
  note: "Note",
  rateWhy: "Leave a rate empty for as fast as the kiln goes by itself, up or down.",
  addStep: "Add a step at the end",
  act: { up: "Up", down: "Down", add: "Add after", remove: "Remove" },
  /** @param {string} act @param {number} number */
  actOn: (act, number) => `${act}: step ${number}`,
  /** @param {number} number */
  added: (number) => `Step ${number} added.`,
  /** @param {number} number */
  removed: (number) => `Step ${number} removed.`,
  /** @param {number} from @param {number} to */
  moved: (from, to) => `Step ${from} is now step ${to}.`,
  /** @param {string} names */
  bands: (names) => `This plan changes guarded bands (${names}); the copy keeps that.`,
  preview: "What becomes of it",
  past: "What became of it before",
  /** @param {number} count */
  mistakes: (count) => (count === 1 ? "One thing does not fit" : `${count} things do not fit`),
  save: "Save as new",
};
