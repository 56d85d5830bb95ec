/**
 * Why something was refused or does not count, by the server's name for it; `{gaps}` take its
 * figures. English pages show the server's own sentence: this is what other languages begin from.
 */

export const words = {
  kept: "Kept in memory; it is written when the disk takes it.",
  /** @param {string} file @param {string} line */
  line: (file, line) => `${file}, line ${line}`,

  /** @type {Record<string, string>} What a part of a request is called. */
  fields: {
    text: "The text",
    note: "The note",
    by: "The name",
    name: "The name",
    pin: "The PIN",
    cone: "The cone",
    clock: "The tip's place",
    channel: "The thermocouple",
    shelf: "The shelf",
    place: "The place",
    minutes_ago: "The minutes",
    caption: "The caption",
    steps: "The list of steps",
    other: "This",
  },

  /** @type {Record<string, string>} */
  reasons: {
    missing: "{field} is missing.",
    empty: "{field} is empty.",
    "too-long": "{field} may have {most} characters at most.",
    "no-number": "{field} is no number.",
    "at-least": "{field} must be {least} at least.",
    "at-most": "{field} must be {most} at most.",
    unprintable: "{field} has signs in it that can't be seen; give one line of plain text.",
    unfit: "{field} does not fit.",
    "body-too-large": "That is more than the {most_kb} kB that are taken at once.",
    "sign-in-to-read": "Sign in with the PIN to read here.",
    "sign-in-to-write": "Sign in with the PIN to write here.",
    "wrong-pin": "That is not the PIN.",
    "too-many-pins": "Too many wrong PINs: the next one is looked at in {seconds} seconds.",
    "no-pin":
      "Until a PIN is set, only the machine at the kiln itself (at 127.0.0.1) may do that: set one there with “{how}”.",
    "no-pin-to-sign-in": "No PIN is set, so there is nothing to sign in with.",
    "pin-unreadable":
      "The PIN can't be read on the machine at the kiln, so nobody is let in: set it anew there with “{how}”.",
    "readings-over": "The readings are over: no log can begin.",
    "log-kept": "A log is being kept already: end it before you begin another.",
    "log-not-begun": "The log has not begun yet, so there is none to end.",
    "other-log": "Another firing's log is being kept by now: look again.",
    "no-log-can-begin": "No log can begin: the record can't be written just now. Make room on its disk, or mend it.",
    "no-plan-can-be-chosen":
      "No plan can be chosen: the record can't be written just now. Make room on its disk, or mend it.",
    "disk-refuses": "The record can't be read or written just now; spyhole's own log says why.",
    "no-cone": `“{text}” is no cone; allowed are "022" to "14", half cones as "05.5" and "5.5".`,
    "no-tip":
      "“{text}” is no place of a tip: give the hand of a clock from 12 (upright) to 6 (touching the shelf), as 3 or 3:30; mirror a cone that bends to the left.",
    "no-channel": "This firing has no channel “{channel}”; it has {channels}.",
    "no-look": "This firing has no look at a cone with the number {number}.",
    "before-firing":
      "{minutes_ago} minutes ago is not within this firing, which has gone on for {minutes} minutes.",
    "after-firing": "{at_s} is not within this firing, which took {lasted_s}.",
    "stood-up":
      "Cone {cone} is noted as {first_tip} ({first_at}) and later as {second_tip} ({second_at}), but no cone stands up again: neither look counts until the wrong one is taken back or, if these were two cones, each is noted with its own shelf.",
    "too-cold-for-look":
      "Cone {cone} can't have been {tip}, for this thermocouple was far too cold by then: the look is kept but does not count; check the cone, the time and the thermocouple.",
    "too-hot-for-look":
      "Cone {cone} can't have been {tip}, for this thermocouple was far too hot by then: the look is kept but does not count; check the cone, the time and the thermocouple.",
    "nothing-to-accept": "There is nothing to accept: no look at a cone tells of channel “{channel}” yet.",
    "offset-changed":
      "What the cones say of channel “{channel}” has changed meanwhile: look at the new figure first.",
    "nothing-to-correct":
      "There is nothing to correct yet: what the cones say of channel “{channel}” is no farther from 0 than it is unsure.",
    "only-simulated":
      "“{kiln}” has real firings and this is a simulation of it: an offset is accepted in a real one.",
    "no-alert": "There is no such warning in this firing.",
    "no-note": "This firing has no note with the number {number}.",
    "no-firing": "There is no firing “{firing}”.",
    "no-firing-yet": "There is no firing in the record yet.",
    "no-scenario": "There is no scenario “{scenario}”.",
    "no-plan": "There is no plan “{plan}”.",
    "no-kiln": "There is no kiln “{kiln}” in the record.",
    "nothing-here": "There is nothing at this address.",
    "no-photo": "The firing has no photo {number}.",
    "no-image": "This is no photo that can be kept: send a JPEG, a PNG or a WebP.",
    "photo-cut-short": "The photo's file is cut short: send it again.",
    "photo-unsound": "The photo's file is not a sound {format}: send it again.",
    "photo-has-too-many-pixels": "The photo has {width} × {height} pixels: at most {most} in all can be kept.",
    "photo-too-large": "The photo is larger than the {most_mb} MB that are taken.",
    "photos-busy": "Other photos are being taken in: send this one again in a moment.",
    "photo-not-kept": "The photo can't be kept: the disk does not take it.",
    "photo-unreadable": "The photo can't be read from the disk.",
    "photo-spoilt": "The photo is spoilt: put it back from a backup.",
    "no-step": "A plan needs at least one step.",
    "too-many-steps": "A plan has at most {most} steps.",
    "no-name": "Give the plan a name.",
    "text-length": "Give 1 to {most} characters.",
    "no-to": "Give the temperature that it goes to.",
    "temp-not-allowed": "{value} is not allowed; give {low} to {high} {unit}.",
    "rate-not-allowed":
      "{value} is not allowed; give a positive number of degrees an hour, {slowest} to {fastest} (up or down follows from where it leads; leave it empty for as fast as the kiln goes).",
    "hold-not-allowed": "{value} is not allowed; give 0 to {most} minutes.",
    "not-among": "{value} is not allowed; give one of {allowed}.",
    "unknown-key": "Unknown key {key}; allowed are {allowed}.",
    "no-toml": "This is not well-formed TOML.",
    "file-unreadable": "This file can't be read.",
    "file-too-large": "This file is too large to be a plan (1 MB at most).",
    "no-text": "This is not UTF-8 text.",
    "starter-has-name": "The starter “{name}” has this name; give your plan another one.",
    "plan-is-there": "There is a plan in {file} already, and none is ever replaced; give this one another name.",
    "plans-unreadable": "The plans in {folder} can't be read.",
    "plan-not-kept": "{file}: the plan can't be kept here.",
    "too-many-ask": "Too much is asked for at once; try again in a minute.",
    "film-impossible": "This one can't be played; spyhole's own log has the details.",
    "nothing-to-play": "This firing is kept without its plan or without readings, so it can't be played.",
    "named-twice": "A firing is named twice: name each once.",
    "only-one": "One firing can't be compared: name two, or ask for its plan.",
    "no-plan-known": "No plan is known of firing {firing}.",
    "never-hot": "{firing} is no firing to repeat: the kiln never was hot in it.",
    "change-gone": "This change is not suggested any more; look at the suggestions once more.",
    "report-late": "The report was not ready in time; try again when the machine has less to do.",
    "report-failed": "The report could not be made; spyhole's own log says why.",
    bug: "Something went wrong inside spyhole; its log has the details.",
  },
};
