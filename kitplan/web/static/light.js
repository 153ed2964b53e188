// Which light the page is read in: as the device says, bright, dark, or red for the wing.
// Loaded in the head and not as a module: a white page for a moment is a torch in a dark hall.
(() => {
  const LIGHTS = [
    ["", "Auto", "as the device says"],
    ["night", "Dark", "dark"],
    ["red", "Red", "red"],
    ["day", "Bright", "bright"],
  ];
  const root = document.documentElement;

  function kept() {
    try {
      return localStorage.getItem("kitplan-light") || "";
    } catch {
      return "";
    }
  }

  function set(light) {
    if (light) root.dataset.light = light;
    else delete root.dataset.light;
    try {
      localStorage.setItem("kitplan-light", light);
    } catch {
      // it holds for this page
    }
  }

  function label(button) {
    const now = LIGHTS.find(([light]) => light === (root.dataset.light || "")) || LIGHTS[0];
    button.textContent = `◐ ${now[1]}`;
    button.title = `Light: ${now[2]}`;
    button.setAttribute("aria-label", `Light: ${now[2]}. Press for another one.`);
  }

  const first = kept();
  if (LIGHTS.some(([light]) => light === first)) set(first);
  addEventListener("DOMContentLoaded", () => {
    const button = document.getElementById("light");
    if (!button) return;
    button.hidden = false;
    label(button);
    button.addEventListener("click", () => {
      const at = LIGHTS.findIndex(([light]) => light === (root.dataset.light || ""));
      set(LIGHTS[(at + 1) % LIGHTS.length][0]);
      label(button);
    });
  });
})();
