// What a command prints, for a page: headings, sentences and lists flow with the window, tables stay
// as they are, in letters of one width, long ones folded: the sentences around them say what follows.

import { element } from "./asked.js";

const RULE = /^(=+|-+)$/;
const LONG = 10;
const TABLE = /^-+(\s+-+)+\s*$/;

export function shown(text) {
  return text.split(/\n{2,}/).flatMap((block) => [...blockOf(block.split("\n"))]);
}

function* blockOf(lines) {
  if (lines.length > 1 && RULE.test(lines[1])) {
    yield element("h3", {}, lines[0]);
    if (lines.length > 2) yield* blockOf(lines.slice(2));
  } else if (lines.some((line) => TABLE.test(line))) {
    const table = element("pre", { class: "answer", tabindex: "0" }, lines.join("\n"));
    yield lines.length > LONG ? element("details", {}, element("summary", {}, "The table"), table) : table;
  } else if (lines[0].startsWith("- ")) {
    yield element("ul", {}, ...items(lines).map((words) => element("li", {}, words)));
  } else {
    const first = lines.findIndex((line) => line.startsWith("- "));
    yield element("p", {}, (first < 0 ? lines : lines.slice(0, first)).map((line) => line.trim()).join(" "));
    if (first > 0) yield* blockOf(lines.slice(first));
  }
}

function items(lines) {
  const found = [];
  for (const line of lines) {
    if (line.startsWith("- ")) found.push(line.slice(2).trim());
    else found.push(`${found.pop()} ${line.trim()}`);
  }
  return found;
}
