// Everything of the editor that the file sheet uses, and nothing else: the bundle holds no more than this.
export { EditorState, StateEffect, StateField } from "@codemirror/state";
export {
  EditorView, Decoration, keymap, lineNumbers, highlightActiveLine, highlightActiveLineGutter,
  highlightSpecialChars, drawSelection,
} from "@codemirror/view";
export { defaultKeymap, history, historyKeymap, indentWithTab } from "@codemirror/commands";
export { syntaxHighlighting, HighlightStyle, indentOnInput, bracketMatching, indentUnit } from "@codemirror/language";
export { search, searchKeymap, highlightSelectionMatches } from "@codemirror/search";
export { autocompletion, completionKeymap, closeBrackets, closeBracketsKeymap } from "@codemirror/autocomplete";
export { setDiagnostics, lintGutter, lintKeymap } from "@codemirror/lint";
export { yaml } from "@codemirror/lang-yaml";
export { tags } from "@lezer/highlight";
