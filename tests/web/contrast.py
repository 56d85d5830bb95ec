"""Contrast of every visible text against what lies behind it, measured in the browser.

Ratio and thresholds: WCAG 2.2, success criterion 1.4.3 (4.5, or 3 for text of 24 px and more,
or 18.66 px bold). Colours with transparency and the opacity of ancestors are mixed over the
background first. Disabled controls are exempt there, as here.
"""

SCRIPT = r"""
() => {
  const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const known = new Map();
  const rgba = (colour) => {
    if (!known.has(colour)) known.set(colour, drawn(colour));
    return known.get(colour);
  };
  const drawn = (colour) => {
    canvas.clearRect(0, 0, 1, 1);
    canvas.fillStyle = colour;
    canvas.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  };
  const over = ([r, g, b, a], [R, G, B]) =>
    [r * a + R * (1 - a), g * a + G * (1 - a), b * a + B * (1 - a), 1];
  const luminance = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((v) => {
      const s = v / 255;
      return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const chain = (element) => {
    const all = [];
    for (let e = element; e; e = e.parentElement) all.unshift(e);
    return all;
  };
  // Paint from the root inwards; a group's opacity mixes its ground and its text into what is
  // behind the group.
  const seen = (element) => {
    let ground = [255, 255, 255, 1];
    let groups = [];
    for (const e of chain(element)) {
      const style = getComputedStyle(e);
      if (+style.opacity < 1) groups.push([+style.opacity, ground]);
      ground = over(rgba(style.backgroundColor), ground);
    }
    let text = over(rgba(getComputedStyle(element).color), ground);
    for (const [opacity, behind] of groups.reverse()) {
      text = over([...text.slice(0, 3), opacity], behind);
      ground = over([...ground.slice(0, 3), opacity], behind);
    }
    return [text, ground];
  };
  const faint = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    const words = walker.currentNode.textContent.trim();
    if (!words || !element.checkVisibility()) continue;
    if (element.closest("[disabled], .heard-only, noscript")) continue;
    const style = getComputedStyle(element);
    const px = parseFloat(style.fontSize);
    const isLarge = px >= 24 || (px >= 18.66 && +style.fontWeight >= 700);
    const [text, ground] = seen(element);
    const [high, low] = [luminance(text), luminance(ground)].sort((a, b) => b - a);
    const ratio = (high + 0.05) / (low + 0.05);
    if (ratio < (isLarge ? 3 : 4.5)) faint.push(`${words.slice(0, 40)}: ${ratio.toFixed(2)}`);
  }
  return faint;
}
"""
