/** The texts of the unload view in the language that is shown. */

import { language } from "../../settings.js";

export const words = /** @type {typeof import("../../words/unload/en.js").words} */ (
  (await import(`../../words/unload/${language}.js`)).words);
