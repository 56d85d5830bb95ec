/** The texts of this view in the language that is shown, fetched with the view. */

import { language } from "../../settings.js";

export const words = /** @type {typeof import("../../words/log/en.js").words} */ (
  (await import(`../../words/log/${language}.js`)).words);
