() => {
  const seen = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden";
  const all = (what) => [...document.querySelectorAll(what)].filter(seen);
  const luminance = (text) => {
    const [r, g, b] = text.match(/[\d.]+/g).slice(0, 3).map((n) => {
      const c = Number(n) / 255;
      return c <= 0.03928 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (e) => {
    for (let at = e; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if (!/rgba\(.*, 0\)/.test(colour)) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const contrast = all("p, h1, h2, legend, label, a, button, li, figcaption, input:not([type=radio], [type=checkbox]), textarea, select").map((e) => {
    const [one, two] = [luminance(getComputedStyle(e).color), luminance(ground(e))];
    return { ratio: (Math.max(one, two) + 0.05) / (Math.min(one, two) + 0.05), text: e.textContent.trim().slice(0, 40) };
  });
  const targets = all("a, button, select, textarea, input:not([type=hidden])").map((e) => {
    const box = (["radio", "checkbox"].includes(e.type) ? e.closest("label") : e).getBoundingClientRect();
    return { text: (e.textContent || e.name || "").trim().slice(0, 40), width: Math.round(box.width), height: Math.round(box.height) };
  });
  const fields = all("input:not([type=hidden]), textarea, select");
  const nameless = fields.filter((e) => !e.labels.length && !e.ariaLabel).map((e) => e.name);
  nameless.push(...all("svg").filter((e) => e.getAttribute("role") !== "img" || !e.getAttribute("aria-label")).map((e) => "svg"));
  const ids = [...document.querySelectorAll("[id]")].map((e) => e.id);
  const landmarks = [];
  for (const what of ["main", "h1", "header", "nav[aria-label]", "footer"]) {
    if (document.querySelectorAll(what).length !== 1) landmarks.push(what);
  }
  if (!document.documentElement.lang) landmarks.push("lang");
  const over = () => {
    const root = document.documentElement;
    return root.scrollWidth > root.clientWidth ? [root.scrollWidth] : [];
  };
  const sideways = over();
  document.documentElement.style.fontSize = "225%";
  const enlarged = over();
  document.documentElement.style.fontSize = "";
  return {
    contrast, targets, nameless, landmarks, sideways,
    "sideways enlarged": enlarged,
    twice: ids.filter((id, n) => ids.indexOf(id) !== n),
  };
}
