// Small pieces of forms, made without markup from anywhere else: names are always text.

export function make(tag, facts = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(facts)) {
    if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
    else if (name in element && name !== 'list') element[name] = value;
    else element.setAttribute(name, value);
  }
  element.append(...children.filter((each) => each !== null && each !== undefined));
  return element;
}

// Choices: [value, words] each; the value '' is that of the first, empty one.
export function select(facts, choices, value) {
  const options = choices.map(([own, words]) => make('option', { value: own }, words));
  const element = make('select', facts, ...options);
  element.value = value ?? '';
  return element;
}

export const row = (label, ...content) => make('label', { className: 'row' }, make('span', {}, label), ...content);

// A number as it is typed; NaN where it is none.
export const typed = (text) => Number(text.trim().replace(',', '.'));

export function number(value, unit, isOpen, changed, label = null) {
  const input = make('input', {
    type: 'text', inputMode: 'decimal', className: 'number', autocomplete: 'off',
    value: value === null || value === undefined ? '' : String(value),
  });
  if (label) input.setAttribute('aria-label', label);
  input.addEventListener('change', () => {
    const text = input.value.trim();
    if (!text && isOpen) { input.removeAttribute('aria-invalid'); changed(null); return; }
    const found = text ? typed(text) : NaN;
    if (Number.isFinite(found)) { input.removeAttribute('aria-invalid'); changed(found); return; }
    input.setAttribute('aria-invalid', 'true');
  });
  return make('span', { className: 'measure' }, input, unit ? make('span', { className: 'unit' }, unit) : null);
}
