// What is wrong with the page as it is shown: a list of sentences, empty when all is well.
(() => {
  const faults = [];
  const width = document.documentElement.clientWidth;
  const name = (element) =>
    element.tagName.toLowerCase() + (element.className ? '.' + element.className : '') +
    ' "' + element.textContent.trim().slice(0, 40) + '"';

  // Nothing is wider than the page, and no text reaches out of its cell.
  if (document.documentElement.scrollWidth > width) {
    faults.push('overflow: the page is ' + document.documentElement.scrollWidth + ' wide on ' + width);
  }
  for (const element of document.body.querySelectorAll('*')) {
    const box = element.getBoundingClientRect();
    if (box.width > 0 && (box.left < -0.5 || box.right > width + 0.5)) {
      faults.push('overflow: ' + name(element) + ' from ' + box.left + ' to ' + box.right + ' on ' + width);
    }
    if (element.scrollWidth > element.clientWidth + 1 && element.clientWidth > 0) {
      faults.push('overflow: ' + name(element) + ' holds ' + element.scrollWidth + ' in ' + element.clientWidth);
    }
  }

  // Pictures are there.
  for (const image of document.images) {
    if (!image.complete || image.naturalWidth === 0) faults.push('picture: ' + image.alt + ' is not shown');
    if (!image.alt) faults.push('picture: one without words');
  }

  // Nothing that could ask for another file.
  for (const element of document.querySelectorAll('script, link, iframe, object, embed, form, a, base')) {
    faults.push('element: ' + name(element));
  }

  // Contrast of text: WCAG 2.1, success criterion 1.4.3, with the ratio for small text asked of all.
  const colour = (text) => {
    const parts = text.match(/[\d.]+/g).map(Number);
    return { rgb: parts.slice(0, 3), alpha: parts.length > 3 ? parts[3] : 1 };
  };
  const luminance = (rgb) => {
    const [red, green, blue] = rgb.map((part) => {
      const value = part / 255;
      return value <= 0.04045 ? value / 12.92 : Math.pow((value + 0.055) / 1.055, 2.4);
    });
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const behind = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const { rgb, alpha } = colour(getComputedStyle(at).backgroundColor);
      if (alpha === 1) return rgb;
      if (alpha > 0) faults.push('contrast: ' + name(at) + ' has a background that shows through');
    }
    return [255, 255, 255];
  };
  let texts = 0;
  const check = (element, style) => {
    if (style.visibility !== 'visible' || Number(style.opacity) !== 1) return;
    texts += 1;
    const front = colour(style.color);
    const [one, other] = [luminance(front.rgb), luminance(behind(element))];
    const ratio = (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
    if (front.alpha !== 1 || ratio < 4.5) {
      faults.push('contrast: ' + name(element) + ' has ' + ratio.toFixed(2) + ' : 1');
    }
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (!node.data.trim() || node.parentElement.getClientRects().length === 0) continue;
    check(node.parentElement, getComputedStyle(node.parentElement));
  }
  for (const element of document.querySelectorAll('[data-head]')) {
    const style = getComputedStyle(element, '::before');
    if (style.content !== 'none' && element.getClientRects().length > 0) check(element, style);
  }
  return { faults, texts, pictures: document.images.length };
})()
