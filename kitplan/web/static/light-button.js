// The button at the end of the navigation: as the device says, dark, red, bright, and round again.
// light-first.js has set what was chosen before.

const LIGHTS = [
  ["", "Auto", "as the device says"],
  ["dark", "Dark", "dark"],
  ["red", "Red", "red"],
  ["bright", "Bright", "bright"],
];
const root = document.documentElement;
const button = document.getElementById("light");

function now() {
  return Math.max(LIGHTS.findIndex(([light]) => light === (root.dataset.light ?? "")), 0);
}

function show() {
  const [, name, words] = LIGHTS[now()];
  button.textContent = `◐ ${name}`;
  button.title = `Light: ${words}`;
  button.setAttribute("aria-label", `Light: ${words}. Press for another one.`);
}

function choose(light) {
  if (light) root.dataset.light = light;
  else delete root.dataset.light;
  try {
    localStorage.setItem("kitplan-light", light);
  } catch {
    // storage may be forbidden: it holds for this page
  }
  show();
}

if (button) {
  button.hidden = false;
  button.addEventListener("click", () => choose(LIGHTS[(now() + 1) % LIGHTS.length][0]));
  show();
}
