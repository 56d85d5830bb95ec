/** The texts of this view in the language that is shown, fetched with the view. */

import { language } from "../../settings.js";

export const words = /** @type {typeof import("../../words/plans/en.js").words} */ (
  (await import(`../../words/plans/${language}.js`)).words);
