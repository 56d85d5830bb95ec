/** What a firing or a scenario is called in the language that is shown. */

import { words } from "../../words.js";
import { words as replayWords } from "./words.js";

const SCENARIO = "scenario:";

/** @param {import("./asking.js").Entry} entry */
export function calledOf({ id, name, origin }) {
  return origin === "scenario" ? replayWords.scenarioTitles[id.slice(SCENARIO.length)] ?? name : words.called(name);
}
