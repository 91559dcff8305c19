// How the scripts of the pages are written. `@eslint/js` is found by the variable NODE_PATH; see DEVELOPERS.md.

const js = require("@eslint/js");

const known = (names) => Object.fromEntries(names.map((name) => [name, "readonly"]));

const BROWSER = known([
  ...["document", "location", "localStorage", "matchMedia", "navigator", "performance", "innerHeight", "scrollY", "history"],
  ...["addEventListener", "requestAnimationFrame", "setTimeout", "clearTimeout", "setInterval", "clearInterval"],
  ...["Blob", "FormData", "IntersectionObserver", "MouseEvent", "Option", "ResizeObserver", "TextEncoder", "URL"],
  "URLSearchParams",
  ...["AbortController", "CSS", "DataTransfer", "DOMParser", "EventSource", "fetch", "indexedDB", "scrollBy", "scrollTo"],
  "getComputedStyle",
  ...["Audio", "AudioBuffer", "AudioBufferSourceNode", "AudioContext", "GainNode", "OfflineAudioContext"],
  ...["WaveShaperNode", "OscillatorNode", "ConvolverNode"],
]);

const RULES = {
  ...js.configs.recommended.rules,
  eqeqeq: "error",
  "no-duplicate-imports": "error",
  "no-implicit-globals": "error",
  "no-shadow-restricted-names": "error",
  "no-unused-vars": "error",
  "no-var": "error",
  "object-shorthand": "error",
  "prefer-const": "error",
};

/** What tabtools/website/scripts.py would join wrongly; what it refuses it says itself. */
const JOINED = [
  "ExportNamedDeclaration > VariableDeclaration[declarations.length!=1]",
  "ImportExpression",
  "MetaProperty[meta.name='import']",
  "Program > ExpressionStatement > AwaitExpression",
].map((selector) => ({ selector, message: "This cannot be joined; see tabtools/website/scripts.py." }));

module.exports = [
  { linterOptions: { reportUnusedDisableDirectives: "error" } },
  {
    files: ["tabtools/website/assets/**/*.js"],
    languageOptions: { ecmaVersion: 2023, sourceType: "module", globals: BROWSER },
    rules: { ...RULES, "no-restricted-syntax": ["error", ...JOINED] },
  },
  {
    files: ["tabtools/website/assets/correction_form/patch.js"],
    rules: { "no-control-regex": "off" }, // it is about what nobody sees
  },
  {
    files: ["calm_theme.js", "iframe-worker.js", "late_bars.js", "late_search.js"].map((name) => `tabtools/website/assets/${name}`),
    languageOptions: {
      sourceType: "script",
      globals: known(["window", "Element", "EventTarget", "MessageEvent", "MutationObserver", "requestAnimationFrame", "setTimeout"]),
    },
    rules: { "no-implicit-globals": "off" },
  },
  {
    files: ["tests/scripts/*.test.js"],
    languageOptions: { ecmaVersion: 2023, sourceType: "module", globals: known(["process"]) },
    rules: RULES,
  },
  {
    files: ["tests/scripts/eslint.config.js"],
    languageOptions: { sourceType: "commonjs", globals: known(["require", "module"]) },
    rules: RULES,
  },
];
