/**
 * What the browser may make of a text: never a script but the chart library and the one that keeps
 * the page's files, never a part of the page. A text may be read as a document of its own, in which
 * nothing runs, so that its parts can be looked at one by one.
 * The server's policy lets the page make this one rule, once.
 */

const SCRIPTS = ["static/vendor/uPlot.iife.min.js", "sw.js"];

// @ts-ignore the standard library of types has no Trusted Types yet
globalThis.trustedTypes?.createPolicy("default", {
  /** @param {string} text @param {string} _kind @param {string} place where it would go */
  createHTML: (text, _kind, place) => (place === "DOMParser parseFromString" ? text : null),
  /** @param {string} script */
  createScriptURL: (script) => (SCRIPTS.includes(script) ? script : null),
});
