// Before anything is painted: a white page in a dark hall blinds. No module, so that it runs first.
try {
  const light = localStorage.getItem("kitplan-light");
  if (["bright", "dark", "red"].includes(light)) document.documentElement.dataset.light = light;
} catch { /* storage may be forbidden */ }
